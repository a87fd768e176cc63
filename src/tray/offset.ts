/**
 * What one scale shows more than another. In: loads that were put on both, one scale after the other. Out: the offset
 * at any load, with its standard uncertainty. Both scales stand at zero when they are empty, so the difference is taken
 * to grow with the load.
 */
import { grams, type Grams, type UtcMs } from "../units/quantity.ts";
import { divisionUncertainty } from "./net.ts";

/** One load on two scales. */
export type ScaleComparison = {
  readonly id: number;
  readonly one: string;
  readonly other: string;
  readonly oneShown: Grams;
  readonly otherShown: Grams;
  readonly oneDivision: Grams;
  readonly otherDivision: Grams;
  readonly at: UtcMs;
  /** The row that no longer counts; null: this is no taking back. */
  readonly takesBack: number | null;
};

/** `from` shows so much more than `to`, at the mean of the loads compared. */
export type ScaleOffset = {
  readonly from: string;
  readonly to: string;
  readonly offset: Grams;
  readonly u: Grams;
  readonly atLoad: Grams;
  readonly count: number;
  /** Standard deviation of the offsets found, at the mean load; null: of one comparison there is none. */
  readonly spread: Grams | null;
  readonly lastAt: UtcMs;
  readonly lightest: Grams;
  readonly heaviest: Grams;
};

/** Of one mass brought from one scale to another. */
export type Brought = {
  readonly offset: Grams;
  readonly u: Grams;
  /** The two were never compared, or too coarsely to tell more than that scales differ. */
  readonly isKnown: boolean;
};

/** Lifting and putting back, in divisions, where nobody measured it. Our choice, as in the judgment. */
const placementDivisions = 0.4;
/** Standard uncertainty, share of the load, by which two kitchen scales may differ. Our choice, no source. */
export const unknownOffsetShare = 0.002;
/** More than this share of the load apart, or so many divisions: not the same load. Our choice. */
const mostApart = { share: 0.05, divisions: 10 } as const;
/** A lighter load says nothing of how the scales differ. Our choice. */
export const leastDivisions = 50;

/** Those that count: neither taken back nor a taking back. */
export function counted(comparisons: readonly ScaleComparison[]): readonly ScaleComparison[] {
  const gone = new Set(comparisons.flatMap(({ takesBack }) => takesBack ?? []));
  return comparisons.filter(({ id, takesBack }) => takesBack === null && !gone.has(id));
}

/** Whether two figures can be of one load on two scales. */
export const isOneLoad = (one: Grams, other: Grams, coarser: Grams): boolean =>
  Math.abs(one - other) <=
  Math.max(mostApart.share * Math.max(one, other), mostApart.divisions * coarser);

type Seen = {
  readonly load: number;
  readonly share: number;
  /** Rounding alone, which no repetition of the same load takes away. */
  readonly uRoundingShare: number;
  readonly uShare: number;
};

function seenOf(one: ScaleComparison, from: string): Seen {
  const isTurned = one.one !== from;
  const [shown, load] = isTurned ? [one.otherShown, one.oneShown] : [one.oneShown, one.otherShown];
  const roundings = [one.oneDivision, one.otherDivision].map(divisionUncertainty);
  const placements = [one.oneDivision, one.otherDivision].map((d) => placementDivisions * d);
  return {
    load,
    share: (shown - load) / load,
    uRoundingShare: Math.hypot(...roundings) / load,
    uShare: Math.hypot(...roundings, ...placements) / load,
  };
}

/**
 * The weighted mean of the comparisons, its uncertainty widened by the Birge ratio where they scatter more than their
 * own uncertainties say (R. T. Birge, Phys. Rev. 40 (1932) 207; from memory), and never below the rounding of the best.
 * null: the two were never compared.
 */
export function offsetBetween(
  comparisons: readonly ScaleComparison[],
  from: string,
  to: string,
): ScaleOffset | null {
  const both = counted(comparisons).filter(
    ({ one, other }) => (one === from && other === to) || (one === to && other === from),
  );
  const last = both.at(-1);
  if (last === undefined) return null;
  const seen = both.map((one) => seenOf(one, from));
  const weights = seen.map(({ uShare }) => 1 / uShare ** 2);
  const weight = sum(weights);
  const share = sum(seen.map((one, i) => one.share * weights[i]!)) / weight;
  const chi2 = sum(seen.map((one) => ((one.share - share) / one.uShare) ** 2));
  const birge = seen.length < 2 ? 1 : Math.max(1, Math.sqrt(chi2 / (seen.length - 1)));
  const best = Math.min(...seen.map(({ uRoundingShare }) => uRoundingShare));
  const uShare = Math.max(birge / Math.sqrt(weight), best);
  const loads = seen.map(({ load }) => load);
  const atLoad = sum(loads) / loads.length;
  const mean = sum(seen.map((one) => one.share)) / seen.length;
  const variance = sum(seen.map((one) => (one.share - mean) ** 2)) / (seen.length - 1);
  return {
    from,
    to,
    offset: grams(share * atLoad),
    u: grams(uShare * atLoad),
    atLoad: grams(atLoad),
    count: seen.length,
    spread: seen.length < 2 ? null : grams(Math.sqrt(variance) * atLoad),
    lastAt: last.at,
    lightest: grams(Math.min(...loads)),
    heaviest: grams(Math.max(...loads)),
  };
}

/**
 * What has to be taken off a mass that `from` shows, to have what `to` would show. Away from the loads compared, the
 * offset may as well stay as grow: a rectangular distribution (JCGM 100:2008, 4.3.7) of the whole way between the two
 * above the heaviest, of half of it below the lightest, where both scales stand at zero in the end. Our choice.
 */
export function bringing(
  comparisons: readonly ScaleComparison[],
  from: string,
  to: string,
  shown: Grams,
): Brought {
  const unknown = {
    offset: grams(0),
    u: grams(unknownOffsetShare * Math.abs(shown)),
    isKnown: false,
  };
  const found = offsetBetween(comparisons, from, to);
  if (found === null) return unknown;
  const share = found.offset / found.atLoad;
  const load = Math.abs(shown) / (1 + share);
  const nearest = Math.min(Math.max(load, found.lightest), found.heaviest);
  const reach = load > nearest ? 1 : 0.5;
  const beyond = (reach * Math.abs(share * (load - nearest))) / Math.sqrt(3);
  const u = Math.hypot((found.u / found.atLoad) * Math.max(load, nearest), beyond);
  // A comparison too coarse, or at too light a load, tells less than that kitchen scales are mostly alike.
  if (u >= unknown.u && Math.abs(share * load) <= u) return unknown;
  return { offset: grams(share * load), u: grams(u), isKnown: true };
}

const sum = (values: readonly number[]): number => values.reduce((total, one) => total + one, 0);
