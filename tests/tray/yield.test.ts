import { expect, test } from "vitest";
import { divisionUncertainty, netMass, netUncertainty } from "../../src/tray/net.ts";
import { dryBasis, massAt, moistureOf, wetBasis } from "../../src/tray/yield.ts";
import { fraction, grams } from "../../src/units/quantity.ts";

// IRRI Rice Knowledge Bank, moisture content calculations: 1000 kg of paddy at 25 % dried to 14 % is 872 kg.
test("1000 kg at 25 % wet basis is 872 kg at 14 %", () => {
  expect(massAt(grams(1_000_000), fraction(0.25), fraction(0.14)) / 1000).toBeCloseTo(872, -0.1);
  expect(massAt(grams(1_000_000), fraction(0.25), fraction(0.14)) / 1000).toBeCloseTo(872.093, 3);
});

// A textbook example: 15 % wet basis is 0.176 dry basis.
test("15 % wet basis is 0.176 dry basis", () => {
  expect(dryBasis(fraction(0.15))).toBeCloseTo(0.176, 3);
});

// Ward Laboratories, moisture conversion: 2 ton of forage at 75 % are 0.59 ton at 15 %.
test("2 ton at 75 % are 0.59 ton at 15 %", () => {
  expect(massAt(grams(2_000_000), fraction(0.75), fraction(0.15)) / 1e6).toBeCloseTo(0.59, 2);
});

// 150 g with 30 g of water: 20 % wet basis, 25 % dry basis (arithmetic).
test.each([
  [0.2, 0.25],
  [0.5, 1],
  [0.9, 9],
  [0, 0],
])("%d wet basis is %d dry basis, and back", (wet, dry) => {
  expect(dryBasis(fraction(wet))).toBeCloseTo(dry, 12);
  expect(wetBasis(fraction(dry))).toBeCloseTo(wet, 12);
});

// USDA SR28 no. 09316: strawberries, 90.95 % water; the rest is arithmetic.
test("1000 g of strawberries at 3 % water are 93.3 g, and are read as such", () => {
  const dried = massAt(grams(1000), fraction(0.9095), fraction(0.03));
  expect(dried).toBeCloseTo(93.299, 3);
  const food = { water: fraction(0.9095), waterSd: fraction(0.01) };
  const moisture = moistureOf({ freshNet: grams(1000), net: dried, food });
  expect(moisture.estimate).toBeCloseTo(0.03, 9);
  expect(moisture.low).toBe(0);
  expect(moisture.high).toBeGreaterThan(0.15);
});

// JCGM 100:2008 F.2.2.1: a step of 1 has a standard uncertainty of 0.29 of it.
test("the step of a display: u = 0.289 d, of a net mass 0.408 d", () => {
  expect(divisionUncertainty(grams(1))).toBeCloseTo(0.2887, 4);
  expect(netUncertainty(grams(1))).toBeCloseTo(0.4082, 4);
});

// Common practice, no source: 50 g of dry fruit left in room air overnight gained 1.5 g, which is 3 %.
test("1.5 g gained on 50 g is 3 %", () => {
  expect(netMass(grams(451.5), grams(400)) / 50 - 1).toBeCloseTo(0.03, 12);
});
