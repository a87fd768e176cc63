/**
 * What lies on the pan. In: readings in the order of their arrival. Out: the state that the page shows, and an event
 * once for each load at rest and once when it is taken off. Masses in grams as the scale shows them: nothing is
 * subtracted, not even a zero that has crept.
 *
 * A load is anything but the empty pan. It begins when the weight has changed from the last rest by more than two
 * divisions, or three times the reading noise where that is more. A knock that ends at the old mass is no new load,
 * unless the pan was empty in between. A rest follows a creep of up to 0.1 division a second, so that dry food taking
 * up moisture stays one load.
 *
 * A scale may send seldom: its lines are looked at as they come, and rest is told by `slow.ts`. Only a pause longer
 * than its usual one is a silence then.
 */
import type { Reading, ScaleUnit } from "../reading/reading.ts";
import { grams, type Grams, type MonoMs } from "../units/quantity.ts";
import { afterRest, assumedNoise, noiseOf, type Noise } from "./noise.ts";
import { leastLooks, mostApart, restOf, type Look, type Rest } from "./rest.ts";
import type { SettledWeight } from "./settled.ts";
import { creepDivisionsPerSecond, slowGapOf, slowRestOf } from "./slow.ts";

export type PanEvent =
  { readonly is: "settled"; readonly weight: SettledWeight } | { readonly is: "lifted" };

/**
 * `on` is what was last made out for certain. `below-zero`: less than nothing, as when a tray that was zeroed away is
 * lifted; that is no load. `unknown`: not yet, or not since a silence over 10 s or a lost link.
 */
export type Pan = {
  readonly state: "weight" | "over" | "under" | "silent";
  /** What the newest reading says; null unless `state` is "weight". */
  readonly mass: Grams | null;
  readonly division: Grams | null;
  readonly unit: ScaleUnit | null;
  /** At rest now, loaded or empty. */
  readonly settled: boolean;
  readonly on: "unknown" | "nothing" | "load" | "below-zero";
  /** Whether the empty pan was seen near zero since a silence over 10 s or a lost link. */
  readonly zeroSeen: boolean;
  readonly memory: Memory;
};

type WeightReading = Extract<Reading, { is: "weight" }>;

type Memory = {
  /** Since the last break, newest last: a few seconds at most, or a few readings of a scale that sends seldom. */
  readonly looks: readonly Look[];
  readonly basis: WeightReading["basis"] | null;
  readonly lastAtMonoMs: MonoMs | null;
  /** Usual milliseconds between readings. */
  readonly interval: number | null;
  /** The last pauses between readings in milliseconds, newest last; they outlive a lost link. */
  readonly gaps: readonly number[];
  /** The load that was announced and not seen to be taken off, moved along by creep. */
  readonly load: Grams | null;
  /** What the scale shows for the empty pan, moved along by creep. */
  readonly zero: Grams;
  /** Whether `zero` was taken at rest since the pan became empty. */
  readonly zeroRested: boolean;
  readonly restMovedAtMonoMs: MonoMs | null;
  /** Where the newest readings lie without a break, and since when. */
  readonly place: Place | null;
  readonly placeSinceMonoMs: MonoMs | null;
  /** How many readings they are. */
  readonly placeReadings: number;
  readonly noise: Noise;
  readonly noiseLearnedAtMonoMs: MonoMs | null;
};

type Place = "near-zero" | "below" | "above";

type PanStep = { readonly pan: Pan; readonly events: readonly PanEvent[] };

const keptMs = 4500;
/**
 * Of a scale that sends more often not every reading is looked at: the work stays the same however fast it sends. No
 * multiple of a usual interval, so that rounding of the times does not decide which reading is looked at.
 */
const leastBetweenLooksMs = 72;
/** Of many readings every other look comes later than the one before did: a quick swing does not keep step with both. */
const manyReadingsMs = 30;
const laterMs = 20;
/** A pause of four usual intervals breaks a plateau, within these bounds. */
const breakIntervals = 4;
const leastBreakMs = 700;
const mostBreakMs = 2500;
const breakMsUnknown = 1500;
/** Of a scale that sends seldom one line left out is a break. */
const slowBreakGaps = 1.5;
const gapsKept = 3;
/**
 * Lines that come together were kept back on their way, by a converter that fills its packets or a computer that was
 * busy: they say nothing of the interval, and the pause before them is no silence of the scale.
 */
