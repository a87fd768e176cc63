import { gramsPer, type MassUnit } from "../units/mass.ts";
import { grams, type Grams } from "../units/quantity.ts";
import { misfit, type History, type Point } from "./points.ts";
import { said, type Figures, type Said, type Sentence } from "./sentences.ts";
import type { ContradictionCode } from "./verdict.ts";

/** What went wrong on one tray, and the row that it rests on. */
export type Slip = Said & {
  readonly code: ContradictionCode;
  readonly ref: number;
  readonly otherTray: string | null;
  /** The net mass that was probably meant. */
  readonly meantNet: Grams | null;
};

/** Standard deviations from which a figure is no accident, and within which another reading of it fits. Our choice. */
export const impossible = 4;
export const fitting = 2;

const slip = (
  code: ContradictionCode,
  ref: number,
  sentence: Sentence,
  figures: Figures,
  meantNet: number | null = null,
): Slip => ({
  code,
  ref,
  ...said(sentence, figures),
  otherTray: null,
  meantNet: meantNet === null ? null : grams(meantNet),
});

/** A fresh mass as stated, and another one weighed at hour 0. */
export function freshConflict({ log, points }: History): Slip | null {
  if (log.fresh === null) return null;
  const { net } = log.fresh;
  const other = points.find(
    (point) =>
      point.hour === 0 &&
      Math.abs(point.net - net) > Math.max(impossible * Math.SQRT2 * point.u, 0.01 * net),
  );
  return other === undefined
    ? null
    : slip("fresh-conflict", other.ref, "fresh-conflict", { netGrams: net, otherGrams: other.net });
}

/** Clocks set by hand, rounded hours and summer time are worth so much. */
const clockToleranceHours = 1.1;

/** Drying hours that run against the wall time, or do not fit into it. */
export function hoursOrder({ log }: History): Slip | null {
  const timed = log.weighings
    .flatMap((weighing) => (weighing.at === null ? [] : [{ ...weighing, at: weighing.at }]))
    .toSorted((a, b) => a.stretch - b.stretch || a.dryingHours - b.dryingHours || a.at - b.at);
  for (const [i, weighing] of timed.entries()) {
    const before = timed[i - 1];
    if (before === undefined) continue;
    const wallHours = (weighing.at - before.at) / 3_600_000;
    const dryingHours = weighing.dryingHours - before.dryingHours;
    if (dryingHours > wallHours + clockToleranceHours)
      return slip("hours-order", weighing.ref, "hours-order", {
        apartHours: dryingHours,
        clockHours: wallHours,
      });
  }
  return null;
}

/** Weighings no further apart in drying hours are of one time out of the dryer. */
export const sameHour = 0.02;

/** Two weighings at one hour that do not agree. */
export function weighedTwice({ points }: History): Slip | null {
  for (const [i, point] of points.entries()) {
    const before = points[i - 1];
    if (before === undefined || point.hour === 0 || point.hour - before.hour > sameHour) continue;
    if (
      point.stretch === before.stretch &&
      Math.abs(point.net - before.net) > impossible * Math.hypot(point.u, before.u)
    )
      return slip("weighed-twice", Math.max(point.ref, before.ref), "weighed-twice", {
        atHours: point.hour,
        beforeGrams: before.net,
        netGrams: point.net,
      });
  }
  return null;
}

/**
 * Where the history first contradicts itself: the points of which one must be wrong, the likelier one first. Of a rise
 * that is the later one, unless the points beyond agree that only the earlier one dips.
 */
export function oddPoints(history: History): readonly number[] {
  const { points } = history;
  const isOdd = (point: Point, before: Point | undefined): boolean =>
    misfit(history, point.net, point.u, before, undefined) >= impossible;
  for (const [i, point] of points.entries()) {
    const before = points[i - 1];
    if (!isOdd(point, before)) continue;
    if (before === undefined || i === 1 || isOdd(before, points[i - 2])) return [i];
    const onlyDips = !isOdd(point, points[i - 2]);
    if (!onlyDips) return [i];
    return points[i + 1] === undefined
      ? [i, i - 1]
      : isOdd(points[i + 1]!, before)
        ? [i - 1, i]
        : [i, i - 1];
  }
  return [];
}

const units: readonly Exclude<MassUnit, "g">[] = ["oz", "lb", "kg"];

/** What a net mass was if its figure, or that of the whole tray, had another unit. */
function readAs(
  net: number,
  tare: number | null,
  unit: Exclude<MassUnit, "g">,
): readonly (readonly [value: number, units: Pick<Figures, "meantUnit" | "writtenUnit">])[] {
  const factor = gramsPer[unit];
  const small = { meantUnit: unit, writtenUnit: "g" };
  const large = { meantUnit: "g", writtenUnit: unit };
  const alone = [[net * factor, small] as const, [net / factor, large] as const];
  if (tare === null) return alone;
  const gross = net + tare;
  return [...alone, [gross * factor - tare, small], [gross / factor - tare, large]];
}

