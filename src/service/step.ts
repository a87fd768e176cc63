/**
 * The step of the bench: what an act changes, what follows from it, and the bench after both. Pure, so that a step
 * whose facts could not be stored never happened.
 */
import {
  channels,
  outTooLong,
  codeOf,
  roundAlert,
  scaleLost,
  timeToWeigh,
  verdictAlerts,
  type Deserving,
} from "../alert/alerts.ts";
import type { ClockJump } from "../tray/clockdoubt.ts";
import type { UtcMs } from "../units/quantity.ts";
import { isolated } from "../units/written.ts";
import { acknowledged } from "./acknowledged.ts";
import { apply } from "./apply.ts";
import { bagsMovedOn } from "./bagloads.ts";
import type {
  Alert,
  AlertCode,
  Batch,
  Bench,
  Change,
  Channel,
  Fact,
  Gap,
  GivenVerdict,
} from "./bench.ts";
import {
  judgedAs,
  knownBesides,
  logsOf,
  toldAmong,
  verdictsGiven,
  weighingsBehind,
  type Judging,
} from "./given.ts";
import { lessonsWithdrawn } from "./lessons.ts";
import { withPrompts } from "./prompts.ts";
import {
  batchClockAt,
  batchHoursAt,
  batchLabel,
  isDryingOn,
  isRunning,
  isWeighedSince,
  minutesOutOf,
  nextWeighingAtHours,
  phaseOf,
  roundOf,
  trayClockOf,
} from "./look.ts";

/** `timeFactor`: how many times faster than hands the clock runs while trays are out; 1 but for trials. */
export type Now = {
  readonly at: UtcMs;
  readonly timeFactor: number;
  /** What was noticed of the computer's clock; left out: nothing. */
  readonly jumps?: readonly ClockJump[];
};
export type Step = { readonly bench: Bench; readonly changes: readonly Change[] };

const passing = new Set<Change["is"]>([
  "scale-came",
  "scale-went",
  "link-changed",
  "pan-changed",
  "load-changed",
  "task-chosen",
  "taken-shown",
  "hidden-noticed",
  "asking-said",
  "check-chosen",
  "comparing-changed",
  "bag-chosen",
  "bag-taken-shown",
  "learned-anew",
]);
export const isFact = (change: Change): change is Fact => !passing.has(change.is);

/** Applies an act's changes, judges the batches that they touch, and adds what follows. */
export function step(bench: Bench, act: (bench: Bench) => readonly Change[], now: Now): Step {
  const changes = act(bench);
  const acted = changes.reduce(apply, bench);
  if (!changes.some(isFact)) return { bench: withPrompts(acted, bench, now.at), changes };
  const judged = judgeAll(acted, bench, now);
  const following = [
    ...roundsDone(judged, now),
    ...lessonsWithdrawn(changes, { before: bench, after: judged }, now.at),
    ...bagsMovedOn(bench, judged),
  ];
  const done = following.reduce(apply, judged);
  return { bench: withPrompts(done, bench, now.at), changes: [...changes, ...following] };
}

/** At each tick of the clock: what has become due by itself. */
export function tick(bench: Bench, now: Now): Step {
  return step(
    bench,
    (present) => {
      const due = dueAlerts(present, now);
      const isOver = ({ code, key }: Alert): boolean =>
        byTheClock.includes(code) && !due.some((one) => one.key === key);
      return [...acknowledged(present, now.at, isOver), ...raise(present, due, now.at)];
    },
    now,
  );
}

/** They hold as long as the clock says so: what was put right, trays that came out, or a scale that is back end them. */
const byTheClock: readonly AlertCode[] = ["time-to-weigh", "out-too-long", "scale-lost"];

/** Judges every open batch anew, for a start or a change of the settings. */
export const judgeAfresh = (bench: Bench, now: Now): Bench =>
  judgeAll(bench, { ...bench, batches: [] }, now);

/** Parts of a bench on which verdicts rest. */
const restsOn = ["batches", "series", "kitchen", "lessons", "settings"] as const;

function judgeAll(bench: Bench, before: Bench, now: Now): Bench {
  if (restsOn.every((part) => before[part] === bench[part])) return bench;
  const known = knownBesides(bench);
  const knownBefore = knownBesides(before);
  const isKnownAlike = JSON.stringify(knownBefore) === JSON.stringify(known);
  return {
    ...bench,
    batches: bench.batches.map((batch) => {
      const same =
        isKnownAlike && before.settings === bench.settings && before.batches.includes(batch);
      if (same) return batch;
      const judging = { limit: bench.settings.limit, timeFactor: now.timeFactor, ...known };
      const judgedBefore = { ...judging, limit: before.settings.limit, ...knownBefore };
      const earlier = before.batches.find(({ id }) => id === batch.id);
      return { ...batch, judged: judgedAgain(batch, judging, earlier, judgedBefore) };
    }),
  };
}

