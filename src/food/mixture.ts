import { fraction, type Fraction } from "../units/quantity.ts";
import { anyFood } from "./expected.ts";

type Water = { readonly water: Fraction; readonly waterSd: Fraction };

/**
 * Water of a mixture from its parts by mass: w = Σm·w / Σm. Parts that differ from their figures independently of one
 * another give u = √Σ(m·u)² / Σm (JCGM 100:2008, 5.1.2). A part of which nothing is known counts as any food at all;
 * null where nothing is known of any.
 */
export function mixtureOf(
  parts: readonly { readonly share: number; readonly food: Water | null }[],
): Water | null {
  const total = parts.reduce((sum, { share }) => sum + share, 0);
  if (!(total > 0) || parts.every(({ food }) => food === null)) return null;
  const mean = (of: (food: { readonly water: number; readonly waterSd: number }) => number) =>
    parts.reduce((sum, { share, food }) => sum + (share / total) * of(food ?? anyFood), 0);
  const variance = parts.reduce(
    (sum, { share, food }) => sum + ((share / total) * (food ?? anyFood).waterSd) ** 2,
    0,
  );
  return { water: fraction(mean(({ water }) => water)), waterSd: fraction(Math.sqrt(variance)) };
}
