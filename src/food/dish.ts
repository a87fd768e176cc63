/**
 * A dish from its ingredients by mass. In: masses with the water of each, and the mass of the finished dish where it
 * was weighed (water boiled off, or taken up). Out: the dish's water and its spread.
 *
 * Solids stay: S = Σm·(1 − w); of a dish of mass M, w = 1 − S/M. The ingredients' figures err independently, so that
 * u(S) = √Σ(m·u)² and u(w) = u(S)/M (JCGM 100:2008, 5.1.2). What is lost with solids, such as poured-off broth, is no
 * water and has to be left out of the ingredients.
 */
import { fraction, grams, type Fraction, type Grams } from "../units/quantity.ts";
import { anyFood } from "./expected.ts";

type Ingredient = {
  readonly mass: Grams;
  /** null: nothing is known of it. */
  readonly water: Fraction | null;
  readonly waterSd: Fraction | null;
  /** g per 100 g; null: not known. */
  readonly fatPct: number | null;
  readonly sugarsPct: number | null;
};

export type Dish = {
  readonly mass: Grams;
  readonly solids: Grams;
  readonly water: Fraction;
  readonly waterSd: Fraction;
  readonly fatPct: number | null;
  readonly sugarsPct: number | null;
};

/** null: nothing in it, no water in it, or less than its own solids. `cooked` null: nothing was lost or taken up. */
export function dishOf(parts: readonly Ingredient[], cooked: Grams | null): Dish | null {
  const raw = parts.reduce((sum, { mass }) => sum + mass, 0);
  const mass = cooked ?? raw;
  const solids = parts.reduce((sum, one) => sum + one.mass * (1 - (one.water ?? anyFood.water)), 0);
  if (!(mass > solids) || solids <= 0) return null;
  const u = Math.hypot(...parts.map((one) => one.mass * (one.waterSd ?? anyFood.waterSd)));
  return {
    mass: grams(mass),
    solids: grams(solids),
    water: fraction(1 - solids / mass),
    waterSd: fraction(u / mass),
    fatPct: shareOf(parts, mass, ({ fatPct }) => fatPct),
    sugarsPct: shareOf(parts, mass, ({ sugarsPct }) => sugarsPct),
  };
}

/** g per 100 g of the dish; null where it is not known of every ingredient. */
function shareOf(
  parts: readonly Ingredient[],
  mass: number,
  of: (one: Ingredient) => number | null,
): number | null {
  if (parts.some((one) => of(one) === null)) return null;
  return parts.reduce((sum, one) => sum + one.mass * (of(one) ?? 0), 0) / mass;
}
