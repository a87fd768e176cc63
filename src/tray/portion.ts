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
 * water is known, by fresh mass alone. A tray that lost more than all of that water is shared by the dry matter that
 * each is expected to hold (fresh mass less its water): where just that water is gone, both say the same. A portion
 * that was weighed by itself keeps that mass, and the rest is shared by the others, to the milligram. Common practice,
 * no source: the shares are an estimate and are marked so.
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
  const shares = inMilligrams(left, sharesOf(left, open));
  let next = 0;
  return portions.map(({ apart }) =>
    apart === null
      ? { grams: shares[next++] ?? grams(0), isEstimate: portions.length > 1 }
      : { grams: apart, isEstimate: false },
  );
}

/** Of `left` grams: none is negative, and they add up to it. */
function sharesOf(
  left: number,
  portions: readonly { readonly fresh: Grams; readonly water: Fraction | null }[],
): readonly number[] {
  const waterKnown = portions.every(({ water }) => water !== null);
  const each = portions.map(({ fresh, water }) => {
    // Masses that were put right since may say that less than nothing was poured.
    const mass = Math.max(0, fresh);
    return { mass, water: mass * (waterKnown ? (water ?? 0) : 1) };
  });
  const mass = each.reduce((sum, one) => sum + one.mass, 0);
  const water = each.reduce((sum, one) => sum + one.water, 0);
  const lost = mass - left;
  if (lost > water) return each.map((one) => (left * (one.mass - one.water)) / (mass - water));
  return each.map((one) => one.mass - lost * (water > 0 ? one.water / water : 1 / each.length));
}

/** Shares of a mass in whole milligrams; what the mass has of less than that is in the last. */
function inMilligrams(mass: number, shares: readonly number[]): readonly Grams[] {
  let sum = 0;
  let before = 0;
  return shares.map((share, index) => {
    sum += share;
    const isLast = index === shares.length - 1;
    const upTo = isLast ? mass * 1000 : Math.min(Math.round(sum * 1000), mass * 1000);
    const mg = upTo - before;
    before = upTo;
    return grams(Math.round(mg * 1000) / 1_000_000);
  });
}

/** What was poured, from the gross mass after it and the gross mass before it. */
export const poured = (gross: Grams, before: Grams): Grams => minus(gross, before);
