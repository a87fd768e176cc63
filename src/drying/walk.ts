/**
 * One way of drying held against the weighings, for a dryer that works and for each stop. The weighings are taken in
 * time, each one narrowing what is believed of (A, R, C); the weighings after a stop all show the mass at the stop, so
 * they count as one.
 */
import { observe, stateLength, type State } from "./gaussian.ts";
import { heldAfter } from "./late.ts";
import { roughlyBelow } from "./normaltable.ts";

/** Weighings and stops on the axis of one knee: hours of ice to go and hours since the knee. */
export type Course = {
  readonly rows: number;
  readonly mass: Float64Array;
  readonly variance: Float64Array;
  readonly ice: Float64Array;
  readonly since: Float64Array;
  readonly stops: number;
  /** The weighing before which each stop lies; `rows` for one after the last. */
  readonly stopRow: Int32Array;
  readonly stopIce: Float64Array;
  readonly stopSince: Float64Array;
  /** The weighings from each on, as one of the mass at which the dryer stopped. */
  readonly restMass: Float64Array;
  readonly restVariance: Float64Array;
  readonly restLog: Float64Array;
  /** The most that the log density of the weighings from each on can be: for a dryer that stopped before it, for one
   * that works, and for any. */
  readonly mostStopped: Float64Array;
  readonly mostWorking: Float64Array;
  readonly mostAny: Float64Array;
};

/** The highest log densities met so far, over all ways of drying. */
export type Best = { working: number; any: number };

/** A way of drying that must stay so far behind the best, in natural logarithms, is not walked to its end. */
const farBehind = 12;

const lnTwoPi = Math.log(2 * Math.PI);

export type Way = {
  readonly k: number;
  /** Log prior, and what is added to it for a dryer that stopped: −∞ where another way stands for this one. */
  readonly logPrior: number;
  readonly logStops: number;
  /** The excess that counts as dry, as a share of A. */
  readonly limitPerGram: number;
};

/** Where the answers of one way are written: from `offset` on, the working dryer first, then each stop. */
export type Answers = {
  /** Log density of the weighings. */
  readonly log: Float64Array;
  /** Probability that the excess at the last weighing is at most the limit. */
  readonly dry: Float64Array;
  readonly offset: number;
};

/**
 * Holds one way against the weighings, for every hypothesis, given what is believed at the start. The sums are those of `observe`, written out: this is where nearly all of
 * the time of a judgment goes.
 */
export function weighAll(
  course: Course,
  start: State,
  way: Way,
  { log: logs, dry, offset }: Answers,
  best: Best,
): void {
  const { rows, mass, variance, ice, since, stops, stopRow, stopIce, stopSince } = course;
  const { restMass, restVariance, restLog, mostStopped, mostWorking, mostAny } = course;
  const { k, logPrior, logStops, limitPerGram } = way;
  let mA = start[0]!;
  let mR = start[1]!;
  let mC = start[2]!;
  let aa = start[3]!;
  let ar = start[4]!;
  let ac = start[5]!;
  let rr = start[6]!;
  let rc = start[7]!;
  let cc = start[8]!;
  let log = logPrior;
  let stop = 0;
  if (logStops === -Infinity) for (; stop < stops; stop++) logs[offset + stop + 1] = -Infinity;
  let r = 0;
  let c = 0;
  for (let row = 0; row < rows; row++) {
    if (
      log + mostAny[row]! < best.any - farBehind &&
      log + mostWorking[row]! < best.working - farBehind
    ) {
      logs[offset] = -Infinity;
      for (; stop < stops; stop++) logs[offset + stop + 1] = -Infinity;
      return;
    }
    for (; stop < stops && stopRow[stop]! <= row; stop++) {
      r = stopIce[stop]!;
      c = heldAfter(stopSince[stop]!, k);
      const gA = aa + r * ar + c * ac;
      const gR = ar + r * rr + c * rc;
      const gC = ac + r * rc + c * cc;
      const total = gA + r * gR + c * gC + restVariance[row]!;
      const surprise = restMass[row]! - (mA + r * mR + c * mC);
      const at = offset + stop + 1;
      const misfit = (surprise * surprise) / total;
      dry[at] = 0;
      if (log + logStops + mostStopped[row]! - 0.5 * misfit < best.any - farBehind) {
        logs[at] = -Infinity;
        continue;
      }
      const stopped = log + logStops + restLog[row]! - 0.5 * (lnTwoPi + Math.log(total) + misfit);
      logs[at] = stopped;
      if (stopped > best.any) best.any = stopped;
      // How far the excess is over the limit, before and with the mass at the stop.
      const gOver = r * gR + c * gC - limitPerGram * gA;
      const over = r * mR + c * mC - limitPerGram * mA + (gOver * surprise) / total;
      const spread =
        r * (r * rr + 2 * c * rc) +
        c * c * cc -
        limitPerGram * (2 * (r * ar + c * ac) - limitPerGram * aa) -
        (gOver * gOver) / total;
      dry[at] = roughlyBelow(-over / Math.sqrt(Math.max(spread, Number.MIN_VALUE)));
    }
    r = ice[row]!;
    c = heldAfter(since[row]!, k);
    const gA = aa + r * ar + c * ac;
    const gR = ar + r * rr + c * rc;
    const gC = ac + r * rc + c * cc;
    const total = gA + r * gR + c * gC + variance[row]!;
    const surprise = mass[row]! - (mA + r * mR + c * mC);
    const share = surprise / total;
    mA += gA * share;
    mR += gR * share;
    mC += gC * share;
    const hA = gA / total;
    const hR = gR / total;
    aa -= gA * hA;
    ar -= hA * gR;
    ac -= hA * gC;
    rr -= gR * hR;
    rc -= hR * gC;
    cc -= (gC * gC) / total;
    log -= 0.5 * (lnTwoPi + Math.log(total) + surprise * share);
  }
  if (log > best.working) best.working = log;
  if (log > best.any) best.any = log;
  const over = r * mR + c * mC - limitPerGram * mA;
  const spread =
    r * (r * rr + 2 * c * rc) +
    c * c * cc -
    limitPerGram * (2 * (r * ar + c * ac) - limitPerGram * aa);
  const isDry = roughlyBelow(-over / Math.sqrt(Math.max(spread, Number.MIN_VALUE)));
  logs[offset] = log;
  dry[offset] = isDry;
  // A stop after the last weighing is, for this tray, none.
  for (; stop < stops; stop++) {
    logs[offset + stop + 1] = log + logStops;
    dry[offset + stop + 1] = isDry;
  }
}

const state = new Float64Array(stateLength);

/** What is believed of (A, R, C) after all weighings under one hypothesis. The array is used again. */
export function beliefAfter(course: Course, start: State, k: number, hypothesis: number): State {
  const { rows, mass, variance, ice, since, stopRow, stopIce, stopSince } = course;
  const end = hypothesis === 0 ? rows : stopRow[hypothesis - 1]!;
  state.set(start);
  for (let row = 0; row < end; row++)
    observe(state, ice[row]!, heldAfter(since[row]!, k), mass[row]!, variance[row]!);
  if (end < rows)
    observe(
      state,
      stopIce[hypothesis - 1]!,
      heldAfter(stopSince[hypothesis - 1]!, k),
      course.restMass[end]!,
      course.restVariance[end]!,
    );
  return state;
}
