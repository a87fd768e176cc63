import { fraction, type Fraction } from "../units/quantity.ts";

/**
 * Wet basis (g water per g of food) and dry basis (g water per g of dry matter). Formulas: USDA MP919 note N2.1;
 * IRRI Knowledge Bank, moisture content calculations.
 */
export const toDryBasis = (wet: Fraction): Fraction => fraction(wet / (1 - wet));
export const toWetBasis = (dry: Fraction): Fraction => fraction(dry / (1 + dry));

/** An estimate with its interval, wet basis in, dry basis out; null where nothing is known. */
export const spanToDryBasis = (
  wet: { readonly estimate: Fraction; readonly low: Fraction; readonly high: Fraction } | null,
) =>
  wet === null
    ? null
    : {
        estimate: toDryBasis(wet.estimate),
        low: toDryBasis(wet.low),
        high: toDryBasis(wet.high),
      };
