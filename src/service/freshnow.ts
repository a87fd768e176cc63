/**
 * The fresh weight of bags by the weighings of their batch as they count now. A bag keeps what was known when it was
 * planned; a weighing that was put right since says something else, and the bag says so.
 */
import type { Bag } from "../bag/bag.ts";
import { freshEquivalent } from "../bag/divide.ts";
import { netOf as netInBag } from "../bag/state.ts";
import type { Grams } from "../units/quantity.ts";
import type { Weighed } from "./look.ts";
import { freshPerDryOn } from "./unpacked.ts";

/** Less than what a label shows. */
const worthSayingGrams = 0.05;

/** The bag with the fresh mass that a gram of it stands for now. `bagged`: every bag that the batch ever had. */
export function withFreshNow(bag: Bag, batch: Weighed, bagged: readonly Bag[]): Bag {
  const freshPerDry = freshPerDryOf(bag, batch, bagged);
  const differs = freshPerDry !== null && isOff(bag, freshPerDry);
  return differs ? { ...bag, freshPerDry } : bag;
}

const isOff = (bag: Bag, freshPerDry: number): boolean =>
  Math.abs(freshIn({ ...bag, freshPerDry }) - freshIn(bag)) >= worthSayingGrams;

const freshIn = (bag: Bag): Grams => freshEquivalent(netInBag(bag) ?? bag.target, bag.freshPerDry);

/** None where its fresh weight is as it was when the bag was planned. */
export const freshCautions = (planned: Bag, now: Bag): readonly string[] =>
  planned.freshPerDry === now.freshPerDry
    ? []
    : [
        `Its fresh weight was put right: ${freshIn(now).toFixed(1)} g, labels before say ${freshIn(planned).toFixed(1)} g.`,
      ];

/** Of all that its plan divided, as far as it had been weighed then; null where it cannot be told. */
function freshPerDryOf(bag: Bag, batch: Weighed, bagged: readonly Bag[]): number | null {
  const then = { ...batch, weighings: batch.weighings.filter(({ at }) => at <= bag.plannedAt) };
  const earlier = bagged.filter(({ plan }) => plan < bag.plan);
  const earlierParts = earlier.flatMap(({ parts }) => parts);
  let fresh = 0;
  let dry = 0;
  for (const { trayId, portion, grams } of bagged
    .filter(({ plan }) => plan === bag.plan)
    .flatMap(({ parts }) => parts)) {
    const tray = batch.trays.find(({ id }) => id === trayId);
    // What is left of a tray after one of its foods was packed by itself has another share of each.
    const isRest =
      portion === null && earlierParts.some((one) => one.trayId === trayId && one.portion !== null);
    const ratio = tray === undefined || isRest ? null : freshPerDryOn(then, earlier, tray, portion);
    if (ratio === null) return null;
    fresh += ratio * grams;
    dry += grams;
  }
  return dry > 0 && fresh > 0 ? fresh / dry : null;
}
