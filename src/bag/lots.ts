/**
 * Which lot of packaging leaks more often than others. In: bags with what the shelf says of them. Out: for each lot
 * how many gained of how many that could be told, with the exact interval of the share.
 */
import { fraction, type Fraction } from "../units/quantity.ts";
import type { Bag } from "./bag.ts";
import type { ShelfWord } from "./recheck.ts";

type Share = {
  readonly estimate: Fraction;
  readonly low: Fraction;
  readonly high: Fraction;
};

type Lot = Pick<Bag, "container" | "volumeMl" | "lot"> & {
  readonly bags: number;
  /** Weighed on the shelf, and it could be told. */
  readonly told: number;
  readonly gaining: number;
  /** null: none could be told. */
  readonly share: Share | null;
  /** Even the least that its own bags allow is more than the most that all others allow. */
  readonly isWorse: boolean;
};

/** On each side of an interval that holds the truth in 95 of 100 cases. */
const doubt = 0.025;

/**
 * Of a share of which `hits` of `trials` are known: the interval of Clopper and Pearson (Biometrika 26, 1934, 404-413).
 * Its limits are the shares at which as many, or as few, would be seen in half of the doubt. Never too narrow.
 */
export function exactShare(hits: number, trials: number): Share {
  if (!Number.isSafeInteger(hits) || !Number.isSafeInteger(trials) || hits < 0 || hits > trials)
    throw new RangeError(`${hits} of ${trials}`);
  if (trials === 0) throw new RangeError("no trials tell of no share");
  return {
    estimate: fraction(hits / trials),
    low: fraction(hits === 0 ? 0 : shareWhere((p) => atLeast(hits, trials, p) > doubt)),
    high: fraction(
      hits === trials ? 1 : shareWhere((p) => atLeast(hits + 1, trials, p) > 1 - doubt),
    ),
  };
}

/** Halved until no number lies between: the first share at which `isBeyond` holds. */
function shareWhere(isBeyond: (share: number) => boolean): number {
  let [below, above] = [0, 1];
  for (let middle = 0.5; middle > below && middle < above; middle = (below + above) / 2)
    if (isBeyond(middle)) above = middle;
    else below = middle;
  return above;
}

/** Chance of at least so many hits, summed from the smaller tail. */
function atLeast(hits: number, trials: number, share: number): number {
  if (hits <= 0) return 1;
  if (hits <= trials * share) return 1 - tail(trials - hits + 1, trials, 1 - share);
  return tail(hits, trials, share);
}

/** Chance of `hits` or more, for more hits than the share makes likely: each further term is smaller. */
function tail(hits: number, trials: number, share: number): number {
  let logTerm = hits * Math.log(share) + (trials - hits) * Math.log1p(-share);
  for (let at = 1; at <= hits; at++) logTerm += Math.log((trials - hits + at) / at);
  let term = Math.exp(logTerm);
  let sum = term;
  for (let at = hits; at < trials && term > 0; at++) {
    term *= ((trials - at) / (at + 1)) * (share / (1 - share));
    sum += term;
  }
  return Math.min(1, sum);
}

export type JudgedBag = Pick<Bag, "container" | "volumeMl" | "lot"> & {
  /** null: not sealed yet. */
  readonly word: ShelfWord | null;
};

/** The worst first. Packages of one kind and size without a name are one lot. */
export function lotsOf(bags: readonly JudgedBag[]): readonly Lot[] {
  const groups = new Map<string, JudgedBag[]>();
  for (const bag of bags) {
    const key = JSON.stringify([bag.container, bag.volumeMl, bag.lot]);
    groups.set(key, [...(groups.get(key) ?? []), bag]);
  }
  const all = countOf(bags);
  return [...groups.values()]
    .flatMap((group): Lot[] => {
      const [first] = group;
      if (first === undefined) return [];
      const { told, gaining } = countOf(group);
      const share = told === 0 ? null : exactShare(gaining, told);
      const others = { told: all.told - told, gaining: all.gaining - gaining };
      const { container, volumeMl, lot } = first;
      return [
        {
          container,
          volumeMl,
          lot,
          bags: group.length,
          told,
          gaining,
          share,
          isWorse:
            share !== null &&
            others.told > 0 &&
            share.low > exactShare(others.gaining, others.told).high,
        },
      ];
    })
    .toSorted((a, b) => (b.share?.low ?? -1) - (a.share?.low ?? -1) || b.bags - a.bags);
}

function countOf(bags: readonly JudgedBag[]): { readonly told: number; readonly gaining: number } {
  const told = bags.filter(
    ({ word }) => word !== null && word !== "cannot-tell" && word !== "not-checked",
  );
  return {
    told: told.length,
    gaining: told.filter(({ word }) => word === "gaining-moisture").length,
  };
}
