/**
 * What the service knows, as plain values: the open batches and the scales. `step` turns a bench and an input into
 * the next bench and a list of facts; durable facts are stored before anybody is told of them.
 */
import type {
  Bag,
  BagFate,
  GainAccepted,
  BagId,
  BagWeighing,
  BagWeighingKind,
} from "../bag/bag.ts";
import type { ScaleKey } from "../reading/form.ts";
import type { ScaleComparison } from "../tray/offset.ts";
import type { Comparing } from "./comparing.ts";
import type { CheckWeight, Dryer, Kitchen, OwnFood, ScaleCheck } from "./kitchen.ts";
import type { Portion } from "../tray/portion.ts";
import type { Pan } from "../settle/settle.ts";
import type { SettledWeight } from "../settle/settled.ts";
import type { LinkReport } from "../port/port.ts";
import type {
  BatchId,
  CoreFinding,
  FoodOnTray,
  TrayId,
  TrayWeighing,
  WeighingId,
  WeighingKind,
} from "../tray/weighing.ts";
import type { Fraction, Grams, UtcMs } from "../units/quantity.ts";
import type { Series } from "../verdict/placement.ts";
import type { BatchVerdict, VerdictWord } from "../verdict/verdict.ts";

export type Tray = {
  readonly id: TrayId;
  readonly batchId: BatchId;
  readonly name: string;
  /** Typed by a person; a weighing of the empty tray, where there is one, counts before it. */
  readonly typedTare: Grams | null;
  /** As the person said it; kept also where no water content is known for it. */
  readonly foodName: string | null;
  /** Of several portions: their mixture as it was planned. */
  readonly food: FoodOnTray | null;
  readonly cautions: readonly string[];
  /** Of the pieces, as a person stated it; of several portions the thickest, null unless it is known of all. */
  readonly thicknessMm: number | null;
  /** In the order of their places; empty: one food, as much as comes. */
  readonly portions: readonly Portion[];
};

/** A person, or a weighing that could not have been otherwise, says that trays went in or came out. */
export type ClockMoment = {
  readonly id: number;
  readonly batchId: BatchId;
  readonly is: "in" | "out";
  readonly at: UtcMs;
  /** null: all of the batch. */
  readonly trays: readonly TrayId[] | null;
  readonly implied: boolean;
  readonly supersedes: number | null;
  readonly struck: boolean;
  readonly reason: string | null;
};

export type Interruption = {
  readonly id: number;
  readonly batchId: BatchId;
  readonly from: UtcMs;
  readonly to: UtcMs | null;
  readonly reason: string;
};

/** The service was down while trays were in. Until a person says that the dryer ran, its hours prove nothing. */
export type Gap = {
  readonly id: number;
  readonly batchId: BatchId;
  readonly from: UtcMs;
  readonly to: UtcMs;
  readonly dryerRan: boolean | null;
};

export type CoreCheck = {
  readonly id: number;
  readonly batchId: BatchId;
  readonly trayId: TrayId;
  readonly finding: CoreFinding;
  readonly at: UtcMs;
};

/** A verdict as it was announced, with what it rested on, so that it can be explained later. */
export type GivenVerdict = {
  readonly id: number;
  readonly batchId: BatchId;
  readonly round: number;
  /** null: the batch as a whole. */
  readonly trayId: TrayId | null;
  readonly word: VerdictWord;
  readonly at: UtcMs;
  readonly judgmentVersion: number;
  readonly text: string;
  /** JSON: the logs, the settings and the answer. */
  readonly basis: string;
};

export type LessonRate = {
  readonly lnRate: number;
  readonly u: number;
  /** null: nobody stated it. */
  readonly thicknessMm: number | null;
};

/** What an ended batch found of a food: counts for the next lot of it until it is withdrawn. */
export type Lesson = {
  readonly id: number;
  readonly batchId: BatchId;
  readonly batchNumber: number;
  readonly food: string;
  /** Of all trays of the batch with this food: net before drying, and net when all were stable. */
  readonly fresh: Grams;
  readonly end: Grams;
  /** What its weighings showed of its rate constant, at this thickness of the pieces; null: next to nothing. */
  readonly rate: LessonRate | null;
  readonly at: UtcMs;
  readonly counts: boolean;
  /** Why it was withdrawn, or counts again; null: nobody ever said anything. */
  readonly why: string | null;
};

