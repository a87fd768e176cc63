/** What a person or a program may do to batches. Each act gives the changes that it makes, or a refusal. */
import type { Bag } from "../bag/bag.ts";
import { isoOf } from "../clock.ts";
import { Fault } from "../faults.ts";
import { concerns } from "../tray/dryingclock.ts";
import type { Portion } from "../tray/portion.ts";
import type { CoreFinding, FoodOnTray, WeighingKind } from "../tray/weighing.ts";
import { asKept } from "../units/mass.ts";
import { utcMs, type Grams, type UtcMs } from "../units/quantity.ts";
import { inOneForm } from "../units/written.ts";
import { acknowledged } from "./acknowledged.ts";
import type {
  Alert,
  AlertCode,
  Batch,
  Bench,
  Change,
  ClockMoment,
  Interruption,
  Tray,
} from "./bench.ts";
import { inDoubtBy, lessonsOf } from "./lessons.ts";
import { knownBesides, logsOf } from "./given.ts";
import { scaleOrFault, trayOrFault } from "./loads.ts";
import {
  batchClockAt,
  coresToCheck,
  current,
  freshOf,
  lastTraceOf,
  momentsOf,
  phaseOf,
  refuseNoPortion,
} from "./look.ts";
import { trayCalled } from "../tray/called.ts";
import { shownAfter } from "./weighings.ts";

export type TrayAsked = {
  readonly name: string;
  readonly tare: Grams | null;
  readonly foodName: string | null;
  readonly food: FoodOnTray | null;
  readonly cautions: readonly string[];
  readonly thicknessMm: number | null;
  readonly portions: readonly Portion[];
};

export function openBatch(bench: Bench, batchId: number): Batch {
  const batch = bench.batches.find((one) => one.id === batchId);
  if (batch !== undefined) return batch;

  if (batchId < bench.next.batch) throw new Fault("batch.ended", `batch ${batchId} has ended`);
  throw new Fault("batch.not-found", `no open batch has the number ${batchId}`);
}

function refuseSameNames(names: readonly string[]): void {
  const one = names.map(inOneForm);
  const twice = one.find((name, index) => one.indexOf(name) !== index);
  if (twice !== undefined)
    throw new Fault("input.invalid", `two trays of the batch are called ${twice}`, {
      errors: [{ pointer: "#/trays", detail: `give the trays different names` }],
    });
}

export function startBatch(
  bench: Bench,
  asked: {
    readonly name: string;
    readonly dryer: string;
    /** One more than the last where nobody says. */
    readonly number?: number;
    readonly trays: readonly TrayAsked[];
    readonly at: UtcMs;
  },
): readonly Change[] {
  refuseSameNames(asked.trays.map((tray) => tray.name));
  const id = bench.next.batch;
  const { batchNumber } = bench.next;
  if (asked.number !== undefined && asked.number < batchNumber)
    throw new Fault(
      "input.invalid",
      `batch numbers rise: ${asked.number} was passed already, the next is ${batchNumber}`,
      { errors: [{ pointer: "#/number", detail: `give ${batchNumber} or more, or leave it out` }] },
    );
  const batch: Batch = {
    id,
    number: asked.number ?? batchNumber,
    name: asked.name,
    dryer: asked.dryer,
    practice: bench.practice,
    startedAt: asked.at,
    endedAt: null,
    trays: asked.trays.map((tray, index) => trayFrom(tray, bench.next.tray + index, id)),
    weighings: [],
    moments: [],
    interruptions: [],
    gaps: [],
    coreChecks: [],
    verdicts: [],
    judged: null,
  };
  return [{ is: "batch-started", batch }];
}

const trayFrom = (asked: TrayAsked, id: number, batchId: number): Tray => ({
  id,
  batchId,
  name: asked.name,
  typedTare: keptTare(asked.tare),
  foodName: asked.foodName,
  food: asked.food,
  cautions: asked.cautions,
  thicknessMm: asked.thicknessMm,
  portions: keptPortions(asked.portions),
});

const keptPortions = (portions: readonly Portion[]): readonly Portion[] =>
  portions.map((one) => ({ ...one, target: keptTare(one.target) }));

const keptTare = (tare: Grams | null): Grams | null => (tare === null ? null : asKept(tare));

