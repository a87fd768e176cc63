import { slabRatePerHour } from "./diffusion.ts";
import { heldAfter, iceHours } from "./late.ts";
import { combination, observe, pooled, stateLength, type State } from "./gaussian.ts";
import { normalBelow } from "./normal.ts";

/** A net weighing for the late-drying model; `uGrams` is its standard uncertainty. */
export type LateRow = { readonly hour: number; readonly netGrams: number; readonly uGrams: number };

export type LatePrior = {
  /** Mass at which a working dryer could take no more, and its standard deviation. */
  readonly endGrams: number;
  readonly endSdGrams: number;
  /** Dry mass that bound water is counted against. */
  readonly dryGrams: number;
  /** Net mass before drying, where known. */
  readonly freshGrams: number | null;
};

/** The dryer may have stopped within the `widthHours` around `hour`. */
export type Stop = { readonly hour: number; readonly widthHours: number };

/** One way in which it may have been: the hour of the knee and the rate constant k in 1/h. */
export type Cell = { readonly kneeHour: number; readonly k: number };

/** A cell under one hypothesis, and the excess water at the last weighing that goes with it, in grams. */
export type Case = {
  /** 0: the dryer works; i: it stopped at the i-th stop. */
  readonly hypothesis: number;
  readonly cell: Cell;
  /** Share of this case within its hypothesis. */
  readonly share: number;
  readonly excessMean: number;
  readonly excessSd: number;
  /** Probability that the excess is at most the limit. */
  readonly dry: number;
  /** Mean R in g/h and C in g of the late-drying model. */
  readonly iceRate: number;
  readonly boundGrams: number;
};

export type Evidence = {
  /** By hypothesis: log density of the weighings, prior odds left out. */
  readonly logEvidence: Float64Array;
  /** Every case that carries weight. */
  readonly cases: readonly Case[];
};

/**
 * Late rate constants, 1/h: median and geometric standard deviation. Vapour diffuses through the dried layer at about
 * 1e-9 m²/s (Reale, Torrez Irigoyen and Giner 2023, doi 10.7455/ijfs/12.1.2023.a7); pieces of 6 mm half thickness, and
 * a width that covers 2.5 to 12 mm within two standard deviations, are our choice.
 */
export const rateConstant = { median: slabRatePerHour(1e-9, 6e-3), spread: 1.8 } as const;
/**
 * Bound water C when the ice is gone, share of dry mass. `front`: the front leaves `bound` behind it, which goes on
 * leaving while the front moves on, so that at the knee the mean over all ages is left: bound·(1 − e^−kt)/(kt).
 * `slow`: food through which water creeps all the way, so that much is still there when the fast part is over.
 * Bound water 0.10 to 0.25 g per g and both spreads are our choice.
 */
const bound = { mean: 0.17, spread: 0.7, slow: { mean: 0.4, sd: 0.3, weight: 0.15 } } as const;
/** Late ice leaves slower than on average, the dried layer being in its way; shares of the mean rate. */
const lateIceRate = { share: 0.75, sd: 0.3 } as const;
/** Without a fresh weighing: ice rate as a share of dry mass per hour. Our choice. */
const blindIceRate = { mean: 0.4, sd: 0.3 } as const;
/** How far the curve may be off, as a share of the water still to go: `late` near the end, and up to `early` more
 * where that water outweighs the dry mass and the shape of the ice's going is not known. Our choice. */
const modelError = { late: 0.12, early: 0.3 } as const;
/** A dryer that has stopped still takes a little: this share of the rate before. Our choice. */
const stoppedRate = { mean: 0.02, sd: 0.03 } as const;
/** The ice of a tray is gone between these hours; between them every ratio is as likely. */
const knees = { least: 1, most: 150 } as const;
/** The rate constants reach this many standard deviations to both sides. */
const kReach = 2.4;

type Manner = { readonly k: number; readonly slow: boolean; readonly logWeight: number };

/** Knees in steps of a ratio; rate constants and both ways of holding water, with their prior weights. */
export type Grid = { readonly kneeRatio: number; readonly manners: readonly Manner[] };

function gridOf(kneeRatio: number, kPoints: number): Grid {
  const all = Array.from({ length: kPoints }, (_, i): Manner[] => {
    const z = -kReach + (2 * kReach * i) / (kPoints - 1);
    const k = rateConstant.median * rateConstant.spread ** z;
    return [
      { k, slow: false, logWeight: Math.log(1 - bound.slow.weight) - 0.5 * z * z },
      { k, slow: true, logWeight: Math.log(bound.slow.weight) - 0.5 * z * z },
    ];
  }).flat();
  const total = logSum(all.map(({ logWeight }) => logWeight));
  return { kneeRatio, manners: all.map((one) => ({ ...one, logWeight: one.logWeight - total })) };
}

