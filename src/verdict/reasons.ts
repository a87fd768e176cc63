/** Each word's reasons in one plain sentence with its figures. */
import { coreFoundDry } from "./core.ts";
import type { Dryness } from "./dryness.ts";
import type { Load } from "./load.ts";
import type { Outlook } from "./outlook.ts";
import type { Pair } from "./pair.ts";
import { inHours, inMass, inShare } from "./phrase.ts";
import { thresholds, z95, zRise } from "./rules.ts";
import type { Reason } from "./verdict.ts";

/** Never a finer figure than half an hour, above six hours than one. */
export const roundedHours = (value: number): number =>
  value < 6 ? Math.ceil(value * 2) / 2 : Math.ceil(value);

export const riseReason = (pair: Pair): Reason => ({
  code: "rose",
  text: `gained ${inMass(-pair.lossGrams)} in ${inHours(pair.apartHours)}; the scale alone explains ${inMass(zRise * pair.uGrams)}`,
});

export const coreReason = (finding: string, atHour: number): Reason => ({
  code: "soft-core",
  text: `the thickest piece was ${finding} inside at ${inHours(atHour)} of drying: dry on and break another`,
});

export function stableReasons(
  { load }: Dryness,
  pair: Pair,
  { remaining }: Outlook,
): readonly Reason[] {
  const most = inMass(Math.max(pair.lossGrams, 0) + z95 * pair.uGrams);
  const high = inShare(remaining.high / load.end.dryGrams);
  const steady: Reason = {
    code: "steady",
    text: `no loss above ${most} in ${inHours(pair.apartHours)}; at most ${high} of the dry mass left to lose (95 %)`,
  };
  if (load.end.telling) return [steady];
  return [
    steady,
    {
      code: "dryness-unchecked",
      text: coreFoundDry(load)
        ? "the dry mass of this food is too little known to show a dryer that stopped: only the piece found dry speaks against it"
        : "the dry mass of this food is too little known to show a dryer that stopped: break the thickest piece of the tray",
    },
  ];
}

export function stallReason({ end, rows }: Load, pair: Pair): Reason {
  const mass = rows.at(-1)!.netGrams;
  const most = end.endGrams + z95 * end.endSdGrams;
  if (!end.blind && mass > most)
    return {
      code: "heavy",
      text: `weight stands still at ${inMass(mass)}, yet dry this food weighs at most ${inMass(most)}: check vacuum, heat and ice, and the tare`,
    };
  return {
    code: "broke-off",
    text: `the loss broke off to ${inMass(pair.lossGrams)} in ${inHours(pair.apartHours)} without the slow end that drying has: check vacuum, heat and ice`,
  };
}

export function losingReason(pair: Pair | null, { remaining }: Outlook, dryGrams: number): Reason {
  const left = `${inMass(remaining.low)} to ${inMass(remaining.high)} of water left to lose`;
  if (pair === null || pair.lossGrams < z95 * pair.uGrams)
    return { code: "above-tolerance", text: left };
  const rate = inShare(pair.lossGrams / pair.apartHours / dryGrams);
  return {
    code: "above-tolerance",
    text: `lost ${inMass(pair.lossGrams)} in ${inHours(pair.apartHours)}, ${rate} of the dry mass an hour; ${left}`,
  };
}

export function unsureReasons(
  { load, pWetStopped }: Dryness,
  pair: Pair | null,
  { nextWeighingHours }: Outlook,
  limit: number,
): readonly Reason[] {
  const next = inHours(roundedHours(nextWeighingHours));
  if (pair === null)
    return [
      {
        code: "too-few",
        text: `one weighing proves nothing; weigh again after ${next} more of drying`,
      },
    ];
  const reasons: Reason[] = [];
  const limitGrams = limit * load.end.dryGrams;
  if (z95 * pair.uGrams > limitGrams)
    reasons.push({
      code: "too-coarse",
      text: `losses under ${inMass(z95 * pair.uGrams)} do not show on this scale, and ${inMass(limitGrams)} matter here; a finer scale or ${next} more of drying would settle it`,
    });
  if (pWetStopped > 1 - thresholds.stable) reasons.push(doubtOfDryer(load));
  if (reasons.length === 0)
    reasons.push({
      code: "too-few",
      text: `the last weighings leave it open; weigh again after ${next} more of drying`,
    });
  return reasons;
}

function doubtOfDryer({ end, rows }: Load): Reason {
  if (!end.telling)
    return {
      code: "dryness-unchecked",
      text: `the dry mass of this food is too little known to show a dryer that stopped; its water content, or the thickest piece broken, would settle it`,
    };
  if (rows.at(-1)!.netGrams > end.endGrams)
    return {
      code: "heavy",
      text: `weight stands still, but heavier than this food is likely to be when dry: check vacuum, heat and ice`,
    };
  return {
    code: "broke-off",
    text: `the loss broke off sooner than drying mostly ends: check vacuum, heat and ice, or break the thickest piece`,
  };
}

export const togetherReason = (limit: number): Reason => ({
  code: "steady",
  text: `all trays weighed as one load have at most ${inShare(limit)} of the dry mass left to lose, though this scale is too coarse to show it for one tray`,
});