export function addTray(bench: Bench, batchId: number, asked: TrayAsked): readonly Change[] {
  const batch = openBatch(bench, batchId);
  refuseSameNames([...batch.trays.map((tray) => tray.name), asked.name]);
  return [{ is: "tray-added", tray: trayFrom(asked, bench.next.tray, batchId) }];
}

/** A typed tare replaces a weighed one: the weighing stays on the record, struck out with that reason. */
export function editTray(
  bench: Bench,
  batchId: number,
  trayId: number,
  edit: Partial<TrayAsked>,
  at: UtcMs,
): readonly Change[] {
  const batch = openBatch(bench, batchId);
  const tray = batch.trays.find((one) => one.id === trayId);
  if (tray === undefined)
    throw new Fault("tray.not-found", `batch ${batchId} has no tray with the number ${trayId}`);
  if (edit.name !== undefined)
    refuseSameNames([
      ...batch.trays.filter((one) => one.id !== trayId).map((one) => one.name),
      edit.name,
    ]);
  const { tare, portions, ...rest } = edit;
  if (portions !== undefined) refuseLostPortions(batch, tray, portions);
  const weighedTare = current(batch.weighings).filter(
    (one) => one.trayId === trayId && one.kind === "tare",
  );
  const replaced = tare === undefined ? [] : weighedTare;
  return [
    ...replaced.map((old, index): Change => ({
      is: "weighing-taken",
      weighing: {
        ...old,
        id: bench.next.weighing + index,
        supersedes: old.id,
        struck: true,
        reason: "the tare was typed instead",
      },
    })),
    ...replaced.flatMap(({ id }) => shownAfter(bench, id, null)),
    {
      is: "tray-changed",
      tray: {
        ...tray,
        ...rest,
        portions: portions === undefined ? tray.portions : keptPortions(portions),
        typedTare: tare === undefined ? tray.typedTare : keptTare(tare),
      },
      at,
    },
  ];
}

/** A portion that was weighed keeps its place: its weighing names it. Its food may be put right. */
function refuseLostPortions(batch: Batch, tray: Tray, portions: readonly Portion[]): void {
  for (const old of tray.portions) {
    const isWeighed = current(batch.weighings).some(
      (one) => one.trayId === tray.id && one.portion === old.place,
    );
    if (isWeighed && !portions.some(({ place }) => place === old.place))
      throw new Fault(
        "batch.wrong-phase",
        `portion ${old.place} of ${trayCalled(tray.name)} was weighed already: strike its weighing out first`,
      );
  }
}

/**
 * When trays went in or came out, if a person touched so long ago and the network was late with it: never before what
 * is known of the batch since, which another page told or the scale.
 */
export function touchedAt(
  bench: Bench,
  batchId: number,
  { agoMs, now }: { readonly agoMs: number; readonly now: UtcMs },
): UtcMs {
  const batch = openBatch(bench, batchId);
  const known = Math.max(batch.startedAt, lastTraceOf(batch, utcMs(now - agoMs)));
  return utcMs(Math.min(now, known));
}

/** Trays went in or came out; all of the batch unless some are named. */
export function setClock(
  bench: Bench,
  batchId: number,
  asked: {
    readonly is: "in" | "out";
    readonly at: UtcMs;
    readonly trays: readonly number[] | null;
  },
  now: UtcMs,
): readonly Change[] {
  const batch = openBatch(bench, batchId);
  for (const trayId of asked.trays ?? [])
    if (!batch.trays.some((tray) => tray.id === trayId))
      throw new Fault("tray.not-found", `batch ${batchId} has no tray with the number ${trayId}`);
  if (asked.at > now)
    throw new Fault("clock.out-of-order", "that moment is still to come: give a time before now");
  if (asked.at < earliestOf(batch))
    throw new Fault(
      "clock.out-of-order",
      `${isoOf(asked.at)} is not between ${isoOf(earliestOf(batch))} and ${isoOf(now)}`,
    );
  const state = batchClockAt(batch, asked.at);
  if (
    asked.trays === null &&
    (state.is === asked.is || (state.is === "waiting" && asked.is === "out"))
  )
    throw new Fault(
      "batch.wrong-phase",
      state.is === "waiting"
        ? "no tray has gone into the dryer yet, so none can come out"
        : `at that time the trays are ${state.is} already`,
    );
  if (asked.is === "in") refuseUnweighed(batch, asked.trays);
  const moment: ClockMoment = {
    id: bench.next.moment,
    batchId,
    is: asked.is,
    at: asked.at,
    trays: asked.trays,
    implied: false,
    supersedes: null,
    struck: false,
    reason: null,
  };
  const gone =
    asked.is === "in" ? unchosen(bench, asked.trays ?? batch.trays.map(({ id }) => id)) : [];
  return [{ is: "moment-set", moment }, ...gone, ...answered(bench, batchId, asked.is, now)];
}

