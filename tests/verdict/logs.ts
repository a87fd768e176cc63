import type { FoodOnTray, NetWeighing, TrayLog } from "../../src/tray/weighing.ts";
import { fraction, grams, hours } from "../../src/units/quantity.ts";
import { judgeBatch } from "../../src/verdict/judge.ts";
import type { JudgmentSettings, TrayVerdict } from "../../src/verdict/verdict.ts";

/** USDA SR28 09316, strawberries, raw: 90.95 % water, SE 0.2 of 26 lots, so 1 point between lots. */
export const strawberries: FoodOnTray = {
  name: "Strawberries, raw",
  water: fraction(0.9095),
  waterSd: fraction(0.01),
  source: "USDA SR28 09316",
};

export const potatoes: FoodOnTray = {
  name: "Potatoes, flesh and skin, raw",
  water: fraction(0.7925),
  waterSd: fraction(0.012),
  source: "USDA SR28 11352",
};

type Row = readonly [dryingHours: number, net: number];

export type LogOptions = {
  readonly tray?: string;
  readonly division?: number;
  readonly fresh?: number | null;
  readonly food?: FoodOnTray | null;
  readonly tare?: number;
};

/** A log of net weighings; line numbers begin at 2, below a header. */
export function logOf(rows: readonly Row[], options: LogOptions = {}): TrayLog {
  const division = grams(options.division ?? 0.1);
  const fresh = options.fresh ?? null;
  return {
    tray: options.tray ?? "A",
    tare: options.tare === undefined ? null : grams(options.tare),
    fresh: fresh === null ? null : { net: grams(fresh), division, ref: 2 },
    food: options.food ?? null,
    weighings: rows.map(([dryingHours, net], i): NetWeighing => ({
      dryingHours: hours(dryingHours),
      net: grams(net),
      division,
      minutesOut: null,
      stretch: 0,
      at: null,
      ref: i + 2,
    })),
    coreChecks: [],
  };
}

export const settings = { limit: fraction(0.01) };

/** The verdict of a tray that is the whole batch. */
export const judgeTray = (log: TrayLog, asked: JudgmentSettings): TrayVerdict =>
  judgeBatch([log], asked).trays[0]!;
