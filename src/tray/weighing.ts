import type { Fraction, Grams, Hours, Minutes, UtcMs } from "../units/quantity.ts";

export type BatchId = number;
export type TrayId = number;
export type WeighingId = number;

/** `tare`: the empty tray. `fresh`: the loaded tray before drying. `dry`: between or after hours of drying. */
export type WeighingKind = "tare" | "fresh" | "dry";

/** One weighing as it is kept: never changed, only superseded by a later row that says why. */
export type TrayWeighing = {
  readonly id: WeighingId;
  readonly batchId: BatchId;
  readonly trayId: TrayId;
  readonly kind: WeighingKind;
  /**
   * Which portion of the tray; null: the tray as a whole. `fresh`: poured last, on top of what was there before.
   * `dry`: it alone, the others taken off the tray.
   */
  readonly portion: number | null;
  readonly gross: Grams;
  readonly division: Grams;
  readonly scale: string | null;
  readonly source: "scale" | "typed";
  /** False when it was taken from a load although the empty pan was not seen near zero. */
  readonly zeroSeen: boolean;
  readonly at: UtcMs;
  /** The weighing that this one replaces, and the reason; a struck one has no successor in the curve. */
  readonly supersedes: WeighingId | null;
  readonly struck: boolean;
  readonly reason: string | null;
  /** A person said that food was taken off the tray since it was weighed before; left out: nobody did. */
  readonly foodTaken?: true;
};

/** What lies on a tray, as far as the judgment needs to know. */
export type FoodOnTray = {
  readonly name: string;
  /** Water in the fresh food, g per g, and the standard deviation of that figure between lots. */
  readonly water: Fraction;
  readonly waterSd: Fraction;
  /** In words, for the person: a table with its number, the user's own figure, or their batches. */
  readonly source: string;
};

/** A net mass on the axis of drying hours: what the curve and the verdict are made from. */
export type NetWeighing = {
  readonly dryingHours: Hours;
  readonly net: Grams;
  readonly division: Grams;
  /** Standard uncertainty of putting the tray on once, learned of this scale; left out: nothing was learned. */
  readonly placementDivisions?: number;
  /** Minutes out of the dryer before this weighing; null when nobody knows. */
  readonly minutesOut: Minutes | null;
  /** Counts the breaks of the curve (power cut, defrost) before this weighing; equal within one stretch. */
  readonly stretch: number;
  readonly at: UtcMs | null;
  /** Whoever gave the row finds it again by this: a line of a file, a weighing's id. */
  readonly ref: number;
  /** Food was taken off the tray since the weighing before. */
  readonly foodTaken?: true;
  /** Weighed on `scale` and brought to `to`, the scale of the tray's other weighings; left out: weighed there. */
  readonly otherScale?: {
    readonly scale: string;
    readonly to: string;
    /** Taken off the mass; 0 where nobody knows it. */
    readonly offset: Grams;
    /** Standard uncertainty that this adds. */
    readonly u: Grams;
    readonly isKnown: boolean;
  };
};

/** Everything that is known of one tray, in the order in which it was given. */
export type TrayLog = {
  readonly tray: string;
  readonly tare: Grams | null;
  readonly fresh: { readonly net: Grams; readonly division: Grams; readonly ref: number } | null;
  readonly food: FoodOnTray | null;
  /** Of the pieces, mm, where a person stated it. */
  readonly thicknessMm?: number;
  /** What ended batches of this food showed of its rate constant at this thickness; left out: nothing. */
  readonly ratesSeen?: readonly { readonly lnRate: number; readonly u: number }[];
  readonly weighings: readonly NetWeighing[];
  /** The thickest piece, broken open: newest last. */
  readonly coreChecks: readonly { readonly dryingHours: Hours; readonly finding: CoreFinding }[];
};

export type CoreFinding = "dry" | "cold" | "soft";
