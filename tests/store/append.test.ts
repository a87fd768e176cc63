import Database from "better-sqlite3";
import { expect, onTestFinished, test } from "vitest";
import { databaseIn } from "../../src/store/database.ts";
import {
  aBatch,
  aMoment,
  aTray,
  aVerdict,
  aWeighing,
  later,
  oneBatch,
  started,
  taken,
  noon,
} from "./facts.ts";
import { tempStore } from "./folder.ts";

/** A store with a row of each kind, and a second connection to it with every right. */
function withWitness() {
  const store = tempStore();
  store.record([
    oneBatch,
    taken(aWeighing(1)),
    { is: "moment-set", moment: aMoment(1) },
    { is: "tray-changed", tray: aTray(1, 1, { name: "renamed" }), at: later(1) },
    { is: "core-checked", check: { id: 1, batchId: 1, trayId: 1, finding: "dry", at: noon } },
    { is: "verdict-given", verdict: aVerdict(1) },
  ]);
  const witness = new Database(databaseIn(store.folder));
  onTestFinished(() => void witness.close());
  return { store, witness };
}

test.each([
  "UPDATE weighing SET gross_mg = gross_mg - 1",
  "UPDATE weighing SET struck = 1",
  "DELETE FROM weighing",
  "UPDATE moment SET at_utc_ms = 0",
  "DELETE FROM moment",
  "UPDATE tray SET batch_id = 1",
  "DELETE FROM tray",
  "UPDATE tray_version SET typed_tare_mg = 1",
  "DELETE FROM tray_version",
  "UPDATE core_check SET finding = 'soft'",
  "DELETE FROM core_check",
  "UPDATE verdict SET word = 'stable'",
  "DELETE FROM verdict",
  "DELETE FROM batch",
  "UPDATE batch SET number = 5",
  "DELETE FROM meta",
])("refused, whoever asks: %s", (sql) => {
  const { store, witness } = withWitness();
  const before = store.loadBatch(1);
  expect(() => witness.exec(sql)).toThrow(/only added to|never removed|keeps its number|mark of a/);
  expect(store.loadBatch(1)).toEqual(before);
});

test("a weighing's number is not used again, nor one below it", () => {
  const { store } = withWitness();
  store.record([taken(aWeighing(5))]);
  expect(() => store.record([taken(aWeighing(5))])).toThrow("order of their numbers");
  expect(() => store.record([taken(aWeighing(3))])).toThrow("order of their numbers");
  expect(() => store.record([{ is: "moment-set", moment: aMoment(1) }])).toThrow("order of their");
});

test("a weighing is corrected again and again, each row naming the one that it replaces", () => {
  const { store } = withWitness();
  const second = aWeighing(2, { supersedes: 1, reason: "read wrongly", source: "typed" });
  const third = aWeighing(3, { supersedes: 2, reason: "read wrongly again" });
  const fourth = aWeighing(4, { supersedes: 3, reason: "not this tray", struck: true });
  store.record([taken(second)]);
  store.record([taken(third), taken(fourth)]);
  expect(store.loadBatch(1)?.weighings).toEqual([aWeighing(1), second, third, fourth]);
  expect(store.listBatches("all")[0]?.weighings).toEqual([]);
});

test.each([
  ["without a reason", aWeighing(2, { supersedes: 1 }), "CHECK"],
  ["of a weighing that is not there", aWeighing(2, { supersedes: 9, reason: "x" }), "FOREIGN KEY"],
  ["that strikes nothing", aWeighing(2, { struck: true, reason: "x" }), "CHECK"],
])("a correction %s is refused", (_, weighing, why) => {
  const { store } = withWitness();
  expect(() => store.record([taken(weighing)])).toThrow(why);
});

test("a weighing that was corrected already is not corrected a second time", () => {
  const { store } = withWitness();
  store.record([taken(aWeighing(2, { supersedes: 1, reason: "first" }))]);
  expect(() => store.record([taken(aWeighing(3, { supersedes: 1, reason: "second" }))])).toThrow(
    "UNIQUE",
  );
});

test("a weighing belongs to a tray of its own batch", () => {
  const { store } = withWitness();
  store.record([started(aBatch(2, [aTray(3, 2)]))]);
  expect(() => store.record([taken(aWeighing(2, { batchId: 2, trayId: 1 }))])).toThrow("FOREIGN");
});

test("a clock moment names only trays of its own batch", () => {
  const { store } = withWitness();
  store.record([started(aBatch(2, [aTray(3, 2)]))]);
  store.record([{ is: "moment-set", moment: aMoment(2, { trays: [2, 1] }) }]);
  expect(() => store.record([{ is: "moment-set", moment: aMoment(3, { trays: [1, 3] }) }])).toThrow(
    "tray that its batch does not have",
  );
  expect(store.loadBatch(1)?.moments.map((moment) => moment.trays)).toEqual([null, [2, 1]]);
});

test("an edited tray keeps what it was before", () => {
  const { store, witness } = withWitness();
  expect(store.loadBatch(1)?.trays[0]?.name).toBe("renamed");
  const names = witness.prepare("SELECT name FROM tray_version WHERE tray_id = 1 ORDER BY version");
  expect(names.pluck().all()).toEqual(["tray 1", "renamed"]);
});

test("batch numbers rise and are given once", () => {
  const { store } = withWitness();
  expect(() => store.record([started(aBatch(2, [], { number: 1 }))])).toThrow("numbers rise");
  store.record([started(aBatch(2, [], { number: 8 }))]);
  expect(() => store.record([started(aBatch(3, [], { number: 7 }))])).toThrow("numbers rise");
  expect(store.load().next.batchNumber).toBe(9);
});

test("the same alert is not raised twice", () => {
  const { store } = withWitness();
  const alert = {
    id: 1,
    key: "once",
    code: "stable",
    batchId: 1,
    round: 1,
    text: "",
    at: noon,
    figures: { behind: ["3"], lowHours: 2.5 },
    acknowledgedAt: null,
    owed: [],
  } as const;
  store.record([{ is: "alert-raised", alert }]);
  expect(() => store.record([{ is: "alert-raised", alert: { ...alert, id: 2 } }])).toThrow(
    "UNIQUE",
  );
});
