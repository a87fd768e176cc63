import { boundShare, iceHours } from "./late.ts";
import { combination, observe, pooled, stateLength } from "./gaussian.ts";

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

/** One way in which it may have been: a knee, a rate constant, and a stop or none. */
export type Cell = {
  readonly kneeHour: number;
  readonly k: number;
};

export type Evidence = {
  readonly cells: readonly Cell[];
  /** By hypothesis: 0 the dryer works, i the i-th stop. Log density of the weighings, prior odds left out. */
  readonly logEvidence: Float64Array;
  /** By hypothesis, then cell: log weight and, in grams, the excess water at the last weighing. */
  readonly logWeight: Float64Array;
  readonly excessMean: Float64Array;
  readonly excessVariance: Float64Array;
  /** The same for excess less the limit, which moves with the dry mass. */
  readonly overMean: Float64Array;
  readonly overVariance: Float64Array;
  /** Mean posterior R in g/h and C in g of the working dryer, by cell. */
  readonly iceRate: Float64Array;
  readonly boundGrams: Float64Array;
};

/** Late rate constants: median and geometric standard deviation, 1/h. Slabs of 3.5–8 mm with a vapour
 * diffusivity of 1e-9 m²/s (Reale, Torrez Irigoyen and Giner 2023, doi 10.7455/ijfs/12.1.2023.a7) give
 * π²D/4L² = 0.14 to 0.73 1/h; the width is our choice. */
export const rateConstant = { median: 0.25, spread: 1.8 } as const;
/** Bound water when the ice is gone, share of dry mass: range 0.10–0.25 less what has left. Our choice. */
const boundWater = { mean: 0.12, sd: 0.06 } as const;
/** Late ice leaves slower than on average, the dried layer being in its way; shares of the mean rate. */
const lateIceRate = { share: 0.75, sd: 0.3 } as const;
/** Without a fresh weighing: ice rate as a share of dry mass per hour. Our choice. */
const blindIceRate = { mean: 0.4, sd: 0.3 } as const;
/** How far the curve may be off, as a share of the water still to go: `late` near the end, and up to `early` more
 * where that water outweighs the dry mass and the shape of the ice's going is not known. Our choice. */
const modelError = { late: 0.12, early: 0.3 } as const;
/** The ice of a tray is gone between these hours; between them every ratio is as likely. */
const knees = { least: 1, most: 150, ratio: 1.03 } as const;
const kPoints = 11;
const kReach = 2.4;

const kGrid: readonly { readonly k: number; readonly logWeight: number }[] = Array.from(
  { length: kPoints },
  (_, i) => {
    const z = -kReach + (2 * kReach * i) / (kPoints - 1);
    return { k: rateConstant.median * rateConstant.spread ** z, logWeight: -0.5 * z * z };
  },
);
const logKTotal = Math.log(kGrid.reduce((sum, { logWeight }) => sum + Math.exp(logWeight), 0));

/** The grid is absolute, so that one more weighing leaves the cells where they were. */
function kneesAround(lastHour: number): readonly number[] {
  const first = Math.floor(
    Math.log(Math.max(knees.least, lastHour * 0.08)) / Math.log(knees.ratio),
  );
  const last = Math.ceil(Math.log(Math.min(knees.most, lastHour * 3 + 6)) / Math.log(knees.ratio));
  return Array.from({ length: last - first + 1 }, (_, i) => knees.ratio ** (first + i));
}

/**
 * What the weighings of one stretch say, for a dryer that works and for each stop. `rows` in the order of
 * drying hours, at least one; `limit` as a share of the dry mass.
 */