export type AlertCode =
  | "time-to-weigh"
  | "stable"
  | "needs-more"
  | "stalled"
  | "gaining"
  | "unsure"
  | "out-too-long"
  | "scale-lost";

/** A way by which alerts reach a person elsewhere. */
export type Channel = "mqtt" | "webhook";

/** What an alert says, as figures and names, so that it can be worded in any language. */
export type AlertFigures = Readonly<Record<string, number | string | readonly string[]>>;

export type Alert = {
  readonly id: number;
  /** Unique: what makes this alert the same as an earlier one, and so not to be raised again. */
  readonly key: string;
  readonly code: AlertCode;
  readonly batchId: BatchId | null;
  readonly round: number | null;
  /** In English, for those who have no catalogue of texts. */
  readonly text: string;
  readonly figures: AlertFigures;
  readonly at: UtcMs;
  readonly acknowledgedAt: UtcMs | null;
  /** Ways by which it was to go out when it was raised, and has not yet. */
  readonly owed: readonly Channel[];
};

export type Batch = {
  readonly id: BatchId;
  /** Rising, set once; what a person writes on a bag. */
  readonly number: number;
  readonly name: string;
  readonly dryer: string;
  readonly practice: boolean;
  readonly startedAt: UtcMs;
  readonly endedAt: UtcMs | null;
  readonly trays: readonly Tray[];
  /** Every row that was ever kept, oldest first; `currentWeighings` picks those that count. */
  readonly weighings: readonly TrayWeighing[];
  readonly moments: readonly ClockMoment[];
  readonly interruptions: readonly Interruption[];
  readonly gaps: readonly Gap[];
  readonly coreChecks: readonly CoreCheck[];
  readonly verdicts: readonly GivenVerdict[];
  /** Judged from the above; not kept. */
  readonly judged: BatchVerdict | null;
};

/** Where alerts go by MQTT. The password is the only setting that is never shown. */
export type MqttSettings = {
  readonly url: string;
  readonly prefix: string;
  readonly user: string | null;
  readonly password: string | null;
};

export type Settings = {
  readonly limit: Fraction;
  readonly displayUnit: "g" | "kg" | "oz" | "lb";
  readonly webhook: string | null;
  readonly mqtt: MqttSettings | null;
  readonly outTooLongMinutes: number;
  readonly sound: boolean;
  /** Whether lessons of ended batches count for the next lot. */
  readonly learning: boolean;
};

/** A load at rest that was announced, and what became of it. */
export type LoadOnScale = {
  readonly id: number;
  readonly weight: SettledWeight;
  /** `waiting`: to be taken (again) at the next tick, the store having refused. */
  readonly became: "taken" | "asked" | "ignored" | "waiting";
  readonly weighing: WeighingId | null;
  readonly question: LoadQuestion | null;
};

export type LoadQuestion = {
  readonly is: "which-tray" | "zero-not-seen";
  readonly why: string;
  readonly candidates: readonly {
    readonly batchId: BatchId;
    readonly trayId: TrayId;
    readonly kind: WeighingKind;
    readonly portion: number | null;
    readonly probability: number;
  }[];
};

/** What a load is taken for. `portion` null: the next of its tray that waits, or the tray as a whole. */
export type Task = {
  readonly trayId: TrayId;
  /** null: whatever the tray is at when it is put down. */
  readonly kind: WeighingKind | null;
  readonly portion: number | null;
};

/** A person's answer, whether a silent scale may be asked; `ask` null: it may not. */
export type AskingSaid = { readonly ask: string | null; readonly everyMs: number };

