/**
 * Page's thin-layer drying curve for the moisture ratio MR = (X − Xe)/(X0 − Xe), 1 at the start and 0 at the end:
 * e^(−(t/τ)^n), t and τ in hours, with k = τ^(−n) (Górnicki et al. 2020, Int. Agrophys., and many others). The Weibull
 * curve is the same one with α = τ, β = n; with n = 1 it is Newton's (Lewis's). From the logarithms of the hour, −∞
 * at the start, and of τ.
 */
export const pageRatioAt = (lnHour: number, lnTau: number, n: number): number =>
  Math.exp(-Math.exp(n * (lnHour - lnTau)));
