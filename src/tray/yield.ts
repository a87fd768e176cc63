/** Water removed, yield, and the moisture that is left, from the net mass fresh and now. */
import { z95 } from "../units/normal.ts";
import { fraction, minus, type Fraction, type Grams } from "../units/quantity.ts";
import type { FoodOnTray } from "./weighing.ts";

/** What left a tray is taken to be water. */
export const waterRemoved = (freshNet: Grams, net: Grams): Grams => minus(freshNet, net);

/** Net mass now over net mass fresh; its reciprocal is the fresh-to-dry ratio. */
export const yieldOf = (freshNet: Grams, net: Grams): Fraction => fraction(net / freshNet);

/** Water at 20 °C: 0.998 21 g/mL (Mauer, Moisture and total solids, Food Analysis, table 15.2). */
const gramsPerLitre = 998.21;
export const litresOfWater = (mass: Grams): number => mass / gramsPerLitre;

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
