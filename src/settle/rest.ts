/**
 * Whether the newest looks at the pan are a load at rest. In: looks in the order of time. Out: the mass and what it
 * rests on, or null.
 *
 * A few equal figures in a row prove little: the crest of a swing or a drip caught inside one step of the display
 * shows them too. So the last looks are explained twice: by a load that came to rest at some moment, whatever it did
 * before; and by each motion that must not pass for rest and still goes on (`motion.ts`). How many times better the
 * one explains them than the other (Bayes factor; R. E. Kass and A. E. Raftery, J. Am. Stat. Assoc. 90, 1995, 773-795,
 * cited from memory) are the odds that telling rest now would be wrong; those of a mass that is wrong are added.
 *
 * Telling is weighed against waiting. While there is time for another look it costs nothing to wait for better odds;
 * the nearer the moment by which a rest has to be told, the worse odds are taken. The last looks of a swing count for
 * both explanations: a load that swung and stopped is told from one that swings on by what the swing would show next.
 *
 * The mass is not rounded to the display: where noise makes it flicker between two steps, the share of either tells
 * how far between them the load lies, and rounding would throw that away.
 *
 * What no rule can tell: at ten readings a second a swing of two and a half a second shows each point four times
 * over, and one of ten a second stands still; a load midway between two steps can flicker in just that way
 * (`tests/settle/bound.test.ts`).
 */
import { grams, type Grams, type MonoMs } from "../units/quantity.ts";
import { cellOf, shareOf, type Cell } from "./display.ts";
import { driftEvidence, swingEvidence, wavesOf, type Looks } from "./motion.ts";

export type Look = {
  readonly atMonoMs: MonoMs;
  readonly mass: Grams;
  /** The scale's own mark says that the load moves. */
  readonly saysMoving: boolean;
};

export type Rest = {
  readonly mass: Grams;
  readonly looks: number;
  readonly fromMonoMs: MonoMs;
};

export const leastLooks = 4;
const looksNear = 5;
const leastSeconds = 0.55;
/** What came earlier tells nothing more. */
const mostSeconds = 1.7;
/** Nor does what lies further off than any motion that looks like rest: the load was put on or taken off there. */
const farDivisions = 9;
/** In each tenth of a second of other motion the pan could have been at any of so many steps. */
const stepsOfMotion = 5;
const secondsOfStep = 0.1;
/** Motion before the rest is sought at this many looks before and after the likeliest beginning of the rest. */
const looksAround = 2;
const leastNoise = 0.2;
/** A motion that goes on is as old as the load or as what is seen of it; so much less likely it began since. */
const begun = 0.2;
/** A motion so much less likely than what it is held against is not followed further. */
const negligible = 1e-7;
/** The first looks of a rest may still have caught the motion before: they count for the rest, but not for its mass. */
const looksInDoubt = 2;
/** After a swing its last crest may pass for flicker. */
const looksInDoubtAfterSwing = 4;
/** The looks before are those of a swing when it explains them so many times better than other motion. */
const swingIsSeen = 20;
/** By then a rest has to be told. */
const dueSeconds = 1;
/** Odds of being wrong that are taken when the next look may be too late: ten times worse ones so much later. */
const riskWhenDue = 0.05;
const secondsOfTenfold = 0.15;
/** Never is rest told that is less likely than not. */
const mostRisk = 1;
/** A mass further off than this is wrong. */
const errorDivisions = 0.5;

/** Fewer looks than this in a second cannot show a swing; then more looks, or a longer time, have to do. */
const looksToShowSwing = 6;
const slowLooks = 9;
const slowSeconds = 2.4;
const slowRisk = 0.01;
/** So long a rest of our own overrules a scale that still says that the load moves. */
const overruleSeconds = 0.9;

