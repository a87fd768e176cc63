import { fraction, type Fraction, type Grams } from "../units/quantity.ts";
import type { FoodOnTray } from "./weighing.ts";
export const dryBasis = (wet: number): Fraction => fraction(wet / (1 - wet));
export function moistureOf({
  freshNet,
  net,
  food,
}: {
  freshNet: Grams;
  net: Grams;
  food: FoodOnTray;
}) {
  const wet = (water: number): Fraction =>
    fraction(Math.min(0.999, Math.max(0, 1 - (freshNet * (1 - water)) / net)));
  return {
    estimate: wet(food.water),
    low: wet(food.water - 1.645 * food.waterSd),
    high: wet(food.water + 1.645 * food.waterSd),
  };
}
