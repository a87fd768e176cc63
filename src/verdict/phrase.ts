/** Figures in sentences: no finer than a kitchen scale can mean them. */
const rounded = (value: number, digits: number): string => {
  const size = Math.abs(value);
  const decimals = size === 0 ? 0 : Math.max(0, digits - 1 - Math.floor(Math.log10(size)));
  return value.toFixed(Math.min(decimals, 2));
};

export const inMass = (grams: number): string => `${rounded(grams, grams >= 100 ? 3 : 2)} g`;
export const inHours = (hours: number): string => `${Number(hours.toFixed(1))} h`;
export const inShare = (share: number): string => `${rounded(share * 100, 2)} %`;
