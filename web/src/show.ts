/**
 * Numbers and times as a person reads them. In: grams, hours, ISO times. Out: text in the person's language,
 * locale and unit; a mass never finer than the division of the scale that it came from.
 */
import { decimalsOf, fromGrams, gramsPer, poundsAndOunces } from "../../src/units/mass.ts";
import type { MassUnit } from "../../src/units/mass.ts";
import { grams } from "../../src/units/quantity.ts";
import { trayNumber } from "../../src/tray/called.ts";
import { isolated } from "../../src/units/written.ts";
import type { Batch } from "../../src/wire/batch.ts";
import type { Span } from "../../src/wire/words.ts";
import type { Texts } from "./texts.ts";

/** How this person reads: the language's texts, the locale of figures and dates, the unit of masses. */
export type Speech = { readonly texts: Texts; readonly locale: string; readonly unit: MassUnit };

/** A figure and the unit beside it; pounds and ounces are two of them. */
export type MassPart = { readonly figure: string; readonly unit: string };

const noBreak = "\u00a0";
const minusSign = "\u2212";
/** Where nothing says how fine the scale is, whole grams are shown. */
const unknownDivisionGrams = 1;

/**
 * The step of the display in its own unit: the scale's division where that is a plain number in this unit, else the
 * next larger of 1, 2, 5, 10 … so that a converted figure claims no more than the scale gave.
 */
export function displayStep(divisionGrams: number, unit: MassUnit): number {
  const exact = fromGrams(grams(divisionGrams), unit);
  const finest = unit === "kg" ? 6 : 3;
  const decimals = decimalsOf(exact);
  if (decimals <= finest) return Number(exact.toFixed(decimals));
  const decade = 10 ** Math.floor(Math.log10(exact));
  const factor = [1, 2, 5, 10].find((one) => one * decade >= exact * (1 - 1e-9)) ?? 10;
  return Number((factor * decade).toPrecision(1));
}

const roundToStep = (value: number, step: number): number => Math.round(value / step) * step;

export function showNumber(speech: Speech, value: number, decimals: number): string {
  const text = new Intl.NumberFormat(speech.locale, {
    minimumFractionDigits: decimals,
    maximumFractionDigits: decimals,
  }).format(Math.abs(value));
  const isZero = Number(Math.abs(value).toFixed(decimals)) === 0;
  return value < 0 && !isZero ? minusSign + text : text;
}

/** As one or two figures with their units; `plain` leaves out the separator of thousands. */
export function massParts(
  speech: Speech,
  massGrams: number,
  divisionGrams: number | null,
  plain = false,
): readonly MassPart[] {
  const division = divisionGrams ?? unknownDivisionGrams;
  if (speech.unit === "lb") return poundParts(speech, massGrams, division);
  const step = displayStep(division, speech.unit);
  const value = roundToStep(fromGrams(grams(massGrams), speech.unit), step);
  const figure = plain
    ? showPlain(speech, value, decimalsOf(step))
    : showNumber(speech, value, decimalsOf(step));
  return [{ figure, unit: speech.unit }];
}

function showPlain(speech: Speech, value: number, decimals: number): string {
  const text = new Intl.NumberFormat(speech.locale, {
    minimumFractionDigits: decimals,
    maximumFractionDigits: decimals,
    useGrouping: false,
  }).format(Math.abs(value));
  return value < 0 && Number(value.toFixed(decimals)) !== 0 ? minusSign + text : text;
}

function poundParts(speech: Speech, massGrams: number, divisionGrams: number): MassPart[] {
  const step = displayStep(divisionGrams, "oz");
  const decimals = decimalsOf(step);
  const rounded = roundToStep(massGrams / gramsPer.oz, step) * gramsPer.oz;
  const { negative, pounds, ounces } = poundsAndOunces(grams(rounded), decimals);
  const parts = [{ figure: showPlain(speech, ounces, decimals), unit: "oz" }];
  if (pounds > 0) parts.unshift({ figure: showNumber(speech, pounds, 0), unit: "lb" });
  const [first, ...others] = parts;
  if (!negative || first === undefined) return parts;
  return [{ ...first, figure: minusSign + first.figure }, ...others];
}

export const showMass = (speech: Speech, massGrams: number, divisionGrams: number | null): string =>
  massParts(speech, massGrams, divisionGrams)
    .map(({ figure, unit }) => figure + noBreak + unit)
    .join(noBreak);

