import { expect, test } from "vitest";
import {
  bagsOfFresh,
  freshEquivalent,
  openTargets,
  planEqualBags,
  waterToRestore,
} from "../../src/bag/divide.ts";
import { toMicrograms, toMilligrams } from "../../src/units/mass.ts";
import { grams } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";

const divisions = [0.01, 0.1, 0.5, 1, 2, 5, 2.8349523125].map(grams);

test("1,000 random totals and counts: bags differ by at most a division and add up exactly", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 0, max: 20_000_000 }),
      fc.integer({ min: 1, max: 200 }),
      fc.constantFrom(...divisions),
      (totalMg, count, division) => {
        const bags = planEqualBags(grams(totalMg / 1000), count, division);
        const inUg = bags.map(toMicrograms);
        expect(bags).toHaveLength(count);
        expect(inUg.reduce((sum, one) => sum + one, 0)).toBe(totalMg * 1000);
        expect(Math.max(...inUg) - Math.min(...inUg)).toBeLessThanOrEqual(toMicrograms(division));
      },
    ),
    { numRuns: 1000 },
  );
});

test("no bags, or a division of nothing, are refused", () => {
  expect(() => planEqualBags(grams(100), 0, grams(1))).toThrow(RangeError);
  expect(() => planEqualBags(grams(100), 2.5, grams(1))).toThrow(RangeError);
  expect(() => planEqualBags(grams(100), 2, grams(0))).toThrow(RangeError);
});

// Common practice, no source: 32 oz of fresh strawberries dry to 102 g; half of it, 51 g, is one pound fresh.
// 1 lb = 453.59237 g: NIST Handbook 44, appendix C.
test("2 lb fresh that dried to 102 g are two bags of 51 g, each one pound fresh", () => {
  const fresh = grams(2 * 453.59237);
  const dry = grams(102);
  const count = bagsOfFresh(fresh, grams(453.59237));
  const bags = planEqualBags(dry, count, grams(1));
  expect(bags).toEqual([51, 51]);
  for (const bag of bags) expect(freshEquivalent(bag, fresh / dry)).toBeCloseTo(453.59237, 9);
  expect(waterToRestore(grams(51), fresh / dry)).toBeCloseTo(453.59237 - 51, 9);
});

// Strawberries with 90.95 % water (USDA SR28, no. 09316) dried to 3 %: 1 g dry was 0.97/0.0905 g fresh.
test("water to restore the fresh water content: 9.718 g for each gram of strawberries dried to 3 %", () => {
  expect(waterToRestore(grams(1), 0.97 / 0.0905)).toBeCloseTo(9.718, 3);
});

test("what one bag got too much is taken evenly from those still open", () => {
  const plan = { total: grams(102), filled: [grams(37)], open: 2 };
  expect(openTargets(plan, grams(0.1))).toEqual([32.5, 32.5]);
  expect(openTargets({ total: grams(102), filled: [grams(37)], open: 2 }, grams(1))).toEqual([
    33, 32,
  ]);
  expect(
    openTargets({ total: grams(102), filled: [grams(60), grams(50)], open: 1 }, grams(1)),
  ).toEqual([0]);
});

test("masses keep to whole milligrams", () => {
  const bags = planEqualBags(grams(100.001), 3, grams(0.1));
  expect(bags.reduce((sum, one) => sum + toMilligrams(one), 0)).toBe(100_001);
});
