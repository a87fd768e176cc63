/**
 * The rules that are compared. Each looks at a batch after its latest weighing and says of which trays it
 * would call the drying ended.
 */
import type { TrayLog } from "../../src/tray/weighing.ts";
import { fraction } from "../../src/units/quantity.ts";
import { judgeBatch } from "../../src/verdict/judge.ts";
import type { TrayVerdict } from "../../src/verdict/verdict.ts";

export const ruleNames = [
  "practice",
  "constant weight",
  "exponential",
  "rate bound",
  "ours",
] as const;
export type RuleName = (typeof ruleNames)[number];

/** Judges each tray for itself. */
type TrayRule = (log: TrayLog) => boolean;

/**
 * Common practice, no source: weigh, dry three more hours, weigh again; no further loss is done. Two
 * weighings at least 3 h apart within one division.
 */
export const commonPractice: TrayRule = ({ weighings }) => {
  const last = weighings.at(-1);
  if (!last) return false;
  const earlier = weighings.findLast(
    ({ dryingHours }) => last.dryingHours - dryingHours >= 3 - 1e-9,
  );
  return !!earlier && Math.abs(earlier.net - last.net) <= last.division + 1e-9;
};

/**
 * Constant weight as for malt dried in an oven (AOAC 935.29): after one further hour or more, a loss of
 * at most 0.1 % of the sample. Its balance is finer than ours; the limit is taken as it stands.
 */
export const constantWeight: TrayRule = ({ weighings }) => {
  const [before, last] = weighings.slice(-2);
  if (!before || !last || last.dryingHours - before.dryingHours < 1) return false;
  return Math.abs(before.net - last.net) <= 0.001 * before.net;
};

type Point = { readonly hours: number; readonly grams: number };

/** Least squares of a + b·e^(−kt) for a given k: a, b, and the sum of squares left. */
function fitAt(rate: number, points: readonly Point[]) {
  const shape = points.map(({ hours }) => Math.exp(-rate * hours));
  const meanShape = shape.reduce((sum, one) => sum + one, 0) / points.length;
  const meanGrams = points.reduce((sum, { grams }) => sum + grams, 0) / points.length;
  let [across, along] = [0, 0];
  points.forEach(({ grams }, index) => {
    const offset = shape[index]! - meanShape;
    across += offset * offset;
    along += offset * (grams - meanGrams);
  });
  const fall = along / across;
  const end = meanGrams - fall * meanShape;
  const squares = points.reduce(
    (sum, { grams }, index) => sum + (grams - end - fall * shape[index]!) ** 2,
    0,
  );
  return { rate, end, fall, squares };
}

const rates = Array.from({ length: 400 }, (_, step) => 0.001 * 2000 ** (step / 399));

/** The least-squares exponential over all rates from 0.001 to 2 1/h; null when its best rate is an edge. */
export function plainExponential(points: readonly Point[]) {
  const fits = rates.map((rate) => fitAt(rate, points));
  const best = fits.reduce((least, fit) => (fit.squares < least.squares ? fit : least));
  return best === fits[0] || best === fits.at(-1) ? null : best;
}

/** A plain exponential through the fresh mass and three or more weighings: done when what it still expects to lose is within the limit. */
export const exponentialFit =
  (limit: number): TrayRule =>
  ({ fresh, weighings }) => {
    const points = weighings.map(({ dryingHours, net }) => ({ hours: dryingHours, grams: net }));
    if (fresh) points.unshift({ hours: 0 as (typeof points)[number]["hours"], grams: fresh.net });
    const last = points.at(-1);
    if (!last || points.length < 4) return false;
    const fit = plainExponential(points);
    if (!fit || fit.end <= 0) return false;
    return fit.fall * Math.exp(-fit.rate * last.hours) <= limit * fit.end;
  };

/** Tolerated loss, per hour, as a share of the dry mass; and the one-sided 95 % point of the normal. */
export const tolerance = 0.0025;
export const oneSided95 = 1.645;

/** Rounding, placement, drift and the bench, for one reading; the scale's own figures when unmeasured. */
export const readingSd = (division: number): number =>
  Math.hypot(division / Math.sqrt(12), 0.4 * division, 0.3 * division, 0.1);

/**
 * A yardstick beyond the common rules: the 95 % upper bound of the loss rate over any of the last four
 * weighings is within the tolerance, and the mass is one that this food can have when dry (its solids ± 2
 * standard deviations, and 3 % of water). What a careful person could do with a sheet of paper.
 */
export const rateBound: TrayRule = ({ fresh, food, weighings }) => {
  const last = weighings.at(-1);
  if (!last || !fresh) return false;
  const earlier = weighings
    .slice(-4, -1)
    .filter(({ dryingHours }) => last.dryingHours - dryingHours >= 1);
  if (earlier.length === 0) return false;
  const sd = readingSd(last.division);
  const solids = food ? fresh.net * (1 - food.water) : last.net / 1.03;
  const highest = earlier.map(({ net, dryingHours }) => {
    const lost = Math.max(net - last.net, 0) + oneSided95 * Math.SQRT2 * sd;
    return lost / (solids * (last.dryingHours - dryingHours));
  });
  if (Math.min(...highest) > tolerance) return false;
  const before = weighings.at(-2)!;
  if (last.net - before.net > oneSided95 * Math.SQRT2 * sd) return false;
  if (!food) return true;
  const spread = fresh.net * food.waterSd;
  const margin = 2 * sd + last.division;
  return (
    last.net <= (solids + 2 * spread) * 1.03 + margin && last.net >= solids - 3 * spread - margin
  );
};

/** The log as it stood after its `count`-th weighing. */
export const upTo = (log: TrayLog, count: number): TrayLog => ({
  ...log,
  weighings: log.weighings.slice(0, count),
});

/** The index of the weighing at which a rule first calls the tray; null when it never does. */
export function firstCall(rule: TrayRule, log: TrayLog): number | null {
  const called = log.weighings.findIndex((_, index) => rule(upTo(log, index + 1)));
  return called < 0 ? null : called;
}

type JudgedTray = {
  readonly calledAt: number | null;
  /** After each weighing until the call. */
  readonly verdicts: readonly TrayVerdict[];
};
type JudgedBatch = {
  readonly trays: readonly JudgedTray[];
  readonly milliseconds: number;
  readonly verdicts: number;
};

/** Ours, on the whole batch after each round of weighings until all its trays are called. */
export function judgeThroughout(logs: readonly TrayLog[], limit: number): JudgedBatch {
  const verdicts = logs.map((): TrayVerdict[] => []);
  const calledAt = logs.map((): number | null => null);
  const rounds = Math.max(...logs.map(({ weighings }) => weighings.length));
  const started = performance.now();
  let judged = 0;
  for (let round = 0; round < rounds && calledAt.includes(null); round++) {
    const answer = judgeBatch(
      logs.map((log) => upTo(log, round + 1)),
      { limit: fraction(limit) },
    );
    judged += logs.length;
    answer.trays.forEach((verdict, index) => {
      if (calledAt[index] !== null) return;
      verdicts[index]!.push(verdict);
      if (verdict.verdict === "stable") calledAt[index] = round;
    });
  }
  return {
    trays: logs.map((_, index) => ({ calledAt: calledAt[index]!, verdicts: verdicts[index]! })),
    milliseconds: performance.now() - started,
    verdicts: judged,
  };
}