/** A mass that is reckoned from what foods mostly hold: to 10 g, from a kilogram on to 100 g. */
export const showRoughMass = (speech: Speech, massGrams: number): string =>
  showMass(speech, massGrams, massGrams < 1000 ? 10 : 100);

/** "98 to 106 g"; one figure where both ends read the same. */
export function showMassRange(
  speech: Speech,
  { low, high }: { readonly low: number; readonly high: number },
  divisionGrams: number | null,
): string {
  const from = massParts(speech, low, divisionGrams);
  const to = showMass(speech, high, divisionGrams);
  if (showMass(speech, low, divisionGrams) === to) return to;
  const [only, second] = from;
  const isOneUnit = second === undefined && speech.unit !== "lb" && only !== undefined;
  return speech.texts.range(isOneUnit ? only.figure : showMass(speech, low, divisionGrams), to);
}

/** "102 g (98 to 106 g)"; one figure where all read the same. */
export function showMassWithin(
  speech: Speech,
  span: { readonly estimate: number; readonly low: number; readonly high: number },
  divisionGrams: number | null,
): string {
  const about = showMass(speech, span.estimate, divisionGrams);
  const range = showMassRange(speech, span, divisionGrams);
  return range === about ? about : `${about} (${range})`;
}

/** The width of a live weight in units of its figures' size, for fitting it to the screen. */
export function widthInEms(parts: readonly MassPart[], unitScale: number): number {
  const figure = (text: string): number =>
    Array.from(text).reduce(
      (sum, char) => sum + (/\d/.test(char) ? 0.64 : char === minusSign ? 0.84 : 0.32),
      0,
    );
  return parts.reduce(
    (sum, part) => sum + figure(part.figure) + unitScale * (part.unit.length * 0.68 + 0.3),
    0,
  );
}

/** "14 h 20 min", "20 min", "under 1 min". */
export function showDuration({ texts }: Speech, hours: number): string {
  const total = Math.round(Math.max(0, hours) * 60);
  if (total < 1) return texts.duration.underAMinute;
  const whole = Math.floor(total / 60);
  const rest = total % 60;
  if (whole === 0) return texts.duration.minutes(rest);
  return rest === 0
    ? texts.duration.hours(whole)
    : `${texts.duration.hours(whole)}${noBreak}${texts.duration.minutes(rest)}`;
}

/** A moment on the axis of drying hours; the food went in at 0 h. */
export const showDryingHour = (speech: Speech, hours: number): string =>
  hours === 0 ? speech.texts.duration.hours(0) : showDuration(speech, hours);

/** "8 s", then minutes and hours. */
export function showAge(speech: Speech, ms: number): string {
  const seconds = Math.max(0, Math.round(ms / 1000));
  return seconds < 60
    ? speech.texts.duration.seconds(seconds)
    : showDuration(speech, ms / 3_600_000);
}

const noHours = 0.05;
const minutesUpToHours = 1.5;
const minutesStep = 10;
/** A bound beyond this says only that nobody knows. */
const longestForeseenHours = 96;

/** "2 to 3.5 more hours": the low end rounded down, the high end up, so that the range never shrinks. */
export function showMoreHours(speech: Speech, span: Span): string {
  const { more } = speech.texts;
  const low = Math.max(0, span.low);
  if (span.high <= noHours) return more.none;
  if (span.high < minutesUpToHours) {
    const step = minutesStep / 60;
    const inMinutes = (hours: number): string => showNumber(speech, Math.round(hours * 60), 0);
    return more.minutes(
      inMinutes(Math.floor(low / step + 1e-9) * step),
      inMinutes(Math.ceil(span.high / step - 1e-9) * step),
    );
  }
  const inHours = (halves: number): string => showNumber(speech, halves / 2, halves % 2);
  const from = inHours(Math.floor(low * 2 + 1e-9));
  if (span.high > longestForeseenHours) return more.manyHours(from);
  return more.hours(from, inHours(Math.ceil(span.high * 2 - 1e-9)));
}

