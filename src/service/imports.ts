/**
 * A hand-kept log made into ended batches. In: the log as it was read, and what it does not say (dryer, when drying
 * began). Out: whole batches, or problems by line; never a part of a log.
 *
 * The log gives drying hours; the record keeps moments on the wall and reckons the hours from them. So each tray gets
 * the moments at which it must have gone in and come out for its hours to be as they were written.
 */
import { isoOf } from "../clock.ts";
import type { NetWeighing, TrayWeighing } from "../tray/weighing.ts";
import { asKept, divisionAsKept } from "../units/mass.ts";
import { grams, utcMs, type Grams, type UtcMs } from "../units/quantity.ts";
import { inOneForm, tooLong } from "../units/written.ts";
import type { BatchLog, LoggedTray, LogProblem, ReadLog } from "../verdict/log.ts";
import type { LogImport } from "../wire/requests.ts";
import type { Batch, Bench, Change, ClockMoment, Tray } from "./bench.ts";
import { batchLabel, freshOf, netOf, weighingsOf } from "./look.ts";

export type ImportAsked = {
  readonly dryer: string;
  /** Hour 0 of a batch whose rows carry no time of day. */
  readonly startedAt: UtcMs;
  readonly now: UtcMs;
  readonly practice: boolean;
};

export type Imported = {
  readonly batches: readonly Batch[];
  readonly problems: readonly LogProblem[];
  readonly notes: readonly string[];
};

const hourMs = 3_600_000;
const minuteMs = 60_000;
/** Hours are written to a tenth or so: they may claim this much more than the times of day allow. */
const roundingMs = 6 * minuteMs;
/** A standstill whose length nobody told: as short as the record can keep. */
const breakMs = 1;
export const mostRows = 5000;
const mostTrays = 60;
const mostNameLetters = 80;
/** An export names a batch by its number and its name, which may have 120. */
const mostBatchLetters = 160;
const mostFoodLetters = 200;

/** Problems of the reading come first; with any problem there is no batch. */
export function batchesFrom(log: ReadLog, asked: ImportAsked, next: Bench["next"]): Imported {
  const named = log.batches.map(inOneSpelling);
  const problems = [...log.problems, ...named.flatMap(tooMuchIn)];
  if (problems.length > 0) return { batches: [], problems, notes: log.notes };
  const notes = [...log.notes];
  const batches: Batch[] = [];
  let ids = next;
  for (const one of named) {
    const batch = batchFrom(one, asked, ids, { problems, notes });
    batches.push(batch);
    ids = {
      ...ids,
      batch: ids.batch + 1,
      batchNumber: ids.batchNumber + 1,
      tray: ids.tray + batch.trays.length,
      weighing: ids.weighing + batch.weighings.length,
      moment: ids.moment + batch.moments.length,
      interruption: ids.interruption + batch.interruptions.length,
    };
  }
  return { batches: problems.length > 0 ? [] : batches, problems, notes };
}

export const showImport = ({ batches, problems, notes }: Imported): LogImport => ({
  batches: batches.map((batch) => ({
    batch: batch.id,
    name: batchLabel(batch),
    startedAt: isoOf(batch.startedAt),
    endedAt: isoOf(batch.endedAt ?? batch.startedAt),
    trays: batch.trays.map((tray) => ({
      name: tray.name,
      food: tray.foodName,
      ...showLoad(batch, tray),
    })),
  })),
  problems: problems.map(({ line, text }) => ({ line, text })),
  notes: [...notes],
});

function showLoad(batch: Batch, tray: Tray) {
  const fresh = freshOf(batch, tray);
  const dry = weighingsOf(batch, tray.id).filter(({ kind }) => kind === "dry");
  const last = dry.at(-1);
  return {
    freshGrams: fresh === null ? null : netOf(batch, fresh),
    lastGrams: last === undefined ? null : netOf(batch, last),
    weighings: dry.length,
  };
}

