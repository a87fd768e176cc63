/**
 * A Gaussian over (A, R, C) of the late-drying model, held in nine numbers: the three means, then the upper
 * triangle of the covariance row by row. Kept in a flat array because it is updated some 10⁴ times a tray.
 */
export type State = Float64Array;
export const stateLength = 9;

const lnTwoPi = Math.log(2 * Math.PI);

/** Conditions `state` in place on y = A + r·R + c·C ± √variance; returns the log density of `y` before. */
export function observe(state: State, r: number, c: number, y: number, variance: number): number {
  const mA = state[0]!;
  const mR = state[1]!;
  const mC = state[2]!;
  const aa = state[3]!;
  const ar = state[4]!;
  const ac = state[5]!;
  const rr = state[6]!;
  const rc = state[7]!;
  const cc = state[8]!;
  const gA = aa + r * ar + c * ac;
  const gR = ar + r * rr + c * rc;
  const gC = ac + r * rc + c * cc;
  const total = gA + r * gR + c * gC + variance;
  const surprise = y - (mA + r * mR + c * mC);
  const share = surprise / total;
  state[0] = mA + gA * share;
  state[1] = mR + gR * share;
  state[2] = mC + gC * share;
  state[3] = aa - (gA * gA) / total;
  state[4] = ar - (gA * gR) / total;
  state[5] = ac - (gA * gC) / total;
  state[6] = rr - (gR * gR) / total;
  state[7] = rc - (gR * gC) / total;
  state[8] = cc - (gC * gC) / total;
  return -0.5 * (lnTwoPi + Math.log(total) + surprise * share);
}

/** Mean and variance of a·A + r·R + c·C. */
export function combination(
  state: State,
  a: number,
  r: number,
  c: number,
): { mean: number; variance: number } {
  const mA = state[0]!;
  const mR = state[1]!;
  const mC = state[2]!;
  const aa = state[3]!;
  const ar = state[4]!;
  const ac = state[5]!;
  const rr = state[6]!;
  const rc = state[7]!;
  const cc = state[8]!;
  const variance =
    a * a * aa + r * r * rr + c * c * cc + 2 * (a * r * ar + a * c * ac + r * c * rc);
  return { mean: a * mA + r * mR + c * mC, variance: Math.max(variance, 0) };
}

/** A measurement of a level that sinks by an unknown drift. */
type Sinking = { readonly hour: number; readonly y: number; readonly variance: number };

/**
 * Measurements of one sinking level, those from place `first` on, as a single one of where it was at the first, with
 * the part of their log density that it leaves out. The drift, per hour, is a Gaussian; it is integrated out (Sherman
 * and Morrison's formula).
 */
export function pooled(
  values: readonly Sinking[],
  first: number,
  drift: { readonly mean: number; readonly sd: number },
): { y: number; variance: number; logRest: number } {
  let ones = 0;
  let byHours = 0;
  let hoursSquared = 0;
  let sumY = 0;
  let hoursY = 0;
  let squared = 0;
  let logVariances = 0;
  const from = values[first]!;
  for (let i = first; i < values.length; i++) {
    const { hour, y: measured, variance } = values[i]!;
    const hours = hour - from.hour;
    // Shifted by the first value: the squares below must not swamp their differences.
    const y = measured - from.y + drift.mean * hours;
    ones += 1 / variance;
    byHours += hours / variance;
    hoursSquared += hours ** 2 / variance;
    sumY += y / variance;
    hoursY += (hours * y) / variance;
    squared += y ** 2 / variance;
    logVariances += Math.log(variance) + lnTwoPi;
  }
  const spread = 1 + drift.sd ** 2 * hoursSquared;
  const share = drift.sd ** 2 / spread;
  const weight = ones - share * byHours ** 2;
  const moment = sumY - share * byHours * hoursY;
  const rest = squared - share * hoursY ** 2 - moment ** 2 / weight;
  const logRest = -0.5 * (logVariances + Math.log(spread) + rest - lnTwoPi + Math.log(weight));
  return { y: from.y + moment / weight, variance: 1 / weight, logRest };
}
