/**
 * Thin-layer drying curves, t in hours, for the moisture ratio MR = (X − Xe)/(X0 − Xe): 1 at the start, 0 at the end.
 * Newton (Lewis): e^(−t/τ). Page: e^(−(t/τ)^n), with k = τ^(−n); the Weibull curve is the same one with α = τ, β = n,
 * so only one of them is offered. Both forms stand in Górnicki et al. 2020 (Int. Agrophys.) and many others.
 */
export const newtonRatio = (hour: number, tau: number): number => Math.exp(-hour / tau);
/** Page's from the logarithms of the hour, −∞ at the start, and of τ. */
export const pageRatioAt = (lnHour: number, lnTau: number, n: number): number =>
  Math.exp(-Math.exp(n * (lnHour - lnTau)));
