import { expect, test } from "vitest";
import { afterMass, stepsApart, type StepsSeen } from "../../src/reading/division.ts";
import { grams } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";

const learn = (masses: readonly number[], shown = 0.1): number => {
  let seen: StepsSeen | null = null;
  for (const mass of masses) seen = afterMass(seen, grams(mass), grams(shown));
  return stepsApart(seen);
};

test.each([1, 2, 5, 10, 20, 50])("a display that counts in steps of %i is found out", (step) => {
  const counts = [0, 3, 7, 11, 20, 21, 33, 34, 50, 61, 77, 90, 93];
  expect(learn(counts.map((count) => count * step * 0.1))).toBe(step);
});

test("a few values prove nothing", () => {
  expect(learn([0, 0.5, 1, 1.5, 2])).toBe(1);
  expect(learn([0, 5, 10, 35, 50, 55], 1)).toBe(1);
});

test("six values tell steps of five from single ones, but no tens from fives", () => {
  expect(learn([0, 1430, 890, 1205, 1050, 1115, 1110], 1)).toBe(5);
  expect(learn([0, 1430, 890, 1200, 1050, 1110, 1100], 1)).toBe(5);
  const tens = [1430, 890, 1200, 1050, 1110, 1100, 930, 710, 420, 610, 300, 80];
  expect(learn([0, ...tens], 1)).toBe(10);
  expect(learn([0, 1400, 850, 1200, 1050, 1100, 1150], 1)).toBe(50);
});

test("the step is never coarser than the figures allow", () => {
  fc.assert(
    fc.property(
      fc.array(fc.integer({ min: -50_000, max: 50_000 }), { minLength: 1, maxLength: 60 }),
      (counts) => {
        const step = learn(counts.map((count) => count * 0.1));
        expect(counts.every((count) => count % step === 0)).toBe(true);
      },
    ),
  );
});
