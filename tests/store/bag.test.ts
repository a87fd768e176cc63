import Database from "better-sqlite3";
import { expect, test } from "vitest";
import type { Bag, BagFate } from "../../src/bag/bag.ts";
import type { Fact } from "../../src/service/bench.ts";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore } from "../../src/store/store.ts";
import { aBag, aBagWeighing } from "./bags.ts";
import { grams } from "../../src/units/quantity.ts";
import { aBatch, aTray, later, oneBatch, started } from "./facts.ts";
import { real, tempFolder, tempStore } from "./folder.ts";

const planned = (bag: Bag): Fact => ({ is: "bag-planned", bag });
const fated = (
  id: number,
  bagId: number,
  fate: BagFate["fate"],
  takesBack: number | null = null,
): BagFate => ({
  id,
  bagId,
  fate,
  at: later(2000 + id),
  note: "eaten",
  takesBack,
});

test("a bag is read back as it was kept, with its weighings and what became of it", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  const bare = aBag(2, {
    supplier: null,
    prepared: null,
    wentIn: null,
    driedAt: null,
    absorbers: null,
    moisture: null,
    cautions: [],
    although: "for soup tonight",
    container: "jar",
    // Two foods of one tray, mixed.
    parts: aBag(2).parts.flatMap((part) => [1, 2].map((portion) => ({ ...part, portion }))),
  });
  store.record([oneBatch, planned(aBag(1)), planned(bare)]);
  const accepted = { id: 1, bagId: 1, gain: grams(1.2), provable: grams(0.2), at: later(1240) };
  const weighings = [
    aBagWeighing(1, 1, "tare", 8.2),
    aBagWeighing(2, 1, "filled", 59.2),
    aBagWeighing(3, 1, "filled", 59.3, { supersedes: 2, reason: "read again" }),
  ];
  store.record(weighings.map((weighing) => ({ is: "bag-weighed", weighing })));
  store.record([{ is: "bag-fate", fate: fated(1, 1, "opened") }]);
  store.record([{ is: "bag-gain-accepted", accepted }]);
  store.close();
  const again = openStore(folder, real);
  const said = { fates: [fated(1, 1, "opened")], gainsAccepted: [accepted] };
  const expected = [{ ...aBag(1), weighings, ...said }, bare];
  expect(again.load().bags).toStrictEqual(expected);
  expect(again.bags({ is: "bag", id: 2 })).toStrictEqual([bare]);
  expect(again.bags({ is: "batch", id: 1 })).toHaveLength(2);
  expect(again.bags({ is: "batch", id: 9 })).toEqual([]);
  expect(again.bagNamed(1, 2)).toBe(2);
  expect(again.bagNamed(1, 3)).toBeNull();
  expect(again.load().next).toMatchObject({ bag: 3, bagPlan: 2, bagWeighing: 4, bagFate: 2 });
  again.close();
});

test("a bag has what was answered of its trays' thickest pieces after it was planned, and no more", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  const [part] = aBag(1).parts;
  // Two foods of tray 1, and tray 2.
  const parts = [
    { ...part!, portion: 1 },
    { ...part!, portion: 2 },
    { ...part!, trayId: 2 },
  ];
  const first = aBag(1, { parts });
  const second = aBag(2, { plan: 2, plannedAt: later(1300) });
  store.record([
    started(aBatch(1, [aTray(1, 1), aTray(2, 1), aTray(3, 1)])),
    planned(first),
    planned(second),
  ]);
  const answered = (
    [
      [1, "dry", 1210],
      [2, "cold", 1250],
      [3, "soft", 1260],
      [1, "soft", 1310],
      [1, "dry", 1320],
    ] as const
  ).map(([trayId, finding, minute]) => ({ trayId, finding, at: later(minute) }));
  for (const [index, one] of answered.entries())
    store.record([{ is: "core-checked", check: { id: index + 1, batchId: 1, ...one } }]);
  store.close();
  const again = openStore(folder, real);
  const [, cold, , soft, dry] = answered;
  const expected = [
    { ...first, coresSince: [cold, soft, dry] },
    { ...second, coresSince: [soft, dry] },
  ];
  expect(again.load().bags).toStrictEqual(expected);
  expect(again.bags({ is: "bag", id: 2 })).toStrictEqual([expected[1]]);
  again.close();
});

