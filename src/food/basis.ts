import { fraction, grams, type Fraction, type Grams } from "../units/quantity.ts";

/**
 * Wet basis (g water per g of food) and dry basis (g water per g of dry matter). Formulas: USDA MP919 note N2.1;
 * IRRI Knowledge Bank, moisture content calculations.
 */
export const toDryBasis = (wet: Fraction): Fraction => fraction(wet / (1 - wet));
export const toWetBasis = (dry: Fraction): Fraction => fraction(dry / (1 + dry));

/** Mass of food when its water has changed from one wet basis to another, the dry matter staying. */
export const massAt = (mass: Grams, from: Fraction, to: Fraction): Grams =>
  grams((mass * (1 - from)) / (1 - to));
