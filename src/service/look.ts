/** What follows from the rows of a batch: which weighings count, the clock, the round, the logs to be judged. */
import { mixtureOf } from "../food/mixture.ts";
import { Fault } from "../faults.ts";
import { netMass } from "../tray/net.ts";
import { concerns, trayClock, type ClockRecord, type TrayClock } from "../tray/dryingclock.ts";
import { trayCalled } from "../tray/called.ts";
import { poured, shareDry, type DryShare, type Portion } from "../tray/portion.ts";
import type { FoodOnTray, TrayId, TrayLog, TrayWeighing } from "../tray/weighing.ts";
import { asKept } from "../units/mass.ts";
import { grams, minutes, utcMs, type Grams, type Minutes, type UtcMs } from "../units/quantity.ts";
import { shareLeft } from "../verdict/foodtaken.ts";
import type { Reason, TrayVerdict, VerdictWord } from "../verdict/verdict.ts";
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
function rootOf<Row extends Superseding>(rows: readonly Row[], row: Row): number {
  const before = rows.find((other) => other.id === row.supersedes);
  return before === undefined ? row.id : rootOf(rows, before);
}

const byTime = <Row extends { readonly at: UtcMs; readonly id: number }>(a: Row, b: Row): number =>
  a.at - b.at || a.id - b.id;

/** The part of a batch that its masses follow from. */
export type Weighed = Pick<Batch, "trays" | "weighings">;

/** All that count, those of single portions among them. */
const allOf = (batch: Weighed, trayId: TrayId): readonly TrayWeighing[] =>
  current(batch.weighings)
    .filter((weighing) => weighing.trayId === trayId)
    .toSorted(byTime);

/** Those of the tray as a whole: of the portions poured onto it, the last one counts once all are there. */
export function weighingsOf(batch: Weighed, trayId: TrayId): readonly TrayWeighing[] {
  const tray = batch.trays.find((one) => one.id === trayId);
  const fresh = tray === undefined ? null : freshOf(batch, tray);
  return allOf(batch, trayId).filter((one) => one.portion === null || one.id === fresh?.id);
}

/** After drying, oldest first: those of the tray as a whole, and those of single foods. */
export const dryRowsOf = (batch: Weighed, trayId: TrayId): readonly TrayWeighing[] =>
  allOf(batch, trayId).filter(({ kind }) => kind === "dry");

const lastOf = (batch: Weighed, trayId: TrayId, kind: TrayWeighing["kind"]): TrayWeighing | null =>
  allOf(batch, trayId).findLast((one) => one.kind === kind && one.portion === null) ?? null;

export const lastTare = (batch: Weighed, tray: Tray): TrayWeighing | null =>
  lastOf(batch, tray.id, "tare");

/** The empty tray: weighed if it was, else as a person typed it. */
export const tareOf = (batch: Weighed, tray: Tray): Grams | null =>
  lastTare(batch, tray)?.gross ?? tray.typedTare;

/** The loaded tray before drying; null until every portion is on it. */
export function freshOf(batch: Weighed, tray: Tray): TrayWeighing | null {
  const whole = lastOf(batch, tray.id, "fresh");
  const portions = pouredOnto(batch, tray);
  const missing = tray.portions.length === 0 || portions.some(({ weighing }) => weighing === null);
  const last = portions
    .flatMap(({ weighing }) => weighing ?? [])
    .toSorted(byTime)
    .at(-1);
  if (missing || last === undefined) return whole;
  return whole === null || byTime(whole, last) < 0 ? last : whole;
}

export function refuseNoPortion(tray: Tray, portion: number | null): void {
  if (portion !== null && !tray.portions.some(({ place }) => place === portion))
    throw new Fault("input.invalid", `${trayCalled(tray.name)} has no portion ${portion}`);
}

type Poured = {
  readonly portion: Portion;
  readonly weighing: TrayWeighing | null;
  readonly fresh: Grams | null;
};

const pours = (batch: Weighed, trayId: TrayId): readonly TrayWeighing[] =>
  allOf(batch, trayId).filter((one) => one.kind === "fresh" && one.portion !== null);

