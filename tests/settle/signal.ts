/**
 * A made-up scale: the true mass on the pan over time, and what the display would show of it. Invented, to score the
 * settling rule; every run follows from its seed.
 */
import type { Reading } from "../../src/reading/reading.ts";
import { grams, monoMs, utcMs } from "../../src/units/quantity.ts";

export type Random = () => number;

/** Mulberry32: small, seeded, good enough to draw loads. */
export function seeded(seed: number): Random {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

export const between = (random: Random, low: number, high: number): number =>
  low + (high - low) * random();

export const normal = (random: Random): number =>
  Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());

/** One stretch of the true signal; seconds from its start, masses in divisions. */
export type Stretch = {
  readonly seconds: number;
  readonly at: (second: number) => number;
  /** A load rests from some moment of this stretch on: its mass there, once the signal is still. */
  readonly load?: { readonly mass: (second: number) => number };
  /** It moves all through this stretch by more than may pass for rest. */
  readonly moves?: boolean;
};

/** A plate on a spring: `from` to `to`, ringing at `hertz`, falling to 1/e in `decay` seconds. */
export const ring =
  (from: number, to: number, hertz: number, decay: number): Stretch["at"] =>
  (second) =>
    to + (from - to) * Math.exp(-second / decay) * Math.cos(2 * Math.PI * hertz * second);

export const flat =
  (mass: number): Stretch["at"] =>
  () =>
    mass;

export const sway =
  (mass: number, peakToPeak: number, period: number, phase: number): Stretch["at"] =>
  (second) =>
    mass + (peakToPeak / 2) * Math.cos(2 * Math.PI * (second / period + phase));

export const drift =
  (from: number, perSecond: number): Stretch["at"] =>
  (second) =>
    from + perSecond * second;

/** Of a reading before rounding, in divisions: what settling has to bear. */
export const mostNoise = 0.2;

export type Scale = {
  readonly perSecond: number;
  /** Standard deviation of a reading before rounding, in divisions. */
  readonly noise: number;
  readonly division: number;
  readonly stillMark?: (second: number) => boolean | null;
};

/** A load that ought to be announced: once, between `from` and `to`, within half a division of `mass`. */
type Expected = {
  /** When the motion begins that ends in this rest. */
  readonly begins: number;
  /** When the true signal is within one division of the mass for good: from then on it swings by no more than two. */
  readonly calm: number;
  /** True rest: when the true signal is within half a division of the mass for good. */
  readonly from: number;
  /** When what is left of the motion is for good no more than the noise of a reading may be. */
  readonly still: number;
  readonly to: number;
  readonly mass: (second: number) => number;
};

export type Played = {
  readonly readings: readonly Reading[];
  readonly expected: readonly Expected[];
  readonly forbidden: readonly { readonly from: number; readonly to: number }[];
};

export const weightAt = (
  second: number,
  mass: number,
  division: number,
  scaleSaysStill: boolean | null = null,
): Reading => ({
  is: "weight",
  raw: "",
  atMonoMs: monoMs(second * 1000),
  atUtcMs: utcMs(1_700_000_000_000 + second * 1000),
  mass: grams(mass),
  division: grams(division),
  unit: "g",
  basis: "unknown",
  scaleSaysStill,
});

const fine = 0.002;

function within(divisions: number, stretch: Stretch, mass: (second: number) => number): number {
  for (let second = stretch.seconds; second > 0; second -= fine)
    if (Math.abs(stretch.at(second) - mass(second)) > divisions) return second;
  return 0;
}

export function play(stretches: readonly Stretch[], scale: Scale, random: Random): Played {
  const expected: Expected[] = [];
  const forbidden: { from: number; to: number }[] = [];
  const starts: number[] = [];
  let total = 0;
  for (const stretch of stretches) {
    const start = total;
    starts.push(start);
    total += stretch.seconds;
    const { load } = stretch;
    if (stretch.moves) forbidden.push({ from: start, to: total });
    if (load === undefined) continue;
    expected.push({
      begins: start,
      calm: start + within(1, stretch, load.mass),
      from: start + within(0.5, stretch, load.mass),
      still: start + within(mostNoise, stretch, load.mass),
      to: total,
      mass: (second) => load.mass(second - start),
    });
  }
  const readings: Reading[] = [];
  const interval = 1 / scale.perSecond;
  let index = 0;
  for (let second = random() * interval; second < total; second += interval) {
    while (index + 1 < starts.length && second >= starts[index + 1]!) index++;
    const truth = stretches[index]!.at(second - starts[index]!);
    const shown = Math.round(truth + scale.noise * normal(random));
    readings.push(
      weightAt(second, shown * scale.division, scale.division, scale.stillMark?.(second) ?? null),
    );
  }
  return { readings, expected, forbidden };
}
