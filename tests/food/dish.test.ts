import { expect, test } from "vitest";
import { dishOf } from "../../src/food/dish.ts";
import { fraction, grams } from "../../src/units/quantity.ts";

const part = (mass: number, water: number, sd: number) => ({
  mass: grams(mass),
  water: fraction(water),
  waterSd: fraction(sd),
  fatPct: null,
  sugarsPct: null,
});
// USDA SR28: carrots, raw (11124) 88.29 g of water per 100 g; potatoes, raw (11352) 79.25; onions, raw (11282) 89.11.
const soup = [part(500, 0.8829, 0.0246), part(300, 0.7925, 0.0124), part(200, 0.8911, 0.0145)];

test("a dish holds the solids of its ingredients, in the mass that it has in the end", () => {
  const raw = dishOf(soup, null);
  // 500·0.1171 + 300·0.2075 + 200·0.1089 = 58.55 + 62.25 + 21.78 = 142.58 g in 1000 g.
  expect(raw?.solids).toBeCloseTo(142.58, 6);
  expect(raw?.water).toBeCloseTo(0.85742, 6);
  // Boiled down to 800 g: the same solids, so 1 − 142.58/800.
  expect(dishOf(soup, grams(800))?.water).toBeCloseTo(0.821775, 6);
});

test("its spread is that of its solids over its mass: √Σ(m·u)² / M", () => {
  // √((500·0.0246)² + (300·0.0124)² + (200·0.0145)²) = √(151.29 + 13.8384 + 8.41) = 13.173 g.
  expect(dishOf(soup, null)?.waterSd).toBeCloseTo(0.013173, 5);
  expect(dishOf(soup, grams(800))?.waterSd).toBeCloseTo(0.016467, 5);
});

test("an ingredient of which nothing is known widens the dish", () => {
  const unknown = { ...part(200, 0.5, 0), water: null, waterSd: null };
  expect(dishOf([...soup, unknown], null)?.waterSd).toBeGreaterThan(0.02);
});

test("a dish lighter than its own solids, or of nothing, is none", () => {
  expect(dishOf(soup, grams(142))).toBeNull();
  expect(dishOf([], null)).toBeNull();
});
