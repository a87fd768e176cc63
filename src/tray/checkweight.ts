/**
 * A check weight on the scale. In: the weight's nominal mass, its class or its own tolerance, and what the scale shows.
 * Out: whether the scale is within what weight and scale together may be off.
 */
import { grams, type Grams } from "../units/quantity.ts";

export const weightClasses = ["F1", "F2", "M1", "M2", "M3", "F"] as const;
export type WeightClass = (typeof weightClasses)[number];

/**
 * Maximum permissible errors in mg by nominal mass in g. F1 to M3: OIML R 111-1:2004, table 1 (1 to 200 g as reprinted
 * by a maker of weights; M1 to M3 of 100 g to 5 kg as in a ministry's legal text). From memory, and said so on the
 * page: F1 and F2 above 200 g, and F, which is NIST Handbook 105-1. ASTM E617 is left out: its table could not be read.
 */
const permissibleMg: Readonly<Record<WeightClass, Readonly<Record<number, number>>>> = {
  F1: {
    1: 0.1,
    2: 0.12,
    5: 0.16,
    10: 0.2,
    20: 0.25,
    50: 0.3,
    100: 0.5,
    200: 1,
    500: 2.5,
    1000: 5,
    2000: 10,
    5000: 25,
  },
  F2: {
    1: 0.3,
    2: 0.4,
    5: 0.5,
    10: 0.6,
    20: 0.8,
    50: 1,
    100: 1.6,
    200: 3,
    500: 8,
    1000: 16,
    2000: 30,
    5000: 80,
  },
  M1: {
    1: 1,
    2: 1.2,
    5: 1.6,
    10: 2,
    20: 2.5,
    50: 3,
    100: 5,
    200: 10,
    500: 25,
    1000: 50,
    2000: 100,
    5000: 250,
  },
  M2: {
    1: 3,
    2: 4,
    5: 5,
    10: 6,
    20: 8,
    50: 10,
    100: 16,
    200: 30,
    500: 80,
    1000: 160,
    2000: 300,
    5000: 800,
  },
  M3: {
    1: 10,
    2: 12,
    5: 16,
    10: 20,
    20: 25,
    50: 30,
    100: 50,
    200: 100,
    500: 250,
    1000: 500,
    2000: 1000,
    5000: 2500,
  },
  F: { 100: 20, 200: 40, 500: 70, 1000: 100, 2000: 200, 5000: 500 },
};

/** Whether a figure of the table was written down from memory, and is to be held against the weight's certificate. */
export const isFromMemory = (weightClass: WeightClass, nominal: Grams): boolean =>
  weightClass === "F" || ((weightClass === "F1" || weightClass === "F2") && nominal > 200);

/** null: the class has no weight of this mass. */
export function permissibleError(weightClass: WeightClass, nominal: Grams): Grams | null {
  const mg = permissibleMg[weightClass][nominal];
  return mg === undefined ? null : grams(mg / 1000);
}

/**
 * What a scale of class III may be off at a load, on verification: 0.5, 1 or 1.5 e up to 500, 2000 and more e.
 * Source: OIML R 76-1, table 6. For a kitchen scale e is taken to be its division.
 */
export function scaleError(load: Grams, division: Grams): Grams {
  const steps = load / division;
  return grams((steps <= 500 ? 0.5 : steps <= 2000 ? 1 : 1.5) * division);
}

/** What weight and scale together may be off; the display cannot show less than one division. */
export const checkTolerance = (nominal: Grams, weightError: Grams, division: Grams): Grams =>
  grams(weightError + Math.max(division, scaleError(nominal, division)));

export function isWithin(shown: Grams, nominal: Grams, tolerance: Grams): boolean {
  // Two masses computed to be equal may differ by a rounding.
  return Math.abs(shown - nominal) <= tolerance + 1e-9;
}