/** Each portion's own weighing, and its mass: what the tray had become heavier by. */
function pouredOnto(batch: Weighed, tray: Tray): readonly Poured[] {
  const inOrder = pours(batch, tray.id);
  return tray.portions.map((portion) => {
    const weighing = inOrder.findLast((one) => one.portion === portion.place) ?? null;
    const before = weighing === null ? null : beforePour(batch, tray, weighing);
    const fresh =
      weighing === null || before === null ? null : asKept(poured(weighing.gross, before));
    return { portion, weighing, fresh };
  });
}

/** What stood on the scale before a portion was poured: the empty tray, or the tray with the portion before. */
export function beforePour(batch: Weighed, tray: Tray, pour: TrayWeighing): Grams | null {
  const earlier = pours(batch, tray.id).filter((one) => byTime(one, pour) < 0);
  return earlier.at(-1)?.gross ?? tareOf(batch, tray);
}

/** What the tray weighs now, while it is being loaded: null while its empty mass is not known. */
export const loadedSoFar = (batch: Weighed, tray: Tray): Grams | null =>
  pours(batch, tray.id).at(-1)?.gross ?? tareOf(batch, tray);

/** The first portion that is not on its tray yet. */
export const nextPortion = (batch: Weighed, tray: Tray): Portion | null =>
  pouredOnto(batch, tray).find(({ weighing }) => weighing === null)?.portion ?? null;

export type PortionMass = Poured & { readonly dry: DryShare | null };

/** Fresh and dry mass of every portion. A tray weighed whole before drying is shared as it was planned. */
export function portionsOf(batch: Weighed, tray: Tray): readonly PortionMass[] {
  const onTray = pouredOnto(batch, tray);
  const fresh = freshOf(batch, tray);
  const freshNet = freshNetOf(batch, tray);
  const isWhole = fresh?.portion === null;
  const planned = plannedShares(tray.portions);
  const masses = onTray.map((one, index) =>
    isWhole && freshNet !== null
      ? asKept(grams(freshNet * (planned[index] ?? 0)))
      : one.fresh && leftOf(batch, tray, one.fresh),
  );
  const dry = lastOf(batch, tray.id, "dry");
  const net = dry === null ? null : netOf(batch, dry);
  if (net === null || masses.includes(null))
    return onTray.map((one, index) => ({ ...one, fresh: masses[index] ?? null, dry: null }));
  const shares = shareDry(
    net,
    onTray.map(({ portion }, index) => ({
      fresh: masses[index] ?? grams(0),
      water: portion.food?.water ?? null,
      apart: apartOf(batch, tray, portion.place),
    })),
  );
  return onTray.map((one, index) => ({
    ...one,
    fresh: masses[index] ?? null,
    dry: shares[index] ?? null,
  }));
}

/** What a portion weighed after drying by itself, where it was weighed so. */
function apartOf(batch: Weighed, tray: Tray, place: number): Grams | null {
  const apart = allOf(batch, tray.id).findLast(
    (one) => one.kind === "dry" && one.portion === place,
  );
  return apart === undefined ? null : netOf(batch, apart);
}

/** Shares of the tray's mass as planned; equal ones where not every portion has a target. */
function plannedShares(portions: readonly Portion[]): readonly number[] {
  const targets = portions.map(({ target }) => target);
  const total = targets.reduce<number>((sum, target) => sum + (target ?? 0), 0);
  if (targets.includes(null) || total <= 0) return portions.map(() => 1 / portions.length);
  return targets.map((target) => (target ?? 0) / total);
}

/** Planned, and not loaded when the others were dried. */
export const isLeftEmpty = (batch: Weighed, { id }: Tray): boolean =>
  !allOf(batch, id).some(({ kind }) => kind !== "tare") &&
  current(batch.weighings).some(({ kind }) => kind === "dry");

/** Of the food that is on a tray now: what it weighed before drying, by the share that is left of it. */
export function freshNetOf(batch: Weighed, tray: Tray): Grams | null {
  const fresh = freshOf(batch, tray);
  const net = fresh === null ? null : netOf(batch, fresh);
  return net === null ? null : leftOf(batch, tray, net);
}

