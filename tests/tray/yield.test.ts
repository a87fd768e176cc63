import { expect, test } from "vitest";
import { divisionUncertainty, netMass, netUncertainty } from "../../src/tray/net.ts";
import { moistureOf, waterRemoved, yieldOf } from "../../src/tray/yield.ts";
import { toGrams } from "../../src/units/mass.ts";
import { fraction, grams } from "../../src/units/quantity.ts";

// USDA SR28 no. 09316: strawberries, 90.95 % water; the rest is arithmetic: 90.5 g of solids in 93.299 g are 97 %.
test("1000 g of strawberries that came to 93.3 g hold 3 % water", () => {
  const dried = grams(93.299);
  expect(waterRemoved(grams(1000), dried)).toBeCloseTo(906.701, 3);
  const food = { water: fraction(0.9095), waterSd: fraction(0.01) };
  const moisture = moistureOf({ freshNet: grams(1000), net: dried, food });
  expect(moisture.estimate).toBeCloseTo(0.03, 5);
  expect(moisture.low).toBe(0);
  expect(moisture.high).toBeGreaterThan(0.15);
});

// IRRI Knowledge Bank: 1000 kg of paddy at 25 % dried to 14 % leave 872 kg. A moisture conversion page of Ward
// Laboratories: 2 ton of forage at 75 % are 0.59 ton at 15 %. Each to the digits that are printed.
test.each([
  ["paddy", 1000, 0.25, 872, 0.5, 0.14],
  ["forage", 2, 0.75, 0.59, 0.005, 0.15],
] as const)("%s of %d at %d that came to %d", (_name, fresh, water, dried, rounding, moisture) => {
  const moistureAt = (net: number): number =>
    moistureOf({
      freshNet: grams(fresh),
      net: grams(net),
      food: { water: fraction(water), waterSd: fraction(0) },
    }).estimate;
  expect(moistureAt(dried - rounding)).toBeLessThan(moisture);
  expect(moistureAt(dried + rounding)).toBeGreaterThan(moisture);
});

// USDA MP919 note N2.1: water removed is initial·(w0 − w1)/(1 − w1), not w0 − w1.
test("water removed and the moisture left agree with the moisture formula", () => {
  const dried = grams(872.093);
  const left = moistureOf({
    freshNet: grams(1000),
    net: dried,
    food: { water: fraction(0.25), waterSd: fraction(0) },
  }).estimate;
  expect(waterRemoved(grams(1000), dried)).toBeCloseTo((1000 * (0.25 - left)) / (1 - left), 9);
});

// Common practice, no source: 32 oz of strawberries, frozen, came to 102 g, written 3.6 oz.
test("32 oz of strawberries to 102 g: a yield of one in 8.9", () => {
  const fresh = toGrams(32, "oz");
  const yielded = yieldOf(fresh, grams(102));
  expect(1 / yielded).toBeCloseTo(8.9, 1);
  expect(32 * yielded).toBeCloseTo(3.6, 1);
  const food = { water: fraction(0.9095), waterSd: fraction(0.01) };
  const { low, estimate } = moistureOf({ freshNet: fresh, net: grams(102), food });
  // The table's mean alone would call it a fifth water; the spread between lots reaches down to a twentieth.
  expect(estimate).toBeCloseTo(0.195, 3);
  expect(low).toBeCloseTo(0.0488, 4);
});

// JCGM 100:2008 F.2.2.1 (clause number from memory): a step of 1 has a standard uncertainty of 0.29 of it.
test("the step of a display: u = 0.289 d, of a net mass 0.408 d", () => {
  expect(divisionUncertainty(grams(1))).toBeCloseTo(0.2887, 4);
  expect(netUncertainty(grams(1))).toBeCloseTo(0.4082, 4);
});

// Common practice, no source: 50 g of dry fruit left in room air overnight gained 1.5 g, which is 3 %.
test("1.5 g gained on 50 g is 3 %", () => {
  const before = netMass(grams(450), grams(400));
  const after = netMass(grams(451.5), grams(400));
  expect(waterRemoved(before, after)).toBeCloseTo(-1.5, 12);
  expect(yieldOf(before, after)).toBeCloseTo(1.03, 12);
});
