/** What follows from the rows of a batch: which weighings count, the clock, the round, the logs to be judged. */
import { netMass } from "../tray/net.ts";
import {
  clockStateAt,
  dryingHoursAt,
  minutesOutAt,
  stretchAt,
  type ClockRecord,
} from "../tray/dryingclock.ts";
import type { TrayId, TrayLog, TrayWeighing } from "../tray/weighing.ts";
import { asKept } from "../units/mass.ts";
import { minutes, utcMs, type Grams, type UtcMs } from "../units/quantity.ts";
import type { Batch, ClockMoment, Tray } from "./bench.ts";

type Superseding = {
  readonly id: number;
  readonly supersedes: number | null;
  readonly struck: boolean;
};

/** The rows that count: neither struck nor replaced by a later row. */
export function current<Row extends Superseding>(rows: readonly Row[]): readonly Row[] {
  const replaced = new Set(rows.map((row) => row.supersedes));
  return rows.filter((row) => !row.struck && !replaced.has(row.id));
}

/** The first row of a chain of corrections: what a row is known by, however often it was put right. */
export function rootOf<Row extends Superseding>(rows: readonly Row[], row: Row): number {
  const before = rows.find((other) => other.id === row.supersedes);
  return before === undefined ? row.id : rootOf(rows, before);
}

const byTime = <Row extends { readonly at: UtcMs; readonly id: number }>(a: Row, b: Row): number =>
  a.at - b.at || a.id - b.id;

/** The part of a batch that its masses follow from. */
export type Weighed = Pick<Batch, "trays" | "weighings">;

export const weighingsOf = (batch: Weighed, trayId: TrayId): readonly TrayWeighing[] =>
  current(batch.weighings)
    .filter((weighing) => weighing.trayId === trayId)
    .toSorted(byTime);

const lastOf = (batch: Weighed, trayId: TrayId, kind: TrayWeighing["kind"]): TrayWeighing | null =>
  weighingsOf(batch, trayId).findLast((weighing) => weighing.kind === kind) ?? null;

/** The empty tray: weighed if it was, else as a person typed it. */
export const tareOf = (batch: Weighed, tray: Tray): Grams | null =>
  lastOf(batch, tray.id, "tare")?.gross ?? tray.typedTare;

export const freshOf = (batch: Weighed, tray: Tray): TrayWeighing | null =>
  lastOf(batch, tray.id, "fresh");

export const netOf = (batch: Weighed, weighing: TrayWeighing): Grams | null => {
  const tray = batch.trays.find((one) => one.id === weighing.trayId);
  const tare = tray === undefined ? null : tareOf(batch, tray);
  return tare === null || weighing.kind === "tare" ? null : asKept(netMass(weighing.gross, tare));
};

export const momentsOf = (batch: Batch): readonly ClockMoment[] =>
  current(batch.moments).toSorted(byTime);

export const clockOf = (batch: Batch): ClockRecord => ({
  moments: momentsOf(batch),
  interruptions: batch.interruptions.map((one) => ({ ...one, trays: null })),
  gaps: batch.gaps,
});

/** `loading` until a tray first went into the dryer. */
export function phaseOf(batch: Batch): "loading" | "drying" | "ended" {
  if (batch.endedAt !== null) return "ended";
  return momentsOf(batch).some((moment) => moment.is === "in") ? "drying" : "loading";
}

export type Round = {
  /** 1 for the first time that trays came out. */
  readonly number: number;
  /** What the round is known by, also after its moment was put right. */
  readonly root: number;
  readonly from: UtcMs;
  readonly weighed: readonly TrayId[];
  readonly waiting: readonly TrayId[];
};

/** The round of weighing that was last begun; null before the first. A round begins when trays come out. */
export function roundOf(batch: Batch): Round | null {
  const outs = momentsOf(batch).filter((moment) => moment.is === "out");
  const last = outs.at(-1);
  if (last === undefined) return null;
  const dry = current(batch.weighings).filter((weighing) => weighing.kind === "dry");
  const out = batch.trays.filter((tray) => last.trays === null || last.trays.includes(tray.id));
  const isWeighed = (tray: Tray): boolean =>
    dry.some((weighing) => weighing.trayId === tray.id && weighing.at >= last.at);
  const toWeigh = out.filter((tray) => freshOf(batch, tray) !== null);
  return {
    number: outs.length,
    root: rootOf(batch.moments, last),
    from: last.at,
    weighed: toWeigh.filter(isWeighed).map((tray) => tray.id),
    waiting: toWeigh.filter((tray) => !isWeighed(tray)).map((tray) => tray.id),
  };
}

