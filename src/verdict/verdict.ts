/** The answer of the judgment, in the words of the public contract. Masses in grams, times in drying hours. */
import type { Fraction, Grams, Hours } from "../units/quantity.ts";
import type { GramConstants } from "./rules.ts";
import type { Said } from "./sentences.ts";

/**
 * `losing`: water still leaves. `stable`: none does, and what may be left is proved to be below the limit. `gaining`: the
 * weight rises. `stalled`: nothing leaves any more, yet the food cannot be dry. `unsure`: none of these is proved.
 */
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

/** The middle of what is thought possible, and its 5 % and 95 % points. */
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
  /** Probability that the word is right, at most 0.99. */
  readonly confidence: Fraction;
  /** Probability that the excess water is at most the limit, at most 0.99. */
  readonly pDry: Fraction;
  readonly reasons: readonly Reason[];
  /** Excess water still held; null where nothing can be told of it. */
  readonly remaining: Interval<Grams> | null;
  /** Drying hours until dryness can be proved: 0 where it is, null where no end is in sight or hours do not help. */
  readonly moreHours: Interval<Hours> | null;
  /** Drying hours after which the next weighing could first settle the question; null where no more are asked for. */
  readonly nextWeighingHours: Hours | null;
  /** The smallest loss between the last two weighings that the scale can tell from none. */
  readonly provable: Grams | null;
  readonly contradiction: Contradiction | null;
  readonly fit: FitReport | null;
  readonly curve: CurveShape | null;
  /** Net mass at which this food would be dry, 5 % to 95 %; null when nothing is known of the food. */
  readonly expectedDry: Interval<Grams> | null;
};

export type BatchVerdict = {
  /** The worst of its trays' words. */
  readonly verdict: VerdictWord;
  /** Of the slowest tray whose hours are known. */
  readonly moreHours: Interval<Hours> | null;
  /** Names of the trays that the batch waits for. */
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
export const judgmentVersion = 11;
