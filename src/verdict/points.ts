import { expectedDry } from "../food/expected.ts";
import type { TrayLog } from "../tray/weighing.ts";
import { grams } from "../units/quantity.ts";
import { inOrder, uOfScale, withOffset } from "./load.ts";
import type { GramConstants } from "./rules.ts";

/** A net mass of a tray's history, the fresh one included, as the search for slips looks at it. */
export type Point = {
  readonly hour: number;
  readonly net: number;
  readonly u: number;
  readonly ref: number;
  readonly stretch: number;
};

/** The history of a tray with what bounds it. */
export type History = {
  readonly log: TrayLog;
  readonly points: readonly Point[];
  /** The lightest that this food can be, and the scale on which lighter is impossible. */
  readonly least: { readonly grams: number; readonly sdGrams: number };
  readonly dryGrams: number;
};

/** No food that is dried holds less dry matter than this share of its fresh mass (USDA SR28: cucumber 4.8 %). */
const leastSolids = 0.03;
/** Dry food left in the open takes up water: one standard deviation, share of dry mass. 3 % in a night is common
 * practice of the trade, 5 to 12 % the end of it at 40 to 60 % relative humidity (from memory). */
const openAirUptake = 0.04;

export function historyOf(log: TrayLog, inGrams: GramConstants): History {
  // Not as learned of the scale: that comes from figures that did not contradict each other by this.
  const weighed = inOrder(log.weighings).map((one) => ({
    hour: one.dryingHours as number,
    net: one.net as number,
    u: withOffset(uOfScale(one.division, inGrams), one.otherScale),
    ref: one.ref,
    stretch: one.stretch,
  }));
  const points =
    log.fresh === null || weighed[0]?.hour === 0
      ? weighed
      : [
          {
            hour: 0,
            net: log.fresh.net as number,
            u: uOfScale(log.fresh.division, inGrams),
            ref: log.fresh.ref,
            stretch: 0,
          },
          ...weighed,
        ];
  const first = points[0];
  if (first === undefined || first.hour > 0) {
    const lightest = Math.min(...points.map(({ net }) => net));
    return { log, points, least: { grams: 0, sdGrams: 1 }, dryGrams: lightest };
  }
  const { dryGrams, endGrams, endSdGrams } = expectedDry(grams(first.net), log.food);
  const least =
    log.food === null
      ? { grams: leastSolids * first.net, sdGrams: 0.1 * leastSolids * first.net }
      : { grams: Math.max(endGrams - 2 * endSdGrams, 0), sdGrams: endSdGrams };
  return { log, points, least, dryGrams };
}

/**
 * How impossible a mass is between its neighbours, in standard deviations: a drying tray gets lighter, can take up a
 * little water in the open, and never weighs less than its dry matter.
 */
export function misfit(
  { least, dryGrams }: History,
  value: number,
  u: number,
  before: Point | undefined,
  after: Point | undefined,
): number {
  const uptake = openAirUptake * Math.min(dryGrams, value);
  const above = before === undefined ? 0 : (value - before.net) / Math.hypot(u, before.u, uptake);
  const belowNext =
    after === undefined
      ? 0
      : (after.net - value) / Math.hypot(u, after.u, openAirUptake * Math.min(dryGrams, after.net));
  const belowLeast = (least.grams - value) / Math.hypot(least.sdGrams, u);
  return Math.max(0, above, belowNext, belowLeast);
}