/** Each row as a fact of its own, so that the counters of the bench move along. */
export const importChanges = (batches: readonly Batch[]): readonly Change[] =>
  batches.flatMap((batch): Change[] => [
    { is: "batch-started", batch: bareOf(batch) },
    ...batch.weighings.map((weighing): Change => ({ is: "weighing-taken", weighing })),
    ...batch.moments.map((moment): Change => ({ is: "moment-set", moment })),
    ...batch.interruptions.map((one): Change => ({ is: "interruption-noted", interruption: one })),
    { is: "batch-ended", batchId: batch.id, at: batch.endedAt ?? batch.startedAt },
  ]);

const bareOf = (batch: Batch): Batch => ({
  ...batch,
  weighings: [],
  moments: [],
  interruptions: [],
  endedAt: null,
});

/** As names are that are typed in. */
const inOneSpelling = ({ batch, logs }: BatchLog): BatchLog => ({
  batch: inOneForm(batch),
  logs: logs.map((log) => ({ ...log, tray: inOneForm(log.tray) })),
});

function tooMuchIn({ batch, logs }: BatchLog): readonly LogProblem[] {
  const line = lineOf(logs[0]);
  const longer = (names: readonly string[], most: number): LogProblem[] =>
    names.filter((name) => name.length > most).map((name) => ({ line, text: tooLong(name, most) }));
  return [
    ...longer([batch], mostBatchLetters),
    ...longer(
      logs.map(({ tray }) => tray),
      mostNameLetters,
    ),
    ...longer([...new Set(logs.map(({ foodName }) => foodName ?? ""))], mostFoodLetters),
    ...(logs.length > mostTrays
      ? [{ line, text: `${logs.length} trays in one batch: at most ${mostTrays}` }]
      : []),
  ];
}

const lineOf = (log: LoggedTray | undefined): number => log?.weighings[0]?.ref ?? 1;

type Found = { readonly problems: LogProblem[]; readonly notes: string[] };

function batchFrom(log: BatchLog, asked: ImportAsked, ids: Bench["next"], found: Found): Batch {
  // The tray whose rows name none gets the first number that no other has.
  const taken = new Set(log.logs.map(({ tray }) => tray));
  const free = log.logs.map((_, index) => `${index + 1}`).find((name) => !taken.has(name));
  const timed = log.logs.map((tray) =>
    timedTray(tray, tray.tray === "" ? (free ?? "1") : tray.tray, asked, found),
  );
  const all = timed.flatMap(({ weighings, moments }) => [...weighings, ...moments]);
  const startedAt = utcMs(Math.min(...all.map(({ at }) => at)));
  const endedAt = utcMs(Math.max(...all.map(({ at }) => at)));
  const trays = timed.map(({ tray }, index): Tray => ({
    ...tray,
    id: ids.tray + index,
    batchId: ids.batch,
  }));
  const stays = timed.flatMap(({ spells }) => spells);
  const breaks = breaksOf(stays);
  for (const stay of stays.filter(({ isBroken }) => isBroken)) {
    if (breaks.some((from) => isIn(stay, from))) continue;
    const whole = stays.find((one) => !one.isBroken && isIn(one, stay.wentIn));
    // Else no time is left for it since the row before.
    const { stretch, ref } = (whole ?? stays[stays.indexOf(stay) - 1] ?? stay).row;
    const text = `stretch is ${stay.row.stretch} here and ${stretch} in line ${ref}, at the same time: use two batches`;
    found.problems.push({ line: stay.row.ref, text });
  }
  return {
    id: ids.batch,
    number: ids.batchNumber,
    name: log.batch,
    dryer: asked.dryer,
    practice: asked.practice,
    startedAt,
    endedAt,
    trays,
    weighings: numbered(timed, (one) => one.weighings, ids).map((row, index) => ({
      ...row,
      id: ids.weighing + index,
    })),
    moments: numbered(timed, (one) => one.moments, ids).map(({ trayId, ...row }, index) => ({
      ...row,
      trays: [trayId],
      id: ids.moment + index,
    })),
    interruptions: breaks.map((from, index) => ({
      id: ids.interruption + index,
      batchId: ids.batch,
      from,
      to: utcMs(from + breakMs),
      reason: "stretch",
    })),
    gaps: [],
    coreChecks: [],
    verdicts: [],
    judged: null,
  };
}

