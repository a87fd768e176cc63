/** What a stated thickness of the pieces tells of the rate constant. */
import { slabRatePerHour } from "./diffusion.ts";
import { withManners, type Evidence } from "./evidence.ts";
import { logSum } from "./logsum.ts";
import { rateConstant, type Manner } from "./ways.ts";

/**
 * Geometric standard deviation of the rate constant of pieces of a stated thickness: 15 % in the thickness, of which it
 * takes the square, and as much again for foods that let vapour through more or less easily. Our choice.
 */
const spreadGiven = 1.5;

/** By manner: what the thickness adds to its log weight. How water is held, and whether the lot is odd, it leaves alone. */
export function oddsGivenThickness(manners: readonly Manner[], thicknessMm: number): Float64Array {
  const stated = slabRatePerHour(rateConstant.diffusivity, thicknessMm / 2 / 1000);
  const rates = manners.map(({ k }) => k);
  // Thinner and thicker than the grid reaches count as its ends.
  const rate = Math.min(Math.max(stated, Math.min(...rates)), Math.max(...rates));
  const odds = Float64Array.from(
    manners,
    ({ k }) =>
      0.5 * (Math.log(k / rateConstant.median) / Math.log(rateConstant.spread)) ** 2 -
      0.5 * (Math.log(k / rate) / Math.log(spreadGiven)) ** 2,
  );
  const alike = (one: Manner): number[] =>
    manners.flatMap(({ slow, widening }, m) =>
      slow === one.slow && widening === one.widening ? [m] : [],
    );
  return odds.map((own, i) => {
    const group = alike(manners[i]!);
    const before = logSum(group.map((m) => manners[m]!.logWeight));
    return own - (logSum(group.map((m) => manners[m]!.logWeight + odds[m]!)) - before);
  });
}

export const givenThickness = (evidence: Evidence, thicknessMm: number | null): Evidence =>
  thicknessMm === null
    ? evidence
    : withManners(evidence, oddsGivenThickness(evidence.manners, thicknessMm));
