/** Figures in sentences: no finer than a kitchen scale can mean them, and nothing that is there shown as 0. */

/** What arithmetic leaves of nothing, in any unit that is shown here. */
const nothing = 1e-6;

/** Decimals with which so many figures are shown: two at most, or as many as the first figure needs. */
export function decimalsMeant(value: number, figures: number): number {
  const size = Math.abs(value);
  if (size < nothing) return 0;
  const first = -Math.floor(Math.log10(size));
  return Math.max(0, first, Math.min(2, first + figures - 1));
}

/** As many figures as a mass is told with. */
export const figuresOfMass = (grams: number): number => (Math.abs(grams) >= 100 ? 3 : 2);

const rounded = (value: number, figures: number): string =>
  (Math.abs(value) < nothing ? 0 : value).toFixed(decimalsMeant(value, figures));

export const inMass = (grams: number): string => `${rounded(grams, figuresOfMass(grams))} g`;
export const inHours = (hours: number): string => `${Number(hours.toFixed(1))} h`;
export const inShare = (share: number): string => `${rounded(share * 100, 2)} %`;
