import Database from "better-sqlite3";
import { copyFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore } from "../../src/store/store.ts";
import { stepsFolder, stepsIn } from "../../src/store/steps.ts";
import { grams } from "../../src/units/quantity.ts";
import { aBag, aBagWeighing } from "./bags.ts";
import { noon } from "./facts.ts";
import { real, tempFolder } from "./folder.ts";

// Filled by the program of the first layout: two batches, weighings with a correction, clock, gap, alert, settings.
const first = join(import.meta.dirname, "..", "..", "fixtures", "databases", "v0001.db");

const upgraded = () => {
  const folder = tempFolder();
  copyFileSync(first, databaseIn(folder));
  return { folder, store: openStore(folder, real) };
};

test("a store of the first layout is brought up to date with all that it held", () => {
  const before = new Database(first, { readonly: true });
  expect(before.pragma("user_version", { simple: true })).toBe(1);
  const kept = (db: Database.Database) => ({
    weighings: db.prepare("SELECT * FROM weighing ORDER BY id").all(),
    moments: db.prepare("SELECT * FROM moment ORDER BY id").all(),
    verdicts: db.prepare("SELECT * FROM verdict ORDER BY id").all(),
    chains: db
      .prepare("SELECT * FROM chain WHERE noun IN ('weighing', 'moment') ORDER BY noun")
      .all(),
  });
  const was = kept(before);
  before.close();
  expect(was.weighings).toHaveLength(5);

  const { folder, store } = upgraded();
  const { batches, bags, settings, next } = store.load();
  expect(batches.map(({ name }) => name)).toEqual(["Strawberries"]);
  expect(batches[0]?.weighings.map(({ gross }) => gross)).toEqual([
    1307.2, 1100, 502, 499.9, 502.1,
  ]);
  expect(batches[0]?.gaps[0]?.dryerRan).toBe(true);
  expect(settings?.displayUnit).toBe("oz");
  expect(bags).toEqual([]);
  expect(next).toMatchObject({ weighing: 6, bag: 1, bagPlan: 1, bagWeighing: 1 });
  store.close();

  const after = new Database(databaseIn(folder), { readonly: true });
  // A weighing kept before there were portions is one of its whole tray.
  const weighings = was.weighings.map((row) => ({ ...Object(row), portion: null }) as unknown);
  expect(kept(after)).toEqual({ ...was, weighings });
  after.close();
  const report = inspectStore(databaseIn(folder));
  expect(report.problems).toEqual([]);
  expect(report.layout).toBe(stepsIn(stepsFolder).length);
  expect(readdirSync(folder).some((name) => name.startsWith("before-layout-"))).toBe(true);
});

test("an upgraded store goes on with its chains and takes bags", () => {
  const { folder, store } = upgraded();
  const bag = aBag(1, { weighings: [aBagWeighing(1, 1, "tare", 8)] });
  store.record([{ is: "bag-planned", bag }]);
  store.record([{ is: "bag-weighed", weighing: aBagWeighing(2, 1, "filled", 59) }]);
  const [batch] = store.load().batches;
  const weighing = { ...batch!.weighings[0]!, id: 6, kind: "dry" as const, gross: grams(501) };
  store.record([{ is: "weighing-taken", weighing: { ...weighing, at: noon } }]);
  store.close();
  const report = inspectStore(databaseIn(folder));
  expect(report.problems).toEqual([]);
  expect(report.holds).toMatchObject({
    bags: 1,
    weighings: { rows: 6 },
    bagWeighings: { rows: 2 },
  });
});
