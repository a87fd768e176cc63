/** Dividing a dry mass into bags. In: grams and a scale's division. Out: masses that add up exactly. */
import { fromMicrograms, toMicrograms, toMilligrams } from "../units/mass.ts";
import { grams, type Grams } from "../units/quantity.ts";

/**
 * Masses of `count` bags that differ by no more than one division and whose sum in milligrams is the total's. What is
 * finer than a division goes into the last bag, which never got one of the divisions that were left over.
 */
export function planEqualBags(total: Grams, count: number, division: Grams): readonly Grams[] {
  if (!Number.isSafeInteger(count) || count < 1)
    throw new RangeError(`${count} is no number of bags`);
  if (!(total >= 0) || !(division > 0)) throw new RangeError(`${total} g by ${division} g`);
  const divisionUg = toMicrograms(division);
  const totalUg = toMilligrams(total) * 1000;
  const divisions = Math.floor(totalUg / divisionUg);
  const each = Math.floor(divisions / count);
  const leftOver = divisions - each * count;
  const finer = totalUg - divisions * divisionUg;
  return Array.from({ length: count }, (_, index) => {
    const more = index < leftOver ? divisionUg : 0;
    const last = index === count - 1 ? finer : 0;
    return fromMicrograms(each * divisionUg + more + last);
  });
}

/** Grams by which a fill may miss its target: 1 % of it, but never less than a division. Our choice. */
export const toleranceOf = (target: Grams, division: Grams): Grams =>
  grams(Math.max(division, 0.01 * target));

/** How many bags of about a given fresh equivalent a mass makes; at least one. */
export const bagsOfFresh = (freshTotal: Grams, freshPerBag: Grams): number =>
  Math.max(1, Math.round(freshTotal / freshPerBag));

/** Fresh food that a dry mass stands for, at the batch's own ratio. */
export const freshEquivalent = (dry: Grams, freshPerDry: number): Grams => grams(dry * freshPerDry);

/** Water to add so that dried food has the water again that it had when fresh: what it lost. */
export const waterToRestore = (dry: Grams, freshPerDry: number): Grams =>
  grams(Math.max(0, dry * (freshPerDry - 1)));

/** What the bags that are not yet filled should take, in their order, so that these end equal. */
export function openTargets(
  plan: {
    readonly total: Grams;
    readonly filled: readonly Grams[];
    readonly open: number;
  },
  division: Grams,
): readonly Grams[] {
  const taken = plan.filled.reduce((sum, one) => sum + one, 0);
  return planEqualBags(grams(Math.max(0, plan.total - taken)), plan.open, division);
}
