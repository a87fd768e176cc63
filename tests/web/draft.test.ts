import { expect, test } from "vitest";
import {
  copyOf,
  emptyDraft,
  emptyFood,
  emptyTray,
  holds,
  readDraft,
  withBag,
  withFood,
  withFoodAdded,
  withoutTray,
  withTray,
  withTrayAdded,
  type Draft,
  type FoodDraft,
} from "../../web/src/draft.ts";
import { batch } from "./scenes.ts";

/** The first food of the first tray changed. */
const withFirstFood = (change: Partial<FoodDraft>): Draft => {
  const [first] = draft().trays;
  return withTray(draft(), 1, withFood(first!, 1, change));
};

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
  const one = withFirstFood({
    food: "Strawberries, raw",
    foodNumber: "09316",
    water: "90.95",
    isOwnWater: false,
  });
  const read = readDraft(withTray(one, 1, { tare: "412,5" }), "g");
  expect(read.is === "whole" && read.batch.trays[0]).toEqual({
    name: "1",
    food: "09316",
    tareGrams: 412.5,
  });
});

test("a person's own water goes with the name that they gave", () => {
  const one = withFirstFood({ food: "Aunt's soup", water: "82", isOwnWater: true });
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
  ["water over 100 %", withFirstFood({ water: "120" }), { is: "bad-water", name: "1" }],
  ["a goal of nothing", withFirstFood({ target: "0" }), { is: "bad-target", name: "1" }],
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
    thicknessMm: 6.5,
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
  expect(copied.trays[0]).toMatchObject({ name: "Upper", tare: "412" });
  expect(copied.trays[0]?.foods).toEqual([
    {
      key: 1,
      food: "Apples, raw",
      foodNumber: null,
      water: "85.56",
      isOwnWater: true,
      thickness: "6.5",
      target: "",
    },
  ]);
});

test("a thickness goes with its food, and what is no thickness is a flaw of its tray", () => {
  const read = (thickness: string) =>
    readDraft(
      {
        ...emptyDraft("kitchen"),
        trays: [{ ...emptyTray(1, "A"), foods: [{ ...emptyFood(1), food: "plums", thickness }] }],
      },
      "g",
    );
  const asked = (thickness: string) => {
    const draft = read(thickness);
    return draft.is === "whole" ? draft.batch.trays[0] : draft.flaw;
  };
  expect(asked("")).toEqual({ name: "A", food: "plums" });
  expect(asked("6,5")).toEqual({ name: "A", food: "plums", thicknessMm: 6.5 });
  for (const bad of ["0", "-3", "201", "thin"])
    expect(asked(bad)).toEqual({ is: "bad-thickness", name: "A" });
});

test("a bag's number, typed or scanned where a food is asked for, is that bag's food", () => {
  const read = readDraft(withFirstFood({ food: " practice-12-3 " }), "g");
  expect(read.is === "whole" && read.batch.trays[0]).toEqual({
    name: "1",
    portions: [{ bag: "practice-12-3" }],
  });
});

test("a bag to be dried again is put onto the first tray without a food by one touch, else onto one more", () => {
  const [first, ...others] = draft().trays;
  if (first === undefined) throw new Error("no tray");
  const begun = draft({ trays: [withFood(first, 1, { food: "Bananas, raw" }), ...others] });
  expect(holds(begun, "17-3")).toBe(false);
  const put = withBag(begun, "17-3");
  expect(put.trays.map(({ foods }) => foods[0]?.food)).toEqual(["Bananas, raw", "17-3", ""]);
  expect(holds(put, "17-3")).toBe(true);
  const full = withBag(withBag(put, "17-4"), "17-5");
  expect(full.trays.at(-1)).toMatchObject({ name: "4", foods: [{ food: "17-5" }] });
});

test("two foods on a tray, or one with a goal, are asked for as portions in their order", () => {
  const [first] = withFirstFood({ food: "Aunt's soup", target: "16" }).trays;
  const two = withFood(withFoodAdded(first!), 2, { food: "bread" });
  const read = readDraft(withTray(draft(), 1, two), "oz");
  const [tray] = read.is === "whole" ? read.batch.trays : [];
  expect(tray?.portions?.map(({ food }) => food)).toEqual(["Aunt's soup", "bread"]);
  // NIST SP 811 table B.8: 1 oz = 28.349 523 125 g, and 16 oz are a pound.
  expect(tray?.portions?.[0]?.targetGrams).toBeCloseTo(453.59237, 9);
  expect(tray).not.toHaveProperty("food");
});
