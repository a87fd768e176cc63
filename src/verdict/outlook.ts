import { z95 } from "../units/normal.ts";
import { heldAfter, iceHours } from "../drying/late.ts";
import type { Case } from "../drying/evidence.ts";
import { roughlyBelow } from "../drying/normaltable.ts";
import type { Dryness } from "./dryness.ts";
import { quantiles, type Weighted } from "./quantiles.ts";
import { leastHoursApart, thresholds } from "./rules.ts";

export type Outlook = {
  /** Water still to lose, in grams: 5 %, 50 %, 95 %. */
  readonly remaining: Spread;
  /** Drying hours until dryness can be proved; null where no end is in sight. */
  readonly moreHours: Spread | null;
  /** Drying hours after which one more weighing could first settle the question. */
  readonly nextWeighingHours: number;
};

export type Spread = { readonly low: number; readonly middle: number; readonly high: number };

/** No plan reaches further. */
const horizonHours = 100;
/** Proof needs the excess somewhat below the limit, not at it. Our choice. */
const belowLimit = 0.6;
/** Cases rarer than this move no quantile that is shown. */
const rare = 5e-4;
/** Cases of a working dryer that are followed into the future. */
const followed = 24;
/** Three points with the weights of a Gaussian's own moments (Gauss–Hermite). */
const threePoints = [
  { z: -Math.sqrt(3), part: 1 / 6 },
  { z: 0, part: 2 / 3 },
  { z: Math.sqrt(3), part: 1 / 6 },
] as const;

/**
 * What is left and how long it will take, by what is believed of the tray. `limit`: excess as a share of the dry mass;
 * `uPairGrams`: standard uncertainty of the loss between two weighings to come.
 */
export function outlookOf(dryness: Dryness, limit: number, uPairGrams: number): Outlook {
  const more = hoursToGo(dryness, limit * dryness.load.end.dryGrams, uPairGrams);
  const [low, soon, middle, high] = quantiles(more, [0.05, 0.1, 0.5, 0.95]);
  const [least, half, most] = quantiles(excessLeft(dryness), [0.05, 0.5, 0.95]);
  return {
    remaining: { low: least!, middle: half!, high: most! },
    moreHours: low! >= horizonHours ? null : { low: low!, middle: middle!, high: high! },
    nextWeighingHours: Math.max(soon!, leastHoursApart),
  };
}

/** Grams of excess over all cases, whatever the dryer did. */
function excessLeft({ evidence, hypotheses }: Dryness): Weighted {
  const grams: Weighted = { values: [], weights: [] };
  for (const { hypothesis, share, excessMean, excessSd } of evidence.cases) {
    const weight = hypotheses[hypothesis]! * share;
    if (weight < rare) continue;
    for (const { z, part } of threePoints) {
      grams.values.push(Math.max(excessMean + z * excessSd, 0));
      grams.weights.push(weight * part);
    }
  }
  return grams;
}

/** Drying hours until dryness can be proved, over the cases of a dryer that works. */
function hoursToGo(
  { evidence, hypotheses, load }: Dryness,
  limitGrams: number,
  uPairGrams: number,
): Weighted {
  const working = evidence.cases.filter(({ hypothesis }) => hypothesis === 0);
  const rates = {
    values: working.map(({ cell }) => cell.k),
    weights: working.map(({ share }) => share),
  };
  const [slowK] = quantiles(rates, [0.2]);
  const lastHour = load.rows.at(-1)!.hour;
  const fading = (one: Case, share: number): Fading => ({
    excessMean: one.excessMean,
    excessSd: one.excessSd,
    k: one.cell.k,
    share,
    left: shareLeft(one, lastHour),
  });
  const likeliest = working.toSorted((a, b) => b.share - a.share).slice(0, followed);
  // Of waiting the likeliest alone are asked: weighings on the way will show whether it is one of the rare.
  const waiting = hoursOfWaiting(
    likeliest.map((one) => fading(one, one.share)),
    limitGrams,
    hypotheses[0]!,
  );
  const ways = drawnEvenly(working, limitGrams).map((one) => fading(one, 1));
  // Whether waiting will do or the scale has to show it depends on errors to come: as likely the one as the other.
  const more: Weighted = { values: [], weights: [] };
  for (const { k, share, excessMean, excessSd, left } of ways) {
    const proof = { limitGrams, uPairGrams, k: Math.sqrt(slowK! * k) };
    for (const { z, part } of threePoints) {
      const excess = Math.max(excessMean + z * excessSd, 0);
      const excessAfter = (hours: number): number => excess * left(hours);
      for (const enough of [waiting, horizonHours]) {
        more.values.push(hoursToProof(excessAfter, proof, enough));
        more.weights.push(share * part);
      }
    }
  }
  return more;
}

