/** A weighing typed, put right, struck out or swapped: each adds a row, none is taken out. */
import { isoOf } from "../clock.ts";
import { Fault } from "../faults.ts";
import { trayCalled } from "../tray/called.ts";
import type { TrayWeighing, WeighingId, WeighingKind } from "../tray/weighing.ts";
import { asKept, divisionAsKept } from "../units/mass.ts";
import type { Grams, UtcMs } from "../units/quantity.ts";
import { nothingTaken } from "../verdict/foodtaken.ts";
import type { Batch, Bench, Change, Tray } from "./bench.ts";
import { putRightSince } from "./lessons.ts";
import { impliedOut, trayOrFault } from "./loads.ts";
import { current, loadedSoFar, phaseOf, refuseNoPortion, tareOf, weighingsOf } from "./look.ts";

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

/** `batch`: without the row whose place it is to take. */
function refuseImpossible(batch: Batch, tray: Tray, kind: WeighingKind, gross: Grams): void {
  const notMore = (loaded: Grams, empty: Grams): Fault =>
    new Fault(
      "weighing.impossible",
      `${loaded.toFixed(1)} g is not more than the empty ${trayCalled(tray.name)} (${empty.toFixed(1)} g)`,
    );
  if (kind === "tare") {
    const under = weighingsOf(batch, tray.id).find(
      (one) => one.kind !== "tare" && one.gross <= gross,
    );
    if (under !== undefined) throw notMore(under.gross, gross);
    return;
  }
  const tare = tareOf(batch, tray);
  if (tare === null)
    throw new Fault(
      "tray.no-tare",
      `weigh the empty ${trayCalled(tray.name)} first, or type its mass`,
    );
  if (gross <= tare) throw notMore(gross, tare);
  if (kind === "dry" && phaseOf(batch) === "loading")
    throw new Fault("batch.wrong-phase", `${trayCalled(tray.name)} has not been in the dryer yet`);
}

const withoutRow = (batch: Batch, id: WeighingId): Batch => ({
  ...batch,
  weighings: batch.weighings.map((one) => (one.id === id ? { ...one, struck: true } : one)),
});

/** Food can be taken between two weighings after drying, the second of which is the lighter. */
function refuseNothingTaken(batch: Batch, { id, trayId, kind, portion, gross, at }: TrayWeighing) {
  const before = weighingsOf(batch, trayId).findLast(
    (one) => one.kind === "dry" && one.id !== id && (one.at < at || (one.at === at && one.id < id)),
  );
  if (kind === "dry" && portion === null && before !== undefined && gross < before.gross) return;
  throw new Fault("weighing.impossible", nothingTaken(gross));
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
    /** Food was taken off the tray since it was weighed before; said anew with every correction. */
    readonly foodTaken?: boolean;
    readonly reason: string;
  },
): readonly Change[] {
  const old = countedWeighing(bench, weighingId);
  // A weighing that counts no longer belongs where it was taken, whatever else is said of it.
  const trayId = edit.struck ? old.trayId : (edit.trayId ?? old.trayId);
  refuseOtherBatch(bench, old, trayId);
  const { batch, tray } = trayOrFault(bench, trayId);
  const kind = edit.kind ?? old.kind;
  const gross = asKept(edit.gross ?? old.gross);
  if (!edit.struck) refuseImpossible(withoutRow(batch, old.id), tray, kind, gross);
  if (edit.foodTaken === true) refuseNothingTaken(batch, { ...old, trayId, kind, gross });
  const weighing = {
    batchId: batch.id,
    trayId: tray.id,
    kind,
    // Moved to another tray or kind, it is one of the whole tray.
    portion: tray.id === old.trayId && kind === old.kind ? old.portion : null,
    gross,
    struck: edit.struck,
    reason: edit.reason,
    ...(edit.foodTaken === true ? { foodTaken: true as const } : {}),
  };
  const id = bench.next.weighing;
  return [
    ...putInPlace(old, weighing, id, id + 1).map(taken),
    ...shownAfter(bench, old.id, edit.struck ? null : id),
  ];
}

/**
 * Weighings of a batch that has ended are put right as those of an open one: a row is added, and the verdicts stay as
 * they were announced. What the batch taught was reckoned from the old masses and counts no longer; the store keeps one
 * lesson of a batch and food, for good.
 */
export function ofEnded(
  bench: Bench,
  ended: Batch,
  edit: (bench: Bench) => readonly Change[],
  at: UtcMs,
): readonly Change[] {
  const taught = bench.lessons.filter((one) => one.counts && one.batchId === ended.id);
  return [
    ...edit({ ...bench, batches: [ended] }),
    ...taught.map(({ id }): Change => ({
      is: "lesson-changed",
      lessonId: id,
      counts: false,
      reason: putRightSince,
      at,
    })),
  ];
}

/** A scale that shows what was last taken there shows what took its place, so that it can be undone. */
export const shownAfter = (
  bench: Bench,
  old: WeighingId,
  weighing: WeighingId | null,
): readonly Change[] =>
  bench.scales
    .filter(({ lastTaken }) => lastTaken === old)
    .map(({ id }) => ({ is: "taken-shown", scaleId: id, weighing }));

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
  // That food was taken before it is said anew, or no longer.
  const { foodTaken: _, ...asWeighed } = old;
  const weighing: TrayWeighing = { ...asWeighed, ...edit, id, supersedes: old.id };
  if (weighing.batchId === old.batchId) return [weighing];
  const struck: TrayWeighing = {
    ...asWeighed,
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
  return [
    ...rows.toSorted((a, b) => a.id - b.id).map(taken),
    ...shownAfter(bench, one.id, first),
    ...shownAfter(bench, other.id, first + 1),
  ];
}

/** A batch that has ended keeps its weighings. */
function refuseOtherBatch(bench: Bench, { id, batchId }: TrayWeighing, trayId: number): void {
  const ended = bench.batches.find((one) => one.id === batchId && one.endedAt !== null);
  if (ended !== undefined && !ended.trays.some((tray) => tray.id === trayId))
    throw new Fault("batch.ended", `weighing ${id} stays in batch ${ended.number}`);
}

/** What became of a weighing that no longer counts. */
function changeOf(all: readonly TrayWeighing[], old: TrayWeighing): string {
  const after = all.find((one) => one.supersedes === old.id);
  if (after === undefined || after.struck)
    return `struck out (${after?.reason ?? old.reason ?? "no reason"})`;
  return `replaced by ${after.gross} g, ${after.kind}, on tray ${after.trayId} (${after.reason ?? "no reason"})`;
}

/** A weighing that still counts. */
function countedWeighing(bench: Bench, weighingId: number): TrayWeighing {
  const all = bench.batches.flatMap((batch) => batch.weighings);
  const found = all.find((one) => one.id === weighingId);
  if (found === undefined && weighingId < bench.next.weighing)
    throw new Fault("batch.ended", `weighing ${weighingId} is of another batch`);
  if (found === undefined)
    throw new Fault("weighing.not-found", `no weighing has the number ${weighingId}`);
  if (!current(all).includes(found))
    throw new Fault(
      "weighing.edited-meanwhile",
      `weighing ${weighingId} was ${changeOf(all, found)} since`,
    );
  return found;
}
