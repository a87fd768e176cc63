import { expect, test } from "vitest";
import { massAt } from "../../src/food/basis.ts";
import { divisionUncertainty, netMass, netUncertainty } from "../../src/tray/net.ts";
import { moistureOf, waterRemoved, yieldOf } from "../../src/tray/yield.ts";
import { toGrams } from "../../src/units/mass.ts";
import { fraction, grams } from "../../src/units/quantity.ts";

// USDA SR28 no. 09316: strawberries, 90.95 % water; the rest is arithmetic.
test("1000 g of strawberries at 3 % water are 93.3 g, and are read as such", () => {
  const dried = massAt(grams(1000), fraction(0.9095), fraction(0.03));
  expect(dried).toBeCloseTo(93.299, 3);
  expect(waterRemoved(grams(1000), dried)).toBeCloseTo(906.701, 3);
  const food = { water: fraction(0.9095), waterSd: fraction(0.01) };
  const moisture = moistureOf({ freshNet: grams(1000), net: dried, food });
  expect(moisture.estimate).toBeCloseTo(0.03, 9);
  expect(moisture.low).toBe(0);
  expect(moisture.high).toBeGreaterThan(0.15);
});

// The same strawberries (SR28 no. 09316): to full water again, 0.97/0.0905 = 10.718 g for each gram of dry product.
test("a gram of strawberries at 3 % takes 9.718 g of water back", () => {
  const restored = massAt(grams(1), fraction(0.03), fraction(0.9095));
  expect(restored).toBeCloseTo(10.718, 3);
  expect(waterRemoved(restored, grams(1))).toBeCloseTo(9.718, 3);
});

// Formulas: USDA MP919 note N2.1; water removed is initial·(w0 − w1)/(1 − w1), not w0 − w1.
test("water removed is what the moisture formula says", () => {
  const dried = massAt(grams(1000), fraction(0.25), fraction(0.14));
  expect(waterRemoved(grams(1000), dried)).toBeCloseTo((1000 * (0.25 - 0.14)) / (1 - 0.14), 9);
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
