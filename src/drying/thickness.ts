/** What a stated thickness of the pieces, and one's own batches, tell of the rate constant. */
import { slabRatePerHour } from "./diffusion.ts";
import { withManners, type Evidence } from "./evidence.ts";
import { rateLearned, unlikeBefore, type RatePrior, type RateSeen } from "./learnedrate.ts";
import { logSum } from "./logsum.ts";
import { rateConstant, rateSdOf, type Manner } from "./ways.ts";

/** Standard deviation of the logarithm of a thickness that a person stated. Our choice. */
const statedThicknessSd = 0.15;

/** Of a lot of which nothing but the thickness of its pieces is known, or not even that. */
function priorOf(thicknessMm: number | null): RatePrior {
  if (thicknessMm === null)
    return { lnRate: Math.log(rateConstant.median), sd: Math.log(rateConstant.spread) };
  const stated = slabRatePerHour(rateConstant.diffusivity, thicknessMm / 2 / 1000);
  return { lnRate: Math.log(stated), sd: rateSdOf(statedThicknessSd) };
}

/**
 * By manner: what the prior adds to its log weight. An odd lot strays further from this prior too. How water is held,
 * and whether the lot is odd, it leaves alone.
 */
function oddsGivenRate(manners: readonly Manner[], { lnRate, sd }: RatePrior): Float64Array {
  return Float64Array.from(manners, ({ k, slow, widening, logWeight }) => {
    const alike = manners.filter((one) => one.slow === slow && one.widening === widening);
    const lnRates = alike.map((one) => Math.log(one.k));
    // Slower and faster than the grid reaches count as its ends.
    const about = Math.min(Math.max(lnRate, Math.min(...lnRates)), Math.max(...lnRates));
    const log = (one: number): number => -0.5 * ((one - about) / (widening * sd)) ** 2;
    const before = logSum(alike.map((one) => one.logWeight));
    return log(Math.log(k)) - logSum(lnRates.map(log)) + before - logWeight;
  });
}

export const oddsGivenThickness = (manners: readonly Manner[], thicknessMm: number): Float64Array =>
  oddsGivenRate(manners, priorOf(thicknessMm));

/** `seen`: what ended batches of the food showed, brought to this thickness. */
export function givenRate(
  evidence: Evidence,
  thicknessMm: number | null,
  seen: readonly RateSeen[],
): Evidence {
  const { manners } = evidence;
  if (seen.length === 0)
    return thicknessMm === null
      ? evidence
      : withManners(evidence, oddsGivenThickness(manners, thicknessMm));
  const prior = priorOf(thicknessMm);
  const learned = oddsGivenRate(manners, rateLearned(prior, seen));
  const unlike = oddsGivenRate(manners, prior);
  return withManners(
    evidence,
    learned.map((one, m) =>
      logSum([Math.log(1 - unlikeBefore) + one, Math.log(unlikeBefore) + unlike[m]!]),
    ),
  );
}

/** Brings what pieces of one thickness showed to another: k goes with the inverse of its square. */
export const atThickness = (
  { lnRate, u }: RateSeen,
  fromMm: number | null,
  toMm: number | null,
): RateSeen | null => {
  if (fromMm === null || toMm === null) return fromMm === toMm ? { lnRate, u } : null;
  return { lnRate: lnRate + 2 * Math.log(fromMm / toMm), u };
};
