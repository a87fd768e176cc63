import type { Fraction } from "../units/quantity.ts";

/** A food of the composition table, or of the person's own. */
export type Food = {
  readonly number: string;
  readonly name: string;
  readonly group: string;
  readonly water: Fraction;
  /** Between lots: SE·√n of the table, or the widest of its group where the table has none. */
  readonly waterSd: Fraction;
  readonly sdIsOfGroup: boolean;
  /** g per 100 g; null where the table gives none. */
  readonly fatPct: number | null;
  readonly sugarsPct: number | null;
};
