import { expect, test } from "vitest";
import { logSum } from "../../src/drying/logsum.ts";
import { oddsGivenThickness } from "../../src/drying/thickness.ts";
import { fineGrid, type Manner } from "../../src/drying/ways.ts";

const { manners } = fineGrid[0]!;

function meanLnK(odds: Float64Array): number {
  const usual = manners.flatMap((one, m) => (one.slow || one.widening !== 1 ? [] : [m]));
  const logs = usual.map((m) => manners[m]!.logWeight + odds[m]!);
  const total = logSum(logs);
  return usual.reduce((sum, m, i) => sum + Math.exp(logs[i]! - total) * Math.log(manners[m]!.k), 0);
}

test("a stated thickness puts the rate where diffusion out of such a slab puts it", () => {
  // k = π²D/4L² with D = 1e-9 m²/s (Reale, Torrez Irigoyen and Giner 2023) for L = 3.5, 5 and 8 mm.
  for (const [thicknessMm, k] of [
    [7, 0.725],
    [10, 0.355],
    [16, 0.139],
  ] as const)
    expect(Math.exp(meanLnK(oddsGivenThickness(manners, thicknessMm))) / k).toBeCloseTo(1, 1);
});

test("a thickness says nothing of how water is held or whether the lot is odd", () => {
  const odds = oddsGivenThickness(manners, 7);
  const share = (fits: (one: Manner) => boolean, extra: (m: number) => number): number =>
    logSum(manners.map((one, m) => (fits(one) ? one.logWeight + extra(m) : -Infinity)));
  for (const slow of [true, false])
    for (const widening of [1, 3]) {
      const fits = (one: Manner): boolean => one.slow === slow && one.widening === widening;
      expect(share(fits, (m) => odds[m]!)).toBeCloseTo(
        share(fits, () => 0),
        9,
      );
    }
});

test("thicknesses beyond the grid count as its ends", () => {
  expect(oddsGivenThickness(manners, 0.1)).toEqual(oddsGivenThickness(manners, 1));
  expect(oddsGivenThickness(manners, 1e6).every(Number.isFinite)).toBe(true);
});
