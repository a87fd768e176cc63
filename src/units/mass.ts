import { grams, type Grams } from "./quantity.ts";

/**
 * The units that a scale or a person may use. Factors are exact.
 * Source: NIST Handbook 44 (2026) appendix C and NIST SP 811 table B.8: 1 lb = 453.592 37 g,
 * 1 oz = 28.349 523 125 g (avoirdupois).
 */
export const gramsPer = { g: 1, kg: 1000, oz: 28.349523125, lb: 453.59237 } as const;
export type MassUnit = keyof typeof gramsPer;
export const ouncesPerPound = 16;

export const isMassUnit = (text: string): text is MassUnit => Object.hasOwn(gramsPer, text);

export const toGrams = (value: number, unit: MassUnit): Grams => grams(value * gramsPer[unit]);
export const fromGrams = (mass: Grams, unit: MassUnit): number => mass / gramsPer[unit];

/** Whole pounds and the ounces that remain, rounded to `decimals`; 16 oz are carried into a pound. */
export function poundsAndOunces(
  mass: Grams,
  decimals: number,
): { negative: boolean; pounds: number; ounces: number } {
  const step = 10 ** decimals;
  const inSteps = Math.round((Math.abs(mass) / gramsPer.oz) * step);
  const perPound = ouncesPerPound * step;
  return {
    negative: mass < 0 && inSteps > 0,
    pounds: Math.floor(inSteps / perPound),
    ounces: (inSteps % perPound) / step,
  };
}

/** Rounds to the nearest multiple of the scale's division. */
export const roundTo = (mass: number, division: Grams): Grams =>
  grams(Math.round(mass / division) * division);

/** Decimals that a display needs to show steps of `division` and no finer: 0.1 needs 1, 5 needs 0. */
export function decimalsOf(division: number): number {
  for (let decimals = 0; decimals < 6; decimals++) {
    const scaled = division * 10 ** decimals;
    if (Math.abs(scaled - Math.round(scaled)) < 1e-6 * Math.max(1, scaled)) return decimals;
  }
  return 6;
}

/** A mass as the store keeps it: whole milligrams. */
export const toMilligrams = (mass: Grams): number => Math.round(mass * 1000);
export const fromMilligrams = (milligrams: number): Grams => grams(milligrams / 1000);

/** A division as the store keeps it: whole micrograms, so that 0.1 oz stays 0.1 oz in every figure shown. */
export const toMicrograms = (mass: Grams): number => Math.round(mass * 1_000_000);
export const fromMicrograms = (micrograms: number): Grams => grams(micrograms / 1_000_000);

/** A mass and a division as the store gives them back, so that what is told at once is what is found later. */
export const asKept = (mass: Grams): Grams => fromMilligrams(toMilligrams(mass));
export const divisionAsKept = (division: Grams): Grams => fromMicrograms(toMicrograms(division));

/** Whole milligrams shared out by weights that are not negative: no share is, and they add up. All weights 0: nothing. */
export function shareOut(milligrams: number, weights: readonly number[]): readonly number[] {
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  let sum = 0;
  let before = 0;
  return weights.map((weight) => {
    sum += weight;
    const upTo = total > 0 ? Math.round((milligrams * sum) / total) : 0;
    const share = upTo - before;
    before = upTo;
    return share;
  });
}
