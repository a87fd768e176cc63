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
  /** The computer's own clock. */
  system(): UtcMs;
  /**
   * Goes on from a moment of an earlier run and the time that has passed since by the computer's clock, where that
   * is later than now: time never runs backwards, also when a computer wakes in the past.
   */
  carryOnFrom(earlier: { readonly at: UtcMs; readonly systemAt: UtcMs }): void;
  /** System clock less our own, in real milliseconds. */
  jumpMs(): number;
};

export function systemClock(timeFactor = 1): Clock {
  const startedMono = performance.now();
  const systemUtc = Date.now();
  let startedUtc = systemUtc;
  const elapsed = (): number => performance.now() - startedMono;
  const utc = (): UtcMs => utcMs(Math.round(startedUtc + elapsed() * timeFactor));
  return {
    timeFactor,
    mono: () => monoMs(elapsed()),
    utc,
    system: () => utcMs(Date.now()),
    carryOnFrom: ({ at, systemAt }) => {
      const away = Math.max(0, Date.now() - systemAt) * timeFactor;
      startedUtc += Math.max(0, at + away - utc());
    },
    jumpMs: () => Date.now() - systemUtc - elapsed(),
  };
}

/** ISO 8601 in UTC, as in the API and in messages. */
export const isoOf = (at: UtcMs): string => new Date(at).toISOString();

/** The moment that an ISO 8601 text with offset names; NaN never comes out: a false text is refused. */
export const utcFrom = (iso: string): UtcMs => utcMs(Date.parse(iso));
