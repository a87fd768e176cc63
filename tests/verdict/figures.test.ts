import { expect, test } from "vitest";
import { inferredDivision, numberIn, utcIn } from "../../src/verdict/figures.ts";
import fc from "../rig/properties.ts";

test.each([
  ["12.5", false, 12.5],
  ["12,5", true, 12.5],
  ["12,5", false, null],
  ["1,234.5", true, null],
  ["-3", false, -3],
  [".5", false, 0.5],
  ["12 g", false, null],
  ["", false, null],
  ["NaN", false, null],
  ["1e3", false, 1000],
  ["0x10", false, null],
] as const)("%j with comma as decimal mark %j reads as %j", (text, comma, value) => {
  expect(numberIn(text, comma)).toBe(value);
});

test.each([
  [["412.5", "300.1"], 0.1],
  [["412", "301"], 1],
  [["400", "355", "310", "305"], 5],
  [["400", "355"], 1],
  [["10", "12", "14", "16", "18", "20", "22", "24"], 2],
  [["1.25", "1.50", "2.00", "1.75"], 0.05],
  [["93,0", "92,9"], 0.1],
] as const)("figures %j come from a division of %d", (figures, division) => {
  expect(inferredDivision(figures)).toBe(division);
});

test("times agree with the platform's own reading of ISO 8601", () => {
  fc.assert(
    fc.property(
      fc.date({ min: new Date(0), max: new Date("2199-12-31"), noInvalidDate: true }),
      (date) => {
        expect(utcIn(date.toISOString())).toBe(date.getTime());
      },
    ),
  );
});

test.each([
  ["2026-01-31T18:05:00+01:00", Date.UTC(2026, 0, 31, 17, 5)],
  ["2026-01-31 18:05", Date.UTC(2026, 0, 31, 18, 5)],
  ["2024-02-29T00:00Z", Date.UTC(2024, 1, 29)],
  ["2025-02-29T00:00Z", null],
  ["2026-13-01", null],
  ["31.01.2026", null],
  ["18:05", null],
] as const)("%j is %j", (text, utc) => {
  expect(utcIn(text)).toBe(utc);
});