/** Of a mass that all the food had, that of the food which is left. */
function leftOf(batch: Weighed, tray: Tray, mass: Grams): Grams {
  const dry = weighingsOf(batch, tray.id).filter(({ kind }) => kind === "dry");
  if (!dry.some(({ foodTaken }) => foodTaken)) return mass;
  const rows = dry.flatMap((one) => {
    const net = netOf(batch, one);
    return net === null ? [] : [{ net, foodTaken: one.foodTaken === true }];
  });
  return asKept(grams(mass * shareLeft(rows)));
}

/** What lies on a tray, for the judgment: of several portions, their mixture by the masses poured, or as planned. */
export function foodOf(batch: Weighed, tray: Tray): FoodOnTray | null {
  if (tray.portions.length < 2) return tray.food;
  const fresh = portionsOf(batch, tray).map((one) => one.fresh);
  return fresh.includes(null)
    ? tray.food
    : mixedFood(
        tray.portions,
        fresh.map((mass) => mass ?? 0),
      );
}

/** Shares as planned unless the masses are given. Of one portion, its own food. */
export function mixedFood(
  portions: readonly Portion[],
  masses: readonly number[] = plannedShares(portions),
): FoodOnTray | null {
  const [only, second] = portions;
  if (only === undefined || second === undefined) return only?.food ?? null;
  const water = mixtureOf(portions.map(({ food }, index) => ({ share: masses[index] ?? 0, food })));
  const source = "mixture of its portions by mass";
  return water === null ? null : { name: namesOf(portions), ...water, source };
}

/** "Strawberries + Stew". */
export const namesOf = (portions: readonly Portion[]): string =>
  [...new Set(portions.flatMap(({ foodName }) => foodName ?? []))].join(" + ");

export const netOf = (batch: Weighed, weighing: TrayWeighing): Grams | null => {
  const tray = batch.trays.find((one) => one.id === weighing.trayId);
  return netOn(tray === undefined ? null : tareOf(batch, tray), weighing);
};

/** Of a tray whose empty mass is at hand. */
export const netOn = (tare: Grams | null, { kind, gross }: TrayWeighing): Grams | null =>
  tare === null || kind === "tare" ? null : asKept(netMass(gross, tare));

export const momentsOf = (batch: Batch): readonly ClockMoment[] =>
  current(batch.moments).toSorted(byTime);

export const clockOf = (batch: Batch, joined = joinedIn(batch)): ClockRecord => ({
  moments: momentsOf(batch),
  joined,
  interruptions: batch.interruptions.map((one) => ({ ...one, trays: null })),
  gaps: batch.gaps,
});

export const trayClockOf = (batch: Batch, trayId: TrayId): TrayClock =>
  trayClock(clockOf(batch), trayId);

const freshRowsOf = (batch: Batch, trayId: TrayId): readonly TrayWeighing[] =>
  batch.weighings.filter((one) => one.trayId === trayId && one.kind === "fresh");

const firstInOf = (batch: Batch): ClockMoment | undefined =>
  momentsOf(batch).find((moment) => moment.is === "in");

/**
 * Trays that were loaded when others had dried already, and when. Rows that were struck out tell of it too. A mass typed
 * in later may be an old one: it tells only where a tray had been weighed after drying before it was typed.
 */
function joinedIn(batch: Batch): ReadonlyMap<TrayId, UtcMs> {
  const firstIn = firstInOf(batch);
  const firstDry = batch.weighings.find(({ kind }) => kind === "dry");
  const joined = new Map<TrayId, UtcMs>();
  // Asked for every weighing that is shown: most batches are left here, with one look at their rows.
  const isLate = (row: TrayWeighing): boolean => row.kind === "fresh" && row.at > firstInAt;
  const firstInAt = firstIn?.at ?? Number.POSITIVE_INFINITY;
  if (firstIn === undefined || !batch.weighings.some(isLate)) return joined;
  for (const { id } of batch.trays) {
    const rows = freshRowsOf(batch, id);
    const first = rows.toSorted(byTime)[0];
    if (first === undefined || first.at <= firstIn.at) continue;
    const isAfterDry = firstDry !== undefined && rows.every((row) => row.id > firstDry.id);
    if (first.source === "scale" || isAfterDry) joined.set(id, first.at);
  }
  return joined;
}

