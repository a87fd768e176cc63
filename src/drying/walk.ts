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
  /** The most that the log density of the weighings from each on can be: for a dryer that stopped before it, and for
   * one that works. */
  readonly mostStopped: Float64Array;
  readonly mostWorking: Float64Array;
};

/** What counts so far, over all ways of drying. */
type Best = {
  /** The highest log density of any hypothesis. */
  any: number;
  /** By hypothesis: the highest log density, and the least that still counts. */
  readonly top: Float64Array;
  readonly least: Float64Array;
  /** By hypothesis: how far behind the best of any it may be and still count. */
  readonly far: Float64Array;
  /** By weighing: the least log density before it from which a way can still come to count. */
  readonly need: Float64Array;
};

/** Log densities so far below the best of their own hypothesis add nothing that is seen. Natural logarithms. */
export const negligible = 9;

const lnTwoPi = Math.log(2 * Math.PI);

export const noneYet = (rows: number, far: Float64Array): Best => ({
  any: -Infinity,
  top: new Float64Array(far.length).fill(-Infinity),
  least: new Float64Array(far.length).fill(-Infinity),
  far,
  need: new Float64Array(rows).fill(-Infinity),
});

/** Reckons anew, for the ways to come, what a way needs. Tops only rise, so an older answer only lets more through. */
export function raiseNeeds(course: Course, { any, top, least, far, need }: Best): void {
  const { rows, stops, stopRow, mostStopped, mostWorking } = course;
  for (let h = 0; h < top.length; h++) {
    const isStop = h > 0 && stopRow[h - 1]! < rows;
    least[h] = Math.max(top[h]! - negligible, isStop ? any - far[h]! : -Infinity);
  }
  let stop = stops - 1;
  // Against the log density at the end: that of a working dryer, and of a stop after the last weighing, which is none.
  let needed = least[0]!;
  for (; stop >= 0 && stopRow[stop]! >= rows; stop--)
    needed = Math.min(needed, least[stop + 1]! - mostLogStops);
  for (let row = rows - 1; row >= 0; row--) {
    needed -= mostWorking[row]! - (row + 1 < rows ? mostWorking[row + 1]! : 0);
    for (; stop >= 0 && stopRow[stop]! >= row; stop--)
      needed = Math.min(needed, least[stop + 1]! - mostLogStops - mostStopped[row]!);
    need[row] = needed;
  }
}

/** No way's `logStops` is more: one knee stands for a few, hardly for ten. */
const mostLogStops = Math.log(10);

type Way = {
  readonly k: number;
  /** Log prior, and what is added to it for a dryer that stopped: −∞ where another way stands for this one. */
  readonly logPrior: number;
  readonly logStops: number;
  /** The excess that counts as dry, as a share of A. */
  readonly limitPerGram: number;
};

/** Where the answers of one way are written: from `offset` on, the working dryer first, then each stop. */
type Answers = {
  /** Log density of the weighings. */
  readonly log: Float64Array;
  /** Probability that the excess at the last weighing is at most the limit; of no meaning where that does not count. */
  readonly dry: Float64Array;
  readonly offset: number;
};

/** Numbers handed from function to function, in an array: as arguments each would be put on the heap. Of the beliefs
 * before the weighing from which on no ice is left: means and covariances of A and C, log density. At the end: log
 * density, how far the excess is over the limit, its variance. */
const handed = new Float64Array(6);

/**
 * Holds one way against the weighings, for every hypothesis, given what is believed at the start. False where nothing
 * of it counts; then nothing is written that may be read. The sums are those of `observe`, written out: this is where
 * most of the time of a judgment goes.
 */
