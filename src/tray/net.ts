import { grams, minus, type Grams } from "../units/quantity.ts";
export const netMass = (gross: Grams, tare: Grams): Grams => minus(gross, tare);
export const netUncertainty = (division: Grams): Grams => grams(division / Math.sqrt(6));
