/**
 * Constant-weight criteria of published standards, by name, as alternatives to the judgment: what each asks between
 * two weighings, whether a pair meets it, and what it would take to apply it on this scale. They look at the change
 * of weight alone and cannot see a dryer that stopped.
 */
import type { NetWeighing } from "../tray/weighing.ts";
import { grams, hours, type Grams, type Hours } from "../units/quantity.ts";

export type CriterionName =
  | "usp-constant-weight"
  | "ph-eur-constant-mass"
  | "who-constant-mass"
  | "chinese-pharmacopoeia"
  | "aoac-935.29"
  | "rilem-concrete";

type Criterion = {
  readonly name: CriterionName;
  /** As the standard says it. */
  readonly rule: string;
  readonly source: string;
  /** Largest change between two weighings: a share of the mass, or so many grams whatever the mass. */
  readonly most: { readonly share: number } | { readonly grams: number };
  /** Hours of further drying between them, as far as the text that was read states them. */
  readonly hoursApart: { readonly least: number } | null;
};

export const criteria: readonly Criterion[] = [
  {
    name: "usp-constant-weight",
    rule: "two consecutive weighings differ by no more than 0.50 mg per g of substance",
    source: "USP, dried to constant weight, as quoted by an application sheet on balances",
    most: { share: 0.0005 },
    hoursApart: null,
  },
  {
    name: "ph-eur-constant-mass",
    rule: "two consecutive weighings differ by no more than 0.5 mg in all",
    source:
      "European Pharmacopoeia, as quoted in Chinese Medicine 2020, s13020-020-00357-3, table 2",
    most: { grams: 0.0005 },
    hoursApart: null,
  },
  {
    name: "who-constant-mass",
    rule: "no more than 0.5 mg, the second weighing after at least 30 minutes more of drying",
    source: "International Pharmacopoeia, loss on drying",
    most: { grams: 0.0005 },
    hoursApart: { least: 0.5 },
  },
  {
    name: "chinese-pharmacopoeia",
    rule: "no more than 0.3 mg on about 1 g",
    source:
      "Chinese Pharmacopoeia, loss on drying, as quoted in Chinese Medicine 2020, s13020-020-00357-3, table 2",
    most: { grams: 0.0003 },
    hoursApart: null,
  },
  {
    name: "aoac-935.29",
    rule: "one further hour of drying takes no more than 0.1 %",
    source: "AOAC Official Methods 935.29, malt, check of the oven",
    most: { share: 0.001 },
    hoursApart: { least: 1 },
  },
  {
    name: "rilem-concrete",
    rule: "four further hours of drying change the mass by no more than 0.2 %",
    source: "RILEM recommendations, chapter 75",
    most: { share: 0.002 },
    hoursApart: { least: 4 },
  },
];

/** Largest change that the criterion allows at this mass. */
export const allowedChange = ({ most }: Criterion, mass: Grams): number =>
  "share" in most ? most.share * mass : most.grams;

export type CriterionAnswer =
  | { readonly is: "met" | "not-met"; readonly changeGrams: number; readonly allowedGrams: number }
  | { readonly is: "too-soon"; readonly waitHours: number }
  /** The scale's division is wider than the change allowed: two like figures prove nothing by this criterion. */
  | {
      readonly is: "too-coarse";
      readonly divisionNeededGrams: number;
      readonly massNeededGrams: number | null;
    };

/** The last two weighings of a tray with drying between them, by each criterion; empty where there are no two. */
export function byCriteria(
  weighings: readonly NetWeighing[],
): readonly { readonly criterion: Criterion; readonly answer: CriterionAnswer }[] {
  const last = weighings.at(-1);
  const before = weighings.findLast(
    (one) => one.stretch === last?.stretch && one.dryingHours < last.dryingHours,
  );
  if (last === undefined || before === undefined) return [];
  const apart = hours(last.dryingHours - before.dryingHours);
  const division = grams(Math.max(before.division, last.division));
  return criteria.map((criterion) => ({
    criterion,
    answer: byCriterion(criterion, before.net, last.net, apart, division),
  }));
}

/** A pair of weighings by the criterion's letter; the share is taken of the second. */
export function byCriterion(
  criterion: Criterion,
  before: Grams,
  after: Grams,
  apart: Hours,
  division: Grams,
): CriterionAnswer {
  const allowedGrams = allowedChange(criterion, after);
  if (division > allowedGrams)
    return {
      is: "too-coarse",
      divisionNeededGrams: allowedGrams,
      massNeededGrams: "share" in criterion.most ? division / criterion.most.share : null,
    };
  const least = criterion.hoursApart?.least ?? 0;
  if (apart < least) return { is: "too-soon", waitHours: least - apart };
  const changeGrams = Math.abs(before - after);
  // Decimal figures are not exact in binary: a change equal to the limit meets it.
  const meets = changeGrams <= allowedGrams * (1 + 1e-9);
  return { is: meets ? "met" : "not-met", changeGrams, allowedGrams };
}
