/**
 * Whether the newest looks at the pan are a load at rest. In: looks in the order of time. Out: the mass and what it
 * rests on, or null.
 *
 * A few equal figures in a row prove little: the crest of a swing or a drip caught inside one step of the display
 * shows them too. So the last looks are explained twice: by a load that came to rest at some moment, whatever it did
 * before; and by each motion that must not pass for rest and still goes on (`motion.ts`). Rest is accepted when it
 * explains them so many times better (Bayes factor; R. E. Kass and A. E. Raftery, J. Am. Stat. Assoc. 90, 1995,
 * 773-795, cited from memory).
 *
 * How many times is asked less as the rest grows longer. The last looks of a swing count for both: a load that swung
 * and stopped is told from one that swings on by what the swing would show next.
 *
 * The mass is not rounded to the display: where noise makes it flicker between two steps, the share of either tells
 * how far between them the load lies, and rounding would throw that away.
 *
 * What no rule can tell: at ten readings a second a swing of two and a half a second shows each point four times
 * over, and one of ten a second stands still; a load midway between two steps can flicker in just that way.
 */
import { grams, type Grams, type MonoMs } from "../units/quantity.ts";
import { cellOf, shareOf, type Cell } from "./display.ts";
import { driftEvidence, swingEvidence, wavesOf, type Looks, type Part } from "./motion.ts";

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

const leastLooks = 4;
const looksNear = 5;
const leastSeconds = 0.55;
/** The looks before are those of a swing when it explains them so many times better than other motion. */
const swingIsSeen = 20;
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
/** A motion so much less likely than what it is held against is not followed further. */
const negligible = 1e-7;
/** The first looks of a rest may still have caught the motion before: they count for the rest, but not for its mass. */
const looksInDoubt = 2;
/** After a swing its last crest may pass for flicker. */
const looksInDoubtAfterSwing = 4;

/** Logarithm of how many times better rest has to explain the looks, from so many seconds of rest on. */
type Needed = readonly (readonly [seconds: number, log: number])[];
const neededForSwing: Needed = [
  [0, 5],
  [0.62, 3.8],
  [0.72, 1.8],
  [0.82, 0],
  [0.92, -1.5],
];
const neededForDrift: Needed = [
  [0, 5.3],
  [0.57, 4.8],
  [0.65, 4],
  [0.75, 3],
  [0.82, 1.8],
  [0.9, 0.6],
  [1, -0.6],
];
/** The display stayed within one step for so much longer than the rest is known to last: what came before was small. */
const flatBeforeSwing = 0.15;
/** Of a load that was put on a shorter while ago too little of its motion has been seen: so much more is asked. */
const fewSeconds = 1.05;
const moreForFew = 1.5;
const flatBeforeDrift = 0.4;

/** Fewer looks than this in a second cannot show a swing; then more looks, or a longer time, have to do. */
const looksToShowSwing = 6;
const slowLooks = 9;
const slowSeconds = 2.4;
const slowNeeded = Math.log(100);
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

type Since = {
  /** Since the rest began: its expected length. */
  readonly seconds: number;
  /** How long the display has stayed within one step. */
  readonly flatSeconds: number;
};

/** What rests, if that is proven, and on how many looks: their expected number. */
type Proven = Since & { readonly mass: number; readonly looks: number };

function proveRest(looks: Looks, noise: number): Proven | null {
  const { times, shows } = looks;
  const count = times.length;
  if (count < leastLooks) return null;
  const cell = cellOf(noise);
  const free = freeOf(times);
  const part = (from: number, least: number, beside: number): Part => ({
    ...looks,
    from,
    to: count,
    free,
    least,
    negligible: negligible * beside,
  });
  const resting = restingFor(shows, cell, noise);
  const likeliest = likeliestStart(resting, free);
  if (-times[Math.min(count - 1, likeliest)]! < leastSeconds - 1e-6) return null;

  const waves = wavesOf(times);
  let rest = 0;
  let length = 0;
  let inDoubt = looksInDoubt;
  const evidence = new Float64Array(count + 1);
  for (let from = leastLooks; from <= count; from++) {
    let before = free[from]!;
    if (Math.abs(from - likeliest) <= looksAround) {
      const swing = swingEvidence(part(from, 1, before), waves, cell, noise);
      if (from === likeliest && swing > swingIsSeen * before) inDoubt = looksInDoubtAfterSwing;
      before += swing + driftEvidence(part(from, 1, free[from]!), cell, noise);
    }
    evidence[from] = resting[from]!.evidence * before;
    rest += evidence[from]!;
    length += evidence[from]! * from;
  }
  let mass = 0;
  for (let from = leastLooks; from <= count; from++)
    mass += evidence[from]! * resting[Math.max(leastLooks, from - inDoubt)]!.mass;
  const seenSeconds = -times[count - 1]!;
  const perSecond = seenSeconds > 0 ? (count - 1) / seenSeconds : 0;
  const since = { seconds: (length / rest - 1) / perSecond, flatSeconds: flatFor(looks) };
  const found = { ...since, mass: mass / rest, looks: length / rest };
  const whole = part(0, leastLooks, rest);
  const overDrift = (): number => Math.log(rest / driftEvidence(whole, cell, noise));
  const overSwing = (): number => Math.log(rest / swingEvidence(whole, waves, cell, noise));
  if (perSecond < looksToShowSwing) {
    const enough = found.looks >= slowLooks || found.flatSeconds >= slowSeconds - 1e-6;
    return enough && overDrift() >= slowNeeded ? found : null;
  }
  const more = seenSeconds < fewSeconds ? moreForFew : 0;
  // The cheaper proofs first.
  const isProven =
    found.seconds >= leastSeconds &&
    overDrift() >= neededOverDrift(since) + more &&
    overSwing() >= neededOverSwing(since) + more;
  return isProven ? found : null;
}

const neededOverSwing = ({ seconds, flatSeconds }: Since): number =>
  neededAt(neededForSwing, Math.max(seconds, flatSeconds - flatBeforeSwing));
const neededOverDrift = ({ seconds, flatSeconds }: Since): number =>
  neededAt(neededForDrift, Math.max(seconds, flatSeconds - flatBeforeDrift));

function neededAt(needed: Needed, seconds: number): number {
  let log = Infinity;
  for (const [from, least] of needed) if (seconds >= from - 1e-6) log = least;
  return log;
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

type Resting = { readonly evidence: number; readonly mass: number };
const massStep = 0.05;

/** For each count of newest looks: their probability if the load rests, over all masses alike, and its mass. */
function restingFor(shows: Float64Array, cell: Cell, noise: number): readonly Resting[] {
  const reach = Math.round((2 + 3 * (noise - leastNoise)) / massStep);
  const likelihoods = new Float64Array(2 * reach + 1).fill(1 / (2 * reach + 1));
  const found: Resting[] = [{ evidence: 1, mass: 0 }];
  for (const shown of shows) {
    let evidence = 0;
    let moment = 0;
    for (let i = 0; i < likelihoods.length; i++) {
      const mass = (i - reach) * massStep;
      const likelihood = (likelihoods[i]! *= shareOf(cell, shown - mass));
      evidence += likelihood;
      moment += likelihood * mass;
    }
    found.push({ evidence, mass: evidence > 0 ? moment / evidence : 0 });
  }
  return found;
}

function likeliestStart(resting: readonly Resting[], free: Float64Array): number {
  let likeliest = leastLooks;
  for (let from = leastLooks; from < resting.length; from++)
    if (resting[from]!.evidence * free[from]! > resting[likeliest]!.evidence * free[likeliest]!)
      likeliest = from;
  return likeliest;
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
