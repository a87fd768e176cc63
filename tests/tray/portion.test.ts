import { expect, test } from "vitest";
import { pourTolerance, shareDry } from "../../src/tray/portion.ts";
import { fraction, grams } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";

const portion = (fresh: number, water: number | null, apart: number | null = null) => ({
  fresh: grams(fresh),
  water: water === null ? null : fraction(water),
  apart: apart === null ? null : grams(apart),
});
const massesOf = (shares: readonly { grams: number }[]) => shares.map((one) => one.grams);

test("a tray weighed whole: what it lost is shared by the water that its portions hold", () => {
  // USDA SR28: strawberries 90.95 g of water per 100 g, bananas 74.91 g.
  const shares = shareDry(grams(700), [portion(600, 0.9095), portion(400, 0.7491)]);
  // 300 g are gone of 545.70 + 299.64 = 845.34 g of water: 193.66 g and 106.34 g.
  expect(shares[0]?.grams).toBeCloseTo(600 - 193.664, 2);
  expect(shares[1]?.grams).toBeCloseTo(400 - 106.336, 2);
  expect(shares.every(({ isEstimate }) => isEstimate)).toBe(true);
});

test("portions weighed apart keep their own mass, and the last one is what remains", () => {
  const one = shareDry(grams(160), [portion(600, 0.91, 58.2), portion(400, 0.75)]);
  expect(massesOf(one)).toEqual([58.2, grams(160 - 58.2)]);
  expect(one[0]?.isEstimate).toBe(false);
  expect(one[1]?.isEstimate).toBe(true);
  const both = shareDry(grams(160), [portion(600, 0.91, 58.2), portion(400, 0.75, 101.5)]);
  expect(massesOf(both)).toEqual([58.2, 101.5]);
  expect(both.every(({ isEstimate }) => !isEstimate)).toBe(true);
});

test("where no water is known the loss is shared by fresh mass", () => {
  const shares = shareDry(grams(100), [portion(300, null), portion(100, 0.9)]);
  expect(massesOf(shares)).toEqual([75, 25]);
});

test("shares of a tray add up to the tray, and none is negative", () => {
  const portions = fc.array(
    fc.record({
      fresh: fc.double({ min: 1, max: 2000, noNaN: true }),
      water: fc.double({ min: 0.3, max: 0.97, noNaN: true }),
    }),
    { minLength: 1, maxLength: 5 },
  );
  fc.assert(
    fc.property(portions, fc.double({ min: 0, max: 1, noNaN: true }), (all, dried) => {
      const fresh = all.reduce((sum, one) => sum + one.fresh, 0);
      const water = all.reduce((sum, one) => sum + one.fresh * one.water, 0);
      const net = fresh - dried * water;
      const shares = shareDry(
        grams(net),
        all.map((one) => portion(one.fresh, one.water)),
      );
      const sum = shares.reduce((total, one) => total + one.grams, 0);
      return Math.abs(sum - net) < 1e-6 && shares.every((one) => one.grams >= 0);
    }),
  );
});

test("a tray that lost more than the water it is said to have held is shared by dry matter, and no food vanishes", () => {
  // Cucumber, peeled: 96.73 g of water per 100 g (USDA SR28, no. 11206); the stew's 60 % are invented.
  const foods = [portion(200, 0.9673), portion(200, 0.6)];
  const shares = massesOf(shareDry(grams(70), foods));
  // 6.54 g and 80 g of dry matter.
  expect(shares[0]).toBeCloseTo((70 * 6.54) / 86.54, 3);
  expect(shares[1]).toBeCloseTo((70 * 80) / 86.54, 3);
  // Where just that water is gone, both ways to share say the same.
  const [below, above] = [86.538, 86.542].map((net) => massesOf(shareDry(grams(net), foods)));
  expect(below![0]! - above![0]!).toBeCloseTo(0, 2);
});

test("shares are whole milligrams that add up to the tray's, whatever was poured, known or weighed apart", () => {
  const mg = (most: number) => fc.integer({ min: 0, max: most }).map((one) => one / 1000);
  const portions = fc.array(
    fc.record({
      fresh: fc.oneof(mg(2_000_000), fc.constant(0), fc.constant(-3.5)),
      water: fc.oneof(fc.constantFrom(null, 0, 1), fc.double({ min: 0, max: 1, noNaN: true })),
    }),
    { minLength: 1, maxLength: 6 },
  );
  fc.assert(
    fc.property(portions, mg(3_000_000), fc.option(mg(300_000)), (all, net, apart) => {
      const shares = shareDry(grams(net), [
        ...all.map((one) => portion(one.fresh, one.water)),
        ...(apart === null ? [] : [portion(100, 0.9, apart)]),
      ]);
      const mgOf = (mass: number): number => Math.round(mass * 1000);
      const inMg = massesOf(shares).map(mgOf);
      expect(massesOf(shares)).toEqual(inMg.map((one) => one / 1000));
      expect(inMg.every((one) => one >= 0)).toBe(true);
      const sum = inMg.reduce((total, one) => total + one, 0);
      expect(sum).toBe(Math.max(mgOf(net), mgOf(apart ?? 0)));
    }),
    { numRuns: 1000 },
  );
});

test("a pour may miss its target by 2 %, and never by less than the scale can show", () => {
  expect(pourTolerance(grams(500), grams(1))).toBe(10);
  expect(pourTolerance(grams(20), grams(1))).toBe(1);
});
