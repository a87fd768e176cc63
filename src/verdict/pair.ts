import { z95 } from "../units/normal.ts";
import { grams, type Grams } from "../units/quantity.ts";
import type { Load } from "./load.ts";
import { leastHoursApart } from "./rules.ts";

/** The last two weighings of a stretch and what may be read from them. */
export type Pair = {
  /** Below 0 for a rise. */
  readonly lossGrams: number;
  readonly apartHours: number;
  /** Standard uncertainty of the loss. */
  readonly uGrams: number;
};

/** The last weighing and the newest before it that lies far enough back to tell anything; null where there is none. */
export function lastPair({ stretchRows: rows }: Load): Pair | null {
  const last = rows.at(-1);
  const before = rows.findLast(
    (row) => last !== undefined && last.hour - row.hour >= leastHoursApart,
  );
  if (last === undefined || before === undefined) return null;
  return {
    lossGrams: before.netGrams - last.netGrams,
    apartHours: last.hour - before.hour,
    uGrams: Math.hypot(last.uGrams, before.uGrams),
  };
}

/** The smallest loss between the last two weighings that the scale can tell from nothing, one-sided 95 %. */
export function provableOf({ stretchRows: rows }: Load): Grams {
  const last = rows.at(-1)!;
  const before = rows.at(-2) ?? last;
  return grams(z95 * Math.hypot(last.uGrams, before.uGrams));
}