/** Trays that went in, an alert's answer, a new name of the batch: the same logs have the same verdict. */
function judgedAgain(
  batch: Batch,
  judging: Judging,
  earlier: Batch | undefined,
  before: Judging,
): Batch["judged"] {
  const isSame =
    earlier !== undefined &&
    earlier.judged !== null &&
    before.limit === judging.limit &&
    JSON.stringify(logsOf(earlier, before)) === JSON.stringify(logsOf(batch, judging));
  return isSame ? earlier.judged : judgedAs(batch, judging);
}

/** For each batch whose round is complete: the verdicts to keep and the alert, unless told already. */
function roundsDone(bench: Bench, now: Now): readonly Change[] {
  const changes: Change[] = [];
  let present = bench;
  for (const batch of bench.batches) {
    const told = roundDone(present, batch, now);
    changes.push(...told);
    present = told.reduce(apply, present);
  }
  return changes;
}

function roundDone(bench: Bench, batch: Batch, now: Now): readonly Change[] {
  const { judged } = batch;
  const round = roundOf(batch);
  const alert = alertOfRound(batch);
  // What was told before stands no longer where weighings behind it were struck out, or others say otherwise.
  const isGone = ({ batchId, code }: Alert): boolean =>
    batchId === batch.id &&
    verdictAlerts.includes(code) &&
    code !== (judged === null ? null : codeOf[judged.verdict]);
  if (judged === null || round === null || alert === null)
    return acknowledged(bench, now.at, isGone);
  const raised = raise(bench, [toldAgain(bench, batch, alert, now)], now.at);
  const isOutdated = ({ batchId, code }: Alert): boolean =>
    batchId === batch.id && verdictAlerts.includes(code);
  return raised.length === 0
    ? []
    : [
        ...acknowledged(bench, now.at, isOutdated),
        ...toldAmong(
          batch,
          verdictsGiven(batch, judged, {
            limit: bench.settings.limit,
            timeFactor: now.timeFactor,
            ...knownBesides(bench),
            round: round.number,
            at: now.at,
          }),
        ).map((verdict, index): Change => ({
          is: "verdict-given",
          verdict: { id: bench.next.verdict + index, ...verdict },
        })),
        ...raised,
      ];
}

/** What a batch has come to in its last round; null while the round is not complete. */
function alertOfRound(batch: Batch): Deserving | null {
  const { judged } = batch;
  const round = roundOf(batch);
  if (judged === null || round === null || round.waiting.length > 0 || round.weighed.length === 0)
    return null;
  const asBatch = judged.trays.filter((tray) => tray.verdict === judged.verdict);
  const told = asBatch.find(({ tray }) => judged.behind.includes(tray)) ?? asBatch[0];
  return roundAlert({
    batchId: batch.id,
    label: batchLabel({ ...batch, name: isolated(batch.name) }),
    number: round.number,
    root: round.root,
    word: judged.verdict,
    moreHours: judged.moreHours,
    behind: judged.behind,
    reason: told?.reasons[0] ?? null,
  });
}

/**
 * Alerts that a channel is owed and that still stand: nobody answered them, and they would be raised now if they had
 * not been. Of a batch that is one of a kind at most.
 */
export function owedBy(bench: Bench, channel: Channel, now: Now): readonly Alert[] {
  const owed = bench.alerts.filter((alert) => alert.owed.includes(channel));
  if (owed.length === 0) return [];
  const rounds = bench.batches.flatMap((batch) => alertOfRound(batch) ?? []);
  const stand = [...rounds, ...dueAlerts(bench, now)].map(({ key }) => key);
  return owed.filter(({ key }) => stand.some((one) => isAgain(key, one)));
}

/**
 * What is news once more: a word that comes back after another one, as when a correction is taken back; one that says
 * something else than the alert that still stands; and one of which nothing stands any more, when trays that are still
 * out were weighed since it was told.
 */
function toldAgain(bench: Bench, batch: Batch, alert: Deserving, now: Now): Deserving {
  const last = batch.verdicts.findLast(({ trayId }) => trayId === null);
  if (last === undefined || !isNews(bench, batch, { alert, last, now })) return alert;
  let { key } = alert;
  for (let times = 2; bench.alertKeys.has(key); times++) key = `${alert.key} ${times}`;
  return { ...alert, key };
}

type ToldLast = {
  readonly alert: Deserving;
  readonly last: GivenVerdict;
  readonly now: Now;
};

function isNews(bench: Bench, batch: Batch, { alert, last, now }: ToldLast): boolean {
  if (last.word !== batch.judged?.verdict) return true;
  const standing = bench.alerts.find(({ key }) => isAgain(key, alert.key));
  // Another name of the batch is none.
  if (standing !== undefined)
    return !standing.text.endsWith(alert.text.slice(batchLabel(batch).length));
  const rows = weighingsBehind(last.basis);
  return rows !== null && batchClockAt(batch, now.at).is === "out" && isWeighedSince(batch, rows);
}

