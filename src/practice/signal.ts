/**
 * The practice scale's display: from what lies on the pan to the bytes that a bench scale would send, ten times a
 * second. The load rings when it is put down or taken off, and the reading is noisy.
 */
import { roundTo } from "../units/mass.ts";
import { grams, type Grams, type MonoMs } from "../units/quantity.ts";
import { standardNormal, type Chance } from "./chance.ts";

const practiceDivision = grams(0.1);
/** Time between two lines. */
export const linePeriodMs = 100;
/** More than this shows as overload. */
const practiceCapacity = grams(6000);

/** The last change of the load: what lay there, what lies there now, and since when. */
export type Pan = {
  readonly before: Grams;
  readonly now: Grams;
  readonly sinceMonoMs: MonoMs;
  /** The figures shown last, newest last, from which the scale makes its own mark of stability. */
  readonly shown: readonly Grams[];
};

export const emptyPan = (atMonoMs: MonoMs): Pan => ({
  before: grams(0),
  now: grams(0),
  sinceMonoMs: atMonoMs,
  shown: [],
});

/** The pan once another load lies on it; 0 g when it is lifted. */
export function loaded(pan: Pan, gross: Grams, atMonoMs: MonoMs): Pan {
  return { ...pan, before: swinging(pan, atMonoMs), now: gross, sinceMonoMs: atMonoMs };
}

/** A hand lowers a tray within about this time; what is left then rings on the springs. */
const handMs = 60;
const ringShare = 0.12;
const ringHz = 2.2;
const ringDecayMs = 220;
/** Noise of a reading before it is rounded: a fifth of the division. */
const noiseGrams = 0.2 * practiceDivision;

/** The noise-free mass that the pan feels: the old load gives way to the new one, and a small part of the change rings. */
function swinging(pan: Pan, atMonoMs: MonoMs): Grams {
  const ms = Math.max(atMonoMs - pan.sinceMonoMs, 0);
  const ring = Math.exp(-ms / ringDecayMs) * Math.cos((2 * Math.PI * ringHz * ms) / 1000);
  const left = (1 - ringShare) * Math.exp(-ms / handMs) + ringShare * ring;
  return grams(pan.now + (pan.before - pan.now) * left);
}

/** The scale calls itself stable when its last five figures lie within one division. */
const looksForStable = 5;
function saysStable(shown: readonly Grams[]): boolean {
  return (
    shown.length === looksForStable &&
    Math.max(...shown) - Math.min(...shown) < 1.5 * practiceDivision
  );
}

/** The next line of the display, CR LF included, and the pan that remembers it. */
export function nextLine(pan: Pan, atMonoMs: MonoMs, chance: Chance): { pan: Pan; line: string } {
  const felt = swinging(pan, atMonoMs) + noiseGrams * standardNormal(chance);
  if (felt > practiceCapacity) return { pan: { ...pan, shown: [] }, line: "OL,GS,--------\r\n" };
  const figure = roundTo(felt, practiceDivision);
  const shown = [...pan.shown, figure].slice(-looksForStable);
  return { pan: { ...pan, shown }, line: lineOf(figure, saysStable(shown)) };
}

function lineOf(figure: Grams, stable: boolean): string {
  const digits = Math.abs(figure).toFixed(1);
  const sign = figure < 0 && digits !== "0.0" ? "-" : "+";
  return `${stable ? "ST" : "US"},GS,${sign}${digits.padStart(7)} g\r\n`;
}
