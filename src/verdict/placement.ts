/**
 * How well a scale repeats itself when a load is lifted off and put back. In: series of one load put on one scale again
 * and again within minutes. Out: the standard uncertainty of one placement, by scale and division.
 */
import type { NetWeighing, TrayLog } from "../tray/weighing.ts";
import { grams, type Grams } from "../units/quantity.ts";
import { inOrder, uOfScale } from "./load.ts";
import { kitchenGrams, repeatabilityDivisions, uptakePerMinute } from "./rules.ts";
import { impossible, sameHour } from "./slips.ts";

/** One load that lay on a scale once. */
export type Put = {
  /** What it lay on; "" where only one scale is thought of. */
  readonly scale: string;
  readonly shown: Grams;
  readonly division: Grams;
  /** On any clock. */
  readonly minutes: number;
};

/** One load that lay on a scale several times. */
export type Series = {
  readonly scale: string;
  readonly division: Grams;
  /** Sum of squares about the mean of the series in g², without what the food's uptake of water explains. */
  readonly squares: number;
  /** One less than the times that it was put on. */
  readonly repeats: number;
};

export type Placement = {
  readonly scale: string;
  readonly division: Grams;
  /** Standard uncertainty of putting a load on once, the display's rounding apart: in grams and in divisions. */
  readonly u: Grams;
  readonly inDivisions: number;
  readonly repeats: number;
};

/** No dryer pumps down and dries within so few minutes, and no scale drifts far. Our choice. */
export const mostMinutes = 10;
/** Further apart, in divisions, it was not the same empty tray or weight. Our choice, as for two scales. */
const mostApartDivisions = 10;
/** What the constant of `rules.ts` is worth: as much as so many repeats of one's own. Our choice. */
export const priorRepeats = 4;
/** With fewer repeats than these a scale may be found worse than the constant, never better. */
export const leastRepeats = 10;
/**
 * A load whose mass lies in the middle of a step shows the same figure each time while a placement strays by half a
 * division no more than once in twenty times, 2 u: however often it did, it proves no less than this. In divisions.
 */
export const leastPlacement = 0.25;
const rounding = 1 / 12;

/**
 * Splits what lay on one scale, oldest first, into series of one load. `foodGrams`: the lightest that its food was, which
 * takes up water while it lies out, hardly any while it is wet; null: there is none on it. Of food, figures that
 * contradict each other end a series, because one of them is wrong, and so does a time in which the uptake may have been
 * more than the rounding of two figures.
 */
export function seriesIn(puts: readonly Put[], foodGrams: number | null): readonly Series[] {
  const series: Put[][] = [];
  for (const put of puts) {
    const last = series.at(-1);
    if (last !== undefined && last.every((one) => isSameLoad(one, put, foodGrams))) last.push(put);
    else series.push([put]);
  }
  return series.filter((one) => one.length > 1).map((one) => seriesOf(one, foodGrams ?? 0));
}

function isSameLoad(one: Put, other: Put, foodGrams: number | null): boolean {
  const { division } = one;
  const minutes = Math.abs(other.minutes - one.minutes);
  if (one.scale !== other.scale || other.division !== division || minutes > mostMinutes)
    return false;
  const apart = Math.abs(other.shown - one.shown);
  if (foodGrams === null) return apart <= mostApartDivisions * division;
  return (
    apart <= impossible * Math.SQRT2 * uOfScale(division, kitchenGrams) &&
    uptakePerMinute.sd * foodGrams * minutes <= Math.sqrt(2 * rounding) * division
  );
}

function seriesOf(puts: readonly Put[], foodGrams: number): Series {
  const { scale, division } = puts[0]!;
  const minutes = puts.map((one) => one.minutes);
  const figures = puts.map(
    ({ shown, minutes: at }) => shown - uptakePerMinute.mean * foodGrams * (at - minutes[0]!),
  );
  const ofUptake = (uptakePerMinute.sd * foodGrams) ** 2 * squaresOf(minutes);
  return { scale, division, squares: squaresOf(figures) - ofUptake, repeats: puts.length - 1 };
}

function squaresOf(values: readonly number[]): number {
  const mean = values.reduce((sum, one) => sum + one, 0) / values.length;
  return values.reduce((sum, one) => sum + (one - mean) ** 2, 0);
}