const togetherMs = 5;
const silentAfterMs = 3000;
const zeroLostAfterMs = 10_000;
/** However long nothing could be seen, no more creep than this much time brings is believed. */
const mostCreepSeconds = 2;
const changeDivisions = 2;
const changeNoises = 3;
/** Two masses computed to be equal may differ by this share of a division. */
const rounding = 1e-6;
/** The empty pan is left alone for so long before the load counts as lifted: longer than the crest of a swing. */
const liftedAfterMs = 300;
/** So many lines are 0.8 s of a scale that sends ten a second, and more than the crest of a swing at 50. Our choice. */
const leastTogether = 8;
const nearZeroDivisions = 2;
/** A scale need not return quite to zero when a load comes off. */
const returnDivisions = 4;
const mostZeroDivisions = 4;
/** A reading within this much of the rest needs no new proof that the load rests. */
const atRestDivisions = 1.5;

/** Before the first reading: nothing is known yet, and nothing is taken to lie on the pan. */
export const emptyPan: Pan = {
  state: "silent",
  mass: null,
  division: null,
  unit: null,
  settled: false,
  on: "unknown",
  zeroSeen: false,
  memory: {
    looks: [],
    basis: null,
    lastAtMonoMs: null,
    interval: null,
    gaps: [],
    load: null,
    zero: grams(0),
    zeroRested: false,
    restMovedAtMonoMs: null,
    place: null,
    placeSinceMonoMs: null,
    placeReadings: 0,
    noise: assumedNoise,
    noiseLearnedAtMonoMs: null,
  },
};

/** Standard deviation of one reading, in divisions, as learned so far. */
export const readingNoise = (pan: Pan): number => noiseOf(pan.memory.noise);

export function afterReading(before: Pan, reading: Reading): PanStep {
  if (reading.is === "unreadable") return { pan: before, events: [] };
  const pan = heard(before, reading.atMonoMs);
  if (reading.is === "over")
    return { pan: { ...forgetLooks(pan), state: "over", mass: null }, events: [] };
  if (reading.is === "under") return afterUnder(pan, reading.atMonoMs);
  return afterWeight(pan, reading);
}

/** To be called while no reading comes. Silence forgets: no plateau spans a gap. */
export function afterSilence(pan: Pan, nowMonoMs: MonoMs): Pan {
  const { lastAtMonoMs } = pan.memory;
  if (lastAtMonoMs === null) return pan;
  const gapMs = nowMonoMs - lastAtMonoMs;
  const broken = gapMs > breakMs(pan) ? forgetLooks(pan) : pan;
  const silent: Pan =
    gapMs > Math.max(silentAfterMs, slowBreakMs(pan))
      ? { ...broken, state: "silent", mass: null, settled: false }
      : broken;
  return gapMs > zeroLostAfterMs ? { ...silent, on: "unknown", zeroSeen: false } : silent;
}

/** What was announced is kept, so that the same load found again is not announced twice. */
export function afterLinkLost(pan: Pan): Pan {
  const forgotten = forgetLooks(pan);
  return {
    ...forgotten,
    state: "silent",
    mass: null,
    on: "unknown",
    zeroSeen: false,
    memory: { ...forgotten.memory, lastAtMonoMs: null, interval: null },
  };
}

function heard(before: Pan, atMonoMs: MonoMs): Pan {
  const pan = afterSilence(before, atMonoMs);
  const { lastAtMonoMs, interval } = pan.memory;
  const went = lastAtMonoMs === null ? 0 : atMonoMs - lastAtMonoMs;
  const usual = went > mostBreakMs ? interval : usualAfter(interval, went);
  const gaps = went < togetherMs ? pan.memory.gaps : [...pan.memory.gaps, went].slice(-gapsKept);
  return { ...pan, memory: { ...pan.memory, lastAtMonoMs: atMonoMs, interval: usual, gaps } };
}