/** `noise`: standard deviation of one reading before rounding, in divisions. */
export function restOf(looks: readonly Look[], division: Grams, noise: number): Rest | null {
  const newest = looks.at(-1);
  if (newest === undefined || !mayRest(looks, division, noise)) return null;
  const seen = lately(looks, newest, division);
  const found = proveRest(seen, Math.max(leastNoise, noise));
  if (found === null) return null;
  if (newest.saysMoving && found.seconds < overruleSeconds) return null;
  const count = Math.max(1, Math.round(found.looks));
  return {
    mass: grams(newest.mass + found.mass * division),
    looks: count,
    fromMonoMs: looks[looks.length - count]!.atMonoMs,
  };
}

/** Whether the newest looks lie as near together as those of a load at rest may; nothing else is worth explaining. */
function mayRest(looks: readonly Look[], division: Grams, noise: number): boolean {
  if (looks.length < leastLooks) return false;
  let low = Infinity;
  let high = -Infinity;
  for (let i = Math.max(0, looks.length - looksNear); i < looks.length; i++) {
    low = Math.min(low, looks[i]!.mass);
    high = Math.max(high, looks[i]!.mass);
  }
  return high - low <= mostApart(division, noise);
}

/** How far apart readings of a load at rest may lie. */
export const mostApart = (division: Grams, noise: number): number =>
  (1 + Math.floor(4 * noise) + 1e-6) * division;

/** From the newest back, as far as looks have a bearing. */
function lately(looks: readonly Look[], newest: Look, division: Grams): Looks {
  const times: number[] = [];
  const shows: number[] = [];
  const slow = looks.length > 1 && slowAt(looks);
  for (let i = looks.length - 1; i >= 0; i--) {
    const seconds = (newest.atMonoMs - looks[i]!.atMonoMs) / 1000;
    const away = (looks[i]!.mass - newest.mass) / division;
    if (Math.abs(away) > farDivisions || (!slow && seconds > mostSeconds + 1e-6)) break;
    times.push(-seconds);
    shows.push(away);
  }
  return { times: Float64Array.from(times), shows: Float64Array.from(shows) };
}

function slowAt(looks: readonly Look[]): boolean {
  const from = Math.max(0, looks.length - leastLooks);
  const seconds = (looks.at(-1)!.atMonoMs - looks[from]!.atMonoMs) / 1000;
  return (looks.length - 1 - from) / seconds < looksToShowSwing;
}

/** What rests, if that is proven, on how many looks and for how long: their expected number. */
type Proven = { readonly mass: number; readonly looks: number; readonly seconds: number };

function proveRest(looks: Looks, noise: number): Proven | null {
  const { times, shows } = looks;
  const count = times.length;
  if (count < leastLooks) return null;
  const cell = cellOf(noise);
  const free = freeOf(times);
  const masses = massesFor(shows, cell, noise);
  const likeliest = likeliestStart(masses, free);
  const flatSeconds = flatFor(looks);
  const longestSeconds = Math.max(flatSeconds, -times[Math.min(count - 1, likeliest)]!);
  if (longestSeconds < leastSeconds - 1e-6) return null;

  const common = { ...looks, to: count, free };
  const waves = wavesOf(times);
  const evidence = new Float64Array(count + 1);
  let inDoubt = looksInDoubt;
  for (let from = leastLooks; from <= count; from++) {
    let before = free[from]!;
    if (Math.abs(from - likeliest) <= looksAround) {
      const part = { ...common, from, least: 1, begun: 1, negligible: negligible * before };
      const swing = swingEvidence(part, waves, cell, noise);
      if (from === likeliest && swing > swingIsSeen * before) inDoubt = looksInDoubtAfterSwing;
      before += swing + driftEvidence(part, cell, noise);
    }
    evidence[from] = sumOf(masses[from]!) * before;
  }
  const rest = sumOf(evidence);
  const looksAtRest = sumOf(evidence.map((one, from) => one * from)) / rest;
  const interval = -times[count - 1]! / (count - 1);
  const seconds = (looksAtRest - 1) * interval;
  if (seconds < leastSeconds - 1e-6) return null;
  const massesAtRest = weighed(masses, evidence, inDoubt);
  const mass = meanOf(massesAtRest);
  const found = { mass, looks: looksAtRest, seconds };

  const whole = { ...common, from: 0, least: leastLooks, begun, negligible: negligible * rest };
  const oddsOfDrift = (): number => driftEvidence(whole, cell, noise) / rest;
  if (1 / interval < looksToShowSwing) {
    const isEnough = looksAtRest >= slowLooks || flatSeconds >= slowSeconds - 1e-6;
    return isEnough && oddsOfDrift() <= slowRisk ? found : null;
  }
  // The end of a motion stays within a step: by then the load may have been at rest although it still moved.
  const overdue = Math.max(seconds, flatSeconds) - (dueSeconds - interval);
  const mayRisk = Math.min(mostRisk, riskWhenDue * 10 ** (overdue / secondsOfTenfold));
  let risk = shareFurtherThan(errorDivisions, mass, massesAtRest);
  // The cheaper ones first.
  if (risk <= mayRisk) risk += oddsOfDrift();
  if (risk <= mayRisk) risk += swingEvidence(whole, waves, cell, noise) / rest;
  return risk <= mayRisk ? found : null;
}

