/** Each word's reasons, each a sentence with its figures. */
import { z95 } from "../units/normal.ts";
import { coreFoundDry } from "./core.ts";
import type { Dryness } from "./dryness.ts";
import type { Load } from "./load.ts";
import type { Outlook } from "./outlook.ts";
import type { Pair } from "./pair.ts";
import { thresholds, zRise } from "./rules.ts";
import { said, type Figures, type Sentence } from "./sentences.ts";
import type { Reason, ReasonCode } from "./verdict.ts";

/** Never a finer figure than half an hour, above six hours than one. */
export const roundedHours = (value: number): number =>
  value < 6 ? Math.ceil(value * 2) / 2 : Math.ceil(value);

const reason = (code: ReasonCode, sentence: Sentence, figures: Figures = {}): Reason => ({
  code,
  ...said(sentence, figures),
});

export const riseReason = ({ lossGrams, apartHours, uGrams }: Pair): Reason =>
  reason("rose", "rose", {
    lossGrams: -lossGrams,
    apartHours,
    explainedGrams: zRise * uGrams,
  });

export const coreReason = (finding: string, atHours: number): Reason =>
  reason("soft-core", "soft-core", { finding, atHours });

export const notWeighedReason = (nextHours: number): Reason =>
  reason("too-few", "not-weighed", { nextHours });

export function stableReasons(
  { load }: Dryness,
  pair: Pair,
  { remaining }: Outlook,
): readonly Reason[] {
  const steady = reason("steady", "steady", {
    mostGrams: Math.max(pair.lossGrams, 0) + z95 * pair.uGrams,
    apartHours: pair.apartHours,
    highShare: remaining.high / load.end.dryGrams,
  });
  if (load.end.telling) return [steady];
  return [steady, reason("dryness-unchecked", coreFoundDry(load) ? "only-core" : "no-core")];
}

export function stallReason({ end, rows }: Load, pair: Pair): Reason {
  const netGrams = rows.at(-1)!.netGrams;
  const mostGrams = end.endGrams + z95 * end.endSdGrams;
  if (!end.blind && netGrams > mostGrams) return reason("heavy", "heavy", { netGrams, mostGrams });
  const { lossGrams, apartHours } = pair;
  return reason("broke-off", "broke-off", { lossGrams, apartHours });
}

export const lotReason = ({ rows }: Load, mostGrams: number): Reason =>
  reason("heavy", "heavy-for-lot", { netGrams: rows.at(-1)!.netGrams, mostGrams });

export function losingReason(pair: Pair | null, { remaining }: Outlook, dryGrams: number): Reason {
  const left = { lowGrams: remaining.low, highGrams: remaining.high };
  if (pair === null || pair.lossGrams < z95 * pair.uGrams)
    return reason("above-tolerance", "water-left", left);
  const { lossGrams, apartHours } = pair;
  const hourlyShare = lossGrams / apartHours / dryGrams;
  return reason("above-tolerance", "losing", { lossGrams, apartHours, hourlyShare, ...left });
}

export function unsureReasons(
  { load, pWetStopped }: Dryness,
  pair: Pair | null,
  { nextWeighingHours }: Outlook,
  limit: number,
): readonly Reason[] {
  const nextHours = roundedHours(nextWeighingHours);
  if (pair === null) return [reason("too-few", "one-weighing", { nextHours })];
  const reasons: Reason[] = [];
  const limitGrams = limit * load.end.dryGrams;
  const leastGrams = z95 * pair.uGrams;
  if (leastGrams > limitGrams)
    reasons.push(reason("too-coarse", "too-coarse", { leastGrams, limitGrams, nextHours }));
  if (pWetStopped > 1 - thresholds.stable) reasons.push(doubtOfDryer(load));
  if (reasons.length === 0) reasons.push(reason("too-few", "open", { nextHours }));
  return reasons;
}

function doubtOfDryer({ end, rows }: Load): Reason {
  if (!end.telling) return reason("dryness-unchecked", "no-food");
  if (rows.at(-1)!.netGrams > end.endGrams) return reason("heavy", "likely-heavy");
  return reason("broke-off", "likely-broke-off");
}

export const togetherReason = (limit: number): Reason =>
  reason("steady", "together", { limitShare: limit });