/** Trays may have gone in before anybody began to keep a record of it, but no month before. Our choice. */
const earliestOf = ({ startedAt }: Batch): UtcMs => utcMs(startedAt - 31 * 24 * 3_600_000);

/** A tray that went into the dryer is no longer the one that a person is about to weigh. */
const unchosen = (bench: Bench, trays: readonly number[]): readonly Change[] =>
  bench.scales
    .filter(({ chosen }) => chosen !== null && trays.includes(chosen.trayId))
    .map(({ id }) => ({ is: "task-chosen", scaleId: id, chosen: null }));

const answeredBy = {
  out: ["time-to-weigh"],
  in: ["out-too-long", "needs-more", "unsure"],
} as const satisfies Record<string, readonly AlertCode[]>;

/** Trays that came out, or went in, answer the alert that asked for it. */
const answered = (
  bench: Bench,
  batchId: number,
  what: "in" | "out",
  at: UtcMs,
): readonly Change[] =>
  acknowledged(bench, at, (alert) => {
    const codes: readonly AlertCode[] = answeredBy[what];
    return alert.batchId === batchId && codes.includes(alert.code);
  });

/** Without its fresh mass a tray can never be judged: nothing goes in unweighed by oversight. */
function refuseUnweighed(batch: Batch, trays: readonly number[] | null): void {
  if (batch.trays.length === 0)
    throw new Fault("batch.wrong-phase", "the batch has no tray yet: add one and weigh it");
  if (phaseOf(batch) !== "loading") return;
  const missing = batch.trays.filter(
    (tray) => concerns(trays, tray.id) && freshOf(batch, tray) === null,
  );
  if (missing.length > 0)
    throw new Fault(
      "batch.wrong-phase",
      `not weighed before drying: ${missing.map((tray) => trayCalled(tray.name)).join(", ")}`,
    );
}

/** Sets right a moment of the clock that was forgotten or false. The old one stays on the record. */
export function editMoment(
  bench: Bench,
  batchId: number,
  momentId: number,
  edit: { readonly at: UtcMs | null; readonly struck: boolean; readonly reason: string },
  now: UtcMs,
): readonly Change[] {
  const batch = openBatch(bench, batchId);
  const moments = momentsOf(batch);
  const index = moments.findIndex((one) => one.id === momentId);
  const old = moments[index];
  const after = batch.moments.find(({ supersedes }) => supersedes === momentId);
  if (old === undefined && after !== undefined)
    throw new Fault(
      "edit.crossed",
      `moment ${momentId} was ${after.struck ? "struck out" : `put at ${isoOf(after.at)}`} (${after.reason ?? "no reason"}) since`,
    );
  if (old === undefined)
    throw new Fault(
      "clock.not-found",
      `batch ${batchId} has no moment ${momentId} that still counts`,
    );
  const at = edit.at ?? old.at;
  const before = moments[index - 1]?.at ?? earliestOf(batch);
  const next = moments[index + 1]?.at ?? now;
  if (!edit.struck && (at < before || at > next))
    throw new Fault(
      "clock.out-of-order",
      `${isoOf(at)} is not between ${isoOf(before)} and ${isoOf(next)}`,
    );
  const moment: ClockMoment = {
    ...old,
    id: bench.next.moment,
    at,
    implied: false,
    supersedes: old.id,
    struck: edit.struck,
    reason: edit.reason,
  };
  return [{ is: "moment-set", moment }];
}

