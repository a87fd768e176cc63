import { expectedDry, leftByDryer } from "../food/expected.ts";
import type { LateRow } from "../drying/evidence.ts";
import type { RateSeen } from "../drying/learnedrate.ts";
import type { FoodOnTray, NetWeighing, TrayLog } from "../tray/weighing.ts";
import { z95 } from "../units/normal.ts";
import { grams } from "../units/quantity.ts";
import {
  driftDivisions,
  repeatabilityDivisions,
  tellingBand,
  uptakePerMinute,
  zRise,
  type GramConstants,
} from "./rules.ts";

/** What can be said of the end mass before looking at the curve. */
type EndMass = {
  readonly dryGrams: number;
  readonly endGrams: number;
  readonly endSdGrams: number;
  /** Whether the band is narrow enough to show a dryer that stopped. */
  readonly telling: boolean;
  /** Neither food nor fresh mass: the mass itself says nothing. */
  readonly blind: boolean;
};

/** A tray made ready for judging: its last stretch, in the order of drying hours. */
export type Load = {
  readonly log: TrayLog;
  readonly weighings: readonly NetWeighing[];
  /** Those since the mass last rose: water taken up in between breaks the curve. */
  readonly rows: readonly LateRow[];
  /** All of the stretch, for the question whether it rose. */
  readonly stretchRows: readonly LateRow[];
  readonly end: EndMass;
  /** Net mass before drying; null where nobody weighed it. */
  readonly freshGrams: number | null;
  /** Of the pieces, as stated. */
  readonly thicknessMm: number | null;
  /** What ended batches of the food showed of its rate, brought to this thickness. */
  readonly ratesSeen: readonly RateSeen[];
  /** Drying hour at which the last stretch began. */
  readonly since: number;
};

export const inOrder = (weighings: readonly NetWeighing[]): readonly NetWeighing[] =>
  weighings.toSorted(
    (a, b) => a.stretch - b.stretch || a.dryingHours - b.dryingHours || a.ref - b.ref,
  );

/** Net mass before drying: as stated, else the weighing at hour 0. */
export function freshGramsOf(log: TrayLog): number | null {
  if (log.fresh !== null) return log.fresh.net;
  const atStart = inOrder(log.weighings).find(({ dryingHours }) => dryingHours === 0);
  return atStart?.net ?? null;
}

/** Standard uncertainty of one weighing, in grams, before bench time is looked at. `placement`: in divisions. */
export const uOfScale = (
  division: number,
  inGrams: GramConstants,
  placement: number = repeatabilityDivisions,
): number =>
  Math.sqrt(division ** 2 * (1 / 12 + placement ** 2 + driftDivisions ** 2) + inGrams.bench ** 2);

/** Where a mass was brought from another scale, the uncertainty of that comes on top. */
export const withOffset = (uGrams: number, otherScale: NetWeighing["otherScale"]): number =>
  otherScale === undefined ? uGrams : Math.hypot(uGrams, otherScale.u);

/** The load to judge, or null where nothing was weighed since drying began. */
export function loadOf(log: TrayLog, inGrams: GramConstants): Load | null {
  const dried = inOrder(log.weighings).filter(({ dryingHours }) => dryingHours > 0);
  const last = dried.at(-1);
  if (last === undefined) return null;
  const weighings = dried.filter(({ stretch }) => stretch === last.stretch);
  const before = dried.filter(({ stretch }) => stretch !== last.stretch).at(-1);
  const freshGrams = freshGramsOf(log);
  const lightest = Math.min(...weighings.map(({ net }) => net));
  const end = endMassOf(log.food, freshGrams, lightest);
  const stretchRows = rowsOf(weighings, end.dryGrams, inGrams);
  const rows = sinceLastRise(stretchRows);
  return {
    log,
    weighings,
    rows,
    stretchRows,
    end,
    freshGrams,
    thicknessMm: log.thicknessMm ?? null,
    ratesSeen: log.ratesSeen ?? [],
    since: stretchRows[stretchRows.length - rows.length - 1]?.hour ?? before?.dryingHours ?? 0,
  };
}

function sinceLastRise(rows: readonly LateRow[]): readonly LateRow[] {
  const rise = rows.findLastIndex((row, i) => {
    const before = rows[i - 1];
    return (
      before !== undefined &&
      row.netGrams - before.netGrams > zRise * Math.hypot(row.uGrams, before.uGrams)
    );
  });
  return rise < 0 ? rows : rows.slice(rise);
}

/** Expected mass at the end from what was loaded. */
export function endMassOf(
  food: FoodOnTray | null,
  freshGrams: number | null,
  lightestGrams: number,
): EndMass {
  if (freshGrams === null || freshGrams <= 0) {
    const dryGrams = lightestGrams / (1 + leftByDryer.mean);
    return {
      dryGrams,
      endGrams: lightestGrams,
      endSdGrams: 3 * lightestGrams,
      telling: false,
      blind: true,
    };
  }
  const expected = expectedDry(grams(freshGrams), food);
  return {
    ...expected,
    telling: food !== null && z95 * expected.endSdGrams <= tellingBand * expected.dryGrams,
    blind: false,
  };
}

/** Whether both certainly hold the same food: one of which nothing is known may be any. */
export const holdSameFood = ({ log: { food } }: Load, { log: { food: other } }: Load): boolean =>
  food !== null && other?.name.toLowerCase() === food.name.toLowerCase();

/** Brings weighings taken after different times on the bench to the tray's usual one. */
function rowsOf(
  weighings: readonly NetWeighing[],
  dryGrams: number,
  inGrams: GramConstants,
): readonly LateRow[] {
  const known = weighings.flatMap(({ minutesOut }) => (minutesOut === null ? [] : [minutesOut]));
  const usual = known.toSorted((a, b) => a - b)[Math.floor(known.length / 2)] ?? 0;
  return weighings.map((row) => {
    const { dryingHours, net, division, minutesOut, otherScale, placementDivisions } = row;
    const extraMinutes = minutesOut === null ? 0 : minutesOut - usual;
    // Wet food on the bench takes up nothing to speak of; a dry one no more than its mass allows.
    const uptakeBase = Math.min(dryGrams, net) * extraMinutes;
    return {
      hour: dryingHours,
      netGrams: net - uptakePerMinute.mean * uptakeBase,
      uGrams: withOffset(
        Math.hypot(
          uOfScale(division, inGrams, placementDivisions),
          uptakePerMinute.sd * uptakeBase,
        ),
        otherScale,
      ),
    };
  });
}
