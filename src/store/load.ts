import type Database from "better-sqlite3";
import type { Batch, Kept, Tray } from "../service/bench.ts";
import type { TrayWeighing } from "../tray/weighing.ts";
import { mostEmptyTrays } from "../tray/whichtray.ts";
import type { VerdictWord } from "../verdict/verdict.ts";
import type { BareBatch, BatchState } from "./batch.ts";
import type { Nouns } from "./nouns.ts";

/** A batch as a line of the record: enough to add up its masses, without its history. */
export type ListedBatch = BareBatch & {
  readonly trays: readonly Tray[];
  /** The last of each tray, kind and portion, of those that are neither struck nor superseded. */
  readonly weighings: readonly TrayWeighing[];
  /** The last verdict given of the batch as a whole. */
  readonly word: VerdictWord | null;
};

/** What the masses of a batch follow from. */
export type Corrected = Pick<Batch, "id" | "trays" | "weighings">;

/** Those of `among` with bags of which a weighing was put right, before they were planned or since. */
export const correctedBatches = (among: ReadonlySet<number>, from: Nouns): Corrected[] =>
  from.weighings
    .correctedUnderBags()
    .filter((id) => among.has(id))
    .map((id) => ({
      id,
      trays: from.trays.ofBatch(id),
      weighings: from.weighings.ofBatch(id),
    }));

const whole = (bare: BareBatch, from: Nouns): Batch => ({
  ...bare,
  trays: from.trays.ofBatch(bare.id),
  weighings: from.weighings.ofBatch(bare.id),
  moments: from.moments.ofBatch(bare.id),
  interruptions: from.interruptions.ofBatch(bare.id),
  gaps: from.gaps.ofBatch(bare.id),
  coreChecks: from.coreChecks.ofBatch(bare.id),
  verdicts: from.verdicts.ofBatch(bare.id),
  judged: null,
});

export function loadBatch(id: number, from: Nouns): Batch | null {
  const bare = from.batches.find(id);
  return bare === null ? null : whole(bare, from);
}

export const listBatches = (state: BatchState, from: Nouns): ListedBatch[] =>
  from.batches.list(state).map((bare) => ({
    ...bare,
    trays: from.trays.ofBatch(bare.id),
    weighings: from.weighings.newest(bare.id),
    word: from.verdicts.lastWord(bare.id),
  }));

/** What is learned of the weighings of ended batches. */
export const ofEnded = (from: Nouns): Pick<Kept, "weighedAgain" | "emptyTrays"> => ({
  weighedAgain: from.weighings.againIn().map((id) => ({
    practice: false,
    trays: from.trays.ofBatch(id),
    weighings: from.weighings.ofBatch(id),
  })),
  emptyTrays: from.weighings.empties(mostEmptyTrays),
});

export const loadKept = (db: Database.Database, from: Nouns): Kept => ({
  batches: from.batches.list("open").map((bare) => whole(bare, from)),
  bags: from.bags.list({ is: "in-hand" }),
  lessons: from.lessons.all(),
  kitchen: from.kitchen.now(),
  ...ofEnded(from),
  alerts: from.alerts.open(),
  alertKeys: from.alerts.keys(),
  settings: from.settings.current(),
  next: nextNumbers(db),
  scales: from.scales.all(),
  lastAlive: from.alive.last(),
});

/** One more than the highest that was ever kept: no row with a number is ever removed. */
function nextNumbers(db: Database.Database): Kept["next"] {
  const next = (column: string, table: string): number =>
    db.prepare<[], number>(`SELECT coalesce(max(${column}), 0) + 1 FROM ${table}`).pluck().get() ??
    1;
  return {
    batch: next("id", "batch"),
    batchNumber: next("number", "batch"),
    tray: next("id", "tray"),
    weighing: next("id", "weighing"),
    moment: next("id", "moment"),
    interruption: next("id", "interruption"),
    gap: next("id", "gap"),
    coreCheck: next("id", "core_check"),
    verdict: next("id", "verdict"),
    alert: next("id", "alert"),
    bag: next("id", "bag"),
    bagPlan: next("plan", "bag"),
    bagWeighing: next("id", "bag_weighing"),
    bagFate: next("id", "bag_fate"),
    bagGain: next("id", "bag_gain"),
    lesson: next("id", "lesson"),
  };
}
