/** A curve of the service as the plot wants it: columns over one ascending axis of drying hours. */
import type { Curve, TrayVerdict } from "../../src/wire/batch.ts";
import type { Span } from "../../src/wire/words.ts";

export type Point = Curve["points"][number];

/** `undefined`: nothing at this hour, the line goes on. Masses in the unit that `perUnitGrams` stands for. */
type Columns = {
  readonly dryingHours: readonly number[];
  readonly line: readonly (number | undefined)[];
  readonly low: readonly (number | undefined)[];
  readonly high: readonly (number | undefined)[];
  readonly points: readonly (number | undefined)[];
};

/** Bars reach twice the standard uncertainty to either side. */
export const barsAt = 2;

export function columnsOf(curve: Curve, perUnitGrams: number): Columns {
  const fit = curve.fit;
  const hours = [
    ...new Set([...(fit?.dryingHours ?? []), ...curve.points.map((point) => point.dryingHours)]),
  ].sort((a, b) => a - b);
  const at = (values: readonly number[] | undefined) => {
    const byHour = new Map(fit?.dryingHours.map((hour, index) => [hour, values?.[index]]));
    return hours.map((hour) => inUnit(byHour.get(hour), perUnitGrams));
  };
  const weighed = new Map(curve.points.map((point) => [point.dryingHours, point.netGrams]));
  return {
    dryingHours: hours,
    line: at(fit?.netGrams),
    low: at(fit?.lowGrams),
    high: at(fit?.highGrams),
    points: hours.map((hour) => inUnit(weighed.get(hour), perUnitGrams)),
  };
}

const inUnit = (mass: number | undefined, perUnitGrams: number): number | undefined =>
  mass === undefined ? undefined : mass / perUnitGrams;

type Range = { readonly low: number; readonly high: number };

/** From the axis of dry mass up: everything that is drawn between two hours, with a little air. */
export function massRange(
  curve: Curve,
  also: readonly number[] = [],
  from = -Infinity,
  to = Infinity,
): Range {
  const { points, fit, expectedDryGrams } = curve;
  const isSeen = (hours: number | undefined): boolean =>
    hours !== undefined && hours >= from && hours <= to;
  const isWhole = from === -Infinity && to === Infinity;
  const all = [
    ...points
      .filter((point) => isSeen(point.dryingHours))
      .flatMap(({ netGrams, uncertaintyGrams }) => [
        netGrams - barsAt * uncertaintyGrams,
        netGrams + barsAt * uncertaintyGrams,
      ]),
    ...(fit?.netGrams ?? []).filter((_, index) => isSeen(fit?.dryingHours[index])),
    // Near by, the levels would flatten what a person came to look at.
    ...(isWhole && expectedDryGrams !== null ? [expectedDryGrams.low, expectedDryGrams.high] : []),
    ...(isWhole ? also : []),
  ];
  if (all.length === 0) return isWhole ? { low: 0, high: 1 } : massRange(curve, also);
  const low = Math.min(...all);
  const high = Math.max(...all);
  const air = Math.max(0.05 * (high - low), 0.5);
  return { low: Math.max(0, low - air), high: high + air };
}

type Judged = Pick<TrayVerdict, "remaining_g" | "more_hours">;

/**
 * The food mass, in grams, at which the tray counts as dry: the last weighing less the water still held above what a
 * working dryer leaves, and the limit on top. Null where the judgment does not say how much water is held.
 */
export function limitLine(curve: Curve, verdict: Judged | null, limitPct: number): Span | null {
  const last = curve.points.at(-1);
  const held = verdict?.remaining_g ?? null;
  if (last === undefined || held === null) return null;
  const at = (excess: number): number => (last.netGrams - excess) * (1 + limitPct / 100);
  return { estimate: at(held.estimate), low: at(held.high), high: at(held.low) };
}

/** The drying hours at which the tray is foreseen to be dry; null where nothing is foreseen, or it is dry now. */
export function drynessForeseen(curve: Curve, verdict: Judged | null): Span | null {
  const last = curve.points.at(-1);
  const more = verdict?.more_hours ?? null;
  if (last === undefined || more === null || more.high <= 0) return null;
  const at = (hours: number): number => last.dryingHours + Math.max(0, hours);
  return { estimate: at(more.estimate), low: at(more.low), high: at(more.high) };
}

/** The hours to draw: all of the curve, and what is foreseen as far as it does not squeeze the rest. */
export function hoursRange(curve: Curve, foreseen: Span | null): Range {
  const last = Math.max(
    1,
    ...curve.points.map((point) => point.dryingHours),
    ...(curve.fit?.dryingHours ?? []),
  );
  const high = foreseen === null ? last : Math.max(last, Math.min(foreseen.high, 1.5 * last));
  return { low: -0.02 * high, high: 1.03 * high };
}

/** Zoomed by a factor about a middle, never outside the whole and never nearer than six minutes. */
export function zoomed(now: Range, whole: Range, factor: number, middle: number): Range {
  const width = Math.min(whole.high - whole.low, Math.max(0.1, (now.high - now.low) * factor));
  const share = (middle - now.low) / (now.high - now.low);
  const low = Math.min(whole.high - width, Math.max(whole.low, middle - share * width));
  return { low, high: low + width };
}

/** The same width, moved so that the hour is in view. */
export function broughtIn(now: Range, whole: Range, hour: number): Range {
  if (hour >= now.low && hour <= now.high) return now;
  return zoomed(
    { low: hour - (now.high - now.low) / 2, high: hour + (now.high - now.low) / 2 },
    whole,
    1,
    hour,
  );
}

/** A course as its share of the fresh mass over drying hours, so that batches of any size lie on one another. */
export function sharesOf(
  curve: Curve,
): readonly (readonly [hours: number, share: number])[] | null {
  const fresh = curve.points.find((point) => point.dryingHours === 0)?.netGrams;
  if (fresh === undefined || fresh <= 0 || curve.points.length < 2) return null;
  return curve.points.map((point) => [point.dryingHours, point.netGrams / fresh]);
}

/** Midway between two weighings of different stretches: there the drying was interrupted. */
export const breaksIn = (points: readonly Point[]): readonly number[] =>
  points.flatMap((point, index) => {
    const before = points[index - 1];
    return before !== undefined && before.stretch !== point.stretch
      ? [(before.dryingHours + point.dryingHours) / 2]
      : [];
  });

/** The two weighings on which the question rests now; null across an interruption. */
export function lastInterval(points: readonly Point[]): readonly [Point, Point] | null {
  const [before, last] = points.slice(-2);
  if (before === undefined || last === undefined || before.stretch !== last.stretch) return null;
  return [before, last];
}