function usualAfter(interval: number | null, went: number): number | null {
  if (interval === null) return went === 0 ? null : went;
  return went < togetherMs ? interval : interval + 0.2 * (went - interval);
}

function breakMs(pan: Pan): number {
  const { interval } = pan.memory;
  const slowMs = slowBreakMs(pan);
  if (slowMs > 0) return Math.max(mostBreakMs, slowMs);
  if (interval === null) return breakMsUnknown;
  return Math.min(mostBreakMs, Math.max(leastBreakMs, breakIntervals * interval));
}

/** 0: the scale does not send seldom. */
const slowBreakMs = ({ memory: { gaps } }: Pan): number =>
  Math.min(zeroLostAfterMs, slowBreakGaps * (slowGapOf(gaps) ?? 0));

function forgetLooks(pan: Pan): Pan {
  return {
    ...pan,
    settled: false,
    memory: {
      ...pan.memory,
      looks: [],
      place: null,
      placeSinceMonoMs: null,
      placeReadings: 0,
    },
  };
}

function afterUnder(before: Pan, atMonoMs: MonoMs): PanStep {
  const placed = inPlace({ ...before, memory: { ...before.memory, looks: [] } }, "below", atMonoMs);
  const pan: Pan = { ...placed, state: "under", mass: null, settled: false };
  return dwells(pan, atMonoMs) ? comeOff(pan, "below-zero") : { pan, events: [] };
}

function afterWeight(before: Pan, reading: WeightReading): PanStep {
  const { mass, division, atMonoMs } = reading;
  const same = isSameDisplay(before, reading);
  if (same && followsAtOnce(before, atMonoMs) && !leavesRest(before, reading))
    return betweenLooks(before, reading);
  const kept = same ? before : forgetLooks(before);
  const isSlow = slowGapOf(kept.memory.gaps) !== null;
  const looks = [
    ...(isSlow
      ? kept.memory.looks.slice(1 - leastLooks)
      : kept.memory.looks.filter((look) => atMonoMs - look.atMonoMs <= keptMs)),
    { atMonoMs, mass, saysMoving: reading.scaleSaysStill === false },
  ];
  const seen: Pan = {
    ...kept,
    state: "weight",
    mass,
    division,
    unit: reading.unit,
    memory: { ...kept.memory, looks, basis: reading.basis },
  };
  const pan = inPlace(seen, placeOf(seen, mass, division), atMonoMs);
  if (stillAtRest(pan, mass, division)) return { pan: resting(pan, reading), events: [] };
  const rest = (isSlow ? slowRestOf : restOf)(looks, division, readingNoise(pan));
  if (rest !== null) return afterRestFound({ ...pan, settled: true }, reading, rest);
  const moving: Pan = { ...pan, settled: false };
  return dwells(moving, atMonoMs) ? afterDwelling(moving) : { pan: moving, events: [] };
}

function followsAtOnce({ memory: { looks, interval } }: Pan, atMonoMs: MonoMs): boolean {
  const newest = looks.at(-1);
  if (newest === undefined) return false;
  const before = looks.at(-2)?.atMonoMs ?? -Infinity;
  const isLater =
    interval !== null &&
    interval <= manyReadingsMs &&
    newest.atMonoMs - before < leastBetweenLooksMs + laterMs;
  return atMonoMs - newest.atMonoMs < leastBetweenLooksMs + (isLater ? laterMs : 0);
}

/** What ends a rest is looked at however soon it comes: else a motion in step with the looks would pass for rest. */
const leavesRest = (pan: Pan, { mass, division }: WeightReading): boolean =>
  pan.settled && !stillAtRest(pan, mass, division);

/**
 * A reading that follows at once says where the load is, and nothing new of whether it rests. Of a bundle the first
 * alone is looked at; a swing that each begins alike shows in the others.
 */