/** Whether a tray is still to be weighed before drying, in a batch that may be drying already. */
export function isToLoad(batch: Batch, tray: Tray): boolean {
  const firstIn = firstInOf(batch);
  if (firstIn === undefined) return true;
  if (freshRowsOf(batch, tray.id).some(({ at }) => at <= firstIn.at)) return false;
  return freshOf(batch, tray) === null
    ? !allOf(batch, tray.id).some(({ kind }) => kind === "dry")
    : trayClockOf(batch, tray.id).stateAt(ever).is === "waiting";
}

const ever = utcMs(8.64e15);

/** `loading` until a tray first went into the dryer. */
export function phaseOf(batch: Batch): "loading" | "drying" | "ended" {
  if (batch.endedAt !== null) return "ended";
  return momentsOf(batch).some((moment) => moment.is === "in") ? "drying" : "loading";
}

type Round = {
  /** 1 for the first time that trays came out. */
  readonly number: number;
  /** What the round is known by, also after its moment was put right. */
  readonly root: number;
  readonly weighed: readonly TrayId[];
  readonly waiting: readonly TrayId[];
  /** Out since before others went in and came out again: not waited for, whatever became of them. */
  readonly left: readonly TrayId[];
};

/** Moments at which trays came out; where all had come out already, nothing did. */
export const outsOf = (batch: Batch): readonly ClockMoment[] => walkedOut(batch).outs;

/** Trays on the bench until others, or they, go in: they may have come out one after the other. */
type Outing = {
  readonly first: ClockMoment;
  /** When each came out. Those from before are among them, for they may be weighed as well. */
  readonly outSince: ReadonlyMap<TrayId, UtcMs>;
};

/** Whether trays went into the dryer last: those that are in dry on, also where others were left out. */
export const isDryingOn = (batch: Batch): boolean => !walkedOut(batch).goesOn;

export const outingsOf = (batch: Batch): readonly Outing[] => walkedOut(batch).outings;

function walkedOut(batch: Batch): {
  readonly outs: readonly ClockMoment[];
  readonly outings: readonly Outing[];
  /** Whether what came last was that trays came out. */
  readonly goesOn: boolean;
} {
  const inside = new Set<TrayId>();
  const outSince = new Map<TrayId, UtcMs>();
  const outs: ClockMoment[] = [];
  const outings: Outing[] = [];
  let goesOn = false;
  for (const moment of momentsOf(batch)) {
    const told = batch.trays.map(({ id }) => id).filter((id) => concerns(moment.trays, id));
    const moved = told.filter((id) => inside.has(id) === (moment.is === "out"));
    if (moved.length === 0) continue;
    for (const id of moved) {
      if (moment.is === "in") {
        inside.add(id);
        outSince.delete(id);
      } else {
        inside.delete(id);
        outSince.set(id, moment.at);
      }
    }
    if (moment.is === "out") {
      outs.push(moment);
      const first = (goesOn ? outings.pop()?.first : undefined) ?? moment;
      outings.push({ first, outSince: new Map(outSince) });
    }
    goesOn = moment.is === "out";
  }
  return { outs, outings, goesOn };
}

