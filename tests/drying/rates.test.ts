import { expect, test } from "vitest";
import {
  weighEvidence,
  withManners,
  type LatePrior,
  type LateRow,
} from "../../src/drying/evidence.ts";
import { heldAfter, iceHours } from "../../src/drying/late.ts";
import { withSharedRates } from "../../src/drying/rates.ts";
import { fineGrid } from "../../src/drying/ways.ts";

/** Our own invention: 1000 g down to 100 g, knee at 20 h, bound water leaving at `k`, weighed on a fine or coarse scale. */
const rowsOf = (k: number, uGrams: number, hours: readonly number[], bound = 12): LateRow[] =>
  hours.map((hour) => {
    const ice = iceHours(hour, 20, { spread: 0.08, bounded: false });
    const net = 100 + 30 * ice + bound * heldAfter(hour - 20 + ice, k);
    return { hour, netGrams: Math.round(net / uGrams) * uGrams, uGrams };
  });
const prior: LatePrior = { endGrams: 100, endSdGrams: 8, dryGrams: 98, freshGrams: 1000 };
const stops = [{ hour: 16, widthHours: 8 }];
const logOdds = [-5];
const question = { stops, logOdds, limit: 0.01, grid: fineGrid, detailed: true };
const weighed = (k: number, uGrams: number, hours = [20, 23, 26, 29]) =>
  weighEvidence(rowsOf(k, uGrams, hours), prior, question);

const meanLnK = ({ cases }: ReturnType<typeof weighEvidence>): number => {
  const working = cases.filter(({ hypothesis }) => hypothesis === 0);
  const total = working.reduce((sum, { share }) => sum + share, 0);
  return working.reduce((sum, { share, cell }) => sum + (share / total) * Math.log(cell.k), 0);
};

test("other odds of the manners give what Bayes' rule gives with those odds from the start", () => {
  const odds = Float64Array.from(fineGrid[0]!.manners, ({ k, slow }) =>
    slow ? -0.7 : -2 * (Math.log(k) + 1) ** 2,
  );
  const grid = fineGrid.map((scatter) => ({
    ...scatter,
    manners: scatter.manners.map((one, m) => ({ ...one, logWeight: one.logWeight + odds[m]! })),
  }));
  for (const uGrams of [0.1, 1, 3]) {
    const rows = rowsOf(0.3, uGrams, [20, 23, 26, 29]);
    const after = withManners(weighEvidence(rows, prior, question), odds);
    const anew = weighEvidence(rows, prior, { ...question, grid });
    for (const h of [0, 1]) {
      const logOf = ({ logEvidence }: typeof anew): number =>
        logEvidence[h]! + (logOdds[h - 1] ?? 0);
      // A stop rarer than a ten-thousandth is not looked at closely, whatever the odds of the manners.
      if (logOf(anew) < anew.logEvidence[0]! - 9) continue;
      expect(Math.abs(logOf(after) - logOf(anew))).toBeLessThan(0.02);
      expect(Math.abs(after.dry[h]! - anew.dry[h]!)).toBeLessThan(0.01);
    }
    expect(meanLnK(after)).toBeCloseTo(meanLnK(anew), 1);
  }
});

test("odds of the manners that are told one after the other add up", () => {
  const oddsOf = (about: number): Float64Array =>
    Float64Array.from(fineGrid[0]!.manners, ({ k }) => -2 * (Math.log(k) - about) ** 2);
  const evidence = weighed(0.3, 1);
  const twice = withManners(withManners(evidence, oddsOf(-2)), oddsOf(-1));
  const once = withManners(
    evidence,
    oddsOf(-2).map((one, m) => one + oddsOf(-1)[m]!),
  );
  for (const h of [0, 1]) {
    expect(twice.logEvidence[h]!).toBeCloseTo(once.logEvidence[h]!, 9);
    expect(twice.dry[h]!).toBeCloseTo(once.dry[h]!, 9);
  }
  const shares = ({ cases }: typeof evidence) => cases.map(({ share }) => share);
  shares(twice).forEach((share, i) => expect(share).toBeCloseTo(shares(once)[i]!, 9));
});

test("a tray alone is left as it is", () => {
  const alone = weighed(0.3, 1);
  expect(withSharedRates([alone], [alone], [[]], [1])[0]).toBe(alone);
});

test("a tray that shows its rate moves what is believed of another of its food towards it", () => {
  const coarse = weighed(0.3, 5);
  const shift = (k: number): number => {
    const fine = weighed(k, 0.02, [20, 22, 24, 26, 28, 30]);
    const [told] = withSharedRates([coarse, fine], [coarse, fine], [[1], [0]], [1, 1]);
    return meanLnK(told!) - meanLnK(coarse);
  };
  expect(shift(0.9)).toBeGreaterThan(0.1);
  expect(shift(0.12)).toBeLessThan(-0.1);
});

const creepingShare = ({ cases, manners }: ReturnType<typeof weighEvidence>): number => {
  const working = cases.filter(({ hypothesis }) => hypothesis === 0);
  const slow = working.filter(({ manner }) => manners[manner]!.slow);
  const sum = (some: typeof cases): number => some.reduce((all, { share }) => all + share, 0);
  return sum(slow) / sum(working);
};

test("a tray that shows whether water creeps through its food tells of another of that food", () => {
  const coarse = weighed(0.3, 5);
  const toldBy = (bound: number): number => {
    const hours = [20, 22, 24, 26, 28, 30];
    const fine = weighEvidence(rowsOf(0.3, 0.02, hours, bound), prior, question);
    const [told] = withSharedRates([coarse, fine], [coarse, fine], [[1], [0]], [1, 1]);
    return creepingShare(told!) / creepingShare(coarse);
  };
  expect(toldBy(60)).toBeGreaterThan(1.5);
  expect(toldBy(2)).toBeLessThan(0.7);
});

test("a tray that shows nothing of its rate teaches nothing", () => {
  const coarse = weighed(0.3, 5);
  const silent = weighed(0.3, 200, [20]);
  const [told] = withSharedRates([coarse, silent], [coarse, silent], [[1], [0]], [1, 1]);
  expect(meanLnK(told!)).toBeCloseTo(meanLnK(coarse), 1);
  expect(told!.dry[0]).toBeCloseTo(coarse.dry[0]!, 2);
});
