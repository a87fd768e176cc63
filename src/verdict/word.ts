/** The rule: which word, and how sure. */
import { normalBelow } from "../drying/normal.ts";
import { openCore } from "./core.ts";
import type { Dryness } from "./dryness.ts";
import type { Pair } from "./pair.ts";
import { leastHoursApart, mostCertain, rateTolerance, thresholds, zRise } from "./rules.ts";
import type { VerdictWord } from "./verdict.ts";

export type Word = { readonly verdict: VerdictWord; readonly confidence: number };

/** Standard deviations above the expected end from which no such food is dry. Our choice. */
const tooHeavy = 3;
/** From this probability of dryness on a tray may still be unproved, but is not called losing for how fast it lost. */
const mostlyDry = 0.5;

/** `pair` is the last pair of weighings far enough apart, or null. */
export function wordFor(dryness: Dryness, pair: Pair | null): Word {
  const { load, pDry, pWetStopped, pWetWorking } = dryness;
  if (openCore(load.log) !== null) return { verdict: "losing", confidence: mostCertain };
  if (pair !== null && pair.lossGrams < -zRise * pair.uGrams)
    return { verdict: "gaining", confidence: normalBelow(-pair.lossGrams / pair.uGrams) };

  const dryGrams = load.end.dryGrams;
  const tolerated = rateTolerance * dryGrams * (pair?.apartHours ?? 0);
  // A loss in the last hours of drying does not say that anything is left.
  const pFast =
    pair === null || pDry >= mostlyDry
      ? 0
      : normalBelow((pair.lossGrams - tolerated) / pair.uGrams);
  // One weighing cannot show a dryer that stopped: if water is left, what it needs is hours.
  const pLosing =
    pair === null ? pWetWorking + pWetStopped : Math.max(pWetWorking, pFast * (1 - pWetStopped));

  if (isPaired(load) && pDry >= thresholds.stable)
    return isTooHeavy(dryness)
      ? { verdict: "stalled", confidence: pDry }
      : { verdict: "stable", confidence: pDry };
  if (isPaired(load) && pWetStopped >= thresholds.stalled)
    return { verdict: "stalled", confidence: pWetStopped };
  if (pLosing >= thresholds.losing) return { verdict: "losing", confidence: pLosing };
  return { verdict: "unsure", confidence: 1 - Math.max(pDry, pWetStopped, pLosing) };
}

/** Two weighings far enough apart since the mass last rose: less proves nothing. */
const isPaired = ({ rows }: Dryness["load"]): boolean =>
  rows.at(-1)!.hour - rows[0]!.hour >= leastHoursApart;

/** Nothing leaves any more, yet no food of this kind weighs so much when dry, whatever the dryer does. */
export function isTooHeavy({ load }: Dryness): boolean {
  const { endGrams, endSdGrams, blind } = load.end;
  return !blind && load.rows.at(-1)!.netGrams > endGrams + tooHeavy * endSdGrams;
}