/** Whether trays are in the dryer at a moment: the state of the tray that is in, if any is. */
export function batchClockAt(
  batch: Batch,
  at: UtcMs,
): { readonly is: "waiting" | "in" | "out"; readonly since: UtcMs | null } {
  const clock = clockOf(batch);
  const states = batch.trays.map((tray) => clockStateAt(clock, tray.id, at));
  const newest = (is: "in" | "out") =>
    states
      .filter((state) => state.is === is)
      .toSorted((a, b) => (b.since ?? 0) - (a.since ?? 0))[0];
  return newest("out") ?? newest("in") ?? { is: "waiting", since: null };
}

/**
 * The last moment at which the service is known to have run: its last regular sign of life, or what it kept after
 * that. Trays may have gone in between the two.
 */
export const lastTraceOf = (batch: Batch, lastAliveAt: UtcMs): UtcMs =>
  utcMs(Math.max(lastAliveAt, ...[...batch.moments, ...batch.weighings].map((row) => row.at)));

export const isRunning = (batch: Batch): boolean =>
  batch.interruptions.every((interruption) => interruption.to !== null);

/** Drying hours that the batch has had: those of the tray that had most. */
export const batchHoursAt = (batch: Batch, at: UtcMs): number =>
  Math.max(0, ...batch.trays.map((tray) => dryingHoursAt(clockOf(batch), tray.id, at)));

/**
 * Minutes out of the dryer before a weighing. People work in real time even where the clock runs fast, so a
 * practice run counts real minutes.
 */
export function minutesOutOf(batch: Batch, trayId: TrayId, at: UtcMs, timeFactor: number) {
  const out = minutesOutAt(clockOf(batch), trayId, at);
  return out === null ? null : minutes(out / timeFactor);
}

/** The log of one tray, ready to be judged. */
export function logOf(batch: Batch, tray: Tray, timeFactor: number): TrayLog {
  const clock = clockOf(batch);
  const tare = tareOf(batch, tray);
  const fresh = freshOf(batch, tray);
  const freshNet = fresh === null ? null : netOf(batch, fresh);
  return {
    tray: tray.name,
    tare,
    fresh:
      fresh === null || freshNet === null
        ? null
        : { net: freshNet, division: fresh.division, ref: fresh.id },
    food: tray.food,
    weighings: weighingsOf(batch, tray.id).flatMap((weighing) => {
      const net = netOf(batch, weighing);
      if (weighing.kind !== "dry" || net === null) return [];
      return [
        {
          dryingHours: dryingHoursAt(clock, tray.id, weighing.at),
          net,
          division: weighing.division,
          minutesOut: minutesOutOf(batch, tray.id, weighing.at, timeFactor),
          stretch: stretchAt(clock, tray.id, weighing.at),
          at: weighing.at,
          ref: weighing.id,
        },
      ];
    }),
    coreChecks: batch.coreChecks
      .filter((check) => check.trayId === tray.id)
      .map((check) => ({
        dryingHours: dryingHoursAt(clock, tray.id, check.at),
        finding: check.finding,
      })),
  };
}

/** Stable trays whose thickest piece nobody has broken since they were last weighed. */
export function coresToCheck(batch: Batch): readonly TrayId[] {
  return batch.trays
    .filter((tray) => {
      const verdict = batch.judged?.trays.find((one) => one.tray === tray.name);
      if (verdict?.verdict !== "stable") return false;
      const weighedAt = lastOf(batch, tray.id, "dry")?.at ?? 0;
      return !batch.coreChecks.some((check) => check.trayId === tray.id && check.at >= weighedAt);
    })
    .map((tray) => tray.id);
}

/** Drying hours at which the batch is best weighed again: when its slowest tray could be settled. */
export function nextWeighingAtHours(batch: Batch, at: UtcMs, timeFactor: number): number | null {
  const clock = clockOf(batch);
  const due = batch.trays.flatMap((tray) => {
    const verdict = batch.judged?.trays.find((one) => one.tray === tray.name);
    const ahead = verdict?.nextWeighingHours ?? null;
    if (ahead === null) return [];
    const lastHours = logOf(batch, tray, timeFactor).weighings.at(-1)?.dryingHours ?? 0;
    // Trays may have had different hours; the batch's clock is what a person sees.
    const behindBatch = batchHoursAt(batch, at) - dryingHoursAt(clock, tray.id, at);
    return [lastHours + ahead + behindBatch];
  });
  return due.length === 0 ? null : Math.max(...due);
}

/** A batch is known by its number and, if it has one, its name. */
export const batchLabel = (batch: Batch): string =>
  batch.name === "" ? `Batch ${batch.number}` : `Batch ${batch.number} (${batch.name})`;
