import { divisionGrams } from "./pan.ts";

/** A tray of the tests of the whole. The masses are invented; the program does not know the curve. */
export type Load = {
  readonly name: string;
  readonly tare: number;
  readonly fresh: number;
  readonly waterPct: number;
};

/** First-order drying towards the dry matter and 2 % of it in water. */
export function trueNet({ fresh, waterPct }: Load, dryingHours: number): number {
  const end = fresh * (1 - waterPct / 100) * 1.02;
  return end + (fresh - end) * Math.exp(-0.3 * dryingHours);
}

/**
 * A mass of at most 0.3 divisions from a step of the display. What lies midway between two steps is now and then told
 * off by a little more than half a division, whatever the rule (`tests/settle/bound.test.ts`); how often is counted
 * there and in `score.test.ts`. Here, where the moment at which a tray comes out decides its mass, one run in some
 * hundred would have such a load.
 */
export function clearOfMidway(gross: number): number {
  const steps = gross / divisionGrams;
  const step = Math.round(steps);
  return (step + 0.6 * (steps - step)) * divisionGrams;
}
