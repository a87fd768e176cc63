/**
 * When a scale that is connected has fallen silent. In: the moments of its lines. Out: whether, at a given
 * moment, nothing has come for longer than three of its own periods, and at least two seconds.
 */
import type { MonoMs } from "../units/quantity.ts";

export type Rhythm = { readonly last: MonoMs | null; readonly gapsMs: readonly number[] };

export const noRhythm: Rhythm = { last: null, gapsMs: [] };

const remembered = 15;
const leastMs = 2000;

export function afterLine(rhythm: Rhythm, at: MonoMs): Rhythm {
  if (rhythm.last === null) return { last: at, gapsMs: [] };
  return { last: at, gapsMs: [...rhythm.gapsMs, at - rhythm.last].slice(-remembered) };
}

export function silentAfterMs(rhythm: Rhythm): number {
  const sorted = rhythm.gapsMs.toSorted((a, b) => a - b);
  const median = sorted[Math.floor(sorted.length / 2)] ?? 0;
  return Math.max(leastMs, 3 * median);
}

/** `since`: when the connection came up, for a scale that has not sent a line yet. */
export const isSilent = (rhythm: Rhythm, since: MonoMs, now: MonoMs): boolean =>
  now - Math.max(rhythm.last ?? since, since) > silentAfterMs(rhythm);
