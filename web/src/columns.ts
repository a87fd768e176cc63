/** A curve of the service as the plot wants it: columns over one ascending axis of drying hours. */
import type { Curve } from "../../src/wire/batch.ts";

export type Point = Curve["points"][number];

/** `undefined`: nothing at this hour, the line goes on. Masses in the unit that `perUnitGrams` stands for. */
export type Columns = {
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

/** From the axis of dry mass up: everything that is drawn, with a little air. */
export function massRange(curve: Curve): { readonly low: number; readonly high: number } {
  const { points, fit, expectedDryGrams } = curve;
  const all = [
    ...points.flatMap(({ netGrams, uncertaintyGrams }) => [
      netGrams - barsAt * uncertaintyGrams,
      netGrams + barsAt * uncertaintyGrams,
    ]),
    ...(fit?.netGrams ?? []),
    ...(expectedDryGrams === null ? [] : [expectedDryGrams.low, expectedDryGrams.high]),
  ];
  if (all.length === 0) return { low: 0, high: 1 };
  const low = Math.min(...all);
  const high = Math.max(...all);
  const air = Math.max(0.05 * (high - low), 0.5);
  return { low: Math.max(0, low - air), high: high + air };
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
