/**
 * What trays of one food tell of each other's dry mass. They were filled from one lot, so when dry each weighs much the
 * same share of what was loaded. A tray that stands still well above that has a dryer that stopped before it was
 * through, or holds something else than was written down: no loss on a scale can tell which.
 */
import { normalDensity } from "../drying/normal.ts";
import { odd } from "../drying/ways.ts";
import { coreFoundDry } from "./core.ts";
import type { Dryness } from "./dryness.ts";
import { holdSameFood, type Load } from "./load.ts";
import { stopsPerHour } from "./rules.ts";
import type { Word } from "./word.ts";

/** Trays of one lot differ by this share of what lots of the food differ by. Our choice. */
const withinLot = 0.4;
/** With one other alone nobody knows which of the two strays. */
const leastOthers = 2;
/** Standard deviations above the others from which a tray is too heavy, as for one above what its food can weigh. */
const tooHeavy = 3;

/** A tray that is called stable and too heavy for that beside the others. */
type HeavyForLot = {
  readonly dryness: Dryness;
  /** The most it could weigh as dry as the others of its food. */
  readonly mostGrams: number;
};

/**
 * For each tray, in the order of `all` and `words`: what is believed of it in the light of the stable ones of its food,
 * where they speak against it; else null. A thickest piece found dry settles it.
 */
export function heavyForLot(
  all: readonly Dryness[],
  words: readonly Word[],
): readonly (HeavyForLot | null)[] {
  const stable = all.filter((_, i) => words[i]!.verdict === "stable");
  return all.map((dryness) => {
    const { load } = dryness;
    if (!stable.includes(dryness) || coreFoundDry(load)) return null;
    const others = stable.flatMap(({ load: other }) => (isOfOneLot(other, load) ? [other] : []));
    if (others.length < leastOthers) return null;
    const { mean, sd } = dryAsThose(load, others);
    const above = (newest(load).netGrams - mean) / sd;
    if (above <= tooHeavy) return null;
    return {
      dryness: doubted(dryness, chanceOfStop(load, above, sd)),
      mostGrams: mean + tooHeavy * sd,
    };
  });
}

const isOfOneLot = (other: Load, load: Load): boolean =>
  other !== load && !load.end.blind && !other.end.blind && holdSameFood(other, load);

const newest = ({ rows }: Load): Load["rows"][number] => rows.at(-1)!;

/** Variance of a median against that of one value, times their number, for a Gaussian (from memory). */
const ofMedian = Math.PI / 2;

/**
 * Grams that the tray would weigh if it were as dry as those in the median, or as the heavier of two: one from which
 * food was taken makes no other look heavy.
 */
function dryAsThose({ end, rows }: Load, those: readonly Load[]): { mean: number; sd: number } {
  const shareOf = (one: Load): number => newest(one).netGrams / one.end.endGrams;
  const middle = those.toSorted((a, b) => shareOf(a) - shareOf(b))[Math.floor(those.length / 2)]!;
  return {
    mean: shareOf(middle) * end.endGrams,
    sd: Math.hypot(
      Math.sqrt(1 + ofMedian / those.length) * withinLot * end.endSdGrams,
      rows.at(-1)!.uGrams,
      newest(middle).uGrams * (end.endGrams / middle.end.endGrams),
    ),
  };
}

/**
 * Bayes: a dry tray strays from its lot as lots do from their food, a few of them further; one whose dryer stopped holds
 * any excess up to its dry mass, all alike. Hours count up to the first weighing, so that another adds nothing to the
 * doubt. `above`: in standard deviations of `sd` grams.
 */
function chanceOfStop({ end, rows }: Load, above: number, sd: number): number {
  const further = normalDensity(above / odd.times) / odd.times;
  const dry = (1 - odd.share) * normalDensity(above) + odd.share * further;
  const stopped = stopsPerHour * rows[0]!.hour * (sd / end.dryGrams);
  return stopped / (stopped + dry);
}

const doubted = (dryness: Dryness, pStopped: number): Dryness => ({
  ...dryness,
  pDry: dryness.pDry * (1 - pStopped),
  pWetWorking: dryness.pWetWorking * (1 - pStopped),
  pWetStopped: dryness.pWetStopped * (1 - pStopped) + pStopped,
});
