import { heldAfter, iceHours } from "../drying/late.ts";
import type { Dryness } from "./dryness.ts";
import { leastHoursApart, z95 } from "./rules.ts";

/** A value with its weight; weights need not add up to one. */
export type Weighted = { readonly value: number; readonly weight: number };

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
const rare = 1e-4;
const leastOfCommonest = 0.02;
/** Three points with the weights of a Gaussian's own moments (Gauss–Hermite). */
const threePoints = [
  { z: -Math.sqrt(3), part: 1 / 6 },
  { z: 0, part: 2 / 3 },
  { z: Math.sqrt(3), part: 1 / 6 },
] as const;

export function outlookOf(dryness: Dryness, limit: number, uPairGrams: number): Outlook {
  const { evidence, hypotheses, load } = dryness;
  const limitGrams = limit * load.end.dryGrams;
  const remaining: Weighted[] = [];
  for (const { hypothesis, share, excessMean, excessSd } of evidence.cases) {
    const weight = hypotheses[hypothesis]! * share;
    if (weight < rare) continue;
    for (const { z, part } of threePoints)
      remaining.push({ value: Math.max(excessMean + z * excessSd, 0), weight: weight * part });
  }

  const working = evidence.cases.filter(({ hypothesis }) => hypothesis === 0);
  const commonest = working.reduce((most, { share }) => Math.max(most, share), 0);
  const [slowK] = quantiles(
    working.map(({ cell, share }) => ({ value: cell.k, weight: share })),
    [0.2],
  );
  const lastHour = load.rows.at(-1)!.hour;
  const more = working
    .filter(({ share }) => share > leastOfCommonest * commonest)
    .map(({ cell: { kneeHour, kneeSpread, k }, share, iceRate, boundGrams }) => {
      const excessAfter = (hours: number): number => {
        const ice = iceHours(lastHour + hours, kneeHour, kneeSpread);
        const held = heldAfter(lastHour + hours - kneeHour + ice, k);
        return Math.max(iceRate, 0) * ice + Math.max(boundGrams, 0) * held;
      };
      return {
        value: hoursToProof(excessAfter, { limitGrams, uPairGrams, slowK: slowK! }),
        weight: share,
      };
    });
  const hours = spreadOf(more);
  return {
    remaining: spreadOf(remaining),
    moreHours: hours.low >= horizonHours ? null : hours,
    nextWeighingHours: Math.max(quantiles(more, [0.1])[0]!, leastHoursApart),
  };
}

/**
 * Hours until a weighing then, against the last one, bounds what is left below the limit:
 * excess ≤ (loss + z·u) / (e^(k·hours) − 1), with a slow k.
 */
function hoursToProof(
  excessAfter: (hours: number) => number,
  { limitGrams, uPairGrams, slowK }: { limitGrams: number; uPairGrams: number; slowK: number },
): number {
  const now = excessAfter(0);
  const proved = (hours: number): boolean => {
    const left = excessAfter(hours);
    if (left > belowLimit * limitGrams) return false;
    // A weighing half way would bound it as well, so only what is lost in the second half counts.
    const half = hours / 2;
    const lost = Math.min(excessAfter(half) - left, now - left);
    const wholeBound = (now - left + z95 * uPairGrams) / Math.expm1(slowK * hours);
    const halfBound = (lost + z95 * uPairGrams) / Math.expm1(slowK * half);
    return Math.min(wholeBound, halfBound) <= limitGrams;
  };
  let low = 0;
  let high = leastHoursApart;
  while (!proved(high)) {
    low = high;
    high *= 1.5;
    if (high > horizonHours) return horizonHours;
  }
  for (let i = 0; i < 6; i++) {
    const middle = (low + high) / 2;
    if (middle >= leastHoursApart && proved(middle)) high = middle;
    else low = middle;
  }
  return high;
}

/** The values below which each share in `ps`, rising, of all weight lies. */
export function quantiles(values: readonly Weighted[], ps: readonly number[]): readonly number[] {
  const sorted = values.filter(({ weight }) => weight > 0).toSorted((a, b) => a.value - b.value);
  const total = sorted.reduce((sum, { weight }) => sum + weight, 0);
  let seen = 0;
  let i = 0;
  return ps.map((p) => {
    while (i < sorted.length - 1 && seen + sorted[i]!.weight < p * total)
      seen += sorted[i++]!.weight;
    return sorted[i]?.value ?? 0;
  });
}

function spreadOf(values: readonly Weighted[]): Spread {
  const [low, middle, high] = quantiles(values, [0.05, 0.5, 0.95]);
  return { low: low!, middle: middle!, high: high! };
}

/** Hours between two weighings after which no loss at all would bound the excess by the limit. */
export const hoursToProveDry = (limitGrams: number, uPairGrams: number, k: number): number =>
  Math.max(leastHoursApart, Math.log1p((z95 * uPairGrams) / limitGrams) / k);
