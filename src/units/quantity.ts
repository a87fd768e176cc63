/**
 * Numbers that carry their unit in their type, so that a duration cannot be handed in where a mass is due.
 * Where types vanish (SQL, JSON, CSV) or do not help (inside a formula), the name carries the unit instead.
 */
declare const unit: unique symbol;
type Quantity<Unit extends string> = number & { readonly [unit]: Unit };

export type Grams = Quantity<"g">;
export type Hours = Quantity<"h">;
export type Minutes = Quantity<"min">;
/** A share of one: 0.03 is 3 %. */
export type Fraction = Quantity<"1">;
/** Milliseconds of a clock that never jumps; its zero means nothing. For gaps. */
export type MonoMs = Quantity<"monotonic ms">;
/** Whole milliseconds since 1970 UTC. For records. */
export type UtcMs = Quantity<"utc ms">;

function finite<Unit extends string>(value: number, name: Unit): Quantity<Unit> {
  if (!Number.isFinite(value)) throw new RangeError(`${value} is not a number of ${name}`);
  return value as Quantity<Unit>;
}

export const grams = (value: number): Grams => finite(value, "g");
export const hours = (value: number): Hours => finite(value, "h");
export const minutes = (value: number): Minutes => finite(value, "min");
export const fraction = (value: number): Fraction => finite(value, "1");
export const monoMs = (value: number): MonoMs => finite(value, "monotonic ms");
/** What it is reckoned from may count parts of milliseconds, as a clock that never jumps does; the record keeps none. */
export const utcMs = (value: number): UtcMs => finite(Math.round(value), "utc ms");

export const plus = (a: Grams, b: Grams): Grams => grams(a + b);
/** What is left of `a` when `b` is taken away: a net mass from a gross mass and a tare. */
export const minus = (a: Grams, b: Grams): Grams => grams(a - b);
/** The gap between two moments of the same clock, in minutes. */
export const minutesBetween = (from: UtcMs, to: UtcMs): Minutes => minutes((to - from) / 60_000);