/** The time of day, with the day where it is not today. */
export function showTime(speech: Speech, iso: string, nowMs: number): string {
  const at = new Date(iso);
  const now = new Date(nowMs);
  const time = new Intl.DateTimeFormat(speech.locale, { timeStyle: "short" }).format(at);
  if (at.toDateString() === now.toDateString()) return time;
  const isNear = Math.abs(at.getTime() - nowMs) < 6 * 86_400_000;
  const day = new Intl.DateTimeFormat(
    speech.locale,
    isNear ? { weekday: "short" } : { day: "numeric", month: "short" },
  ).format(at);
  return `${day} ${time}`;
}

/** The service writes moments in ISO 8601 in UTC; a person reads them as the page shows every other moment. */
export const withLocalTimes = (speech: Speech, text: string, nowMs: number): string =>
  text.replace(/\d{4}-\d\d-\d\dT\d\d:\d\d(?::\d\d(?:\.\d+)?)?Z/g, (iso) =>
    showTime(speech, iso, nowMs),
  );

export const showDate = (speech: Speech, iso: string): string =>
  new Intl.DateTimeFormat(speech.locale, { dateStyle: "medium" }).format(new Date(iso));

export const showPercent = (speech: Speech, share: number, decimals = 0): string =>
  `${showNumber(speech, share * 100, decimals)}${noBreak}%`;

/** A tray that is called by a bare number is "tray 3" in a sentence; any other name stands as it is. */
export function trayName({ texts }: Speech, name: string): string {
  const number = trayNumber(name);
  return number === null ? isolated(name) : texts.trayNumbered(number);
}

/** "Strawberries, raw: tray 1 and tray 2". */
export const fromTrays = (speech: Speech, food: string, trays: readonly string[]): string =>
  `${food}: ${listOf(
    speech,
    trays.map((name) => trayName(speech, name)),
  )}`;

/** A real scale may stand in a folder for practice; this one is made up. */
export const isMadeUp = ({ uri }: { readonly uri: string }): boolean => uri === "practice:";

/** Scales are numbered as they come; the practice scale keeps its word. */
export function scaleName({ texts }: Speech, id: string): string {
  const number = /^scale-(\d+)$/.exec(id)?.[1];
  return number === undefined ? id : texts.look.scaleNumbered(number);
}

/** A batch that nobody named goes by its number; of one for practice that is always said. */
export function batchName(
  { texts }: Speech,
  { name, number, practice }: Pick<Batch, "name" | "number" | "practice">,
): string {
  const { named, practiceNumbered, practiceNamed } = texts.batch;
  if (name.trim() === "") return practice ? practiceNumbered(number) : named(number);
  return practice ? practiceNamed(isolated(name)) : isolated(name);
}

export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** "a", "a and b", "a, b and c" by the language's own rule. */
export const listOf = (speech: Speech, names: readonly string[]): string =>
  new Intl.ListFormat(speech.locale, { type: "conjunction" }).format(names);

/** What a person typed as a number: point or comma; `null` when it is none or could mean two things. */
export function readTyped(text: string): number | null {
  const plain = text.replace(/[\s\u00a0']/g, "");
  if (!/^[-\u2212]?(\d+([.,]\d*)?|[.,]\d+)$/.test(plain)) return null;
  // 1,250 may be a thousand and more, or a little over one.
  if (/^[1-9]\d{0,2},\d{3}$/.test(plain)) return null;
  const value = Number(plain.replace(",", ".").replace(minusSign, "-"));
  return Number.isFinite(value) ? value : null;
}

/** Of pieces in mm; empty says nothing. The service takes them up to 200 mm. */
export function isNoThickness(typed: string): boolean {
  const mm = readTyped(typed);
  return typed.trim() !== "" && (mm === null || mm <= 0 || mm > 200);
}

/** The service's time for a field in which a person sets a date and a time, and back. */
export function toLocalField(ms: number): string {
  const at = new Date(ms - new Date(ms).getTimezoneOffset() * 60_000);
  return at.toISOString().slice(0, 16);
}
/**
 * `nearMs`: what the field was about. Where it still says that, that is meant to the second; of a time that the clocks
 * show twice, an hour apart, the nearer one.
 */
export function fromLocalField(text: string, nearMs: number): string | null {
  const at = Date.parse(text);
  if (Number.isNaN(at)) return null;
  const second = at + hourMs;
  const isSecond = nearMs > at + hourMs / 2 && toLocalField(second) === text;
  const isSame = toLocalField(nearMs) === text;
  return new Date(isSame ? nearMs : isSecond ? second : at).toISOString();
}

const hourMs = 3_600_000;
