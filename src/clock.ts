import { monoMs, utcMs, type MonoMs, type UtcMs } from "./units/quantity.ts";

/**
 * The only file that may ask the time. The service's wall clock is anchored once and then carried on by the
 * monotonic clock, so that a jump of the system clock (network time, a person, a board without a battery)
 * never changes a duration within one run. `jumpMs` tells how far the system clock has since moved away.
 */
export type Clock = {
  /** Real milliseconds: settling, links, time-outs. */
  mono(): MonoMs;
  /** The service's wall clock, running `timeFactor` times as fast as the real one. */
  utc(): UtcMs;
  readonly timeFactor: number;
  /** System clock less our own, in real milliseconds. */
  jumpMs(): number;
};

export function systemClock(timeFactor = 1): Clock {
  const startedMono = performance.now();
  const startedUtc = Date.now();
  const elapsed = (): number => performance.now() - startedMono;
  return {
    timeFactor,
    mono: () => monoMs(elapsed()),
    utc: () => utcMs(Math.round(startedUtc + elapsed() * timeFactor)),
    jumpMs: () => Date.now() - startedUtc - elapsed(),
  };
}