export function weighEvidence(
  rows: readonly LateRow[],
  prior: LatePrior,
  stops: readonly Stop[],
  limit: number,
): Evidence {
  const lastHour = rows[rows.length - 1]!.hour;
  const kneeHours = kneesAround(lastHour);
  const cells: Cell[] = kneeHours.flatMap((kneeHour) => kGrid.map(({ k }) => ({ kneeHour, k })));
  const hypotheses = stops.length + 1;
  const size = hypotheses * cells.length;
  const evidence = {
    cells,
    logEvidence: new Float64Array(hypotheses),
    logWeight: new Float64Array(size).fill(-Infinity),
    excessMean: new Float64Array(size),
    excessVariance: new Float64Array(size),
    overMean: new Float64Array(size),
    overVariance: new Float64Array(size),
    iceRate: new Float64Array(cells.length),
    boundGrams: new Float64Array(cells.length),
  };

  const lightest = Math.min(...rows.map((row) => row.netGrams));
  const measured = rows.map(({ hour, netGrams, uGrams }) => {
    const toGo = netGrams - lightest;
    const share = modelError.late + (modelError.early * toGo) / (toGo + prior.dryGrams);
    return { hour, y: netGrams, variance: uGrams ** 2 + (share * toGo) ** 2 };
  });
  const after = measured.map((_, i) => pooled(measured.slice(i)));
  const leaving = prior.freshGrams === null ? null : Math.max(prior.freshGrams - lightest, 0);
  const logKnee = -Math.log(kneeHours.length);
  const limitPerGram = -limit * (prior.dryGrams / prior.endGrams);
  const state = new Float64Array(stateLength);
  const stopped = new Float64Array(stateLength);

  const keep = (
    hypothesis: number,
    cell: number,
    logWeight: number,
    at: Float64Array,
    r: number,
    c: number,
  ) => {
    const index = hypothesis * cells.length + cell;
    evidence.logWeight[index] = logWeight;
    const excess = combination(at, 0, r, c);
    evidence.excessMean[index] = excess.mean;
    evidence.excessVariance[index] = excess.variance;
    const over = combination(at, limitPerGram, r, c);
    evidence.overMean[index] = over.mean;
    evidence.overVariance[index] = over.variance;
  };

  let cell = 0;
  for (const kneeHour of kneeHours) {
    const iceAtRows = measured.map((row) => iceHours(row.hour, kneeHour));
    const iceAtStops = stops.map((stop) => iceHours(stop.hour, kneeHour));
    const rate = iceRatePrior(prior, leaving, kneeHour);
    for (const { k, logWeight: logK } of kGrid) {
      state.fill(0);
      state[0] = prior.endGrams;
      state[1] = rate.mean;
      state[2] = boundWater.mean * prior.dryGrams;
      state[3] = prior.endSdGrams ** 2;
      state[6] = rate.sd ** 2;
      state[8] = (boundWater.sd * prior.dryGrams) ** 2;
      let log = logKnee + logK - logKTotal;
      if (prior.freshGrams !== null && leaving !== null && leaving > 0)
        log += observe(
          state,
          kneeHour / lateIceRate.share,
          1,
          prior.freshGrams,
          (lateIceRate.sd * leaving) ** 2,
        );

      let stop = 0;
      for (let row = 0; row < measured.length; row++) {
        const { hour, y, variance } = measured[row]!;
        for (; stop < stops.length && stops[stop]!.hour < hour; stop++) {
          stopped.set(state);
          const r = iceAtStops[stop]!;
          const c = boundShare(stops[stop]!.hour, kneeHour, k);
          const rest = after[row]!;
          const logStop = log + rest.logRest + observe(stopped, r, c, rest.y, rest.variance);
          keep(stop + 1, cell, logStop, stopped, r, c);
        }
        log += observe(state, iceAtRows[row]!, boundShare(hour, kneeHour, k), y, variance);
      }
      const r = iceAtRows[measured.length - 1]!;
      const c = boundShare(lastHour, kneeHour, k);
      keep(0, cell, log, state, r, c);
      // A stop after this tray's last weighing is, for this tray, none.
      for (; stop < stops.length; stop++) keep(stop + 1, cell, log, state, r, c);
      evidence.iceRate[cell] = state[1]!;
      evidence.boundGrams[cell] = state[2]!;
      cell++;
    }
  }
  for (let h = 0; h < hypotheses; h++)
    evidence.logEvidence[h] = logSum(
      evidence.logWeight.subarray(h * cells.length, (h + 1) * cells.length),
    );
  return evidence;
}

function iceRatePrior(
  prior: LatePrior,
  leaving: number | null,
  kneeHour: number,
): { mean: number; sd: number } {
  if (leaving === null)
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