/** A word that came back has a number behind its key. */
const isAgain = (key: string, first: string): boolean =>
  key === first || key.startsWith(`${first} `);

function raise(bench: Bench, deserving: readonly Deserving[], at: UtcMs): readonly Change[] {
  return deserving
    .filter((alert) => !bench.alertKeys.has(alert.key))
    .map((alert, index) => ({
      is: "alert-raised",
      alert: {
        ...alert,
        id: bench.next.alert + index,
        at,
        acknowledgedAt: null,
        owed: channels.filter((channel) => bench.settings[channel] !== null),
      },
    }));
}

/** A scale that is gone for longer than this while a batch waits for it is worth an alert. */
const scaleLostAfterMs = 60_000;

function dueAlerts(bench: Bench, now: Now): readonly Deserving[] {
  const batches = bench.batches.filter((batch) => phaseOf(batch) === "drying");
  return [
    ...batches.flatMap((batch) => dueOf(batch, bench, now)),
    ...scalesLost(bench, batches, now),
  ];
}

/** Since when trays are out that are still to be weighed; null where none are. */
function waitsSince(batch: Batch, at: UtcMs): UtcMs | null {
  const { is, since } = batchClockAt(batch, at);
  return is === "out" && (roundOf(batch)?.waiting.length ?? 0) > 0 ? since : null;
}

/** None while another scale is read, or no tray waits for one. */
function scalesLost(
  { scales, alertKeys }: Bench,
  batches: readonly Batch[],
  now: Now,
): readonly Deserving[] {
  const waiting = batches.flatMap((batch) => waitsSince(batch, now.at) ?? []);
  if (waiting.length === 0 || scales.some(({ link }) => link.link === "up")) return [];
  return scales.flatMap(({ id, link: { link, sinceUtcMs, why } }) => {
    if (link === "silent") return [];
    const since = Math.max(sinceUtcMs, Math.min(...waiting));
    const alert = toldAnew(alertKeys, scaleLost(id, why), (closedAt) => closedAt >= since);
    // What stands goes on standing after a restart, since which the scale is not gone that long yet.
    const stands = alertKeys.get(alert.key) === null;
    return stands || now.at - sinceUtcMs > scaleLostAfterMs * now.timeFactor ? [alert] : [];
  });
}

function dueOf(batch: Batch, bench: Bench, now: Now): readonly Deserving[] {
  const clock = batchClockAt(batch, now.at);
  const round = roundOf(batch);
  const label = batchLabel({ ...batch, name: isolated(batch.name) });
  const deserving: Deserving[] = [];
  if (clock.is !== "waiting" && isDryingOn(batch)) {
    const due = nextWeighingAtHours(batch, now.at, now.timeFactor);
    const isDueAt = (at: UtcMs): boolean => due !== null && batchHoursAt(batch, at) >= due;
    if (isRunning(batch) && isDueAt(now.at)) {
      const took = batch.interruptions.length + batch.gaps.filter(stoodStill).length;
      const told = asSetRight(timeToWeigh(batch.id, label, round), took + setRightIn(batch));
      deserving.push(toldAnew(bench.alertKeys, told, isDueAt));
    }
  }
  if (clock.is !== "out" || round === null) return deserving;
  const clocks = batch.trays
    .filter(({ id }) => !round.left.includes(id))
    .map(({ id }) => trayClockOf(batch, id));
  const outAt = (at: UtcMs): number =>
    Math.max(0, ...clocks.map((one) => minutesOutOf(one, at, now.timeFactor) ?? 0));
  const most = bench.settings.outTooLongMinutes;
  const out = outAt(now.at);
  const stillDrying = batch.judged?.verdict !== "stable";
  if (stillDrying && out > most) {
    const told = asSetRight(outTooLong(batch.id, label, round, out), setRightIn(batch));
    deserving.push(toldAnew(bench.alertKeys, told, (closedAt) => outAt(closedAt) > most));
  }
  return deserving;
}

const stoodStill = ({ dryerRan }: Gap): boolean => dryerRan === false;

const setRightIn = ({ moments }: Batch): number =>
  moments.filter(({ supersedes }) => supersedes !== null).length;

/** What was told before the clock was set right is told anew when it has come to be so again. */
const asSetRight = (alert: Deserving, times: number): Deserving =>
  times === 0 ? alert : { ...alert, key: `${alert.key} by clock ${times}` };

/**
 * What was closed at a moment at which, by what weighings and settings say now, it was not so yet, is told anew when it
 * has come to be so. Of what a person closed while it was so, nothing more is told.
 */
function toldAnew(
  keys: Bench["alertKeys"],
  alert: Deserving,
  wasSo: (closedAt: UtcMs) => boolean,
): Deserving {
  let { key } = alert;
  for (let times = 2; ; times++) {
    const closedAt = keys.get(key) ?? null;
    if (closedAt === null || wasSo(closedAt)) return { ...alert, key };
    key = `${alert.key} ${times}`;
  }
}