/** Probability that motion of no special kind shows the looks from this one back to the oldest. */
function freeOf(times: Float64Array): Float64Array {
  const count = times.length;
  const free = new Float64Array(count + 1).fill(1);
  for (let i = count - 1; i >= 0; i--) {
    const gap = times[Math.max(0, i - 1)]! - times[Math.max(1, i)]!;
    free[i] = free[i + 1]! * stepsOfMotion ** -Math.min(1, gap / secondsOfStep);
  }
  return free;
}

const massStep = 0.05;
const massAt = (index: number, masses: Float64Array): number =>
  (index - (masses.length - 1) / 2) * massStep;

/** For each count of newest looks and each mass: probability that a load of this mass at rest shows them. */
function massesFor(shows: Float64Array, cell: Cell, noise: number): readonly Float64Array[] {
  const count = 2 * Math.round((2 + 3 * (noise - leastNoise)) / massStep) + 1;
  const found = [new Float64Array(count).fill(1 / count)];
  for (const shown of shows)
    found.push(found.at(-1)!.map((one, i, all) => one * shareOf(cell, shown - massAt(i, all))));
  return found;
}

/** How likely each mass is over all looks with which the rest may have begun, the first so many left out. */
function weighed(
  masses: readonly Float64Array[],
  evidence: Float64Array,
  inDoubt: number,
): Float64Array {
  const sums = new Float64Array(masses[0]!.length);
  for (let from = leastLooks; from < masses.length; from++) {
    const certain = masses[Math.max(leastLooks, from - inDoubt)]!;
    const share = evidence[from]! / sumOf(certain);
    for (let i = 0; i < sums.length; i++) sums[i]! += share * certain[i]!;
  }
  return sums;
}

function sumOf(values: Float64Array): number {
  let sum = 0;
  for (const one of values) sum += one;
  return sum;
}

const meanOf = (masses: Float64Array): number =>
  sumOf(masses.map((one, i) => one * massAt(i, masses))) / sumOf(masses);

const shareFurtherThan = (divisions: number, from: number, masses: Float64Array): number =>
  sumOf(masses.filter((_, i) => Math.abs(massAt(i, masses) - from) > divisions)) / sumOf(masses);

function likeliestStart(masses: readonly Float64Array[], free: Float64Array): number {
  const evidence = masses.map((one, from) => (from < leastLooks ? 0 : sumOf(one) * free[from]!));
  return Math.max(leastLooks, evidence.indexOf(Math.max(...evidence)));
}

function flatFor({ times, shows }: Looks): number {
  let low = 0;
  let high = 0;
  let seconds = 0;
  for (let i = 0; i < shows.length; i++) {
    low = Math.min(low, shows[i]!);
    high = Math.max(high, shows[i]!);
    if (high - low > 1 + 1e-6) break;
    seconds = -times[i]!;
  }
  return seconds;
}
