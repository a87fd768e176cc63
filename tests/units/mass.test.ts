import { expect, test } from "vitest";
import { decimalsOf, fromGrams, poundsAndOunces, shareOut, toGrams } from "../../src/units/mass.ts";
import { grams } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";

// NIST Handbook 44 (2026) appendix C, NIST SP 811 table B.8.
test.each([
  [1, "lb", 453.59237],
  [1, "oz", 28.349523125],
  [16, "oz", 453.59237],
  [2.5, "lb", 1133.980925],
  [0.1, "oz", 2.8349523125],
  [0.005, "lb", 2.26796185],
  [1, "kg", 1000],
] as const)("%d %s is %d g", (value, unit, mass) => {
  expect(toGrams(value, unit)).toBeCloseTo(mass, 12);
});

test("1 g and 1 kg in the units of NIST SP 811", () => {
  expect(fromGrams(grams(1), "oz")).toBeCloseTo(0.03527396195, 11);
  expect(fromGrams(grams(1000), "lb")).toBeCloseTo(2.204622622, 9);
});

// Common practice, no source: 32 oz of strawberries gave 102 g dry, half of it stands for one pound fresh.
test("102 g reads as 3.6 oz and its half as 1.8 oz", () => {
  expect(poundsAndOunces(grams(102), 1)).toEqual({ negative: false, pounds: 0, ounces: 3.6 });
  expect(poundsAndOunces(grams(51), 1)).toEqual({ negative: false, pounds: 0, ounces: 1.8 });
  expect(poundsAndOunces(toGrams(32, "oz"), 1)).toEqual({ negative: false, pounds: 2, ounces: 0 });
});

test("ounces never read as 16: they carry into a pound", () => {
  expect(poundsAndOunces(toGrams(15.96, "oz"), 1)).toEqual({
    negative: false,
    pounds: 1,
    ounces: 0,
  });
  fc.assert(
    fc.property(fc.double({ min: -5e4, max: 5e4, noNaN: true }), (mass) => {
      const shown = poundsAndOunces(grams(mass), 1);
      expect(shown.ounces).toBeLessThan(16);
      const back = (shown.pounds * 16 + shown.ounces) * 28.349523125;
      expect(Math.abs(back - Math.abs(mass))).toBeLessThanOrEqual(0.05 * 28.3495232 + 1e-9);
    }),
  );
});

test("a display shows as many decimals as its division needs", () => {
  expect([0.1, 0.05, 1, 5, 0.001].map(decimalsOf)).toEqual([1, 2, 0, 0, 3]);
});

test("a value that is no number is refused with its unit", () => {
  expect(() => grams(Number.NaN)).toThrow("NaN is not a number of g");
});

test("what is shared out in whole milligrams adds up, and each has its share to a milligram", () => {
  const weights = fc.array(fc.integer({ min: 0, max: 5_000_000 }), { minLength: 1, maxLength: 12 });
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 5_000_000 }), weights, (milligrams, parts) => {
      const total = parts.reduce((sum, part) => sum + part, 0);
      const shares = shareOut(milligrams, parts);
      expect(shares.reduce((sum, share) => sum + share, 0)).toBe(total > 0 ? milligrams : 0);
      for (const [i, share] of shares.entries()) {
        expect(share).toBeGreaterThanOrEqual(0);
        const exact = total > 0 ? (milligrams * parts[i]!) / total : 0;
        expect(Math.abs(share - exact)).toBeLessThanOrEqual(1 + 1e-6);
      }
    }),
  );
});
