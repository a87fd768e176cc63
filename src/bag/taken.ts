/** What bags took of their trays. In: every bag of a batch. Out: milligrams for each part of a bag. */
import { fromMilligrams, shareOut, toMilligrams } from "../units/mass.ts";
import { grams, type Grams } from "../units/quantity.ts";
import type { Bag, BagPart } from "./bag.ts";
import { openTargets, toleranceOf } from "./divide.ts";
import { filledOf, lastOf, stateOf } from "./state.ts";

type PartTaken = { readonly bag: Bag; readonly part: BagPart; readonly mg: number };

/**
 * As it was planned, as long as no scale says otherwise: a plan of which a bag missed its target, and that is not made
 * up for by the others, took what was filled, and its open bags take the rest. Of several trays, or foods, each by its
 * part of the bag. Cancelled bags take nothing.
 */
export function takenBy(bags: readonly Bag[]): readonly PartTaken[] {
  const plans = new Map<number, Bag[]>();
  for (const bag of bags) {
    if (stateOf(bag) === "cancelled") continue;
    const plan = plans.get(bag.plan);
    if (plan === undefined) plans.set(bag.plan, [bag]);
    else plan.push(bag);
  }
  return [...plans.values()].flatMap((plan) => {
    const took = tookOf(plan);
    const within = plan.map((bag, place) => ({
      missed: (took[place] ?? 0) - bag.target,
      tolerance: toleranceOf(bag.target, divisionOf(bag)),
    }));
    const missedInAll = within.reduce((sum, { missed }) => sum + missed, 0);
    const asPlanned =
      Math.abs(missedInAll) <= Math.max(...within.map(({ tolerance }) => tolerance)) + rounding ||
      within.every(({ missed, tolerance }) => Math.abs(missed) <= tolerance + rounding);
    return plan.flatMap((bag, place) =>
      asPlanned ? planned(bag) : shared(bag, toMilligrams(took[place] ?? grams(0))),
    );
  });
}

/** Grams: masses are kept in whole milligrams. */
const rounding = 0.0005;

const divisionOf = (bag: Bag): Grams =>
  lastOf(bag, "filled")?.division ?? bag.parts[0]?.division ?? grams(1);

/** What each bag of a plan holds, or is to hold after what the others do. */
function tookOf(plan: readonly Bag[]): readonly Grams[] {
  const filled = plan.map(filledOf);
  const open = filled.filter((one) => one === null).length;
  const [first] = plan;
  if (open === 0 || first === undefined) return filled.map((one) => one ?? grams(0));
  const total = fromMilligrams(plan.reduce((sum, { target }) => sum + toMilligrams(target), 0));
  const known = { total, filled: filled.flatMap((one) => one ?? []), open };
  const targets = openTargets(known, divisionOf(first));
  let next = 0;
  return filled.map((one) => one ?? targets[next++] ?? grams(0));
}

const planned = (bag: Bag): PartTaken[] =>
  bag.parts.map((part) => ({ bag, part, mg: toMilligrams(part.grams) }));

/** In whole milligrams that add up. */
function shared(bag: Bag, tookMg: number): PartTaken[] {
  const mgs = shareOut(
    tookMg,
    bag.parts.map((part) => toMilligrams(part.grams)),
  );
  return bag.parts.map((part, place) => ({ bag, part, mg: mgs[place] ?? 0 }));
}
