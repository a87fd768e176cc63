import { toGrams, type MassUnit } from "../units/mass.ts";

/** The step of a typed figure: its last decimal. */
export function typedDivision(value: number, unit: MassUnit): number {
  const decimals = (String(value).split(".")[1] ?? "").length;
  return toGrams(10 ** -decimals, unit);
}
