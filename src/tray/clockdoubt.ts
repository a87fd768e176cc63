/**
 * What is to be doubted of the time of a weighing. Drying hours are counted by a clock that never jumps, so that a
 * wrong clock of the computer touches the time of day alone; but when the computer was off and then woke with its
 * clock in the past, nobody knows for how long it was off, and hours of drying may be missing.
 */
import type { UtcMs } from "../units/quantity.ts";

/** Noticed whenever the computer's clock and the program's came apart, or together again. */
export type ClockJump = {
  /** By the program's clock. */
  readonly at: UtcMs;
  /** The computer's clock less the program's from then on. */
  readonly awayMs: number;
  /** The computer had been off, for nobody knows how long. */
  readonly offUnknown: boolean;
};

type ClockDoubt = "time-of-day" | "hours-missing";

/** The clocks have to be this far apart before it is worth a word. */
export const jumpWorthSayingMs = 2000;

/** `since`: when what is measured began; an unknown time before that matters to nobody. */
export function clockDoubtAt(
  jumps: readonly ClockJump[],
  at: UtcMs,
  since: UtcMs,
): ClockDoubt | null {
  const before = jumps.filter((jump) => jump.at <= at);
  if (before.some((jump) => jump.offUnknown && jump.at >= since)) return "hours-missing";
  return Math.abs(before.at(-1)?.awayMs ?? 0) < jumpWorthSayingMs ? null : "time-of-day";
}

/** What there is to note now; null: the clocks stand to each other as they were last known to. */
export function jumpSince(
  jumps: readonly ClockJump[],
  now: { readonly at: UtcMs; readonly awayMs: number },
): ClockJump | null {
  const known = jumps.at(-1)?.awayMs ?? 0;
  if (Math.abs(now.awayMs - known) < jumpWorthSayingMs) return null;
  const awayMs = Math.abs(now.awayMs) < jumpWorthSayingMs ? 0 : Math.round(now.awayMs);
  return { at: now.at, awayMs, offUnknown: false };
}