/**
 * Where the dryer is said to have stood still, once in each stay that a log breaks. A log tells that it did, not for
 * how long, and an interruption is one of all trays: it is put where no tray is in whose stay was not broken.
 */
function breaksOf(stays: readonly Spell[]): readonly UtcMs[] {
  const whole = stays.filter(({ isBroken }) => !isBroken).toSorted((a, b) => a.wentIn - b.wentIn);
  const breaks: UtcMs[] = [];
  for (const stay of stays) {
    if (!stay.isBroken || breaks.some((from) => isIn(stay, from))) continue;
    let from = stay.wentIn;
    for (const other of whole) if (isIn(other, from)) from = other.cameOut;
    if (isIn(stay, from)) breaks.push(from);
  }
  return breaks.toSorted((a, b) => a - b);
}

/** Whether a tray was in when the dryer stood still from a moment on. */
const isIn = ({ wentIn, cameOut }: Spell, from: number): boolean =>
  wentIn < from + breakMs && from < cameOut;

/** The rows of all trays in the order of time, each with its batch and tray. */
const numbered = <Row extends { readonly at: UtcMs }>(
  timed: readonly TimedTray[],
  rowsOf: (one: TimedTray) => readonly Row[],
  ids: Bench["next"],
) =>
  timed
    .flatMap((one, index) =>
      rowsOf(one).map((row) => ({ ...row, batchId: ids.batch, trayId: ids.tray + index })),
    )
    .toSorted((a, b) => a.at - b.at);

type TimedTray = {
  readonly tray: Omit<Tray, "id" | "batchId">;
  readonly weighings: readonly Omit<TrayWeighing, "id" | "batchId" | "trayId">[];
  readonly moments: readonly Omit<ClockMoment, "id" | "batchId" | "trays">[];
  readonly spells: readonly Spell[];
};

function timedTray(log: LoggedTray, name: string, asked: ImportAsked, found: Found): TimedTray {
  const fresh = freshIn(log, found);
  const rows = log.weighings
    .filter(({ dryingHours }) => dryingHours > 0)
    .toSorted((a, b) => a.dryingHours - b.dryingHours || a.stretch - b.stretch || a.ref - b.ref);
  const tare = asKept(log.tare ?? grams(0));
  const spells = spellsOf(rows, asked, name, found);
  const began = spells[0]?.wentIn ?? asked.startedAt;
  if (spells.length === 0 && began > asked.now)
    found.problems.push({ line: lineOf(log), text: stillToCome(began) });
  const kept = (kind: "fresh" | "dry", net: Grams, division: Grams, at: UtcMs) => ({
    kind,
    gross: asKept(grams(net + tare)),
    division: divisionAsKept(division),
    scale: null,
    source: "typed" as const,
    zeroSeen: true,
    at,
    supersedes: null,
    struck: false,
    reason: null,
    portion: null,
  });
  return {
    tray: {
      name,
      typedTare: tare,
      foodName: log.food?.name ?? log.foodName,
      food: log.food,
      cautions: [],
      thicknessMm: log.thicknessMm ?? null,
      portions: [],
    },
    weighings: [
      ...(fresh === null ? [] : [kept("fresh", fresh.net, fresh.division, began)]),
      ...spells.map(({ row, at }) => ({
        ...kept("dry", row.net, row.division, at),
        ...(row.foodTaken === true ? { foodTaken: row.foodTaken } : {}),
      })),
    ],
    spells,
    moments: spells
      .filter(({ cameOut, wentIn }) => cameOut > wentIn)
      .flatMap(({ wentIn, cameOut }) => [momentAt("in", wentIn), momentAt("out", cameOut)]),
  };
}