/**
 * So many cases, each standing for as large a share of all, from the soonest dry to the latest: the likeliest alone
 * would leave out the slow ones, of which each is rare and all together are not.
 */
function drawnEvenly(cases: readonly Case[], limitGrams: number): readonly Case[] {
  const sorted = cases
    .map((one) => ({ one, hours: roughHoursToDry(one, limitGrams) }))
    .toSorted((a, b) => a.hours - b.hours);
  const total = cases.reduce((sum, { share }) => sum + share, 0);
  let seen = 0;
  let i = 0;
  return Array.from({ length: Math.min(followed, sorted.length) }, (_, nth) => {
    const until = ((nth + 0.5) / Math.min(followed, sorted.length)) * total;
    while (i < sorted.length - 1 && seen + sorted[i]!.one.share < until)
      seen += sorted[i++]!.one.share;
    return sorted[i]!.one;
  });
}

/** For the order alone: its excess leaves at its late rate. */
const roughHoursToDry = ({ excessMean, cell }: Case, limitGrams: number): number =>
  Math.log(Math.max(excessMean, limitGrams / 10) / limitGrams) / cell.k;

/** A way of drying with the share of its excess that is left after so many more hours. */
type Fading = Pick<Case, "excessMean" | "excessSd" | "share"> & {
  readonly k: number;
  readonly left: (hours: number) => number;
};

function shareLeft(
  { cell: { kneeHour, cut, k }, iceRate, boundGrams }: Case,
  lastHour: number,
): (hours: number) => number {
  const excessAt = (hour: number): number => {
    const ice = iceHours(hour, kneeHour, cut);
    return (
      Math.max(iceRate, 0) * ice + Math.max(boundGrams, 0) * heldAfter(hour - kneeHour + ice, k)
    );
  };
  const now = excessAt(lastHour);
  return (hours) => (now > 0 ? excessAt(lastHour + hours) / now : 0);
}

/**
 * Hours after which a dryer that works has made the tray dry with the probability that `stable` asks for, whatever
 * the scale will show: from then on one more weighing that contradicts nothing settles it.
 */
function hoursOfWaiting(ways: readonly Fading[], limitGrams: number, pWorking: number): number {
  const total = ways.reduce((sum, { share }) => sum + share, 0);
  const dryAfter = (hours: number): number =>
    ways.reduce((sum, { share, excessMean, excessSd, left }) => {
      const still = Math.max(left(hours), Number.MIN_VALUE);
      return sum + (share / total) * roughlyBelow((limitGrams / still - excessMean) / excessSd);
    }, 0) * pWorking;
  return firstHours((hours) => dryAfter(hours) >= thresholds.stable);
}

/** The first hours, from the shortest interval that counts, after which something holds; the horizon if never. */
function firstHours(holds: (hours: number) => boolean): number {
  let low = leastHoursApart as number;
  let high = low;
  while (!holds(high)) {
    if (high >= horizonHours) return horizonHours;
    low = high;
    high = Math.min(high * 1.5, horizonHours);
  }
  for (let i = 0; i < 5 && high - low > 0.25; i++) {
    const middle = (low + high) / 2;
    if (holds(middle)) high = middle;
    else low = middle;
  }
  return high;
}

/**
 * Hours until the excess is below the limit and shown to be, by a weighing then, against the last one:
 * excess ≤ (loss + z·u) / (e^(k·hours) − 1); or by having waited long enough.
 */
function hoursToProof(
  excessAfter: (hours: number) => number,
  { limitGrams, uPairGrams, k }: { limitGrams: number; uPairGrams: number; k: number },
  waiting: number,
): number {
  const now = excessAfter(0);
  return firstHours((hours) => {
    const left = excessAfter(hours);
    if (left > belowLimit * limitGrams) return false;
    if (hours >= waiting) return true;
    // A weighing half way would bound it as well, so only what is lost in the second half counts.
    const half = hours / 2;
    const lost = Math.min(excessAfter(half) - left, now - left);
    const wholeBound = (now - left + z95 * uPairGrams) / Math.expm1(k * hours);
    const halfBound = (lost + z95 * uPairGrams) / Math.expm1(k * half);
    return Math.min(wholeBound, halfBound) <= limitGrams;
  });
}
