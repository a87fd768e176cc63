import { expect, test } from "vitest";
import { openStore } from "../../src/store/store.ts";
import { fraction, grams } from "../../src/units/quantity.ts";
import { aWeighing, noon, oneBatch, taken } from "./facts.ts";
import { real, tempFolder, tempStore } from "./folder.ts";

test("dryers, own foods, check weights and checks are there after a restart, as they were said last", () => {
  const folder = tempFolder();
  const dryer = {
    name: "kitchen",
    mostWater: grams(8000),
    mostOnTray: grams(1200),
    watts: 1100,
    pricePerKwh: 0.31,
    currency: "€",
  };
  const food = {
    id: 1,
    name: "Aunt's soup",
    water: fraction(0.82),
    waterSd: fraction(0.015),
    fatPct: 1.5,
    sugarsPct: null,
    cautions: ["raw stays raw"],
    recipe: { ingredients: [{ food: "11124", mass: grams(500) }], cooked: grams(400) },
    retired: false,
  };
  const weight = {
    id: 1,
    name: "the kilogram",
    nominal: grams(1000),
    weightClass: "M1" as const,
    error: grams(0.05),
    everyDays: 30,
    retired: false,
  };
  const check = {
    id: 1,
    weightId: 1,
    scale: "scale-1",
    nominal: grams(1000),
    shown: grams(1002),
    division: grams(1),
    tolerance: grams(1.05),
    isGood: false,
    at: noon,
  };
  const compared = {
    id: 1,
    one: "scale-1",
    other: "scale-2",
    oneShown: grams(850),
    otherShown: grams(851.2),
    oneDivision: grams(1),
    otherDivision: grams(0.1),
    at: noon,
    takesBack: null,
  };
  const store = openStore(folder, real);
  store.record([
    { is: "dryer-set", dryer: { ...dryer, watts: null }, at: noon },
    { is: "own-food-set", food: { ...food, name: "soup" }, at: noon },
    { is: "check-weight-set", weight, at: noon },
  ]);
  store.record([
    { is: "dryer-set", dryer, at: noon },
    { is: "own-food-set", food, at: noon },
    { is: "scale-checked", check },
    { is: "scales-compared", comparison: compared },
  ]);
  store.close();
  const again = openStore(folder, real);
  expect(again.load().kitchen).toEqual({
    dryers: [dryer],
    foods: [food],
    checkWeights: [weight],
    checks: [check],
    comparisons: [compared],
  });
  again.close();
});

test("a scale keeps its name at its place, and no other is ever given it", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  expect(store.nameOfScale("serial:/dev/ttyUSB0")).toBe("scale-1");
  expect(store.nameOfScale("tcp:host:4001")).toBe("scale-2");
  store.close();
  const again = openStore(folder, real);
  again.forgetScale("/dev/ttyUSB0");
  expect(again.nameOfScale("serial:/dev/ttyUSB1")).toBe("scale-3");
  expect(again.nameOfScale("serial:/dev/ttyUSB0")).toBe("scale-1");
  again.close();
});

test("a scale's division is known by its last weighings, the coarsest of them", () => {
  const store = tempStore();
  expect(store.divisionOf("scale-1")).toBeNull();
  const weighed = (id: number, division: number, scale: string | null, more = {}) =>
    taken(aWeighing(id, { division: grams(division), scale, ...more }));
  store.record([
    oneBatch,
    weighed(1, 50, "scale-1"),
    weighed(2, 5, "scale-1"),
    weighed(3, 1, "scale-1"),
    weighed(4, 20, "scale-2"),
    weighed(5, 10, "scale-1", { source: "typed" }),
  ]);
  expect(store.divisionOf("scale-1")).toBe(50);
  expect(store.divisionOf("scale-2")).toBe(20);
  // Long ago another one stood in its place.
  store.record(Array.from({ length: 19 }, (_, n) => weighed(6 + n, 1, "scale-1")));
  expect(store.divisionOf("scale-1")).toBe(1);
});

test("whether a scale may be asked is there after a restart, and forgotten with the scale", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  expect(store.askingSaid("/dev/ttyUSB0")).toBeNull();
  store.sayAsking("/dev/ttyUSB0", { ask: null, everyMs: 100 });
  store.sayAsking("/dev/ttyUSB0", { ask: "\nW\r", everyMs: 500 });
  store.close();
  const again = openStore(folder, real);
  expect(again.askingSaid("/dev/ttyUSB0")).toEqual({ ask: "\nW\r", everyMs: 500 });
  const bytes = `\u0001${"\0".repeat(30)}\u00ff`;
  again.sayAsking("/dev/ttyUSB0", { ask: bytes, everyMs: 500 });
  expect(again.askingSaid("/dev/ttyUSB0")).toEqual({ ask: bytes, everyMs: 500 });
  again.forgetScale("/dev/ttyUSB0");
  expect(again.askingSaid("/dev/ttyUSB0")).toBeNull();
  again.close();
});
