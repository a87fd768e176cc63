/**
 * Whether the newest looks at the pan are a load at rest. In: looks in the order of time. Out: the mass and what it
 * rests on, or null.
 *
 * A few equal figures in a row prove little: a crest of a slow swing or a drip caught inside one step of the display
 * shows them too. So the looks are explained twice, once by a load at rest and once by the gentlest motion that must
 * not pass for rest (drifting 2 divisions a second, swinging by 2 divisions from top to bottom once a second), each
 * with the mass that suits it best, and rest is accepted when it explains them so many times better. That is the
 * likelihood ratio of a sequential test (A. Wald, Sequential Analysis, 1947, ch. 3). The mass is not rounded: where
 * noise makes the display flicker between two steps, the share of either tells how far between them the load lies.
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
/** Rest is to explain the looks this many times better than motion does. */
const E = (n: string, d: number) => Math.log(Number(process.env[n] ?? d));
const evidence = E("E_DRIFT", 300);
const evidenceSwing = E("E_SWING", 300);
/** Enough against a drift when a large, quick motion came before: it would begin just where that one ends. */
const evidenceAfterBrisk = E("E_BRISK", 30);
const SHARES = (process.env["SHARES"] ?? "1,.75,.5").split(",").map(Number);
const Q = Math.log(Number(process.env["Q"] ?? 5));
const briskDivisions = 4;
const briskSeconds = 0.5;
/** Fewer looks than this in a period cannot show a swing; then a longer time has to do. */
const looksPerPeriod = 4;
const slowSeconds = 1.9;
/** So long a rest of our own overrules a scale that still says that the load moves. */
const overruleSeconds = 0.9;

const driftPerSecond = 2;
const swingAmplitude = 1;
const swingPeriods = (process.env["PER"] ?? "1,.8,.6,.45,.35,.3,.25").split(",").map(Number);
const swingPhases = 8;

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
    const brisk = from === flatFrom && cameBriskly(steps, from);
    const mass = massAtRest(flat, noise, brisk ? evidenceAfterBrisk : evidence);
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

/** The whole flat stretch first, then its newer part, in case the older still holds the end of a motion. */
function startsToTry(steps: readonly Step[], flatFrom: number): readonly number[] {
  const starts: number[] = [];
  const whole = -(steps[flatFrom]?.time ?? 0);
  for (const share of SHARES) {
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
function massAtRest(flat: readonly Step[], noise: number, needed: number): number | null {
  const cell = cellOf(noise);
  const rest = explainedByRest(flat, cell);
  const seconds = -flat[0]!.time;
  const interval = seconds / (flat.length - 1);
  const swingShows = interval * looksPerPeriod <= swingPeriods[0]!;
  if (!swingShows && seconds < slowSeconds) return null;
  for (const motion of drifts)
    if (rest.best - explainedByMotion(flat, motion, cell) < needed) return null;
  if (swingShows)
    for (const motion of swings)
      if (
        rest.best - explainedByMotion(flat, motion, cell) <
        (seconds >= 0.85 ? E("E_LONG", 30) : evidenceSwing)
      )
        return null;
  return rest.mass;
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

/** The largest log likelihood of a load at rest, and the mean of its posterior over a flat prior. */
function explainedByRest(flat: readonly Step[], cell: Cell): { best: number; mass: number } {
  const low = Math.min(...flat.map((step) => step.shows)) - 0.75;
  const high = Math.max(...flat.map((step) => step.shows)) + 0.75;
  const count = Math.round((high - low) / gridStep) + 1;
  const masses = Array.from({ length: count }, (_, i) => low + i * gridStep);
  let best = -Infinity;
  let weight = 0;
  let moment = 0;
  for (const mass of masses) {
    let log = 0;
    let w = 0;
    for (let i = flat.length - 1; i >= 0; i--) {
      log += cell(flat[i]!.shows - mass);
      if (flat.length - i >= 3) w += Math.exp(log - i * Q);
    }
    if (log > best) best = log;
    weight += w;
    moment += w * mass;
  }
  return { best, mass: moment / weight };
}

function explainedByMotion(flat: readonly Step[], motion: Motion, cell: Cell): number {
  const left = flat.map((step) => step.shows - motion(step.time));
  const centre = left.reduce((sum, one) => sum + one, 0) / left.length;
  let best = -Infinity;
  for (let shift = -0.75; shift <= 0.75; shift += 0.125) {
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