/**
 * The variance of a single figure, placement and rounding together, has the constant as a scaled inverse-χ² prior of
 * `priorRepeats` degrees of freedom; the sums of squares of the series, pooled, make the posterior one with
 * ν = ν₀ + n, ν·v = ν₀·v₀ + Σ squares (Gelman et al., Bayesian Data Analysis, 3rd ed., 2.6; the pooled variance is that
 * of ISO 5725-2, 7.4.5: Σ(n−1)s²/Σ(n−1); both from memory). Its scale v is taken, one over the mean precision, so that
 * without repeats it is the constant. The rounding, a twelfth of a squared division, comes off again (Sheppard).
 */
export function placementFrom(all: readonly Series[], division: Grams): number {
  const repeats = all.reduce((sum, one) => sum + one.repeats, 0);
  if (repeats === 0) return repeatabilityDivisions;
  const squares = all.reduce((sum, one) => sum + one.squares, 0) / division ** 2;
  const prior = priorRepeats * (repeatabilityDivisions ** 2 + rounding);
  const variance = (prior + Math.max(squares, 0)) / (priorRepeats + repeats);
  const found = Math.sqrt(Math.max(variance - rounding, 0));
  return Math.max(found, repeats < leastRepeats ? repeatabilityDivisions : leastPlacement);
}

/** Of every scale and division with repeats, in the order in which they first came. */
export function placementsFrom(all: readonly Series[]): readonly Placement[] {
  const found: Placement[] = [];
  for (const { scale, division } of all) {
    if (placementOn(found, scale, division) !== null) continue;
    const own = all.filter((one) => one.scale === scale && one.division === division);
    const inDivisions = placementFrom(own, division);
    found.push({
      scale,
      division,
      u: grams(inDivisions * division),
      inDivisions,
      repeats: own.reduce((sum, one) => sum + one.repeats, 0),
    });
  }
  return found;
}

/** null: nothing was put on it again. */
const placementOn = (all: readonly Placement[], scale: string, division: Grams): Placement | null =>
  all.find((one) => one.scale === scale && one.division === division) ?? null;

/**
 * The series in logs that name no scale: rows of one tray at the same drying hours. All of one division are taken to be
 * of one scale, and rows that do not say when they were weighed to follow each other at once.
 */
export const seriesInLogs = (logs: readonly TrayLog[]): readonly Series[] =>
  logs.flatMap(({ weighings }) => {
    const lightest = Math.max(0, Math.min(...weighings.map(({ net }) => net)));
    const byHour: NetWeighing[][] = [];
    for (const row of inOrder(weighings.filter(({ dryingHours }) => dryingHours > 0))) {
      const first = byHour.at(-1)?.[0];
      if (
        first !== undefined &&
        row.foodTaken !== true &&
        first.stretch === row.stretch &&
        row.dryingHours - first.dryingHours <= sameHour
      )
        byHour.at(-1)!.push(row);
      else byHour.push([row]);
    }
    return byHour.flatMap((rows) => {
      const isTimed = rows.every(({ minutesOut }) => minutesOut !== null);
      const puts = rows.map(({ net, division, minutesOut }) => ({
        scale: "",
        shown: net,
        division,
        minutes: isTimed ? (minutesOut ?? 0) : 0,
      }));
      const inTime = puts.toSorted((one, other) => one.minutes - other.minutes);
      return seriesIn(inTime, lightest);
    });
  });

/** A log with what was learned of its scales; `scaleOf` names the scale of a row, null where none is named. */
export const withPlacements = <Log extends TrayLog>(
  log: Log,
  placements: readonly Placement[],
  scaleOf: (row: NetWeighing) => string | null,
): Log => ({
  ...log,
  weighings: log.weighings.map((row) => {
    const scale = scaleOf(row);
    const found = scale === null ? null : placementOn(placements, scale, row.division);
    return found === null ? row : { ...row, placementDivisions: found.inDivisions };
  }),
});

/** Logs that name no scale. */
export const withPlacementsIn = <Log extends TrayLog>(
  log: Log,
  placements: readonly Placement[],
): Log => withPlacements(log, placements, () => "");
