import { expect, test } from "vitest";
import { absorberFor, oxygenIn } from "../../src/bag/absorber.ts";
import { grams } from "../../src/units/quantity.ts";

// By hand from 20.95 % oxygen in dry air (AIChE CCPS glossary) and 1.5 g/mL (from memory).
test("a quart jar with 60 g: 906.35 mL of air, 189.9 mL of oxygen, 227.9 mL with the margin, 300 cc", () => {
  const need = absorberFor(946.35, grams(60));
  expect(need?.headspaceMl).toBeCloseTo(906.35, 2);
  expect(need?.oxygenMl).toBeCloseTo(189.9, 1);
  expect(need?.neededMl).toBeCloseTo(227.9, 1);
  expect(need?.absorbers).toEqual({ count: 1, cc: 300 });
});

test("the sum is shown with its numbers, and each constant with where it comes from", () => {
  const { arithmetic } = absorberFor(946.35, grams(60))!;
  const text = arithmetic.map((line) => line.text).join("\n");
  for (const figure of ["40.0 mL", "906.4", "189.9", "227.9", "300 cc"])
    expect(text).toContain(figure);
  expect(arithmetic.every(({ source }) => source.length > 5)).toBe(true);
  expect(arithmetic[0]?.source).toContain("from memory");
});

test("1000 cc of oxygen are in 4773 mL of air", () => {
  expect(oxygenIn(4773, grams(0))).toBeCloseTo(1000, 0);
});

test("more than the largest absorber takes several, and food that fills the package none", () => {
  expect(absorberFor(20_000, grams(1000))?.absorbers).toEqual({ count: 2, cc: 3000 });
  expect(absorberFor(100, grams(150))).toBeNull();
});
