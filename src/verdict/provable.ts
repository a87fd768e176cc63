import { expectedDry } from "../food/expected.ts";
import type { FoodOnTray } from "../tray/weighing.ts";
import { z95 } from "../units/normal.ts";
import type { Grams } from "../units/quantity.ts";
import { uOfScale } from "./load.ts";
import { inHours, inMass } from "./phrase.ts";
import { kitchenGrams, leastHoursApart, rateTolerance, type GramConstants } from "./rules.ts";

/** What a scale can prove of a load before anything is dried. */
type Provable = {
  /** Shortest further drying after which no loss would prove dryness, tray by tray. */
  readonly hoursByTray: readonly number[];
  /** The same with all trays weighed as one load. */
  readonly hoursTogether: number;
  /** The division with which the shortest interval allowed would do for the lightest tray. */
  readonly divisionNeeded: number;
  readonly text: string;
};

/** No interval longer than this is worth planning. Our choice. */
export const worthPlanningHours = 12;

/**
 * Shortest interval that can prove dryness: Δ = z·√2·u/(ρ·S), at least one hour, for no loss at all, a tolerance ρ of
 * 0.25 % of the dry mass an hour, z one-sided 95 % and S the dry mass.
 */
export const shortestProof = (dryGrams: number, uPairGrams: number): number =>
  Math.max(leastHoursApart, (z95 * uPairGrams) / (rateTolerance * dryGrams));

/** `trays`: fresh mass and food of each; `division` of the scale that will weigh them. */
export function provableBefore(
  trays: readonly { readonly fresh: Grams; readonly food: FoodOnTray | null }[],
  division: Grams,
  inGrams: GramConstants = kitchenGrams,
): Provable {
  const dry = trays.map(({ fresh, food }) => expectedDry(fresh, food).dryGrams);
  const uPair = Math.SQRT2 * uOfScale(division, inGrams);
  const hoursByTray = dry.map((one) => shortestProof(one, uPair));
  const sum = dry.reduce((total, one) => total + one, 0);
  const hoursTogether = shortestProof(sum, Math.sqrt(trays.length) * uPair);
  const lightest = Math.min(...dry);
  const longest = Math.max(...hoursByTray);
  const divisionNeeded = divisionFor(lightest, worthPlanningHours / 3, inGrams);
  const together = trays.length === 1 ? null : hoursTogether;
  return {
    hoursByTray,
    hoursTogether,
    divisionNeeded,
    text: sentence(longest, together, division, divisionNeeded),
  };
}

/** The division, in steps of 1, 2 and 5, that proves `dryGrams` dry within `hours`; the finest step if none does. */
function divisionFor(dryGrams: number, hours: number, inGrams: GramConstants): number {
  const steps = [50, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1].map(
    (one) => (one / 0.1) * inGrams.finestDivision,
  );
  const fits = (one: number): boolean =>
    (z95 * Math.SQRT2 * uOfScale(one, inGrams)) / (rateTolerance * dryGrams) <= hours;
  return steps.find(fits) ?? steps.at(-1)!;
}

/** `together`: null for a single tray. */
function sentence(
  longest: number,
  together: number | null,
  division: number,
  needed: number,
): string {
  if (longest <= worthPlanningHours)
    return `This scale can prove ${together === null ? "this load dry" : "dryness tray by tray"} with weighings ${inHours(Math.ceil(longest * 2) / 2)} of drying apart.`;
  const finer = `a scale of ${inMass(needed)} would do${together === null ? "" : " for each tray"}`;
  if (together === null)
    return `A scale of ${inMass(division)} cannot prove this load dry: it would take ${inHours(Math.ceil(longest))} between weighings; ${finer}.`;
  if (together <= worthPlanningHours)
    return `A scale of ${inMass(division)} is too coarse for a single tray (${inHours(Math.ceil(longest))}), but all trays weighed as one load can be proved dry with weighings ${inHours(Math.ceil(together * 2) / 2)} of drying apart; ${finer}.`;
  return `A scale of ${inMass(division)} cannot prove this load dry: it would take ${inHours(Math.ceil(together))} between weighings even of all trays as one; ${finer}.`;
}
