/** Net mass by subtraction: the gross mass is what is kept, and the scale's own tare key is never trusted. */
import { grams, minus, type Grams } from "../units/quantity.ts";

export const netMass = (gross: Grams, tare: Grams): Grams => minus(gross, tare);

/** A digital step d: u = d/√12. Source: JCGM 100:2008 (GUM) F.2.2.1; NIST TN 1297 §4.6. */
export const divisionUncertainty = (division: Grams): Grams => grams(division / Math.sqrt(12));

/** Of gross less tare, two readings of one division, in quadrature: u = d/√6. What a scale repeats badly comes on top. */
export const netUncertainty = (division: Grams): Grams =>
  grams(Math.SQRT2 * divisionUncertainty(division));
