import { describe, expect, test } from "vitest";
import { weighEvidence } from "../../src/drying/evidence.ts";
import { betweenLots, rateLearned, rateSeen, seenTogether } from "../../src/drying/learnedrate.ts";
import { atThickness, givenRate } from "../../src/drying/thickness.ts";
import { rateConstant } from "../../src/drying/ways.ts";

const prior = { lnRate: Math.log(0.3), sd: Math.log(1.8) };

/** The next lot's mean and spread by Bayes' rule on a grid over the household's mean, from the densities alone. */
function byGrid(seen: readonly { lnRate: number; u: number }[]) {
  const sdOfMean = Math.sqrt(prior.sd ** 2 - betweenLots ** 2);
  let weights = 0;
  let first = 0;
  let second = 0;
  for (let i = 0; i < 40_000; i++) {
    const mean = prior.lnRate + sdOfMean * (-8 + (16 * (i + 0.5)) / 40_000);
    const log = seen.reduce(
      (sum, { lnRate, u }) => sum - (lnRate - mean) ** 2 / (2 * (u ** 2 + betweenLots ** 2)),
      -((mean - prior.lnRate) ** 2) / (2 * sdOfMean ** 2),
    );
    weights += Math.exp(log);
    first += Math.exp(log) * mean;
    second += Math.exp(log) * mean * mean;
  }
  const lnRate = first / weights;
  return { lnRate, sd: Math.sqrt(second / weights - lnRate ** 2 + betweenLots ** 2) };
}

describe("the next lot's rate", () => {
  test("is the prior's with nothing seen", () => {
    expect(rateLearned(prior, [])).toBe(prior);
  });

  test.each([
    [[{ lnRate: -1.6, u: 0.9 }]],
    [
      [
        { lnRate: -1.6, u: 0.9 },
        { lnRate: -0.7, u: 0.4 },
        { lnRate: -1.1, u: 1.3 },
      ],
    ],
    [Array.from({ length: 12 }, (_, i) => ({ lnRate: -1.9 + 0.05 * i, u: 0.5 }))],
  ])("is that of Bayes' rule on a grid: %j", (seen) => {
    const [learned, grid] = [rateLearned(prior, seen), byGrid(seen)];
    expect(learned.lnRate).toBeCloseTo(grid.lnRate, 6);
    expect(learned.sd).toBeCloseTo(grid.sd, 6);
    expect(learned.sd).toBeLessThan(prior.sd);
    expect(learned.sd).toBeGreaterThan(betweenLots);
  });

  test("trays of one lot are no surer than one of them, and the surer one says more", () => {
    const [sure, unsure] = [
      { lnRate: -1, u: 0.4 },
      { lnRate: -2, u: 0.8 },
    ];
    expect(seenTogether([sure, sure])).toEqual({
      lnRate: -1,
      u: expect.closeTo(0.4, 12) as number,
    });
    expect(seenTogether([sure, unsure])!.lnRate).toBeCloseTo(-1.2, 12);
    expect(seenTogether([])).toBeNull();
  });
});

/** A tray after the model's own late drying: 500 g fresh, 50 g dry, the ice gone at 12 h, 9 g bound then. */
function weighedTray(k: number, hours: readonly number[]) {
  const a = 12;
  const rows = hours.map((hour) => ({
    hour,
    netGrams: 51 + (hour > 12 ? 9 * (1 + (k * (hour - 12)) / a) ** -a : 9 + 20 * (12 - hour)),
    uGrams: 0.05,
  }));
  const end = { endGrams: 51, endSdGrams: 3, dryGrams: 50, freshGrams: 500 };
  return weighEvidence(rows, end, { stops: [], logOdds: [], limit: 0.01, detailed: true });
}

describe("what a tray shows of its rate", () => {
  const often = [10, 12, 13, 14, 15, 16, 18, 20, 22, 24, 28, 32];

  test.each([0.15, 0.25, 0.4])("lies within 30 % of the k of exact figures: %d 1/h", (k) => {
    const seen = rateSeen(weighedTray(k, often))!;
    expect(Math.abs(seen.lnRate - Math.log(k))).toBeLessThan(Math.log(1.3));
    expect(seen.u).toBeLessThan(0.5);
  });

  test("is nothing where the ice had not gone", () => {
    expect(rateSeen(weighedTray(0.3, [4]))).toBeNull();
  });
});

describe("a tray judged with what was seen before", () => {
  const evidence = weighedTray(0.25, [14, 17]);
  const slow = { lnRate: Math.log(0.1), u: 0.2 };
  const fast = { lnRate: Math.log(0.8), u: 0.2 };

  test("is the same with nothing seen and no thickness stated", () => {
    expect(givenRate(evidence, null, [])).toBe(evidence);
  });

  test("is less dry for a food that was slow than for one that was fast, and neither is sure", () => {
    const dry = (seen: typeof slow) => givenRate(evidence, null, Array(9).fill(seen)).dry[0]!;
    expect(dry(slow)).toBeLessThan(dry(fast));
    // One lot in five may be like none before, so that nothing is ruled out.
    const [most, usual] = [dry(fast), evidence.dry[0]!];
    expect(1 - most).toBeGreaterThan(0.1 * (1 - usual));
  });

  test("pieces half as thick dry four times as fast (Crank: k goes with 1/L²)", () => {
    expect(atThickness(slow, 10, 5)!.lnRate).toBeCloseTo(Math.log(0.4), 12);
    expect(atThickness(slow, null, null)).toEqual(slow);
    expect(atThickness(slow, 10, null)).toBeNull();
    expect(atThickness(slow, null, 10)).toBeNull();
  });

  test("the prior's own rate, seen without end, leaves the odds where they were but narrower", () => {
    const seen = Array(50).fill({ lnRate: Math.log(rateConstant.median), u: 0.1 });
    const given = givenRate(evidence, null, seen);
    const rateOf = ({ cases }: typeof evidence) =>
      cases.reduce((sum, { share, cell }) => sum + share * Math.log(cell.k), 0);
    const towards = (one: typeof evidence) => Math.abs(rateOf(one) - Math.log(rateConstant.median));
    expect(towards(given)).toBeLessThan(towards(evidence) + 1e-9);
  });
});
