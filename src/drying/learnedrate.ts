/**
 * What ended batches tell of the rate constant of the same food. In: what each of them showed, as a Gaussian in ln k.
 * Out: the prior of the next lot's.
 *
 * The lots of one household scatter around a mean of their own: ln k_i ~ N(μ, τ²), seen to ±u_i. The mean has the prior
 * that a lot would have with nothing learned, less τ². Gaussian all through, so the posterior is one by adding
 * precisions (Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.5, from memory), and the next lot scatters by
 * τ² more.
 */
import type { Evidence } from "./evidence.ts";
import { logSum } from "./logsum.ts";
import type { Manner } from "./ways.ts";

/** Natural logarithm of a rate constant in 1/h, and its standard uncertainty. */
export type RateSeen = { readonly lnRate: number; readonly u: number };
export type RatePrior = { readonly lnRate: number; readonly sd: number };

/** τ: lots of one food and thickness, cut by one hand: 15 % in the thickness, of which k takes the square. Our choice. */
export const betweenLots = 0.3;
/** Another dryer, another cut, another ripeness: with this chance the next lot is like none before. Our choice. */
export const unlikeBefore = 0.2;
/** A batch that narrows what was believed by less than this share of the variance has shown nothing. Our choice. */
const leastNarrowing = 0.1;

/**
 * What the weighings of one tray show of its rate, a dryer that works and a usual lot taken for granted: the posterior
 * less the prior, as Gaussians, which of all lots together the prior is not. null where they show next to nothing.
 * `evidence`: as weighed, nothing else told.
 */
export function rateSeen({ byManner, manners, logEvidence }: Evidence): RateSeen | null {
  const hypotheses = logEvidence.length;
  const before = momentsOf(
    manners,
    manners.map(({ logWeight }) => logWeight),
  );
  const after = momentsOf(
    manners,
    manners.map((_, m) => byManner.log[m * hypotheses]!),
  );
  if (after === null || before === null) return null;
  const precision = 1 / after.variance - 1 / before.variance;
  if (!(precision > leastNarrowing / before.variance)) return null;
  const lnRate = (after.mean / after.variance - before.mean / before.variance) / precision;
  // Beyond the rates that were looked at, the difference of two Gaussians says nothing.
  const rates = manners.map(({ k }) => Math.log(k));
  const within = Math.min(Math.max(lnRate, Math.min(...rates)), Math.max(...rates));
  return { lnRate: within, u: 1 / Math.sqrt(precision) };
}

function momentsOf(
  manners: readonly Manner[],
  logs: readonly number[],
): { readonly mean: number; readonly variance: number } | null {
  const usual = manners.flatMap(({ k, widening }, m) =>
    widening === 1 ? [{ lnRate: Math.log(k), log: logs[m]! }] : [],
  );
  const total = logSum(usual.map(({ log }) => log));
  if (total === -Infinity) return null;
  const moment = (of: (lnRate: number) => number): number =>
    usual.reduce((sum, { lnRate, log }) => sum + Math.exp(log - total) * of(lnRate), 0);
  const mean = moment((lnRate) => lnRate);
  // No finer than the grid, whose steps in ln k are about half a unit.
  return {
    mean,
    variance: Math.max(
      moment((lnRate) => (lnRate - mean) ** 2),
      0.15 ** 2,
    ),
  };
}

/** What the trays of one lot show: weighed by their precisions, and no surer than one, having one model's errors. */
export function seenTogether(all: readonly RateSeen[]): RateSeen | null {
  if (all.length === 0) return null;
  const precision = all.reduce((sum, { u }) => sum + 1 / u ** 2, 0);
  return {
    lnRate: all.reduce((sum, { lnRate, u }) => sum + lnRate / u ** 2, 0) / precision,
    u: Math.sqrt(all.length / precision),
  };
}

/** `prior`: of a lot with nothing learned. With nothing seen the answer is the prior itself. */
export function rateLearned(prior: RatePrior, seen: readonly RateSeen[]): RatePrior {
  if (seen.length === 0) return prior;
  const spread = betweenLots ** 2;
  let precision = 1 / (prior.sd ** 2 - spread);
  let sum = prior.lnRate * precision;
  for (const { lnRate, u } of seen) {
    const own = 1 / (spread + u ** 2);
    precision += own;
    sum += own * lnRate;
  }
  return { lnRate: sum / precision, sd: Math.sqrt(1 / precision + spread) };
}