const stillToCome = (at: UtcMs): string => `${isoOf(at)} is still to come`;

const momentAt = (is: "in" | "out", at: UtcMs) => ({
  is,
  at,
  implied: true,
  supersedes: null,
  struck: false,
  reason: null,
});

/** Stated, or the row at hour 0; where both are there they have to agree. */
function freshIn(
  log: LoggedTray,
  { problems, notes }: Found,
): { readonly net: Grams; readonly division: Grams } | null {
  const who = log.tray === "" ? "the tray" : `tray ${log.tray}`;
  const [first, ...others] = log.weighings.filter(({ dryingHours }) => dryingHours === 0);
  const fresh = log.fresh ?? first ?? null;
  if (fresh === null) {
    const text = `${who} has no fresh mass: give fresh_g, or a row at 0 hours`;
    problems.push({ line: lineOf(log), text });
    return null;
  }
  for (const row of log.fresh === null ? others : [first, ...others]) {
    if (row === undefined) continue;
    if (Math.abs(row.net - fresh.net) > row.division + fresh.division)
      problems.push({
        line: row.ref,
        text: `${who} has two fresh masses, ${fresh.net} g and ${row.net} g: leave the right one`,
      });
    else if (row.net !== fresh.net)
      notes.push(`line ${row.ref}: ${row.net} g at 0 hours stands for the fresh ${fresh.net} g`);
  }
  return fresh;
}

/** One stay in the dryer and the weighing after it. Weighings at the same hours share one stay. */
type Spell = {
  readonly row: NetWeighing;
  readonly wentIn: UtcMs;
  readonly cameOut: UtcMs;
  readonly at: UtcMs;
  /** The dryer stood still in it. */
  readonly isBroken: boolean;
};

function spellsOf(
  rows: readonly NetWeighing[],
  asked: ImportAsked,
  name: string,
  { problems }: Found,
): readonly Spell[] {
  const isDated = rows.some(({ at }) => at !== null);
  const spells: Spell[] = [];
  for (const row of rows) {
    const last = spells.at(-1);
    const isBroken = row.stretch > (last?.row.stretch ?? 0);
    const driedMs = (row.dryingHours - (last?.row.dryingHours ?? 0)) * hourMs;
    const insideMs = driedMs + (isBroken ? breakMs : 0);
    const outMs = (row.minutesOut ?? 0) * minuteMs;
    if (isDated && row.at === null) {
      problems.push({
        line: row.ref,
        text: "at is missing here and given in other rows of the tray: give it in all or in none",
      });
      continue;
    }
    // In again after the weighing, not at its very moment: there the tray was still out.
    const earliest = last === undefined ? Number.NEGATIVE_INFINITY : last.at + 1;
    const since =
      insideMs === 0 && last !== undefined
        ? Math.max(earliest, last.cameOut + outMs)
        : Math.max(earliest, asked.startedAt) + insideMs + outMs;
    const at = row.at ?? since;
    const cameOut = insideMs === 0 ? (last?.cameOut ?? at) : at - outMs;
    const wentIn = cameOut - insideMs;
    if (wentIn < earliest - roundingMs)
      problems.push({
        line: row.ref,
        text: `tray ${name} had ${row.dryingHours} h of drying at ${isoOf(utcMs(at))}, more than the time since the weighing before`,
      });
    if (at > asked.now) problems.push({ line: row.ref, text: stillToCome(utcMs(at)) });
    spells.push({
      row,
      at: utcMs(Math.round(at)),
      cameOut: utcMs(Math.round(cameOut)),
      wentIn: utcMs(Math.round(Math.max(wentIn, earliest))),
      isBroken,
    });
  }
  return spells;
}
