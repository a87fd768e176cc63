import Database from "better-sqlite3";
import { expect, test } from "vitest";
import type { Fact, Lesson } from "../../src/service/bench.ts";
import { databaseIn } from "../../src/store/database.ts";
import { openStore } from "../../src/store/store.ts";
import { grams } from "../../src/units/quantity.ts";
import { later, oneBatch } from "./facts.ts";
import { real, tempFolder } from "./folder.ts";

const lesson: Lesson = {
  id: 1,
  batchId: 1,
  batchNumber: 1,
  food: "Strawberries, raw",
  fresh: grams(907.2),
  end: grams(102),
  rate: { lnRate: -1.25, u: 0.75, thicknessMm: 8 },
  at: later(100),
  counts: true,
  why: null,
};
const changed = (counts: boolean, reason: string): Fact => ({
  is: "lesson-changed",
  lessonId: 1,
  counts,
  reason,
  at: later(200),
});

test("a lesson is read back as it was kept, with what was said of it last", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  store.record([oneBatch, { is: "lesson-kept", lesson }]);
  expect(store.load().lessons).toStrictEqual([lesson]);
  store.record([changed(false, "a bag was damp")]);
  store.record([changed(true, "it was another bag"), changed(false, "it was this one")]);
  store.close();
  const again = openStore(folder, real);
  expect(again.load().lessons).toStrictEqual([
    { ...lesson, counts: false, why: "it was this one" },
  ]);
  expect(again.load().next.lesson).toBe(2);
  again.close();
});

test("a lesson on the record is neither altered nor removed", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  store.record([oneBatch, { is: "lesson-kept", lesson }, changed(false, "a bag was damp")]);
  store.close();
  const db = new Database(databaseIn(folder));
  for (const table of ["lesson", "lesson_change"]) {
    expect(() => db.prepare(`DELETE FROM ${table}`).run()).toThrow(/only added to/);
    expect(() => db.prepare(`UPDATE ${table} SET id = id + 1`).run()).toThrow(/only added to/);
  }
  db.close();
});
