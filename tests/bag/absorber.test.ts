import { expect, test } from "vitest";
import { absorberFor, jarVolumes, oxygenIn } from "../../src/bag/absorber.ts";
import { grams } from "../../src/units/quantity.ts";

// US gallon = 231 in³, inch = 25.4 mm: exact (NIST Handbook 44, appendix C).
test("jars have their volumes in millilitres", () => {
  const gallon = 231 * 2.54 ** 3;
  const ml = Object.fromEntries(jarVolumes.map((jar) => [jar.name, jar.ml]));
  expect(ml["gallon"]).toBeCloseTo(gallon, 6);
  expect(ml["half gallon"]).toBeCloseTo(gallon / 2, 6);
  expect(ml["quart"]).toBeCloseTo(gallon / 4, 6);
  expect(ml["pint"]).toBeCloseTo(gallon / 8, 6);
  expect(ml["half pint"]).toBeCloseTo(gallon / 16, 6);
});

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