export const fineGrid = gridOf(1.05, 9);
/** For questions asked many times over; its probabilities differ from the fine ones by a point or two. */
export const roughGrid = gridOf(1.12, 5);

/** The grid is absolute, so that one more weighing leaves the cells where they were. */
function kneesAround(lastHour: number, ratio: number): readonly number[] {
  const step = (hour: number): number => Math.log(hour) / Math.log(ratio);
  const first = Math.floor(step(Math.max(knees.least, lastHour * 0.12)));
  const last = Math.ceil(step(Math.min(knees.most, lastHour * 2.2 + 6)));
  return Array.from({ length: last - first + 1 }, (_, i) => ratio ** (first + i));
}

/** Cases that are rarer than this within their hypothesis, or whose hypothesis is far rarer, are left out. */
const negligible = 1e-4;
const hopeless = 12;

/**
 * What the weighings of one stretch say, for a dryer that works and for each stop. `rows` in the order of
 * drying hours, at least one; `stops` likewise; `limit` as a share of the dry mass.
 */
export function weighEvidence(
  rows: readonly LateRow[],
  prior: LatePrior,
  stops: readonly Stop[],
  limit: number,
  { kneeRatio, manners }: Grid = fineGrid,
): Evidence {
  const walk = walkOver(rows, prior, stops);
  const kneeHours = kneesAround(rows[rows.length - 1]!.hour, kneeRatio);
  const logKnee = Math.log(Math.log(knees.most / knees.least) / Math.log(kneeRatio));
  const cells = kneeHours.length * manners.length;
  const logs = Array.from({ length: stops.length + 1 }, () => new Float64Array(cells));
  let index = 0;
  for (const kneeHour of kneeHours) {
    const curve = walk.curveFor(kneeHour);
    for (const manner of manners) {
      walk.through(curve, manner, manner.logWeight - logKnee, (hypothesis, log) => {
        logs[hypothesis]![index] = log;
      });
      index++;
    }
  }
  const logEvidence = Float64Array.from(logs, logSum);
  const likeliest = Math.max(...logEvidence);
  const live = [...logEvidence.keys()].filter((h) => logEvidence[h]! > likeliest - hopeless);

  // Few cells carry weight: only for those is the rest worked out.
  const cases: Case[] = [];
  const shares = new Float64Array(logs.length);
  const limitPerGram = -limit * (prior.dryGrams / prior.endGrams);
  index = 0;
  for (const kneeHour of kneeHours) {
    const curve = walk.curveFor(kneeHour);
    for (const manner of manners) {
      const at = index++;
      shares.fill(0);
      let most = 0;
      for (const h of live)
        most = Math.max(most, (shares[h] = Math.exp(logs[h]![at]! - logEvidence[h]!)));
      if (most <= negligible) continue;
      const cell = { kneeHour, k: manner.k };
      walk.through(curve, manner, 0, (hypothesis, _log, state, ice, bound) => {
        const share = shares[hypothesis]!;
        if (share <= negligible) return;
        const excess = combination(state, 0, ice, bound);
        const over = combination(state, limitPerGram, ice, bound);
        cases.push({
          hypothesis,
          cell,
          share,
          excessMean: excess.mean,
          excessSd: Math.sqrt(excess.variance),
          dry: normalBelow(-over.mean / Math.sqrt(over.variance || Number.MIN_VALUE)),
          iceRate: state[1]!,
          boundGrams: state[2]!,
        });
      });
    }
  }
  return { logEvidence, cases };
}

/** The curve of one knee at every weighing and every stop; hours of ice and hours since the knee. */
type Curve = {
  readonly rate: { readonly mean: number; readonly sd: number };
  readonly kneeHour: number;
  readonly iceAtRows: Float64Array;
  readonly sinceAtRows: Float64Array;
  readonly iceAtStops: Float64Array;
  readonly sinceAtStops: Float64Array;
};

type Visit = (hypothesis: number, log: number, state: State, ice: number, bound: number) => void;

/**
 * Walks through the weighings in time, conditioning (A, R, C) on each, and visits every hypothesis on the way: the
 * weighings after a stop all show the mass at the stop, so they count as one.
 */
