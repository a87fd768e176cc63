/**
 * How well looks at the pan are explained by a motion that must not pass for rest: a swing of more than 2 divisions
 * from top to bottom with a period of a second or less, or a drift of more than 2 divisions a second. In: looks from
 * the newest back, in divisions. Out: their probability, averaged over all such motions (every amplitude, frequency,
 * phase, speed and mass alike) and over the moment at which the motion may have begun.
 */
import { shareOf, type Cell } from "./display.ts";

/** From the newest back: seconds (not above 0) and what was shown, in divisions above the newest look. */
export type Looks = { readonly times: Float64Array; readonly shows: Float64Array };

/** The looks `from` to `to` (not included) of a run, counted from the newest. */
type Part = Looks & {
  readonly from: number;
  readonly to: number;
  /** Probability that motion of no special kind shows all looks from this one back to the oldest. */
  readonly free: Float64Array;
  /** The motion shows at least so many of the part's newest looks. */
  readonly least: number;
  /** How likely it is that the motion began within the part, beside that it has gone on all through it. */
  readonly begun: number;
  /** Evidence for something else beside which a motion this unlikely changes nothing. */
  readonly negligible: number;
};

/** A period of a second or less, up to half of ten readings a second; quicker ones look like one of these. */
const frequencies = Array.from({ length: 33 }, (_, i) => 1 + i / 8);
const phases = Array.from({ length: 16 }, (_, i) => (2 * Math.PI * i) / 16);
const cosOfPhase = Float64Array.from(phases, Math.cos);
const sinOfPhase = Float64Array.from(phases, Math.sin);
/** Beyond these no four looks lie within two steps. */
const amplitudes = [1.02, 1.1, 1.2, 1.35, 1.55, 1.85, 2.2, 2.6, 3.1, 3.8];
const speeds = [
  2.02, 2.12, 2.24, 2.38, 2.54, 2.72, 2.92, 3.14, 3.4, 3.7, 4, 4.4, 4.8, 5.3, 5.8, 6.4,
].flatMap((speed) => [speed, -speed]);
const swingStep = 0.125;
const driftStep = 0.1;
/** The mass that a motion swings or drifts about is not known: one in so many divisions. */
const divisionsOfMass = 4;
const swings = frequencies.length * phases.length * amplitudes.length;
/** The steps above are for this noise; where there is more of it, the mass need not be tried so finely. */
const noiseOfSteps = 0.2;
/** The motion is sought where it puts these newest looks within one step, give or take the noise. */
const looksToSeek = 4;

/** Cosine and sine of each frequency at the moments of the looks: one row of them after the other. */
type Waves = { readonly cos: Float64Array; readonly sin: Float64Array };

/** The same for all parts of a run. */
export function wavesOf(times: Float64Array): Waves {
  const count = times.length;
  const cos = new Float64Array(frequencies.length * count);
  const sin = new Float64Array(frequencies.length * count);
  frequencies.forEach((frequency, row) => {
    for (let i = 0; i < count; i++) {
      const angle = 2 * Math.PI * frequency * times[i]!;
      cos[row * count + i] = Math.cos(angle);
      sin[row * count + i] = Math.sin(angle);
    }
  });
  return { cos, sin };
}

export function swingEvidence(part: Part, { cos, sin }: Waves, cell: Cell, noise: number): number {
  const { times, shows, from, to } = part;
  const count = to - from;
  if (count < part.least) return 0;
  const sought = Math.min(count, looksToSeek);
  const step = swingStep * Math.max(1, noise / noiseOfSteps);
  const margin = 0.5 + 2.5 * noise;
  const wave = new Float64Array(count);
  const around = new Float64Array(count);
  const areNear = spanOf(shows, from, sought) <= 2 * margin;
  let sum = 0;
  for (let row = from; row < cos.length; row += times.length) {
    for (let phase = 0; phase < phases.length; phase++) {
      const phaseCos = cosOfPhase[phase]!;
      const phaseSin = sinOfPhase[phase]!;
      for (let i = 0; i < sought; i++)
        wave[i] = cos[row + i]! * phaseCos - sin[row + i]! * phaseSin;
      let reached = sought;
      // The looks' span about a swing is convex in its amplitude: once it has grown too wide it stays so.
      let fits = areNear;
      for (const amplitude of amplitudes) {
        let low = Infinity;
        let high = -Infinity;
        for (let i = 0; i < sought; i++) {
          const centre = shows[from + i]! - amplitude * wave[i]!;
          if (centre < low) low = centre;
          if (centre > high) high = centre;
        }
        if (high - low > 2 * margin) {
          if (fits) break;
          continue;
        }
        fits = true;
        for (; reached < count; reached++)
          wave[reached] = cos[row + reached]! * phaseCos - sin[row + reached]! * phaseSin;
        for (let i = 0; i < count; i++) around[i] = shows[from + i]! - amplitude * wave[i]!;
        sum += aroundMasses(around, part, cell, step, high - margin, low + margin);
      }
    }
  }
  return (sum * step) / divisionsOfMass / swings;
}

function spanOf(shows: Float64Array, from: number, count: number): number {
  let low = Infinity;
  let high = -Infinity;
  for (let i = from; i < from + count; i++) {
    if (shows[i]! < low) low = shows[i]!;
    if (shows[i]! > high) high = shows[i]!;
  }
  return high - low;
}

export function driftEvidence(part: Part, cell: Cell, noise: number): number {
  const { times, shows, from, to } = part;
  const count = to - from;
  if (count < part.least) return 0;
  const around = new Float64Array(count);
  const step = driftStep * Math.max(1, noise / noiseOfSteps);
  let sum = 0;
  for (const speed of speeds) {
    for (let i = 0; i < count; i++) around[i] = shows[from + i]! - speed * times[from + i]!;
    const margin = 0.5 + 2.5 * noise;
    sum += aroundMasses(around, part, cell, step, around[0]! - margin, around[0]! + margin);
  }
  return (sum * step) / divisionsOfMass / speeds.length;
}

/** Bound here for the tests, whose runner reaches an import by a getter: half of the time of the loop below. */
const share = shareOf;

/** Sum over the masses from `low` to `high` and over the look with which the motion may have begun. */
function aroundMasses(
  around: Float64Array,
  { from, free, least, begun, negligible }: Part,
  cell: Cell,
  step: number,
  low: number,
  high: number,
): number {
  let sum = 0;
  for (let at = Math.ceil(low / step); at * step <= high; at++) {
    const mass = at * step;
    let likelihood = 1;
    for (let i = 0; i < around.length; i++) {
      likelihood *= share(cell, around[i]! - mass);
      if (likelihood < negligible) break;
      if (i + 1 < least) continue;
      sum += likelihood * free[from + i + 1]! * (i + 1 < around.length ? begun : 1);
    }
  }
  return sum;
}
