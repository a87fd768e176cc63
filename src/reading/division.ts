/**
 * The real step of a display. The decimals show the finest it could be; many displays count in twos or fives.
 * In: masses and the step that their decimals show. Out: 1, 2, 5, 10, 20 or 50 such steps.
 */
import type { Grams } from "../units/quantity.ts";

export type StepsSeen = {
  /** The step that the decimals show; another one (a change of unit or of range) begins anew. */
  readonly shown: Grams;
  readonly distinct: readonly number[];
  /** Of all differences seen so far, in shown steps. */
  readonly common: number;
};

/**
 * A step, and how many different values have to be whole steps before it is believed: on a display of the next finer one
 * (twice as fine: twelve values, five times: six) they all would be in less than 1 in 4000. An empty pan says nothing.
 */
const steps = [
  { step: 50, enough: 6 },
  { step: 20, enough: 12 },
  { step: 10, enough: 12 },
  { step: 5, enough: 6 },
  { step: 2, enough: 12 },
] as const;
const enough = 12;

/** Of a display that does not count in single ones, in shown steps. */
export const stepsOfDisplays: readonly number[] = steps.map(({ step }) => step);

/** As if it had been found out: of a scale that was read before. The first value between two such steps ends it. */
function stepsKnown(shown: Grams, known: Grams | null): StepsSeen | null {
  const times = known === null ? 1 : Math.round(known / shown);
  return steps.some(({ step }) => step === times)
    ? { shown, distinct: Array.from({ length: enough }, (_, n) => (n + 1) * times), common: times }
    : null;
}

/** `known`: the division of this scale as it was before anything was heard; null: nothing is known. */
export function afterMass(
  before: StepsSeen | null,
  mass: Grams,
  shown: Grams,
  known: Grams | null = null,
): StepsSeen {
  const count = Math.round(mass / shown);
  const seen = before ?? stepsKnown(shown, known);
  if (seen === null || Math.abs(seen.shown - shown) > 1e-9 * shown) {
    return { shown, distinct: [count], common: Math.abs(count) };
  }
  if (seen.common === 1 || seen.distinct.includes(count)) return seen;
  const distinct = seen.distinct.length <= enough ? [...seen.distinct, count] : seen.distinct;
  const common = gcd(seen.common, Math.abs(count));
  return common === seen.common && distinct === seen.distinct ? seen : { shown, distinct, common };
}

/** How many shown steps the display really moves by; 1 until the figures are well founded. */
export function stepsApart(seen: StepsSeen | null): number {
  if (seen === null) return 1;
  const values = seen.distinct.filter((count) => count !== 0).length;
  return steps.find((one) => values >= one.enough && seen.common % one.step === 0)?.step ?? 1;
}

function gcd(a: number, b: number): number {
  let [one, other] = [a, b];
  while (other > 0) [one, other] = [other, one % other];
  return one;
}
