/** Before anything was dried: whether this scale can prove this load dry, and how far apart two weighings must lie. */
import type { Batch } from "../../../src/wire/batch.ts";
import { say, speech } from "../page.ts";
import { showDuration, showMass } from "../show.ts";

export function ProvableBefore({ batch }: { readonly batch: Batch }) {
  const provable = batch.provableBefore;
  if (provable === null) return null;
  const { before } = say().batch;
  const { divisionGrams, longestHours, togetherHours, worthPlanningHours } = provable;
  const scale = showMass(speech.value, divisionGrams, divisionGrams);
  const finer = showMass(speech.value, provable.divisionNeededGrams, provable.divisionNeededGrams);
  const apart = (hours: number): string => showDuration(speech.value, Math.ceil(hours * 2) / 2);
  const text =
    longestHours <= worthPlanningHours
      ? before.can(scale, apart(longestHours))
      : batch.trays.length > 1 && togetherHours <= worthPlanningHours
        ? before.together(scale, apart(togetherHours), finer)
        : before.cannot(scale, apart(togetherHours), finer);
  return <p class="quiet">{text}</p>;
}
