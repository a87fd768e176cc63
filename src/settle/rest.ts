/**
 * Whether the newest looks at the pan are a load at rest. In: looks in the order of time. Out: the mass and what it
 * rests on, or null.
 *
 * A few equal figures in a row prove little: the crest of a slow swing or a drip caught inside one step of the display
 * shows them too. So the looks are explained twice, once by a load at rest and once by each of the gentlest motions
 * that must not pass for rest (drifting 2 divisions a second; swinging by 2 divisions from top to bottom in a second
 * or less), each with the mass that suits it best, and rest is accepted when it explains them so many times better.
 * That is the likelihood ratio of a sequential test (A. Wald, Sequential Analysis, 1947; cited from memory).
 *
 * The mass is not rounded to the display: where noise makes it flicker between two steps, the share of either tells
 * how far between them the load lies, and rounding would throw that away.
 */
import { grams, type Grams, type MonoMs } from "../units/quantity.ts";

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

/** Times in seconds before the newest look; shows in divisions above the newest look. */
type Step = { readonly time: number; readonly shows: number };

const leastSeconds = 0.4;
const leastLooks = 4;
const mostSeconds = 4;
/** Rest is to explain the looks this many times better than a drift does. */
const overDrift = Math.log(100);
/** Enough when a large, quick motion came before: a drift would have to begin just where that one ends. */
const overDriftAfterBrisk = Math.log(30);
const briskDivisions = 4;
const briskSeconds = 0.5;
/**
 * And than a swing does. A longer stretch within two steps of the display has itself ruled out most swings; a few
 * looks that flicker between the two always resemble some swing, so there less is asked.
 */
const overSwing = Math.log(30);
const overSwingLater = Math.log(0.2);
const laterFrom = 0.5;
const laterSeconds = 0.7;
/** With more looks than this a swing is told from flicker, and nothing needs to be given away. */
const fewLooks = 20;
/** Fewer looks than this in a second cannot show a swing; then more looks, or a longer time, have to do. */
const looksToShowSwing = 6;
const slowLooks = 9;
const slowSeconds = 2.4;
/** So long a rest of our own overrules a scale that still says that the load moves. */
const overruleSeconds = 0.9;

const driftPerSecond = 2;
const swingAmplitude = 1;
const swingPeriods = [1, 0.82, 0.67, 0.57, 0.5, 0.44, 0.4, 0.36, 0.33, 0.3, 0.27, 0.25];
const swingPhases = 8;
/** Parts of the flat stretch that are tried, newest end kept: the older end may still hold a motion. */
const partsToTry = [1, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4];

/** `noise`: standard deviation of one reading before rounding, in divisions. */
export function restOf(looks: readonly Look[], division: Grams, noise: number): Rest | null {
  const newest = looks.at(-1);
  if (newest === undefined) return null;
  const steps = looks.map((look) => ({
    time: (look.atMonoMs - newest.atMonoMs) / 1000,
    shows: (look.mass - newest.mass) / division,
  }));
  const flatFrom = startOfFlat(steps, noise);
  for (const from of startsToTry(steps, flatFrom)) {
    const flat = steps.slice(from);
    if (newest.saysMoving && -flat[0]!.time < overruleSeconds) continue;
    const brisk = cameBriskly(steps, from);
    const mass = massAtRest(flat, noise, brisk ? overDriftAfterBrisk : overDrift);
    if (mass === null) continue;
    return {
      mass: grams(newest.mass + mass * division),
      looks: flat.length,
      fromMonoMs: looks[from]!.atMonoMs,
    };
  }
  return null;
}

/** The first of the newest looks that all lie within as many steps as the noise can spread them over. */
function startOfFlat(steps: readonly Step[], noise: number): number {
  const widest = 1 + Math.floor(4 * noise) + 1e-6;
  let low = 0;
  let high = 0;
  let from = steps.length;
  while (from > 0) {
    const { time, shows } = steps[from - 1]!;
    low = Math.min(low, shows);
    high = Math.max(high, shows);
    if (high - low > widest || -time > mostSeconds) break;
    from--;
  }
  return from;
}

function startsToTry(steps: readonly Step[], flatFrom: number): readonly number[] {
  const starts: number[] = [];
  const whole = -(steps[flatFrom]?.time ?? 0);
  for (const share of partsToTry) {
    let from = flatFrom;
    while (from < steps.length && -steps[from]!.time > whole * share + 1e-6) from++;
    const seconds = -(steps[from]?.time ?? 0);
    if (steps.length - from >= leastLooks && seconds >= leastSeconds - 1e-6) starts.push(from);
  }
  return starts;
}

function cameBriskly(steps: readonly Step[], flatFrom: number): boolean {
  const start = steps[flatFrom]!;
  return steps
    .slice(0, flatFrom)
    .some(
      (step) =>
        start.time - step.time <= briskSeconds &&
        Math.abs(step.shows - start.shows) >= briskDivisions,
    );
}

