import { uptime } from "node:os";
import { monoMs, utcMs, type MonoMs, type UtcMs } from "./units/quantity.ts";

/**
 * The only file that may ask the time. The service's wall clock is anchored once and then carried on by the
 * monotonic clock, so that a jump of the system clock (network time, a person, a board without a battery)
 * never changes a duration. `awayMs` tells how far the system clock is away from it.
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
   * is later than now: time never runs backwards, also when a computer wakes in the past. `midway`: also where it is
   * earlier, because what is under way was begun by a clock that the computer's has since moved away from.
   */
  carryOnFrom(earlier: { readonly at: UtcMs; readonly systemAt: UtcMs }, midway?: "midway"): void;
  /** Moves by so many real milliseconds, back where they are negative: the computer's time is taken over. */
  moveBy(ms: number): void;
  /** For how long the computer had been switched on when this clock began, in real milliseconds. */
  readonly upAtStartMs: number;
  /** System clock less our own, in real milliseconds; where ours runs fast, how that has changed since the start. */
  awayMs(): number;
  /**
   * Moves on by the time that the computer slept since it was last asked, in which the monotonic clock stood still
   * (Linux: CLOCK_MONOTONIC against CLOCK_BOOTTIME). Answers how long that was, in real milliseconds; 0: it did not.
   */
  wake(): number;
};

/** Where the time comes from, each in milliseconds: since a moment, since 1970, since the computer was switched on. */
export type TimeSource = {
  readonly monoMs: () => number;
  readonly utcMs: () => number;
  readonly upMs: () => number;
};

const computer: TimeSource = {
  monoMs: () => performance.now(),
  utcMs: () => Date.now(),
  upMs: () => uptime() * 1000,
};

/** Below this a computer did not sleep: it was busy, or its clocks are read a moment apart. */
const sleptAtLeastMs = 2000;

export function systemClock(timeFactor = 1, source: TimeSource = computer): Clock {
  const startedMono = source.monoMs();
  const upAtStartMs = source.upMs();
  const systemUtc = source.utcMs();
  let startedUtc = systemUtc;
  let awakeUpMs = upAtStartMs;
  let awakeMono = startedMono;
  const elapsed = (): number => source.monoMs() - startedMono;
  const utc = (): UtcMs => utcMs(Math.round(startedUtc + elapsed() * timeFactor));
  return {
    timeFactor,
    mono: () => monoMs(elapsed()),
    utc,
    system: () => utcMs(source.utcMs()),
    carryOnFrom: ({ at, systemAt }, midway) => {
      const away = Math.max(0, source.utcMs() - systemAt) * timeFactor;
      const late = at + away - utc();
      startedUtc += midway === undefined ? Math.max(0, late) : late;
    },
    moveBy: (ms) => {
      startedUtc += ms * timeFactor;
    },
    upAtStartMs,
    awayMs: () =>
      timeFactor === 1 ? source.utcMs() - utc() : source.utcMs() - systemUtc - elapsed(),
    wake: () => {
      const up = source.upMs();
      const mono = source.monoMs();
      const slept = up - awakeUpMs - (mono - awakeMono);
      awakeUpMs = up;
      awakeMono = mono;
      if (slept < sleptAtLeastMs) return 0;
      startedUtc += slept * timeFactor;
      return slept;
    },
  };
}

/** ISO 8601 in UTC, as in the API and in messages. */
export const isoOf = (at: UtcMs): string => new Date(at).toISOString();
export const isoOrNull = (at: UtcMs | null): string | null => (at === null ? null : isoOf(at));

/** The moment that an ISO 8601 text with offset names; NaN never comes out: a false text is refused. */
export const utcFrom = (iso: string): UtcMs => utcMs(Date.parse(iso));
