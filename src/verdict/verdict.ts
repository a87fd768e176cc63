/** The answer of the judgment, in the words of the public contract. Masses in grams, times in drying hours. */
import type { Fraction, Grams, Hours } from "../units/quantity.ts";
import type { GramConstants } from "./rules.ts";
import type { Said } from "./sentences.ts";

export type VerdictWord = "losing" | "stable" | "gaining" | "stalled" | "unsure";

export type ReasonCode =
  | "too-few"
  | "too-coarse"
  | "above-tolerance"
  | "heavy"
  | "broke-off"
  | "dryness-unchecked"
  | "rose"
  | "soft-core"
  | "steady"
  | "other-scale";

export type ContradictionCode =
  | "swapped-trays"
  | "wrong-tare"
  | "unit-mixed"
  | "food-removed"
  | "weighed-twice"
  | "hours-order"
  | "lighter-than-possible"
  | "fresh-conflict";

/** A reason with its figures: the page says it in the reader's language from these, the terminal in English. */
export type Reason = Said & { readonly code: ReasonCode | ContradictionCode };

/** 5 % and 95 % of what is thought possible. */
export type Interval<Q extends number> = {
  readonly estimate: Q;
  readonly low: Q;
  readonly high: Q;
};

export type Contradiction = Said & {
  readonly code: ContradictionCode;
  /** The `ref` of the row that it rests on. */
  readonly ref: number;
  /** The other tray of a swap. */
  readonly otherTray: string | null;
  /** The net mass that the row probably meant, where the figure itself was wrong and the rest tells it. */
  readonly meantNet: Grams | null;
};

export type FitReport = {
  readonly model: string;
  readonly parameters: Readonly<Record<string, number>>;
  readonly standardErrors: Readonly<Record<string, number>>;
};

/** The curve for the eye: net grams at drying hours, with the band of the 5 % and 95 % points. */
export type CurveShape = {
  readonly dryingHours: readonly number[];
  readonly netGrams: readonly number[];
  readonly lowGrams: readonly number[];
  readonly highGrams: readonly number[];
};

export type TrayVerdict = {
  readonly tray: string;
  readonly verdict: VerdictWord;
  readonly confidence: Fraction;
  readonly pDry: Fraction;
  readonly reasons: readonly Reason[];
  readonly remaining: Interval<Grams> | null;
  readonly moreHours: Interval<Hours> | null;
  readonly nextWeighingHours: Hours | null;
  readonly provable: Grams | null;
  readonly contradiction: Contradiction | null;
  readonly fit: FitReport | null;
  readonly curve: CurveShape | null;
  /** Net mass at which this food would be dry, 5 % to 95 %; null when nothing is known of the food. */
  readonly expectedDry: Interval<Grams> | null;
};

export type BatchVerdict = {
  readonly verdict: VerdictWord;
  readonly moreHours: Interval<Hours> | null;
  readonly behind: readonly string[];
  readonly trays: readonly TrayVerdict[];
};

export type JudgmentSettings = {
  /** Excess water above what a working dryer leaves, as a share of the dry mass, that counts as dry. */
  readonly limit: Fraction;
  /** The constants of the judgment that are masses; those of a kitchen when not given. */
  readonly inGrams?: GramConstants;
};

/** Raised by one with every change of the rules or their constants; kept with each announced verdict. */
export const judgmentVersion = 10;
