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

/** Independent measurements of one value as a single one, with the part of their log density it leaves out. */
export function pooled(values: readonly { readonly y: number; readonly variance: number }[]): {
  y: number;
  variance: number;
  logRest: number;
} {
  let weight = 0;
  let sum = 0;
  for (const { y, variance } of values) {
    weight += 1 / variance;
    sum += y / variance;
  }
  const mean = sum / weight;
  let logRest = 0.5 * (lnTwoPi - Math.log(weight));
  for (const { y, variance } of values)
    logRest -= 0.5 * (lnTwoPi + Math.log(variance) + (y - mean) ** 2 / variance);
  return { y: mean, variance: 1 / weight, logRest };
}
