/** Loads of every kind, and how well a settling rule announces them. */
import { afterReading, emptyPan, type Pan } from "../../src/settle/settle.ts";
import type { Reading } from "../../src/reading/reading.ts";
import {
  between,
  drift,
  flat,
  mostNoise,
  play,
  ring,
  sway,
  type Played,
  type Random,
  type Scale,
  type Stretch,
} from "./signal.ts";

export type Kind = "ring" | "sway" | "pour" | "knock" | "added" | "creep";
export const kinds: readonly Kind[] = ["ring", "sway", "pour", "knock", "added", "creep"];

const restSeconds = 6;

function arrive(random: Random, from: number, to: number): Stretch["at"] {
  return ring(from, to, between(random, 1, 8), between(random, 0.05, 0.4));
}

const resting = (mass: number, at: Stretch["at"], seconds: number): Stretch => ({
  seconds,
  at,
  load: { mass: flat(mass) },
});

/** How large a motion is that must not pass for rest, in divisions and divisions a second. */
type Limits = {
  readonly swingPeakToPeak: readonly [number, number];
  readonly driftPerSecond: readonly [number, number];
};
const usualLimits: Limits = { swingPeakToPeak: [2.05, 8], driftPerSecond: [2.05, 12] };

/** The load comes on, in the way of its kind, and is taken off. */
function loadOf(kind: Kind, random: Random, limits: Limits): readonly Stretch[] {
  const mass = between(random, 50, 3000);
  const empty: Stretch = { seconds: 3, at: arrive(random, mass, 0) };
  const comes = resting(mass, arrive(random, 0, mass), restSeconds + 1);
  switch (kind) {
    case "ring":
      return [comes, empty];
    case "sway": {
      const period = between(random, 0.25, 1);
      const swings = sway(mass, between(random, ...limits.swingPeakToPeak), period, random());
      const seconds = between(random, 2, 6);
      return [{ seconds, at: swings, moves: true }, resting(mass, flat(mass), restSeconds), empty];
    }
    case "pour": {
      const speed = (random() < 0.5 ? -1 : 1) * between(random, ...limits.driftPerSecond);
      const seconds = between(random, 3, 8);
      const start = mass - speed * seconds;
      return [
        { seconds, at: drift(start, speed), moves: true },
        resting(mass, flat(mass), restSeconds),
        empty,
      ];
    }
    case "knock": {
      const height = between(random, 3, 40) * (random() < 0.5 ? -1 : 1);
      const shake = arrive(random, mass + height, mass);
      return [comes, { seconds: 3, at: shake }, empty];
    }
    case "added": {
      const more = mass + between(random, 3, 200);
      return [comes, resting(more, arrive(random, mass, more), restSeconds), empty];
    }
    case "creep": {
      const speed = between(random, 0.02, 0.095);
      const arrives = arrive(random, 0, mass);
      const at = (second: number) => arrives(second) + speed * second;
      return [{ seconds: 60, at, load: { mass: drift(mass, speed) } }, empty];
    }
  }
}

type Announced = { readonly second: number; readonly mass: number };
export type Rule = () => (reading: Reading) => Announced | null;

export const ours: Rule = () => {
  let pan: Pan = emptyPan;
  return (reading) => {
    const step = afterReading(pan, reading);
    pan = step.pan;
    for (const event of step.events)
      if (event.is === "settled")
        return { second: event.weight.atMonoMs / 1000, mass: event.weight.mass };
    return null;
  };
};

type Weight = Extract<Reading, { is: "weight" }>;

/** A plain rule: armed by a change of more than two divisions, fires when `isStill` says so. */
const plain =
  (count: number, isStill: (last: readonly number[]) => boolean): Rule =>
  () => {
    let last: number[] = [];
    let announced = 0;
    return (reading) => {
      const { mass, division, atMonoMs } = reading as Weight;
      last = [...last, mass / division].slice(-count);
      if (last.length < count || !isStill(last)) return null;
      const mean = last.reduce((sum, one) => sum + one, 0) / count;
      if (Math.abs(mean - announced) <= 2) return null;
      announced = mean;
      return Math.abs(mean) <= 2 ? null : { second: atMonoMs / 1000, mass: mean * division };
    };
  };

