/** Food being poured onto a tray: what is on it, and how that stands to its target. Masses in grams. */
import type { Pour } from "../../src/wire/bench.ts";

export type Pouring = {
  /** `off`: the tray is not on the scale, or nothing was poured yet and its key made the display zero. */
  readonly is: "off" | "short" | "enough" | "over" | "open";
  readonly netGrams: number;
  /** Below zero: too much. null: as much as comes. */
  readonly toGoGrams: number | null;
};

/** A tray may rest so much of its own mass, or so many divisions, lighter than it was weighed and still be there. */
const lighterShare = 0.02;
const lighterDivisions = 3;

export function pouringOf(
  pour: Pick<Pour, "beforeGrams" | "hiddenGrams" | "targetGrams" | "toleranceGrams">,
  shownGrams: number,
  divisionGrams: number,
): Pouring {
  const net = shownGrams + pour.hiddenGrams - pour.beforeGrams;
  const isThere =
    net >= -Math.max(lighterDivisions * divisionGrams, lighterShare * pour.beforeGrams);
  const netGrams = Math.max(0, net);
  const { targetGrams, toleranceGrams } = pour;
  if (targetGrams === null) return { is: isThere ? "open" : "off", netGrams, toGoGrams: null };
  const toGoGrams = targetGrams - netGrams;
  if (!isThere) return { is: "off", netGrams: 0, toGoGrams: targetGrams };
  const tolerance = toleranceGrams ?? 0;
  const is = Math.abs(toGoGrams) <= tolerance ? "enough" : toGoGrams > 0 ? "short" : "over";
  return { is, netGrams, toGoGrams };
}

/** One food without a target is put on as it comes, and taken as any other load. */
export const isPoured = (pour: Pour | null): pour is Pour =>
  pour !== null && (pour.targetGrams !== null || pour.portions > 1);