/** The round of weighing that was last begun; null before the first. A round begins when trays come out. */
export function roundOf(batch: Batch): Round | null {
  const outings = outingsOf(batch);
  const last = outings.at(-1);
  if (last === undefined) return null;
  const { first, outSince } = last;
  const joined = joinedIn(batch);
  const toWeigh = batch.trays.filter((tray) => {
    const since = outSince.get(tray.id);
    return (
      since !== undefined && (joined.get(tray.id) ?? 0) < since && freshOf(batch, tray) !== null
    );
  });
  const isWeighed = ({ id }: Tray): boolean => weighedOut(batch, last, id).length > 0;
  const isLeft = ({ id }: Tray): boolean => (outSince.get(id) ?? first.at) < first.at;
  const idsOf = (trays: readonly Tray[]): readonly TrayId[] => trays.map(({ id }) => id);
  return {
    number: outings.length,
    root: rootOf(batch.moments, first),
    weighed: idsOf(toWeigh.filter(isWeighed)),
    waiting: idsOf(toWeigh.filter((tray) => !isWeighed(tray) && !isLeft(tray))),
    left: idsOf(toWeigh.filter(isLeft)),
  };
}

/** What counts of a tray's weighings since it came out. */
const weighedOut = (
  batch: Batch,
  { outSince }: Outing,
  trayId: TrayId,
): readonly TrayWeighing[] => {
  const since = outSince.get(trayId) ?? Number.POSITIVE_INFINITY;
  return weighingsOf(batch, trayId).filter(({ kind, at }) => kind === "dry" && at >= since);
};

/** Whether a tray of the last round was weighed in it after so many rows of weighings were kept, and not before. */
export function isWeighedSince(batch: Batch, rows: number): boolean {
  const last = outingsOf(batch).at(-1);
  if (last === undefined) return false;
  return batch.trays.some(({ id }) => {
    const weighed = weighedOut(batch, last, id);
    return weighed.length > 0 && weighed.every((row) => row.id > rows);
  });
}

/** Whether trays are in the dryer at a moment: the state of the tray that is in, if any is. */
export function batchClockAt(
  batch: Batch,
  at: UtcMs,
): { readonly is: "waiting" | "in" | "out"; readonly since: UtcMs | null } {
  const clock = clockOf(batch);
  const states = batch.trays.map((tray) => trayClock(clock, tray.id).stateAt(at));
  const newest = (is: "in" | "out") =>
    states
      .filter((state) => state.is === is)
      .toSorted((a, b) => (b.since ?? 0) - (a.since ?? 0))[0];
  return newest("out") ?? newest("in") ?? { is: "waiting", since: null };
}

/**
 * The last moment at which the service is known to have run: its last regular sign of life, or what it kept after
 * that, the end of an absence that was asked about too. Trays may have gone in between the two.
 */
export const lastTraceOf = ({ moments, weighings, gaps }: Batch, lastAliveAt: UtcMs): UtcMs => {
  const kept = [...moments, ...weighings].map(({ at }) => at);
  return utcMs(Math.max(lastAliveAt, ...kept, ...gaps.map(({ to }) => to)));
};

export const isRunning = (batch: Batch): boolean =>
  batch.interruptions.every((interruption) => interruption.to !== null);

/** Drying hours that the batch has had: those of the tray that had most. */
export function batchHoursAt(batch: Batch, at: UtcMs): number {
  const clock = clockOf(batch);
  return Math.max(0, ...batch.trays.map(({ id }) => trayClock(clock, id).dryingHoursAt(at)));
}

/**
 * Minutes out of the dryer before a weighing. People work in real time even where the clock runs fast, so a
 * practice run counts real minutes.
 */
export function minutesOutOf(clock: TrayClock, at: UtcMs, timeFactor: number): Minutes | null {
  const out = clock.minutesOutAt(at);
  return out === null ? null : minutes(out / timeFactor);
}

