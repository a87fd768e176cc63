/** A bag (soft bag, jar or can) of dried food, as it was planned, weighed and used up. */
import type { BatchId, CoreFinding, TrayId } from "../tray/weighing.ts";
import type { Fraction, Grams, UtcMs } from "../units/quantity.ts";
import type { VerdictWord } from "../verdict/verdict.ts";

export type BagId = number;
type Container = "soft" | "jar" | "can";
/** `tare`: the empty bag. `filled`: with the food, open. `sealed`: closed. `shelf`: any time after. */
export type BagWeighingKind = "tare" | "filled" | "sealed" | "shelf";

/** One weighing of a bag: never changed, only superseded by a later row that says why. */
export type BagWeighing = {
  readonly id: number;
  readonly bagId: BagId;
  readonly kind: BagWeighingKind;
  readonly gross: Grams;
  readonly division: Grams;
  readonly scale: string | null;
  readonly source: "scale" | "typed";
  readonly zeroSeen: boolean;
  readonly at: UtcMs;
  readonly supersedes: number | null;
  readonly struck: boolean;
  readonly reason: string | null;
};

export type Fate = "opened" | "used" | "given-away" | "thrown-away" | "re-dry" | "cancelled";

/** Never changed or removed: what was said by mistake is taken back by a later row of the same fate. */
export type BagFate = {
  readonly id: number;
  readonly bagId: BagId;
  readonly fate: Fate;
  readonly at: UtcMs;
  readonly note: string | null;
  /** The row that no longer counts; null: this is no taking back. */
  readonly takesBack: number | null;
};

/** A person's word that a bag is sealed although its food had taken up moisture on the bench. */
export type GainAccepted = {
  readonly id: number;
  readonly bagId: BagId;
  readonly gain: Grams;
  readonly provable: Grams;
  readonly at: UtcMs;
};

/** What a tray gave to a bag, and what was known of the tray when it was planned. */
export type BagPart = {
  readonly trayId: TrayId;
  /** Which of its foods; null: all of them as they lay on it. */
  readonly portion: number | null;
  readonly name: string;
  readonly grams: Grams;
  /** The plan took all that the tray still held: what its bags hold more than that, it took up. */
  readonly whole: boolean;
  /** Of the scale that weighed the tray. */
  readonly division: Grams;
  readonly verdict: VerdictWord | null;
  /** Its thickest piece was broken and found dry since it was last weighed. */
  readonly coreDry: boolean;
};

/** What was answered of the thickest piece of a tray after the bag was planned. */
export type LaterCore = {
  readonly trayId: TrayId;
  readonly finding: CoreFinding;
  readonly at: UtcMs;
};

/** `cc`: millilitres of oxygen that one of them can take up. */
export type Absorbers = { readonly count: number; readonly cc: number };

/** Wet basis, 5 % to 95 %. */
export type Moisture = {
  readonly estimate: Fraction;
  readonly low: Fraction;
  readonly high: Fraction;
};

export type Bag = {
  readonly id: BagId;
  readonly batchId: BatchId;
  readonly batchNumber: number;
  /** 1 for the first bag of its batch. */
  readonly sequence: number;
  /** Bags that were planned together share the mass that is to be divided. */
  readonly plan: number;
  readonly practice: boolean;
  readonly product: string;
  readonly supplier: string | null;
  readonly prepared: "raw" | "blanched" | "cooked" | null;
  readonly wentIn: "fresh" | "frozen" | null;
  readonly batchStartedAt: UtcMs;
  /** When the trays were last weighed dry. */
  readonly driedAt: UtcMs | null;
  readonly plannedAt: UtcMs;
  readonly parts: readonly BagPart[];
  /** A person's reason to pack trays that were not stable with their cores checked. */
  readonly although: string | null;
  readonly container: Container;
  readonly volumeMl: number;
  /** Which lot of packaging it is from, as a person calls it. */
  readonly lot: string | null;
  readonly absorbers: Absorbers | null;
  readonly typedTare: Grams | null;
  readonly target: Grams;
  /** Fresh mass over dry mass of what is divided. */
  readonly freshPerDry: number;
  /** When packed; null where nothing is known of it. */
  readonly moisture: Moisture | null;
  readonly cautions: readonly string[];
  /** Every row that was ever kept, oldest first. */
  readonly weighings: readonly BagWeighing[];
  readonly fates: readonly BagFate[];
  readonly gainsAccepted: readonly GainAccepted[];
  /** Of its trays, oldest first. */
  readonly coresSince: readonly LaterCore[];
};

export type BagState = "planned" | "filled" | "sealed" | Fate;

/** What the label and its code say. A practice bag's says so, and is never taken for food's. */
export const bagCode = (bag: Pick<Bag, "batchNumber" | "sequence" | "practice">): string =>
  `${bag.practice ? "PRACTICE-" : ""}${bag.batchNumber}-${bag.sequence}`;
