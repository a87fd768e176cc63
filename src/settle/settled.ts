import type { Grams, MonoMs, UtcMs } from "../units/quantity.ts";

/** A load at rest: announced once for each load. */
export type SettledWeight = {
  readonly mass: Grams;
  /** Standard uncertainty of this mass on this scale: division and reading noise. */
  readonly u: Grams;
  readonly division: Grams;
  /** Readings that the mass rests on. */
  readonly looks: number;
  /** When the load came to rest, and the moment of the announcement. */
  readonly fromMonoMs: MonoMs;
  readonly atMonoMs: MonoMs;
  readonly atUtcMs: UtcMs;
  /** Whether the empty pan was seen near zero since the scale came back from a silence or a lost link. */
  readonly zeroSeen: boolean;
};