export function weighAll(
  course: Course,
  start: State,
  way: Way,
  answers: Answers,
  best: Best,
): boolean {
  const { rows, mass, variance, ice, since, stops, stopRow, stopIce, stopSince } = course;
  const { restMass, restVariance, restLog, mostStopped } = course;
  const { k, logPrior, logStops, limitPerGram } = way;
  const { log: logs, dry, offset } = answers;
  const { top, least, far, need } = best;
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
  let counts = false;
  if (logStops === -Infinity) for (; stop < stops; stop++) logs[offset + stop + 1] = -Infinity;
  let r = 0;
  let c = 0;
  for (let row = 0; row < rows; row++) {
    if (log < need[row]!) {
      logs[offset] = -Infinity;
      for (; stop < stops; stop++) logs[offset + stop + 1] = -Infinity;
      return counts;
    }
    for (; stop < stops && stopRow[stop]! <= row; stop++) {
      const at = offset + stop + 1;
      logs[at] = -Infinity;
      const most = log + logStops + mostStopped[row]!;
      const enough = Math.max(least[stop + 1]!, best.any - far[stop + 1]!);
      if (most < enough) continue;
      r = stopIce[stop]!;
      c = heldAfter(stopSince[stop]!, k);
      const gA = aa + r * ar + c * ac;
      const gR = ar + r * rr + c * rc;
      const gC = ac + r * rc + c * cc;
      const total = gA + r * gR + c * gC + restVariance[row]!;
      const surprise = restMass[row]! - (mA + r * mR + c * mC);
      const inverse = 1 / total;
      const misfit = surprise * surprise * inverse;
      if (most - 0.5 * misfit < enough) continue;
      const stopped = log + logStops + restLog[row]! - 0.5 * (lnTwoPi + Math.log(total) + misfit);
      logs[at] = stopped;
      if (stopped > best.any) best.any = stopped;
      if (stopped > top[stop + 1]!) top[stop + 1] = stopped;
      else if (stopped < top[stop + 1]! - negligible) continue;
      counts = true;
      // How far the excess is over the limit, before and with the mass at the stop.
      const gOver = r * gR + c * gC - limitPerGram * gA;
      const over = r * mR + c * mC - limitPerGram * mA + gOver * surprise * inverse;
      const spread =
        r * (r * rr + 2 * c * rc) +
        c * c * cc -
        limitPerGram * (2 * (r * ar + c * ac) - limitPerGram * aa) -
        gOver * gOver * inverse;
      dry[at] = roughlyBelow(-over / Math.sqrt(Math.max(spread, Number.MIN_VALUE)));
    }
    r = ice[row]!;
    if (r === 0) {
      handed[0] = mA;
      handed[1] = mC;
      handed[2] = aa;
      handed[3] = ac;
      handed[4] = cc;
      handed[5] = log;
      return weighWithoutIce(course, way, answers, best, row, stop) || counts;
    }
    c = heldAfter(since[row]!, k);
    const gA = aa + r * ar + c * ac;
    const gR = ar + r * rr + c * rc;
    const gC = ac + r * rc + c * cc;
    const total = gA + r * gR + c * gC + variance[row]!;
    const surprise = mass[row]! - (mA + r * mR + c * mC);
    const inverse = 1 / total;
    const share = surprise * inverse;
    mA += gA * share;
    mR += gR * share;
    mC += gC * share;
    const hA = gA * inverse;
    const hR = gR * inverse;
    aa -= gA * hA;
    ar -= hA * gR;
    ac -= hA * gC;
    rr -= gR * hR;
    rc -= hR * gC;
    cc -= gC * gC * inverse;
    log -= 0.5 * (lnTwoPi + Math.log(total) + surprise * share);
  }
  handed[0] = log;
  handed[1] = r * mR + c * mC - limitPerGram * mA;
  handed[2] =
    r * (r * rr + 2 * c * rc) +
    c * c * cc -
    limitPerGram * (2 * (r * ar + c * ac) - limitPerGram * aa);
  return atTheEnd(way, answers, best, stop) || counts;
}

