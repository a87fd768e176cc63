import type { Fraction, Grams } from "../units/quantity.ts";

/** A working dryer leaves this share of the dry mass as water, ±: 0.01 to 0.03. Our choice of range. */
export const leftByDryer = { mean: 0.02, sd: 0.01 } as const;
/** Lots differ by more than a table's spread tells: trimming, ripeness, water from washing; g per g. Our choice. */
const lotWaterSd = 0.008;
/** Food of which nothing is known: water of the foods that people dry, g per g. Our choice, wide. */
export const anyFood = { water: 0.78, waterSd: 0.13 } as const;

/** Dry mass of a load, and the mass at which a working dryer can take no more, with its standard deviation. */
type ExpectedDry = {
  readonly dryGrams: number;
  readonly endGrams: number;
  readonly endSdGrams: number;
};

/**
 * Mass at the end from fresh mass and water content: dry = fresh·(1 − w) (USDA MP919 note N2.1), and the water that a
 * working dryer leaves. Any food at all where none is known.
 */
export function expectedDry(
  fresh: Grams,
  food: { readonly water: Fraction; readonly waterSd: Fraction } | null,
): ExpectedDry {
  const water = food?.water ?? anyFood.water;
  const waterSd =
    food === null
      ? anyFood.waterSd
      : Math.min(Math.hypot(food.waterSd, lotWaterSd), anyFood.waterSd);
  const dryGrams = fresh * Math.max(1 - water, 0.01);
  return {
    dryGrams,
    endGrams: dryGrams * (1 + leftByDryer.mean),
    endSdGrams: Math.hypot(fresh * waterSd, dryGrams * leftByDryer.sd),
  };
}