function betweenLooks(before: Pan, { mass, division, atMonoMs }: WeightReading): PanStep {
  const look = before.memory.looks.at(-1);
  const showsMotion =
    look !== undefined &&
    !before.settled &&
    atMonoMs - look.atMonoMs < togetherMs &&
    Math.abs(mass - look.mass) > mostApart(division, readingNoise(before));
  const seen: Pan = { ...(showsMotion ? forgetLooks(before) : before), state: "weight", mass };
  const pan = inPlace(seen, placeOf(seen, mass, division), atMonoMs);
  return pan.settled || !dwells(pan, atMonoMs) ? { pan, events: [] } : afterDwelling(pan);
}

/** Lifting is told before the pan has come to rest. */
function afterDwelling(pan: Pan): PanStep {
  const { place } = pan.memory;
  if (place === "near-zero" && pan.on !== "nothing") return comeOff(pan, "nothing");
  if (place === "below" && pan.on !== "below-zero") return comeOff(pan, "below-zero");
  return { pan, events: [] };
}

function isSameDisplay({ division, unit, memory }: Pan, reading: WeightReading): boolean {
  return (
    division !== null &&
    Math.abs(reading.division - division) < 1e-9 * division &&
    reading.unit === unit &&
    reading.basis === memory.basis
  );
}

function placeOf({ on, memory: { zero, load } }: Pan, mass: Grams, division: Grams): Place {
  const quarter = load === null || on === "nothing" ? 0 : load / 4;
  const near = Math.min(
    returnDivisions * division,
    Math.max(nearZeroDivisions * division, quarter),
  );
  if (mass < -returnDivisions * division) return "below";
  return mass <= near || mass - zero <= near ? "near-zero" : "above";
}

function inPlace(pan: Pan, place: Place, atMonoMs: MonoMs): Pan {
  const { memory } = pan;
  const isNew = memory.place !== place;
  const placeSinceMonoMs = isNew ? atMonoMs : memory.placeSinceMonoMs;
  const placeReadings = isNew ? 1 : memory.placeReadings + 1;
  return { ...pan, memory: { ...memory, place, placeSinceMonoMs, placeReadings } };
}

/**
 * A network that stood still brings seconds of lines at one moment: then their number tells how long the load was
 * where they say, by the interval before.
 */
function dwells({ memory }: Pan, atMonoMs: MonoMs): boolean {
  const { placeSinceMonoMs, placeReadings, interval } = memory;
  if (placeSinceMonoMs === null) return false;
  const byNumber = placeReadings < leastTogether ? 0 : (placeReadings - 1) * (interval ?? 0);
  return Math.max(atMonoMs - placeSinceMonoMs, byNumber) >= liftedAfterMs;
}

/** The mass of the last rest, if that rest is one of the present load or of the empty pan. */
function lastRest({ on, memory }: Pan): Grams | null {
  if (on === "load") return memory.load;
  return on === "nothing" && memory.zeroRested ? memory.zero : null;
}

function stillAtRest(pan: Pan, mass: Grams, division: Grams): boolean {
  const rest = lastRest(pan);
  return pan.settled && rest !== null && Math.abs(mass - rest) <= atRestOf(pan) * division;
}

/** Between two lines of a scale that sends seldom a rest creeps further; up to a new load it stays one. */
const atRestOf = ({ memory: { gaps } }: Pan): number =>
  slowGapOf(gaps) === null ? atRestDivisions : changeDivisions + rounding;

function afterRestFound(pan: Pan, reading: WeightReading, rest: Rest): PanStep {
  const { place, load } = pan.memory;
  if (place === "near-zero" && pan.on !== "nothing") return comeOff(pan, "nothing");
  if (place === "below") return comeOff(pan, "below-zero");
  if (place === "near-zero") return { pan: emptyAtRest(pan, reading, rest), events: [] };
  const isSame =
    load !== null && Math.abs(rest.mass - load) <= changeOf(reading.division, readingNoise(pan));
  if (isSame) return { pan: resting({ ...pan, on: "load" }, reading), events: [] };
  return announce(pan, reading, rest);
}