/** The log of one tray, ready to be judged. */
export function logOf(
  batch: Batch,
  tray: Tray,
  timeFactor: number,
  clock = clockOf(batch),
): TrayLog {
  const ofTray = trayClock(clock, tray.id);
  const tare = tareOf(batch, tray);
  const fresh = freshOf(batch, tray);
  const freshNet = fresh === null ? null : netOn(tare, fresh);
  return {
    tray: tray.name,
    tare,
    fresh:
      fresh === null || freshNet === null
        ? null
        : { net: freshNet, division: fresh.division, ref: fresh.id },
    food: foodOf(batch, tray),
    ...(tray.thicknessMm === null ? {} : { thicknessMm: tray.thicknessMm }),
    weighings: weighingsOf(batch, tray.id).flatMap((weighing) => {
      const net = netOn(tare, weighing);
      if (weighing.kind !== "dry" || net === null) return [];
      return [
        {
          dryingHours: ofTray.dryingHoursAt(weighing.at),
          net,
          division: weighing.division,
          minutesOut: minutesOutOf(ofTray, weighing.at, timeFactor),
          stretch: ofTray.stretchAt(weighing.at),
          at: weighing.at,
          ref: weighing.id,
          ...(weighing.foodTaken === true ? { foodTaken: true as const } : {}),
        },
      ];
    }),
    coreChecks: batch.coreChecks
      .filter((check) => check.trayId === tray.id)
      .map((check) => ({
        dryingHours: ofTray.dryingHoursAt(check.at),
        finding: check.finding,
      })),
  };
}

/**
 * What is told of a tray: nothing until it was weighed since drying began, for that nothing can be said yet is known.
 * What contradicts itself is told at once.
 */
export function toldOf(batch: Batch, tray: Tray): TrayVerdict | null {
  const verdict = batch.judged?.trays.find((one) => one.tray === tray.name);
  if (verdict === undefined) return null;
  const isWeighed = weighingsOf(batch, tray.id).some(({ kind }) => kind === "dry");
  return isWeighed || verdict.contradiction !== null ? verdict : null;
}

/** What is told of the batch; null until something is told of one of its trays. */
export const wordOf = (batch: Batch): VerdictWord | null =>
  batch.trays.some((tray) => toldOf(batch, tray) !== null) ? (batch.judged?.verdict ?? null) : null;

/** What the thickest piece settles: it was wet inside, too little is known of the food, or the tray is heavy for it. */
const isSettledByCore = ({ code, sentence }: Reason): boolean =>
  code === "soft-core" || code === "dryness-unchecked" || sentence === "heavy-for-lot";

/**
 * Trays whose thickest piece nobody has broken since they were last weighed: stable ones, and those of which a broken
 * piece would settle what the weight cannot.
 */
export function coresToCheck(batch: Batch): readonly TrayId[] {
  return batch.trays
    .filter((tray) => {
      const verdict = batch.judged?.trays.find((one) => one.tray === tray.name);
      const settles = verdict?.reasons.some(isSettledByCore);
      if (verdict?.verdict !== "stable" && settles !== true) return false;
      const weighedAt = lastOf(batch, tray.id, "dry")?.at ?? 0;
      return !batch.coreChecks.some((check) => check.trayId === tray.id && check.at >= weighedAt);
    })
    .map((tray) => tray.id);
}

/** Drying hours at which the batch is best weighed again: when its slowest tray could be settled. */
export function nextWeighingAtHours(batch: Batch, at: UtcMs, timeFactor: number): number | null {
  const clock = clockOf(batch);
  const inside = batch.trays.filter(({ id }) => trayClock(clock, id).stateAt(at).is === "in");
  const due = (inside.length > 0 ? inside : batch.trays).flatMap((tray) => {
    const verdict = batch.judged?.trays.find((one) => one.tray === tray.name);
    const ahead = verdict?.nextWeighingHours ?? null;
    if (ahead === null) return [];
    const lastHours = logOf(batch, tray, timeFactor).weighings.at(-1)?.dryingHours ?? 0;
    // Trays may have had different hours; the batch's clock is what a person sees.
    const behindBatch = batchHoursAt(batch, at) - trayClock(clock, tray.id).dryingHoursAt(at);
    return [lastHours + ahead + behindBatch];
  });
  return due.length === 0 ? null : Math.max(...due);
}

/** A batch is known by its number and, if it has one, its name; practice is said of it wherever it is told of. */
export function batchLabel({
  name,
  number,
  practice,
}: Pick<Batch, "name" | "number" | "practice">): string {
  const numbered = `${practice ? "Practice batch" : "Batch"} ${number}`;
  return name === "" ? numbered : `${numbered} (${name})`;
}
