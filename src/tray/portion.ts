/**
 * Portions: what was poured onto a tray one after the other. In: gross masses as the scale showed them. Out: the mass
 * of each, fresh by subtraction from the mass before it, dry as measured or as an estimate.
 */
import { grams, minus, type Fraction, type Grams } from "../units/quantity.ts";
import type { FoodOnTray } from "./weighing.ts";

export type Portion = {
  /** 1 for the first of its tray. */
  readonly place: number;
  /** As the person said it; kept also where no water content is known for it. */
  readonly foodName: string | null;
  readonly food: FoodOnTray | null;
  readonly cautions: readonly string[];
  /** Of the pieces, as a person stated it. */
  readonly thicknessMm: number | null;
  /** Net; null: as much as comes. */
  readonly target: Grams | null;
  /** Dried before, and taken from this bag. */
  readonly fromBag: number | null;
};

/** What a tray may miss a portion's target by: 2 % of it, but never less than a division. Our choice. */
export const pourTolerance = (target: Grams, division: Grams): Grams =>
  grams(Math.max(division, 0.02 * target));

/** The thickest decides when all are dry; null unless it is known of each. */
export const thickestOf = (portions: readonly Pick<Portion, "thicknessMm">[]): number | null =>
  portions.some(({ thicknessMm }) => thicknessMm === null)
    ? null
    : Math.max(...portions.map(({ thicknessMm }) => thicknessMm ?? 0));

export type DryShare = { readonly grams: Grams; readonly isEstimate: boolean };

/**
 * What is left of each portion of a tray that was weighed whole. What the portions lost together is shared by the
 * water that each is expected to hold (fresh mass times water content), as they dry beside one another; where no
 * water is known, by fresh mass alone. A portion that was weighed by itself keeps that mass, and the rest is shared by
 * the others. Common practice, no source: the shares are an estimate and are marked so.
 */
export function shareDry(
  net: Grams,
  portions: readonly {
    readonly fresh: Grams;
    readonly water: Fraction | null;
    readonly apart: Grams | null;
  }[],
): readonly DryShare[] {
  const open = portions.filter(({ apart }) => apart === null);
  const measured = portions.reduce((sum, { apart }) => sum + (apart ?? 0), 0);
  const left = Math.max(0, net - measured);
  const fresh = open.reduce((sum, one) => sum + one.fresh, 0);
  const lost = fresh - left;
  const waterKnown = open.every(({ water }) => water !== null);
  const waterOf = (one: (typeof open)[number]): number =>
    waterKnown ? one.fresh * (one.water ?? 0) : one.fresh;
  const water = open.reduce((sum, one) => sum + waterOf(one), 0);
  return portions.map((one) => {
    if (one.apart !== null) return { grams: one.apart, isEstimate: false };
    if (open.length === 1) return { grams: grams(left), isEstimate: portions.length > 1 };
    const share = water > 0 ? waterOf(one) / water : 1 / open.length;
    return { grams: grams(Math.max(0, one.fresh - lost * share)), isEstimate: true };
  });
}

/** What was poured, from the gross mass after it and the gross mass before it. */
export const poured = (gross: Grams, before: Grams): Grams => minus(gross, before);
