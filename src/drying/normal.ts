import jStat from "jstat";

/** Φ: probability that a standard normal value lies below `z`. */
export const normalBelow = (z: number): number => jStat.normal.cdf(z, 0, 1);
/** φ: density of the standard normal distribution at `z`. */
export const normalDensity = (z: number): number => jStat.normal.pdf(z, 0, 1);
/** The `p` quantile of the standard normal distribution. */
export const normalQuantile = (p: number): number => jStat.normal.inv(p, 0, 1);