export type ScaleOnBench = {
  readonly id: string;
  readonly uri: string;
  readonly practice: boolean;
  readonly link: LinkReport;
  readonly form: string | null;
  readonly unit: string | null;
  readonly keys: readonly ScaleKey[];
  /** Whether letters can be sent to it, and its address does not say already which. */
  readonly canBeAsked: boolean;
  /** null: nobody was asked. */
  readonly asking: AskingSaid | null;
  readonly candidates: readonly {
    readonly form: string;
    readonly title: string;
    readonly unit: string | null;
    readonly divisionGrams: number | null;
    readonly example: string;
    readonly reads: string;
  }[];
  readonly pan: Pan;
  readonly load: LoadOnScale | null;
  /** Chosen by a person; otherwise the next in order is expected. */
  readonly chosen: Task | null;
  /** The tray that it asks for by itself where there are several scales; null: the first that is waited for. */
  readonly prompt: TrayId | null;
  /** A person pressed the scale's own tare key with a tray on it: what it hides, and of which tray. */
  readonly hidden: { readonly trayId: TrayId; readonly gross: Grams } | null;
  /** The last weighing taken here, to be shown and undone until the next load settles. */
  readonly lastTaken: WeighingId | null;
  /** The check weight that comes next, whatever else is waited for. */
  readonly checking: number | null;
  /** With a bag chosen, loads are taken for it and not for trays. */
  readonly bag: BagOnScale | null;
  readonly lastTakenBag: { readonly bagId: BagId; readonly weighing: number } | null;
};

export type BagOnScale = {
  readonly bagId: BagId;
  readonly kind: BagWeighingKind;
  /** What lies there was taken already: it has to leave the scale before anything else is taken. */
  readonly needsLift: boolean;
  /** Why the load on the scale was not taken by itself. */
  readonly why: string | null;
};

/** What changes without being kept: it is true only while the program runs. */
export type Passing =
  | { readonly is: "scale-came"; readonly scale: ScaleOnBench }
  | { readonly is: "scale-went"; readonly scaleId: string }
  | {
      readonly is: "link-changed";
      readonly scaleId: string;
      readonly link: LinkReport;
      readonly form: string | null;
      readonly unit: string | null;
      readonly keys: readonly ScaleKey[];
      readonly candidates: ScaleOnBench["candidates"];
    }
  | {
      readonly is: "asking-said";
      readonly scaleId: string;
      readonly asking: AskingSaid;
    }
  | { readonly is: "pan-changed"; readonly scaleId: string; readonly pan: Pan }
  | { readonly is: "load-changed"; readonly scaleId: string; readonly load: LoadOnScale | null }
  | {
      readonly is: "task-chosen";
      readonly scaleId: string;
      readonly chosen: ScaleOnBench["chosen"];
    }
  | { readonly is: "taken-shown"; readonly scaleId: string; readonly weighing: WeighingId | null }
  | {
      readonly is: "hidden-noticed";
      readonly scaleId: string;
      readonly hidden: ScaleOnBench["hidden"];
    }
  | { readonly is: "check-chosen"; readonly scaleId: string; readonly weightId: number | null }
  | { readonly is: "comparing-changed"; readonly comparing: Comparing | null }
  | { readonly is: "bag-chosen"; readonly scaleId: string; readonly bag: BagOnScale | null }
  | {
      readonly is: "bag-taken-shown";
      readonly scaleId: string;
      readonly taken: ScaleOnBench["lastTakenBag"];
    }
  /** Of ended batches, as the store has them. */
  | {
      readonly is: "learned-anew";
      readonly series: Bench["series"];
      readonly emptyTrays: Bench["emptyTrays"];
    }
  /** A plan that was gone and is in hand again, as the store has it. */
  | { readonly is: "bags-returned"; readonly bags: readonly Bag[] };

export type Change = Fact | Passing;

export type Bench = {
  /** The next free number of every noun. */
  readonly next: {
    readonly batch: number;
    readonly batchNumber: number;
    readonly tray: number;
    readonly weighing: number;
    readonly moment: number;
    readonly interruption: number;
    readonly gap: number;
    readonly coreCheck: number;
    readonly verdict: number;
    readonly alert: number;
    readonly load: number;
    readonly bag: number;
    readonly bagPlan: number;
    readonly bagWeighing: number;
    readonly bagFate: number;
    readonly bagGain: number;
    readonly lesson: number;
  };
  readonly batches: readonly Batch[];
  /** Those of plans of which a bag is still there: planned, in store or opened. */
  readonly bags: readonly Bag[];
  /** Of all batches that ever ended, oldest first. */
  readonly lessons: readonly Lesson[];
  readonly kitchen: Kitchen;
  /** Of ended batches: loads that lay on one scale several times within minutes. */
  readonly series: readonly Series[];
  /** Of the last ended batches: what their trays weighed empty. */
  readonly emptyTrays: readonly Grams[];
  readonly scales: readonly ScaleOnBench[];
  readonly comparing: Comparing | null;
  /** Open ones, and the keys of all that were ever raised for an open batch: when each was closed, null while it stands. */
  readonly alerts: readonly Alert[];
  readonly alertKeys: ReadonlyMap<string, UtcMs | null>;
  readonly settings: Settings;
  readonly practice: boolean;
};

