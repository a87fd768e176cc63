import { expect, test } from "vitest";
import {
  copyOf,
  emptyDraft,
  readDraft,
  withoutTray,
  withTray,
  withTrayAdded,
  type Draft,
} from "../../web/src/draft.ts";
import { batch } from "./scenes.ts";

const draft = (change: Partial<Draft> = {}): Draft => ({ ...emptyDraft("kitchen"), ...change });

test("three numbered trays are there to begin with; a new one takes the first free number", () => {
  const without = withoutTray(draft(), 2);
  expect(withTrayAdded(without).trays.map((tray) => tray.name)).toEqual(["1", "3", "2"]);
  const keys = withTrayAdded(without).trays.map((tray) => tray.key);
  expect(new Set(keys).size).toBe(3);
});

test("what is left empty is not asked for", () => {
  expect(readDraft(draft(), "g")).toEqual({
    is: "whole",
    batch: { dryer: "kitchen", trays: [{ name: "1" }, { name: "2" }, { name: "3" }] },
  });
});

test("a food of the table goes by its number, and its water is not sent as the person's own", () => {
  const one = withTray(draft(), 1, {
    food: "Strawberries, raw",
    foodNumber: "09316",
    water: "90.95",
    isOwnWater: false,
    tare: "412,5",
  });
  const read = readDraft(one, "g");
  expect(read.is === "whole" && read.batch.trays[0]).toEqual({
    name: "1",
    food: "09316",
    tareGrams: 412.5,
  });
});

test("a person's own water goes with the name that they gave", () => {
  const one = withTray(draft(), 1, { food: "Aunt's soup", water: "82", isOwnWater: true });
  const read = readDraft(one, "g");
  expect(read.is === "whole" && read.batch.trays[0]).toEqual({
    name: "1",
    food: "Aunt's soup",
    waterPct: 82,
  });
});

// NIST SP 811 table B.8: 1 oz = 28.349 523 125 g.
test("an empty tray typed in ounces is sent in grams", () => {
  const read = readDraft(withTray(draft(), 1, { tare: "10" }), "oz");
  expect(read.is === "whole" && read.batch.trays[0]?.tareGrams).toBeCloseTo(283.49523125, 9);
});

test.each([
  ["no dryer", draft({ dryer: " " }), { is: "no-dryer" }],
  ["no trays", draft({ trays: [] }), { is: "no-trays" }],
  ["two trays of one name", withTray(draft(), 2, { name: "1 " }), { is: "same-name", name: "1" }],
  [
    "a tare that is no number",
    withTray(draft(), 2, { tare: "41o" }),
    { is: "bad-tare", name: "2" },
  ],
  ["a tare of nothing", withTray(draft(), 2, { tare: "0" }), { is: "bad-tare", name: "2" }],
  ["water over 100 %", withTray(draft(), 3, { water: "120" }), { is: "bad-water", name: "3" }],
])("%s is said before anything is sent", (_, flawed, flaw) => {
  expect(readDraft(flawed, "g")).toEqual({ is: "flawed", flaw });
});

test("the trays of the last batch are copied with their empty masses and foods", () => {
  const last = batch([], { dryer: "cellar" });
  const tray = {
    id: 9,
    name: "Upper",
    tareGrams: 412,
    food: "Apples, raw",
    foodSource: "table",
    waterPct: 85.56,
    cautions: [],
    portions: [],
    freshGrams: null,
    netGrams: null,
    waterRemovedGrams: null,
    yieldFraction: null,
    moistureWetBasis: null,
    moistureDryBasis: null,
    verdict: null,
    coreCheck: null,
    weighings: [],
  };
  const copied = copyOf({ ...last, trays: [tray] }, draft(), "g");
  expect(copied.dryer).toBe("cellar");
  expect(copied.trays).toHaveLength(1);
  expect(copied.trays[0]).toMatchObject({ name: "Upper", tare: "412", food: "Apples, raw" });
});
