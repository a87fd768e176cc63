import { expect, test } from "vitest";
import { expectedDry } from "../../src/food/expected.ts";
import { mixtureOf } from "../../src/food/mixture.ts";
import { fraction, grams } from "../../src/units/quantity.ts";

const water = (share: number, sd: number) => ({ water: fraction(share), waterSd: fraction(sd) });
// USDA SR28: 09316 strawberries, raw, 90.95 g water per 100 g; 09040 bananas, raw, 74.91 g.
const strawberries = water(0.9095, 0.01);
const bananas = water(0.7491, 0.013);

test("water of a mixture: by mass, as the water of its parts adds up", () => {
  const mixed = mixtureOf([
    { share: 600, food: strawberries },
    { share: 400, food: bananas },
  ]);
  // 600 g hold 545.70 g of water, 400 g hold 299.64 g: 845.34 g in 1000 g.
  expect(mixed?.water).toBeCloseTo(0.84534, 6);
  // √((600·0.010)² + (400·0.013)²) = √(36 + 27.04) = 7.940 g on 1000 g.
  expect(mixed?.waterSd).toBeCloseTo(0.00794, 5);
});

test("the expected dry mass of a mixture is the sum of its parts'", () => {
  const mixed = mixtureOf([
    { share: 600, food: strawberries },
    { share: 400, food: bananas },
  ]);
  const apart =
    expectedDry(grams(600), strawberries).dryGrams + expectedDry(grams(400), bananas).dryGrams;
  expect(expectedDry(grams(1000), mixed).dryGrams).toBeCloseTo(apart, 6);
});

test("a part of which nothing is known widens the mixture, and nothing known of any gives nothing", () => {
  const mixed = mixtureOf([
    { share: 1, food: strawberries },
    { share: 1, food: null },
  ]);
  expect(mixed?.waterSd).toBeGreaterThan(0.06);
  expect(mixtureOf([{ share: 1, food: null }])).toBeNull();
  expect(mixtureOf([{ share: 0, food: strawberries }])).toBeNull();
});