test("a plan stays on the bench until the last of its bags is gone; nothing leaves the record", () => {
  const store = tempStore();
  store.record([oneBatch, planned(aBag(1)), planned(aBag(2)), planned(aBag(3, { plan: 2 }))]);
  store.record([{ is: "bag-fate", fate: fated(1, 1, "used") }]);
  store.record([{ is: "bag-fate", fate: fated(2, 3, "thrown-away") }]);
  expect(store.load().bags.map(({ id }) => id)).toEqual([1, 2]);
  store.record([{ is: "bag-fate", fate: fated(3, 2, "given-away") }]);
  expect(store.load().bags).toEqual([]);
  expect(store.bags({ is: "all" })).toHaveLength(3);
});

test("a bag whose fate was taken back is in hand again after a restart, and the record keeps both rows", () => {
  const store = tempStore();
  store.record([oneBatch, planned(aBag(1))]);
  store.record([{ is: "bag-fate", fate: fated(1, 1, "used") }]);
  expect(store.load().bags).toEqual([]);
  store.record([{ is: "bag-fate", fate: fated(2, 1, "used", 1) }]);
  expect(store.load().bags[0]?.fates.map(({ takesBack }) => takesBack)).toEqual([null, 1]);
  expect(() => store.record([{ is: "bag-fate", fate: fated(3, 1, "used", 1) }])).toThrow(/UNIQUE/);
  store.record([{ is: "bag-fate", fate: fated(3, 1, "opened") }]);
  store.record([{ is: "bag-fate", fate: fated(4, 1, "given-away") }]);
  expect(store.load().bags).toEqual([]);
});

test("what became of a bag and was said of it is chained: a change and a loss are found", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  store.record([oneBatch, planned(aBag(1))]);
  const at = later(1240);
  const accepted = { id: 1, bagId: 1, gain: grams(1.2), provable: grams(0.2), at };
  store.record([{ is: "bag-gain-accepted", accepted }]);
  store.record([{ is: "bag-fate", fate: fated(1, 1, "used") }]);
  store.record([{ is: "bag-fate", fate: fated(2, 1, "used", 1) }]);
  store.close();
  expect(inspectStore(databaseIn(folder)).problems).toEqual([]);
  const db = new Database(databaseIn(folder));
  const triggers = ["bag_fate_never_changed", "bag_gain_never_changed", "bag_fate_never_removed"];
  const kept = triggers.map((name) =>
    db.prepare<[string], string>("SELECT sql FROM sqlite_schema WHERE name = ?").pluck().get(name),
  );
  for (const name of triggers) db.exec(`DROP TRIGGER ${name}`);
  db.exec("UPDATE bag_fate SET fate = 'opened' WHERE id = 1; DELETE FROM bag_fate WHERE id = 2");
  db.exec("UPDATE bag_gain SET gain_mg = 1");
  for (const sql of kept) db.exec(sql ?? "");
  db.close();
  const found = inspectStore(databaseIn(folder)).problems.join("; ");
  expect(found).toContain("bag fate 1 is not as it was kept");
  expect(found).toContain("2 bag fates were kept, 1 are there");
  expect(found).toContain("bag answer 1 is not as it was kept");
});

test("two bags of a batch never have the same number", () => {
  const store = tempStore();
  store.record([oneBatch, planned(aBag(1))]);
  expect(() => store.record([planned(aBag(2, { sequence: 1 }))])).toThrow(/UNIQUE/);
  expect(store.bags({ is: "all" })).toHaveLength(1);
});

test("weighings of bags are only added to, and a change behind the program's back is found", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  store.record([oneBatch, planned(aBag(1))]);
  for (const id of [1, 2, 3])
    store.record([{ is: "bag-weighed", weighing: aBagWeighing(id, 1, "shelf", 63 + id) }]);
  store.close();
  expect(inspectStore(databaseIn(folder)).problems).toEqual([]);
  const db = new Database(databaseIn(folder));
  for (const sql of [
    "UPDATE bag_weighing SET gross_mg = 1 WHERE id = 2",
    "DELETE FROM bag_weighing WHERE id = 3",
    "UPDATE bag SET target_mg = 1",
    "DELETE FROM bag_part",
  ])
    expect(() => db.exec(sql)).toThrow(/only added to/);
  const trigger = db
    .prepare<[], string>("SELECT sql FROM sqlite_schema WHERE name = 'bag_weighing_never_changed'")
    .pluck()
    .get();
  db.exec("DROP TRIGGER bag_weighing_never_changed");
  db.exec("UPDATE bag_weighing SET gross_mg = 1 WHERE id = 2");
  db.exec(trigger ?? "");
  db.close();
  expect(inspectStore(databaseIn(folder)).problems.join()).toContain(
    "bag weighing 2 is not as it was kept",
  );
});