export function noteInterruption(
  bench: Bench,
  batchId: number,
  asked: { readonly from: UtcMs; readonly to: UtcMs | null; readonly reason: string },
  now: UtcMs,
): readonly Change[] {
  openBatch(bench, batchId);
  if (asked.from > now || (asked.to !== null && (asked.to < asked.from || asked.to > now)))
    throw new Fault(
      "clock.out-of-order",
      "an interruption begins before it ends, and not after now",
    );
  const interruption: Interruption = { id: bench.next.interruption, batchId, ...asked };
  return [{ is: "interruption-noted", interruption }];
}

export function endInterruption(
  bench: Bench,
  batchId: number,
  interruptionId: number,
  to: UtcMs,
  now: UtcMs,
): readonly Change[] {
  const one = openBatch(bench, batchId).interruptions.find((other) => other.id === interruptionId);
  if (one === undefined)
    throw new Fault(
      "clock.not-found",
      `batch ${batchId} has no interruption with the number ${interruptionId}`,
    );
  if (to < one.from || to > now)
    throw new Fault("clock.out-of-order", `${isoOf(to)} is not between ${isoOf(one.from)} and now`);
  return [{ is: "interruption-ended", id: interruptionId, to }];
}

export function answerGap(
  bench: Bench,
  gapId: number,
  dryerRan: boolean,
  at: UtcMs,
): readonly Change[] {
  batchOfGap(bench, gapId);
  return [{ is: "gap-answered", id: gapId, dryerRan, at }];
}

export function batchOfGap(bench: Bench, gapId: number): Batch {
  const batch = bench.batches.find((one) => one.gaps.some((gap) => gap.id === gapId));
  if (batch === undefined) throw new Fault("gap.not-found", `no gap has the number ${gapId}`);
  return batch;
}

export function checkCore(
  bench: Bench,
  trayId: number,
  finding: CoreFinding,
  at: UtcMs,
): readonly Change[] {
  const { batch } = trayOrFault(bench, trayId);
  if (phaseOf(batch) === "loading")
    throw new Fault("batch.wrong-phase", "the tray has not been in the dryer yet");
  const check = { id: bench.next.coreCheck, batchId: batch.id, trayId, finding, at };
  // A soft one is answered by the verdict that follows from it.
  const isLast = finding === "dry" && coresToCheck(batch).every((id) => id === trayId);
  const isDone = ({ batchId, code }: Alert): boolean =>
    isLast && batchId === batch.id && code === "stable";
  return [{ is: "core-checked", check }, ...acknowledged(bench, at, isDone)];
}

/** `bagged`: every bag that the batch ever had. */
export function endBatch(
  bench: Bench,
  batchId: number,
  at: UtcMs,
  { timeFactor = 1, bagged = [] }: { timeFactor?: number; bagged?: readonly Bag[] } = {},
): readonly Change[] {
  const batch = openBatch(bench, batchId);
  const logs = logsOf(batch, { timeFactor, ...knownBesides(bench) });
  const { limit } = bench.settings;
  const doubt = inDoubtBy(bench, bagged, at);
  const lessons = lessonsOf(batch, logs, { firstId: bench.next.lesson, at, limit });
  return [
    { is: "batch-ended", batchId, at },
    ...acknowledged(bench, at, (alert) => alert.batchId === batchId),
    ...lessons.map((lesson): Change => ({ is: "lesson-kept", lesson })),
    ...lessons.flatMap(({ id }): readonly Change[] =>
      doubt === null
        ? []
        : [{ is: "lesson-changed", lessonId: id, counts: false, reason: doubt, at }],
    ),
  ];
}

/** A person says which tray comes next onto a scale; null: the next in order. */
export function chooseTask(
  bench: Bench,
  scaleId: string,
  trayId: number | null,
  kind: WeighingKind | null,
  portion: number | null,
): readonly Change[] {
  scaleOrFault(bench, scaleId);
  const trays: Change = { is: "bag-chosen", scaleId, bag: null };
  if (trayId === null) return [trays, { is: "task-chosen", scaleId, chosen: null }];
  refuseNoPortion(trayOrFault(bench, trayId).tray, portion);
  return [trays, { is: "task-chosen", scaleId, chosen: { trayId, kind, portion } }];
}

export function acknowledge(bench: Bench, alertId: number, at: UtcMs): readonly Change[] {
  if (!bench.alerts.some((alert) => alert.id === alertId))
    throw new Fault("alert.not-found", `no open alert has the number ${alertId}`);
  return [{ is: "alert-acknowledged", id: alertId, at }];
}
