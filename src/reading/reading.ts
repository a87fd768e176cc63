import type { Grams, MonoMs, UtcMs } from "../units/quantity.ts";

type Seen = {
  /** The line or frame as it came, latin1. */
  readonly raw: string;
  readonly atMonoMs: MonoMs;
  readonly atUtcMs: UtcMs;
};

/** What one line or frame of the scale says. Overload is a reading of its own, never a number. */
export type Reading =
  | (Seen & {
      readonly is: "weight";
      readonly mass: Grams;
      /** One step of the display in grams, from the decimals that the line shows. */
      readonly division: Grams;
      readonly unit: ScaleUnit;
      readonly basis: "gross" | "net" | "unknown";
      /** The scale's own mark; null when the form has none. Evidence, not proof. */
      readonly scaleSaysStill: boolean | null;
    })
  | (Seen & { readonly is: "over" })
  | (Seen & { readonly is: "under" })
  | (Seen & { readonly is: "unreadable"; readonly why: string });

export type ScaleUnit = "g" | "kg" | "oz" | "lb" | "lb:oz";