/** What has to be on disk before anybody hears of it. One input's facts are one transaction. */
export type Fact =
  | { readonly is: "batch-started"; readonly batch: Batch }
  | { readonly is: "batch-ended"; readonly batchId: BatchId; readonly at: UtcMs }
  | { readonly is: "tray-added"; readonly tray: Tray }
  | { readonly is: "tray-changed"; readonly tray: Tray; readonly at: UtcMs }
  | { readonly is: "weighing-taken"; readonly weighing: TrayWeighing }
  | { readonly is: "moment-set"; readonly moment: ClockMoment }
  | { readonly is: "interruption-noted"; readonly interruption: Interruption }
  | { readonly is: "interruption-ended"; readonly id: number; readonly to: UtcMs }
  | { readonly is: "gap-found"; readonly gap: Gap }
  | {
      readonly is: "gap-answered";
      readonly id: number;
      readonly dryerRan: boolean;
      readonly at: UtcMs;
    }
  | { readonly is: "core-checked"; readonly check: CoreCheck }
  | { readonly is: "verdict-given"; readonly verdict: GivenVerdict }
  | { readonly is: "alert-raised"; readonly alert: Alert }
  | { readonly is: "alert-acknowledged"; readonly id: number; readonly at: UtcMs }
  | {
      readonly is: "alert-sent";
      readonly id: number;
      readonly channel: Channel;
      readonly at: UtcMs;
    }
  | { readonly is: "bag-planned"; readonly bag: Bag }
  | { readonly is: "bag-weighed"; readonly weighing: BagWeighing }
  | { readonly is: "bag-fate"; readonly fate: BagFate }
  | { readonly is: "bag-gain-accepted"; readonly accepted: GainAccepted }
  | { readonly is: "lesson-kept"; readonly lesson: Lesson }
  | {
      readonly is: "lesson-changed";
      readonly lessonId: number;
      readonly counts: boolean;
      readonly reason: string;
      readonly at: UtcMs;
    }
  | { readonly is: "dryer-set"; readonly dryer: Dryer; readonly at: UtcMs }
  | { readonly is: "own-food-set"; readonly food: OwnFood; readonly at: UtcMs }
  | { readonly is: "check-weight-set"; readonly weight: CheckWeight; readonly at: UtcMs }
  | { readonly is: "scale-checked"; readonly check: ScaleCheck }
  | { readonly is: "scales-compared"; readonly comparison: ScaleComparison }
  | { readonly is: "settings-changed"; readonly settings: Settings; readonly at: UtcMs };

/** What the store gives back at the start: everything but the scales and the judged verdicts. */
export type Kept = {
  readonly batches: readonly Batch[];
  readonly bags: readonly Bag[];
  readonly lessons: readonly Lesson[];
  readonly kitchen: Kitchen;
  /** Of ended batches in which a load was weighed again within minutes: what their masses follow from. */
  readonly weighedAgain: readonly Pick<Batch, "practice" | "trays" | "weighings">[];
  /** Of ended batches, the newest last, at most `mostEmptyTrays`. */
  readonly emptyTrays: readonly Grams[];
  readonly alerts: readonly Alert[];
  readonly alertKeys: readonly (readonly [key: string, closedAt: UtcMs | null])[];
  readonly settings: Settings | null;
  readonly next: Omit<Bench["next"], "load">;
  /** Scale addresses that a person set up. */
  readonly scales: readonly string[];
  /** When the service last said that it was alive, to find the gap before this start. */
  readonly lastAlive: Alive | null;
};

/** A moment at which the service was running: by its own clock, and by the computer's. */
export type Alive = { readonly at: UtcMs; readonly systemAt: UtcMs };
