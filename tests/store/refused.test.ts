import Database from "better-sqlite3";
import { expect, onTestFinished, test } from "vitest";
import { databaseIn, openDatabase } from "../../src/store/database.ts";
import { settleMark } from "../../src/store/mark.ts";
import { stepsFolder, stepsIn } from "../../src/store/steps.ts";
import { storeOn } from "../../src/store/store.ts";
import { aMoment, aVerdict, aWeighing, oneBatch, taken, noon } from "./facts.ts";
import { real, tempFolder, refusal } from "./folder.ts";

/** A store whose connection the test has in hand, and a witness that sees only what was committed. */
function withConnection() {
  const folder = tempFolder();
  const db = openDatabase(folder, stepsIn(stepsFolder), noon);
  const store = storeOn(db, folder, settleMark(db, folder, real));
  const witness = new Database(databaseIn(folder), { readonly: true });
  onTestFinished(() => {
    witness.close();
    store.close();
  });
  store.record([oneBatch]);
  const ids = (): number[] =>
    witness.prepare<[], number>("SELECT id FROM weighing ORDER BY id").pluck().all();
  return { db, store, ids };
}

/** Keeps weighings, each with a clock moment and a verdict, until the store refuses; returns the number kept. */
function keepUntilRefused({ store }: ReturnType<typeof withConnection>, from: number): number {
  for (let id = from; id < from + 5000; id++) {
    try {
      store.record([
        taken(aWeighing(id)),
        { is: "moment-set", moment: aMoment(id) },
        { is: "verdict-given", verdict: aVerdict(id, { basis: "x".repeat(3000) }) },
      ]);
    } catch (thrown) {
      expect(thrown).toMatchObject({ name: "Fault", code: "store.full" });
      return id - from;
    }
  }
  throw new Error("the store never got full");
}

test("a full disk keeps what it said it kept, says so, and goes on when there is room again", () => {
  const at = withConnection();
  const pages = Number(at.db.pragma("page_count", { simple: true }));
  at.db.pragma(`max_page_count = ${pages + 20}`);

  const kept = keepUntilRefused(at, 1);
  expect(kept).toBeGreaterThan(5);
  const gapless = Array.from({ length: kept }, (_, i) => i + 1);
  expect(at.ids()).toEqual(gapless);
  const batch = at.store.loadBatch(1);
  expect(batch?.weighings.map((row) => row.id)).toEqual(gapless);
  // Of the refused input nothing is there, neither the weighing nor what came with it.
  expect(batch?.moments).toHaveLength(kept);
  expect(batch?.verdicts).toHaveLength(kept);
  expect(at.db.inTransaction).toBe(false);
  expect(at.store.canRecord().recording).toBe(false);
  expect(at.store.canRecord().why).toMatch(/full/);

  at.db.pragma(`max_page_count = ${pages + 1000}`);
  expect(at.store.canRecord()).toEqual({ recording: true, why: null });
  at.store.record([taken(aWeighing(kept + 1))]);
  expect(at.ids()).toEqual([...gapless, kept + 1]);
  expect(at.db.pragma("integrity_check", { simple: true })).toBe("ok");
});

test("a disk that turned read-only refuses in a sentence, and the same call works once it is writable", () => {
  const { db, store, ids } = withConnection();
  db.pragma("query_only = ON");
  expect(() => store.record([taken(aWeighing(1))])).toThrow(refusal("store.unwritable"));
  expect(() => store.record([taken(aWeighing(1))])).toThrow("cannot be written");
  expect(() => store.alive({ at: noon, systemAt: noon })).toThrow(refusal("store.unwritable"));
  expect(store.canRecord().recording).toBe(false);
  expect(ids()).toEqual([]);
  db.pragma("query_only = OFF");
  store.record([taken(aWeighing(1))]);
  expect(ids()).toEqual([1]);
});

test("another program that holds the file for writing leads to a refusal, not to a wait for ever", () => {
  const { db, store, ids } = withConnection();
  db.pragma("busy_timeout = 50");
  const other = new Database(databaseIn(store.folder));
  other.exec("BEGIN IMMEDIATE");
  expect(() => store.record([taken(aWeighing(1))])).toThrow(refusal("store.unwritable"));
  other.exec("ROLLBACK");
  other.close();
  store.record([taken(aWeighing(1))]);
  expect(ids()).toEqual([1]);
});

test("asking whether it can record leaves nothing behind", () => {
  const { db, store } = withConnection();
  for (let i = 0; i < 3; i++) store.canRecord();
  const pages = db.pragma("page_count", { simple: true });
  for (let i = 0; i < 100; i++) store.canRecord();
  expect(db.pragma("page_count", { simple: true })).toBe(pages);
});
