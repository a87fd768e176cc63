import { expect, test } from "vitest";
import {
  checkTolerance,
  isFromMemory,
  isWithin,
  permissibleError,
  scaleError,
  weightClasses,
} from "../../src/tray/checkweight.ts";
import { grams } from "../../src/units/quantity.ts";

// OIML R 111-1:2004, table 1, as a ministry's legal text gives M1, M2 and M3, in mg.
test.each([
  [100, 5, 16, 50],
  [200, 10, 30, 100],
  [500, 25, 80, 250],
  [1000, 50, 160, 500],
  [2000, 100, 300, 1000],
  [5000, 250, 800, 2500],
])("a weight of %d g may be off by %d, %d or %d mg in M1, M2 and M3", (nominal, ...mg) => {
  const classes = ["M1", "M2", "M3"] as const;
  for (const [index, one] of classes.entries())
    expect(permissibleError(one, grams(nominal))).toBeCloseTo((mg[index] ?? 0) / 1000, 12);
});

// The same table as a maker of weights reprints it.
test.each([
  ["F1", 1, 0.1],
  ["F1", 100, 0.5],
  ["F2", 20, 0.8],
  ["F2", 100, 1.6],
  ["M1", 1, 1],
  ["M1", 50, 3],
  ["M2", 10, 6],
  ["M3", 20, 25],
] as const)("class %s at %d g: %d mg", (weightClass, nominal, mg) => {
  expect(permissibleError(weightClass, grams(nominal))).toBeCloseTo(mg / 1000, 12);
});

test("what was written down from memory is said to be: F, and F1 and F2 above 200 g", () => {
  const from = (nominal: number) =>
    weightClasses.filter((one) => isFromMemory(one, grams(nominal)));
  expect(from(200)).toEqual(["F"]);
  expect(from(500)).toEqual(["F1", "F2", "F"]);
});

test("each class is coarser than the one before, and a mass that no set has is none of any", () => {
  for (const nominal of [100, 200, 500, 1000, 2000, 5000]) {
    const errors = (["F1", "F2", "M1", "M2", "M3"] as const).map(
      (one) => permissibleError(one, grams(nominal)) ?? 0,
    );
    expect(errors).toEqual(errors.toSorted((a, b) => a - b));
    expect(new Set(errors).size).toBe(5);
  }
  for (const one of weightClasses) expect(permissibleError(one, grams(453.6))).toBeNull();
});

// OIML R 76-1, table 6: class III, 3 kg by 1 g may be off 0.5 g to 500 g, 1 g to 2 kg, 1.5 g beyond.
test("a scale of 3 kg by 1 g may be off by half a gram, one, and one and a half", () => {
  expect([500, 501, 2000, 2001].map((load) => scaleError(grams(load), grams(1)))).toEqual([
    0.5, 1, 1, 1.5,
  ]);
});

test("one kilogram of M1 on a scale of 1 g: 999 to 1001 is good", () => {
  const tolerance = checkTolerance(grams(1000), grams(0.05), grams(1));
  expect(tolerance).toBeCloseTo(1.05, 12);
  const good = [998, 999, 1000, 1001, 1002].map((shown) =>
    isWithin(grams(shown), grams(1000), tolerance),
  );
  expect(good).toEqual([false, true, true, true, false]);
});
