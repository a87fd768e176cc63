import { expect, test } from "vitest";
import { anyScale, playsOf, type Kind } from "./score.ts";
import { seeded, sway } from "./signal.ts";

type Twin = {
  readonly kind: Kind;
  readonly seed: number;
  readonly play: number;
  /** Divisions above the lowest step that the load shows in its first second of rest. */
  readonly mass: number;
  readonly period: number;
  readonly phase: number;
};

/**
 * More than two divisions from top to bottom: it must not pass for rest as long as it goes on. Any motion may come
 * before it, so what the scale showed earlier tells it from no load either.
 */
const peakToPeak = 2.02;

/** Found by trying every period, phase and mass against what loads of the bench showed. */
const twins: readonly Twin[] = [
  { kind: "pour", seed: 1, play: 2, mass: 0.465, period: 0.985, phase: 7 / 48 },
  { kind: "knock", seed: 1, play: 2, mass: 0.471, period: 1, phase: 41 / 48 },
  { kind: "creep", seed: 2, play: 1, mass: 0.488, period: 0.855, phase: 31 / 48 },
];

test.each(twins)(
  "$kind $seed: what rests for a second shows reading for reading what a swing above the limit shows, so no rule is both within a second and never early",
  ({ kind, seed, play, mass, period, phase }) => {
    const { played, scale } = [...playsOf(kind, 10 * play, anyScale(10), seeded(seed))].at(-1)!;
    const swing = sway(mass, peakToPeak, period, phase);
    // The swing is read without any noise.
    const shownBySwing = Array.from({ length: 10 }, (_, i) => Math.round(swing(i / 10)) + 0);
    const shownByLoads = played.expected.map(({ from }) => {
      const shown = played.readings
        .filter(({ atMonoMs }) => atMonoMs / 1000 > from && atMonoMs / 1000 <= from + 1)
        .map((reading) =>
          reading.is === "weight" ? Math.round(reading.mass / scale.division) : NaN,
        );
      return shown.map((one) => one - Math.min(...shown));
    });
    expect(shownByLoads).toContainEqual(shownBySwing);
  },
  30_000,
);