export const equalInARow = (count: number): Rule =>
  plain(count, (last) => last.every((one) => one === last[0]));

export const movingDeviation = (count: number, most: number): Rule =>
  plain(count, (last) => {
    const mean = last.reduce((sum, one) => sum + one, 0) / last.length;
    const sum = last.reduce((total, one) => total + (one - mean) ** 2, 0);
    return Math.sqrt(sum / (last.length - 1)) <= most;
  });

export type Score = {
  loads: number;
  missed: number;
  double: number;
  early: number;
  /** Off by more than half a division. */
  wrong: number;
  /** Seconds after true rest, and after the last of the motion. */
  delays: number[];
  delaysStill: number[];
  errors: number[];
};

const emptyScore = (): Score => ({
  loads: 0,
  missed: 0,
  double: 0,
  early: 0,
  wrong: 0,
  delays: [],
  delaysStill: [],
  errors: [],
});

function scorePlayed(score: Score, played: Played, rule: Rule, division: number): void {
  const look = rule();
  const announced = played.readings.map(look).filter((one) => one !== null);
  const used = new Set<Announced>();
  for (const { calm, from, still, to, mass } of played.expected) {
    score.loads++;
    const hits = announced.filter((one) => one.second > calm && one.second <= to);
    hits.forEach((one) => used.add(one));
    if (hits.length === 0) score.missed++;
    if (hits.length > 1) score.double += hits.length - 1;
    const first = hits[0];
    if (first === undefined) continue;
    const error = Math.abs(first.mass / division - mass(first.second));
    score.delays.push(first.second - from);
    score.delaysStill.push(first.second - still);
    score.errors.push(error);
    if (error > 0.5) score.wrong++;
  }
  for (const one of announced) {
    if (used.has(one)) continue;
    const moving =
      played.forbidden.some(({ from, to }) => one.second > from && one.second < to) ||
      played.expected.some(({ begins, calm }) => one.second > begins && one.second <= calm);
    if (moving) score.early++;
    else score.double++;
  }
}

/** Ten loads at a time, until there are as many as asked, each ten on a scale of their own. */
export function* playsOf(
  kind: Kind,
  loads: number,
  scale: (random: Random) => Scale,
  random: Random,
  limits = usualLimits,
): Generator<{ readonly played: Played; readonly scale: Scale }> {
  let expected = 0;
  while (expected < loads) {
    const stretches: Stretch[] = [{ seconds: 1.5, at: flat(0) }];
    for (let i = 0; i < 10; i++) stretches.push(...loadOf(kind, random, limits));
    const chosen = scale(random);
    const played = play(stretches, chosen, random);
    expected += played.expected.length;
    yield { played, scale: chosen };
  }
}

export function scoreKind(
  kind: Kind,
  loads: number,
  rule: Rule,
  scale: (random: Random) => Scale,
  random: Random,
  limits = usualLimits,
): Score {
  const score = emptyScore();
  for (const one of playsOf(kind, loads, scale, random, limits))
    scorePlayed(score, one.played, rule, one.scale.division);
  return score;
}

export function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? NaN;
}

/** The scores of several runs as one. */
export const joined = (scores: readonly Score[]): Score => ({
  loads: sum(scores, "loads"),
  missed: sum(scores, "missed"),
  double: sum(scores, "double"),
  early: sum(scores, "early"),
  wrong: sum(scores, "wrong"),
  delays: scores.flatMap(({ delays }) => delays),
  delaysStill: scores.flatMap(({ delaysStill }) => delaysStill),
  errors: scores.flatMap(({ errors }) => errors),
});

const sum = (
  scores: readonly Score[],
  of: "loads" | "missed" | "double" | "early" | "wrong",
): number => scores.reduce((total, score) => total + score[of], 0);

/** An invented scale: it scores the rule, it proves nothing about any real one. */
export const anyScale =
  (perSecond: number) =>
  (random: Random): Scale => ({
    perSecond,
    noise: between(random, 0.02, mostNoise),
    division: [0.1, 1, 5][Math.floor(random() * 3)]!,
  });