/** The odd figure fits as another unit. */
export function unitMixed(history: History, odd: number): Slip | null {
  const { points, log } = history;
  // A fresh mass in another unit shows at the first weighing after it.
  const freshIsOdd = odd === 1 && points[1]!.net > points[0]!.net;
  for (const i of freshIsOdd ? [1, 0] : [odd]) {
    const point = points[i]!;
    const before = points[i - 1];
    const after = points[i + 1];
    for (const unit of units)
      for (const [value, units] of readAs(point.net, log.tare, unit)) {
        const next = after !== undefined && isLikewise(after.net, point.net) ? undefined : after;
        if (
          value <= 0 ||
          misfit(history, value, 0, before, next) > fitting ||
          !isNear(value, before, next)
        )
          continue;
        const sentence = i === 0 && odd === 1 ? "unit-mixed-fresh" : "unit-mixed";
        const figures = { netGrams: point.net, fitsGrams: value, ...units };
        return slip("unit-mixed", point.ref, sentence, figures, value);
      }
  }
  return null;
}

/** Later figures in the same wrong unit follow their like. */
const isLikewise = (next: number, point: number): boolean =>
  next <= 1.1 * point && next > 0.2 * point;
/** A factor of 28 leaves room for chance: the figure must come near its neighbours. */
const isNear = (value: number, before: Point | undefined, after: Point | undefined): boolean =>
  (before === undefined || value > before.net / 12) &&
  (after === undefined || value < 30 * after.net);

/** The odd figure fits when the tare is taken away, or given back; else a rise that no moisture explains. */
export function wrongTare(history: History, odd: number): Slip | null {
  const { points, log } = history;
  const point = points[odd]!;
  const before = points[odd - 1];
  const after = points[odd + 1];
  if (log.tare !== null && log.tare > impossible * point.u)
    for (const [value, sentence] of [
      [point.net - log.tare, "tare-left"],
      [point.net + log.tare, "tare-twice"],
    ] as const)
      if (value > 0 && misfit(history, value, point.u, before, undefined) < fitting)
        return slip(
          "wrong-tare",
          point.ref,
          sentence,
          { netGrams: point.net, fitsGrams: value },
          value,
        );
  if (before !== undefined && point.net > before.net)
    return slip("wrong-tare", point.ref, "rose-too-far", {
      beforeGrams: before.net,
      netGrams: point.net,
    });
  if (after !== undefined && after.net > point.net)
    return slip("wrong-tare", point.ref, "fell-and-came-back", {
      netGrams: point.net,
      afterGrams: after.net,
    });
  return null;
}

/** Drying slows down; a loss so much faster than the one before is no water. Our choice. */
const mostSpeedUp = 3;
/** And it must be worth noticing: share of the mass before. */
const noticeable = 0.05;

/** A sudden loss that the drying before and after it cannot explain. */
export function foodRemoved({ points, dryGrams }: History): Slip | null {
  for (let i = 2; i < points.length; i++) {
    const [far, before, point] = [points[i - 2]!, points[i - 1]!, points[i]!];
    if (point.stretch !== far.stretch) continue;
    const apart = before.hour - far.hour;
    const hours = point.hour - before.hour;
    if (apart < 0.5 || hours <= 0) continue;
    // After a rise it is the water taken up that leaves.
    if (before.net - far.net > fitting * Math.hypot(before.u, far.u)) continue;
    const rateBefore = Math.max(far.net - before.net, 0) / apart;
    const lost = before.net - point.net;
    const u = Math.hypot(point.u, before.u) + (Math.hypot(far.u, before.u) / apart) * hours;
    const unexplained = lost - mostSpeedUp * rateBefore * hours;
    if (unexplained > impossible * u && unexplained > noticeable * Math.max(before.net, dryGrams))
      return slip("food-removed", point.ref, "food-removed", {
        lossGrams: lost,
        apartHours: hours,
        beforeGrams: far.net - before.net,
        beforeHours: apart,
      });
  }
  return null;
}

/** Lighter than all the dry matter that was loaded. */
export function tooLight({ points, least, log }: History): Slip | null {
  const point = points.find(({ net, hour }) => hour > 0 && net < least.grams - least.sdGrams);
  if (point === undefined || log.food === null) return null;
  return slip("lighter-than-possible", point.ref, "lighter-than-possible", {
    netGrams: point.net,
    leastGrams: least.grams - least.sdGrams,
  });
}