function walkOver(rows: readonly LateRow[], prior: LatePrior, stops: readonly Stop[]) {
  const lightest = Math.min(...rows.map((row) => row.netGrams));
  const measured = rows.map(({ hour, netGrams, uGrams }) => {
    const toGo = netGrams - lightest;
    const share = modelError.late + (modelError.early * toGo) / (toGo + prior.dryGrams);
    return { hour, y: netGrams, variance: uGrams ** 2 + (share * toGo) ** 2 };
  });
  const after = measured.map((from, i) => {
    const earlier =
      measured[i - 1] ?? (prior.freshGrams === null ? from : { hour: 0, y: prior.freshGrams });
    const rate = Math.max(earlier.y - from.y, 0) / Math.max(from.hour - earlier.hour, 0.1);
    return pooled(
      measured.slice(i).map((row) => ({ ...row, hours: row.hour - from.hour })),
      { mean: stoppedRate.mean * rate, sd: stoppedRate.sd * rate },
    );
  });
  const leaving = prior.freshGrams === null ? 0 : Math.max(prior.freshGrams - lightest, 0);
  const start = new Float64Array(stateLength);
  start[0] = prior.endGrams;
  start[3] = prior.endSdGrams ** 2;
  const state = new Float64Array(stateLength);
  const stopped = new Float64Array(stateLength);

  const curveFor = (kneeHour: number): Curve => {
    const iceAtRows = Float64Array.from(rows, ({ hour }) => iceHours(hour, kneeHour));
    const iceAtStops = Float64Array.from(stops, ({ hour }) => iceHours(hour, kneeHour));
    return {
      rate: iceRatePrior(prior, leaving, kneeHour),
      kneeHour,
      iceAtRows,
      sinceAtRows: iceAtRows.map((ice, i) => rows[i]!.hour - kneeHour + ice),
      iceAtStops,
      sinceAtStops: iceAtStops.map((ice, i) => stops[i]!.hour - kneeHour + ice),
    };
  };

  const through = (curve: Curve, manner: Manner, logPrior: number, visit: Visit): void => {
    const { k } = manner;
    state.set(start);
    state[1] = curve.rate.mean;
    state[6] = curve.rate.sd ** 2;
    const atKnee = boundAtKnee(manner, curve.kneeHour);
    state[2] = atKnee.mean * prior.dryGrams;
    state[8] = (atKnee.sd * prior.dryGrams) ** 2;
    let log = logPrior;
    if (prior.freshGrams !== null && leaving > 0)
      log += observe(
        state,
        curve.kneeHour / lateIceRate.share,
        1,
        prior.freshGrams,
        (lateIceRate.sd * leaving) ** 2,
      );
    let stop = 0;
    let ice = 0;
    let held = 0;
    for (let row = 0; row < measured.length; row++) {
      const { hour, y, variance } = measured[row]!;
      for (; stop < stops.length && stops[stop]!.hour < hour; stop++) {
        stopped.set(state);
        const rest = after[row]!;
        const iceThen = curve.iceAtStops[stop]!;
        const boundThen = heldAfter(curve.sinceAtStops[stop]!, k);
        const logRest = rest.logRest + observe(stopped, iceThen, boundThen, rest.y, rest.variance);
        visit(stop + 1, log + logRest, stopped, iceThen, boundThen);
      }
      ice = curve.iceAtRows[row]!;
      held = heldAfter(curve.sinceAtRows[row]!, k);
      log += observe(state, ice, held, y, variance);
    }
    visit(0, log, state, ice, held);
    // A stop after this tray's last weighing is, for this tray, none.
    for (; stop < stops.length; stop++) visit(stop + 1, log, state, ice, held);
  };
  return { curveFor, through };
}

/** Share of the dry mass that is bound water at the knee. */
function boundAtKnee({ k, slow }: Manner, kneeHour: number): { mean: number; sd: number } {
  if (slow) return bound.slow;
  const mean = (bound.mean * -Math.expm1(-k * kneeHour)) / (k * kneeHour);
  return { mean, sd: bound.spread * mean };
}

function iceRatePrior(
  prior: LatePrior,
  leaving: number,
  kneeHour: number,
): { mean: number; sd: number } {
  if (prior.freshGrams === null)
    return { mean: blindIceRate.mean * prior.dryGrams, sd: blindIceRate.sd * prior.dryGrams };
  // The fresh weighing says the rest; here only the order of magnitude.
  const meanRate = Math.max(leaving, 0.05 * prior.dryGrams) / kneeHour;
  return { mean: lateIceRate.share * meanRate, sd: meanRate };
}

/** ln Σ exp(x), without overflow; −∞ for no weight at all. */
export function logSum(logs: ArrayLike<number>): number {
  let most = -Infinity;
  for (let i = 0; i < logs.length; i++) most = Math.max(most, logs[i]!);
  if (most === -Infinity) return most;
  let sum = 0;
  for (let i = 0; i < logs.length; i++) sum += Math.exp(logs[i]! - most);
  return most + Math.log(sum);
}