/** The same once no ice is left: the rate at which it went no longer matters. */
function weighWithoutIce(
  course: Course,
  way: Way,
  answers: Answers,
  best: Best,
  from: number,
  firstStop: number,
): boolean {
  const { rows, mass, variance, since, stops, stopRow, stopSince } = course;
  const { restMass, restVariance, restLog, mostStopped } = course;
  const { k, logStops, limitPerGram } = way;
  const { log: logs, dry, offset } = answers;
  const { top, least, far, need } = best;
  let mA = handed[0]!;
  let mC = handed[1]!;
  let aa = handed[2]!;
  let ac = handed[3]!;
  let cc = handed[4]!;
  let log = handed[5]!;
  let stop = firstStop;
  let counts = false;
  let c = 0;
  for (let row = from; row < rows; row++) {
    if (log < need[row]!) {
      logs[offset] = -Infinity;
      for (; stop < stops; stop++) logs[offset + stop + 1] = -Infinity;
      return counts;
    }
    for (; stop < stops && stopRow[stop]! <= row; stop++) {
      const at = offset + stop + 1;
      logs[at] = -Infinity;
      const most = log + logStops + mostStopped[row]!;
      const enough = Math.max(least[stop + 1]!, best.any - far[stop + 1]!);
      if (most < enough) continue;
      c = heldAfter(stopSince[stop]!, k);
      const gA = aa + c * ac;
      const gC = ac + c * cc;
      const total = gA + c * gC + restVariance[row]!;
      const surprise = restMass[row]! - (mA + c * mC);
      const inverse = 1 / total;
      const misfit = surprise * surprise * inverse;
      if (most - 0.5 * misfit < enough) continue;
      const stopped = log + logStops + restLog[row]! - 0.5 * (lnTwoPi + Math.log(total) + misfit);
      logs[at] = stopped;
      if (stopped > best.any) best.any = stopped;
      if (stopped > top[stop + 1]!) top[stop + 1] = stopped;
      else if (stopped < top[stop + 1]! - negligible) continue;
      counts = true;
      const gOver = c * gC - limitPerGram * gA;
      const over = c * mC - limitPerGram * mA + gOver * surprise * inverse;
      const spread =
        c * c * cc - limitPerGram * (2 * c * ac - limitPerGram * aa) - gOver * gOver * inverse;
      dry[at] = roughlyBelow(-over / Math.sqrt(Math.max(spread, Number.MIN_VALUE)));
    }
    c = heldAfter(since[row]!, k);
    const gA = aa + c * ac;
    const gC = ac + c * cc;
    const total = gA + c * gC + variance[row]!;
    const surprise = mass[row]! - (mA + c * mC);
    const inverse = 1 / total;
    const share = surprise * inverse;
    mA += gA * share;
    mC += gC * share;
    const hA = gA * inverse;
    aa -= gA * hA;
    ac -= hA * gC;
    cc -= gC * gC * inverse;
    log -= 0.5 * (lnTwoPi + Math.log(total) + surprise * share);
  }
  handed[0] = log;
  handed[1] = c * mC - limitPerGram * mA;
  handed[2] = c * c * cc - limitPerGram * (2 * c * ac - limitPerGram * aa);
  return atTheEnd(way, answers, best, stop) || counts;
}

/** Writes what a working dryer comes to, and each stop after the last weighing, from `stop` on: for this tray, none. */
function atTheEnd(
  { logStops }: Way,
  { log: logs, dry, offset }: Answers,
  best: Best,
  stop: number,
): boolean {
  const { top, least } = best;
  const stops = top.length - 1;
  const log = handed[0]!;
  const over = handed[1]!;
  const spread = handed[2]!;
  logs[offset] = log;
  if (log > best.any) best.any = log;
  if (log > top[0]!) top[0] = log;
  let counts = log >= least[0]!;
  for (let after = stop; after < stops; after++) {
    const stopped = log + logStops;
    logs[offset + after + 1] = stopped;
    if (stopped > top[after + 1]!) top[after + 1] = stopped;
    if (stopped >= least[after + 1]!) counts = true;
  }
  if (!counts) return false;
  const isDry = roughlyBelow(-over / Math.sqrt(Math.max(spread, Number.MIN_VALUE)));
  dry[offset] = isDry;
  for (let after = stop; after < stops; after++) dry[offset + after + 1] = isDry;
  return true;
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