const changeOf = (division: Grams, noise: number): number =>
  (Math.max(changeDivisions, changeNoises * noise) + rounding) * division;

function announce(pan: Pan, reading: WeightReading, rest: Rest): PanStep {
  const { division, atMonoMs, atUtcMs } = reading;
  const noiseGrams = readingNoise(pan) * division;
  const weight: SettledWeight = {
    mass: rest.mass,
    u: grams(Math.sqrt(division ** 2 / 12 + noiseGrams ** 2 / rest.looks)),
    division,
    looks: rest.looks,
    fromMonoMs: rest.fromMonoMs,
    atMonoMs,
    atUtcMs,
    zeroSeen: pan.zeroSeen,
  };
  const memory = { ...pan.memory, load: rest.mass, restMovedAtMonoMs: atMonoMs };
  return { pan: { ...pan, on: "load", memory }, events: [{ is: "settled", weight }] };
}

/** The load, if there was one, is gone: the pan is empty, or shows less than nothing. */
function comeOff(pan: Pan, on: "nothing" | "below-zero"): PanStep {
  const events: readonly PanEvent[] = pan.memory.load === null ? [] : [{ is: "lifted" }];
  const atZero = on === "nothing" && pan.mass !== null && pan.division !== null;
  const zero = atZero ? withinZero(pan.mass, pan.division) : pan.memory.zero;
  const memory: Memory = { ...pan.memory, load: null, zero, zeroRested: false };
  return { pan: { ...pan, on, zeroSeen: pan.zeroSeen || on === "nothing", memory }, events };
}

const withinZero = (mass: number, division: Grams): Grams =>
  grams(Math.min(mostZeroDivisions * division, Math.max(-mostZeroDivisions * division, mass)));

function emptyAtRest(pan: Pan, reading: WeightReading, rest: Rest): Pan {
  if (pan.memory.zeroRested) return resting(pan, reading);
  const zero = withinZero(rest.mass, reading.division);
  const memory = { ...pan.memory, zero, zeroRested: true, restMovedAtMonoMs: reading.atMonoMs };
  return { ...pan, memory };
}

/** The rest creeps along with the newest second of readings, and the noise is learned from it. */
function resting(pan: Pan, { atMonoMs, division }: WeightReading): Pan {
  const { memory } = pan;
  const rest = lastRest(pan);
  if (rest === null || memory.restMovedAtMonoMs === null) return pan;
  const lately = memory.looks.filter(
    (look) =>
      atMonoMs - look.atMonoMs <= 1000 && Math.abs(look.mass - rest) <= atRestOf(pan) * division,
  );
  if (lately.length === 0) return pan;
  const mean = lately.reduce((sum, look) => sum + look.mass, 0) / lately.length;
  const mostSeconds = Math.max(mostCreepSeconds, slowBreakMs(pan) / 1000);
  const seconds = Math.min(mostSeconds, (atMonoMs - memory.restMovedAtMonoMs) / 1000);
  const most = creepDivisionsPerSecond * division * seconds;
  const moved = grams(rest + Math.min(most, Math.max(-most, mean - rest)));
  const next = pan.on === "load" ? { load: moved } : { zero: withinZero(moved, division) };
  const crept: Pan = { ...pan, memory: { ...memory, ...next, restMovedAtMonoMs: atMonoMs } };
  return learnNoise(
    crept,
    lately.map((look) => look.mass / division),
    atMonoMs,
  );
}

/** Only under a load: many scales hold the empty pan at zero and so hide their noise there. */
function learnNoise(pan: Pan, shown: readonly number[], atMonoMs: MonoMs): Pan {
  const { noise, noiseLearnedAtMonoMs } = pan.memory;
  if (pan.on !== "load") return pan;
  if (noiseLearnedAtMonoMs !== null && atMonoMs - noiseLearnedAtMonoMs < 1000) return pan;
  const memory = { ...pan.memory, noise: afterRest(noise, shown), noiseLearnedAtMonoMs: atMonoMs };
  return { ...pan, memory };
}
