/** What a person or a program may do to batches. Each act gives the changes that it makes, or a refusal. */
import { isoOf } from "../clock.ts";
import { Fault } from "../faults.ts";
import { concerns } from "../tray/dryingclock.ts";
import type { Portion } from "../tray/portion.ts";
import type { CoreFinding, FoodOnTray, TrayWeighing, WeighingKind } from "../tray/weighing.ts";
import { asKept, divisionAsKept } from "../units/mass.ts";
import type { Grams, UtcMs } from "../units/quantity.ts";
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
import { lessonsOf } from "./lessons.ts";
import { knownBesides, logsOf } from "./given.ts";
import { impliedOut, refuseNoPortion, scaleOrFault, trayOrFault } from "./loads.ts";
import {
  batchClockAt,
  coresToCheck,
  current,
  freshOf,
  loadedSoFar,
  momentsOf,
  phaseOf,
  tareOf,
} from "./look.ts";
import { trayCalled } from "../tray/called.ts";

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
  if (batch === undefined)
    throw new Fault("batch.not-found", `no open batch has the number ${batchId}`);
  return batch;
}

function refuseSameNames(names: readonly string[]): void {
  const twice = names.find((name, index) => names.indexOf(name) !== index);
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
  const before = moments[index - 1]?.at ?? batch.startedAt;
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

export function endBatch(
  bench: Bench,
  batchId: number,
  at: UtcMs,
  timeFactor = 1,
): readonly Change[] {
  const batch = openBatch(bench, batchId);
  const logs = logsOf(batch, { timeFactor, ...knownBesides(bench) });
  const { limit } = bench.settings;
  const lessons = lessonsOf(batch, logs, { firstId: bench.next.lesson, at, limit });
  return [
    { is: "batch-ended", batchId, at },
    ...acknowledged(bench, at, (alert) => alert.batchId === batchId),
    ...lessons.map((lesson): Change => ({ is: "lesson-kept", lesson })),
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

export function typeWeighing(
  bench: Bench,
  asked: {
    readonly trayId: number;
    readonly kind: WeighingKind;
    readonly portion: number | null;
    readonly gross: Grams;
    readonly division: Grams;
    readonly at: UtcMs;
    readonly now: UtcMs;
  },
): readonly Change[] {
  const { batch, tray } = trayOrFault(bench, asked.trayId);
  if (asked.at > asked.now)
    throw new Fault(
      "clock.out-of-order",
      `${isoOf(asked.at)} is still to come: give a time before now`,
    );
  refuseNoPortion(tray, asked.portion);
  refuseImpossible(batch, tray, asked.kind, asked.gross);
  const before = asked.kind === "fresh" && asked.portion !== null ? loadedSoFar(batch, tray) : null;
  if (before !== null && asked.gross <= before)
    throw new Fault(
      "weighing.impossible",
      `${asked.gross.toFixed(1)} g is not more than ${trayCalled(tray.name)} weighed before (${before.toFixed(1)} g)`,
    );
  const weighing: TrayWeighing = {
    id: bench.next.weighing,
    batchId: batch.id,
    trayId: tray.id,
    kind: asked.kind,
    portion: asked.kind === "tare" ? null : asked.portion,
    gross: asKept(asked.gross),
    division: divisionAsKept(asked.division),
    scale: null,
    source: "typed",
    zeroSeen: true,
    at: asked.at,
    supersedes: null,
    struck: false,
    reason: null,
  };
  return [
    ...impliedOut(
      bench,
      { batch, tray, kind: asked.kind, portion: asked.portion, ask: false },
      asked.at,
    ),
    { is: "weighing-taken", weighing },
  ];
}

function refuseImpossible(batch: Batch, tray: Tray, kind: WeighingKind, gross: Grams): void {
  if (kind === "tare") return;
  const tare = tareOf(batch, tray);
  if (tare === null)
    throw new Fault(
      "tray.no-tare",
      `weigh the empty ${trayCalled(tray.name)} first, or type its mass`,
    );
  if (gross <= tare)
    throw new Fault(
      "weighing.impossible",
      `${gross.toFixed(1)} g is not more than the empty ${trayCalled(tray.name)} (${tare.toFixed(1)} g)`,
    );
  if (kind === "dry" && phaseOf(batch) === "loading")
    throw new Fault("batch.wrong-phase", `${trayCalled(tray.name)} has not been in the dryer yet`);
}

/** Puts a weighing right (another tray, kind or mass) or strikes it out; the old row stays on the record. */
export function editWeighing(
  bench: Bench,
  weighingId: number,
  edit: {
    readonly trayId: number | null;
    readonly kind: WeighingKind | null;
    readonly gross: Grams | null;
    readonly struck: boolean;
    readonly reason: string;
  },
): readonly Change[] {
  const old = countedWeighing(bench, weighingId);
  // A weighing that counts no longer belongs where it was taken, whatever else is said of it.
  const { batch, tray } = trayOrFault(
    bench,
    edit.struck ? old.trayId : (edit.trayId ?? old.trayId),
  );
  const kind = edit.kind ?? old.kind;
  const gross = asKept(edit.gross ?? old.gross);
  if (!edit.struck) refuseImpossible(batch, tray, kind, gross);
  const weighing = {
    batchId: batch.id,
    trayId: tray.id,
    kind,
    // Moved to another tray or kind, it is one of the whole tray.
    portion: tray.id === old.trayId && kind === old.kind ? old.portion : null,
    gross,
    struck: edit.struck,
    reason: edit.reason,
  };
  const id = bench.next.weighing;
  const shown = bench.scales.filter((scale) => scale.lastTaken === old.id);
  return [
    ...putInPlace(old, weighing, id, id + 1).map(taken),
    ...shown.map((scale): Change => ({
      is: "taken-shown",
      scaleId: scale.id,
      weighing: edit.struck ? null : id,
    })),
  ];
}

/**
 * A correction takes the old row's place. One that moves the weighing to another batch cannot: each batch is made of
 * its own rows, so there the old one is struck out, and it is a new one here.
 */
function putInPlace(
  old: TrayWeighing,
  edit: Omit<Partial<TrayWeighing>, "id" | "supersedes"> & { readonly reason: string },
  id: number,
  strikingId: number,
): readonly TrayWeighing[] {
  const weighing: TrayWeighing = { ...old, ...edit, id, supersedes: old.id };
  if (weighing.batchId === old.batchId) return [weighing];
  const struck: TrayWeighing = {
    ...old,
    id: strikingId,
    supersedes: old.id,
    struck: true,
    reason: edit.reason,
  };
  return [{ ...weighing, supersedes: null }, struck];
}

const taken = (weighing: TrayWeighing): Change => ({ is: "weighing-taken", weighing });

/** Two weighings of one round that were taken for each other's trays: both are put right in one act. */
export function swapWeighings(
  bench: Bench,
  weighingId: number,
  otherId: number,
  reason: string,
): readonly Change[] {
  const one = countedWeighing(bench, weighingId);
  const other = countedWeighing(bench, otherId);
  if (one.kind !== other.kind || one.trayId === other.trayId)
    throw new Fault(
      "input.invalid",
      "only weighings of the same kind, of two different trays, can be swapped",
    );
  const first = bench.next.weighing;
  const put = (row: TrayWeighing, onto: TrayWeighing, id: number): readonly TrayWeighing[] => {
    const { batch, tray } = trayOrFault(bench, onto.trayId);
    refuseImpossible(batch, tray, row.kind, row.gross);
    const { portion } = onto;
    const moved = { batchId: batch.id, trayId: tray.id, portion, reason };
    return putInPlace(row, moved, id, id + 2);
  };
  const rows = [...put(one, other, first), ...put(other, one, first + 1)];
  return rows.toSorted((a, b) => a.id - b.id).map(taken);
}

/** What became of a weighing that no longer counts. */
function changeOf(all: readonly TrayWeighing[], old: TrayWeighing): string {
  const after = all.find((one) => one.supersedes === old.id);
  if (after === undefined || after.struck)
    return `struck out (${after?.reason ?? old.reason ?? "no reason"})`;
  return `replaced by ${after.gross} g, ${after.kind}, on tray ${after.trayId} (${after.reason ?? "no reason"})`;
}

/** A weighing that still counts, of an open batch. */
function countedWeighing(bench: Bench, weighingId: number): TrayWeighing {
  const all = bench.batches.flatMap((batch) => batch.weighings);
  const found = all.find((one) => one.id === weighingId);
  if (found === undefined)
    throw new Fault(
      "weighing.not-found",
      `no open batch has a weighing with the number ${weighingId}`,
    );
  if (!current(all).includes(found))
    throw new Fault(
      "weighing.edited-meanwhile",
      `weighing ${weighingId} was ${changeOf(all, found)} since`,
    );
  return found;
}

export function acknowledge(bench: Bench, alertId: number, at: UtcMs): readonly Change[] {
  if (!bench.alerts.some((alert) => alert.id === alertId))
    throw new Fault("alert.not-found", `no open alert has the number ${alertId}`);
  return [{ is: "alert-acknowledged", id: alertId, at }];
}