/** The mass in divisions above the newest look, or null when motion explains the looks too well. */
function massAtRest(flat: readonly Step[], noise: number, driftNeeds: number): number | null {
  const cell = cellOf(noise);
  const rest = explainedByRest(flat, cell);
  const beats = (motions: readonly Motion[], needed: number): boolean =>
    motions.every((motion) => rest.best - explainedByMotion(flat, motion, cell) >= needed);
  const seconds = -flat[0]!.time;
  const perSecond = (flat.length - 1) / seconds;
  if (!beats(drifts, driftNeeds)) return null;
  if (perSecond < looksToShowSwing)
    return flat.length >= slowLooks || seconds >= slowSeconds ? rest.mass : null;
  return beats(swings, swingNeeds(seconds, flat.length)) ? rest.mass : null;
}

function swingNeeds(seconds: number, looks: number): number {
  if (looks > fewLooks) return overSwing;
  const later = Math.min(1, Math.max(0, (seconds - laterFrom) / (laterSeconds - laterFrom)));
  return overSwing + later * (overSwingLater - overSwing);
}

type Motion = (time: number) => number;
const drifts: readonly Motion[] = [-driftPerSecond, driftPerSecond].map(
  (speed) => (time: number) => speed * time,
);
const swings: readonly Motion[] = swingPeriods.flatMap((period) =>
  Array.from(
    { length: swingPhases },
    (_, phase) => (time: number) =>
      swingAmplitude * Math.cos(2 * Math.PI * (time / period + phase / swingPhases)),
  ),
);

const gridStep = 0.05;
const shiftStep = 0.25;

/** In each tenth of a second of the motion before the rest the pan could have been at any of so many steps. */
const stepsOfMotion = 5;
const secondsOfStep = 0.1;
const leastRestingLooks = 3;

/**
 * The largest log likelihood of a load at rest all through, and the best estimate of its mass: the mean over a flat
 * prior of the mass and over every moment at which the rest may have begun, so that the end of a motion that still
 * lies within the same two steps does not pull it aside.
 */
function explainedByRest(flat: readonly Step[], cell: Cell): { best: number; mass: number } {
  const shows = flat.map((step) => step.shows);
  const low = Math.min(...shows) - 0.75;
  const high = Math.max(...shows) + 0.75;
  const interval = -flat[0]!.time / (flat.length - 1);
  const costOfMotion = Math.log(stepsOfMotion) * Math.min(1, interval / secondsOfStep);
  let best = -Infinity;
  let weight = 0;
  let moment = 0;
  const masses = Math.round((high - low) / gridStep);
  for (let i = 0; i <= masses; i++) {
    const mass = low + ((high - low) * i) / masses;
    let log = 0;
    for (let from = flat.length - 1; from >= 0; from--) {
      log += cell(shows[from]! - mass);
      if (flat.length - from < leastRestingLooks) continue;
      const likelihood = Math.exp(log - from * costOfMotion);
      weight += likelihood;
      moment += likelihood * mass;
    }
    best = Math.max(best, log);
  }
  return { best, mass: moment / weight };
}

function explainedByMotion(flat: readonly Step[], motion: Motion, cell: Cell): number {
  const left = flat.map((step) => step.shows - motion(step.time));
  const centre = left.reduce((sum, one) => sum + one, 0) / left.length;
  let best = -Infinity;
  for (let shift = -0.75; shift <= 0.75; shift += shiftStep) {
    const log = left.reduce((sum, one) => sum + cell(one - centre - shift), 0);
    if (log > best) best = log;
  }
  return best;
}

/** Log probability that a display shows a step whose middle lies `away` divisions from the mass. */
type Cell = (away: number) => number;
const cellStep = 0.02;
const cellReach = 5;
/** No figure is held to be impossible: a knock or a misread digit is rarer than noise, not rarer than rare. */
const leastProbability = 1e-6;
const cells = new Map<number, Cell>();

function cellOf(noise: number): Cell {
  const rounded = Math.max(0.05, Math.round(noise * 20) / 20);
  const known = cells.get(rounded);
  if (known !== undefined) return known;
  const table = Float64Array.from({ length: cellReach / cellStep + 2 }, (_, i) =>
    Math.log(Math.max(leastProbability, normalShare(i * cellStep, rounded))),
  );
  const cell: Cell = (away) => {
    const at = Math.min(Math.abs(away), cellReach) / cellStep;
    const i = Math.floor(at);
    return table[i]! + (at - i) * (table[i + 1]! - table[i]!);
  };
  cells.set(rounded, cell);
  return cell;
}

/** Share of a normal distribution within half a division of `away`, by Simpson's rule. */
function normalShare(away: number, sd: number): number {
  const parts = 100;
  let sum = 0;
  for (let i = 0; i <= parts; i++) {
    const z = (away - 0.5 + i / parts) / sd;
    const weight = i === 0 || i === parts ? 1 : i % 2 === 1 ? 4 : 2;
    sum += weight * Math.exp(-0.5 * z * z);
  }
  return sum / (3 * parts * sd * Math.sqrt(2 * Math.PI));
}
