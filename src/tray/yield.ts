/**
 * Moisture and water removed. Formulas: USDA Mill Publication 919 note N2.1; Purdue University ABE 305; IRRI Rice
 * Knowledge Bank: X = w/(1 − w), w = X/(1 + X), final = initial·(1 − w0)/(1 − w1).
 */
import { fraction, grams, type Fraction, type Grams } from "../units/quantity.ts";
import type { FoodOnTray } from "./weighing.ts";

/** Water over dry mass, from water over all. Has no upper bound. */
export const dryBasis = (wet: Fraction): Fraction => fraction(wet / (1 - wet));

/** Water over all, from water over dry mass. */
export const wetBasis = (dry: Fraction): Fraction => fraction(dry / (1 + dry));

/** Mass after drying from wet-basis moisture `from` to `to`. */
export const massAt = (initial: Grams, from: Fraction, to: Fraction): Grams =>
  grams((initial * (1 - from)) / (1 - to));

const z95 = 1.6448536269514722;
const wettest = 0.9999;

/** Wet-basis moisture of a tray now, 5 % to 95 % by the spread of the fresh food's water. */
export function moistureOf(tray: {
  readonly freshNet: Grams;
  readonly net: Grams;
  readonly food: Pick<FoodOnTray, "water" | "waterSd">;
}): { readonly estimate: Fraction; readonly low: Fraction; readonly high: Fraction } {
  const { freshNet, net, food } = tray;
  const wetIf = (water: number): Fraction =>
    fraction(Math.min(wettest, Math.max(0, 1 - (freshNet * (1 - water)) / net)));
  return {
    estimate: wetIf(food.water),
    low: wetIf(food.water - z95 * food.waterSd),
    high: wetIf(food.water + z95 * food.waterSd),
  };
}
