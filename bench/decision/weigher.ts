import type { Chance } from "./chance.ts";

/** A scale and the hand that uses it: masses in grams. */
export type Weigher = {
  readonly division: number;
  /** Standard deviation of putting the same tray down again. */
  readonly placementSd: number;
  /** Standard deviation of the zero between one round of weighings and the next; shared by its trays. */
  readonly driftSd: number;
  /** A warm tray lifts the air above it and reads light by up to this much. */
  readonly warmTray: number;
};

/** Assumed ranges: 0.2–0.6 and 0.1–0.5 divisions, up to 0.3 g. */
export const someWeigher = (division: number, chance: Chance): Weigher => ({
  division,
  placementSd: division * chance.between(0.2, 0.6),
  driftSd: division * chance.between(0.1, 0.5),
  warmTray: chance.between(0, 0.3),
});

export const driftOfRound = (weigher: Weigher, chance: Chance): number =>
  weigher.driftSd * chance.normal();

export const shown = (mass: number, division: number): number =>
  // Divisions of 0.1 are not exact in binary; the display shows one decimal.
  Math.round(Math.round(mass / division) * division * 1e6) / 1e6;

/** What the display says of `gross`, for a tray that is `warm` from the dryer or at room temperature. */
export function weigh(
  weigher: Weigher,
  gross: number,
  { drift, warm }: { readonly drift: number; readonly warm: boolean },
  chance: Chance,
): number {
  const light = warm ? weigher.warmTray * chance.between(0.3, 1) : 0;
  return shown(gross + drift + weigher.placementSd * chance.normal() - light, weigher.division);
}
