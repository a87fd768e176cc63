/**
 * Scores of one batch: every score is a sum over a count, kept apart so that batches can be pooled and
 * resampled. A score that does not apply to a tray adds to neither.
 */
import type { TrayLog } from "../../src/tray/weighing.ts";
import type { TrayVerdict } from "../../src/verdict/verdict.ts";
import { dryLimit, type SimulatedBatch, type SimulatedTray, type Truth } from "./batch.ts";
import type { FaultKind } from "./faults.ts";
import {
  commonPractice,
  constantWeight,
  exponentialFit,
  firstCall,
  judgeThroughout,
  oneSided95,
  rateBound,
  readingSd,
  tolerance,
  type RuleName,
} from "./rules.ts";

type Sum = { total: number; count: number };
export type BatchScores = {
  readonly seed: number;
  readonly scores: Record<string, Sum>;
  readonly trays: number;
  readonly milliseconds: number;
  readonly verdicts: number;
  /** What the judgment threw, if it did. */
  readonly threw: string | null;
};

export const bins = 10;
export const binOf = (probability: number) => Math.min(bins - 1, Math.floor(probability * bins));

/** A piece class this wet makes a call wrong that the tray's mean would allow. */
const wetPiece = 0.1;

/**
 * The shortest interval, h, after which a scale can prove that no more than 0.25 % of the dry mass leaves
 * in an hour, at one-sided 95 %; at least 1 h.
 */
export const shortestProof = (solidsGrams: number, division: number): number =>
  Math.max(1, (oneSided95 * Math.SQRT2 * readingSd(division)) / (tolerance * solidsGrams));

/** Whether two clean weighings of the tray, at most `limit` wet, lay far enough apart to prove it dry. */
export function couldBeProved(truth: readonly Truth[], division: number, limit: number): boolean {
  const good = truth.filter(({ clean, excess }) => clean && excess <= limit);
  const [first, last] = [good[0], good.at(-1)];
  if (!first || !last) return false;
  return last.hours - first.hours >= shortestProof(last.solidsGrams, division);
}

/** How a call turned out; null for a tray that was never called. */
export function outcomeOf(truth: readonly Truth[], calledAt: number | null) {
  if (calledAt === null) return null;
  const at = truth[calledAt]!;
  const falseDry = at.excess > dryLimit;
  return {
    falseDry,
    wetPieceOnly: !falseDry && at.wettestExcess > wetPiece,
    /** Hours in the dryer since the tray was dry; null for a false call. */
    extraHours: falseDry || at.dryAt === null ? null : at.hours - at.dryAt,
  };
}

/** Whether the verdict names this fault. */
function names(fault: FaultKind, verdict: TrayVerdict): boolean {
  const says = (code: string) =>
    verdict.contradiction?.code === code || verdict.reasons.some((reason) => reason.code === code);
  switch (fault) {
    case "none":
      return false;
    case "stalled-first":
    case "stalled-later":
      return verdict.verdict === "stalled";
    case "night-open":
      return verdict.verdict === "gaining" || says("rose");
    case "ounces-as-grams":
      return says("unit-mixed");
    case "swapped-trays":
    case "wrong-tare":
    case "food-removed":
      return says(fault);
  }
}

/** The word and the reasons of a verdict, as one line. */
const whyOf = ({ verdict, reasons, contradiction }: TrayVerdict): string => {
  const codes = new Set([
    ...reasons.map(({ code }) => code),
    ...(contradiction ? [contradiction.code] : []),
  ]);
  return `${verdict}: ${[...codes].toSorted().join(", ")}`;
};

const isStall = (fault: FaultKind) => fault === "stalled-first" || fault === "stalled-later";

/** Whether the fault was there to be seen by weighing `to`: large for the scale and for the food. */
function isVisible(batch: SimulatedBatch, tray: SimulatedTray, to: number): boolean {
  if (isStall(tray.fault)) return tray.truth[to]!.excess > dryLimit;
  const large = Math.max(3 * batch.division, 0.02 * tray.truth[0]!.solidsGrams);
  if (tray.fault !== "night-open") return tray.faultGrams >= large;
  const [before, after] = [batch.faultShownAt - 1, batch.faultShownAt].map(
    (weighing) => tray.log.weighings[weighing]?.net,
  );
  return before !== undefined && after !== undefined && after - before >= large;
}

/** The finest divisions, relative to the dry mass, for which calls are held to be due. */
const fineEnough = 0.003;

export function scoreBatch(batch: SimulatedBatch, limit: number): BatchScores {
  const scores: Record<string, Sum> = {};
  const sound = batch.fault.is === "none" ? "no fault" : "with a fault";
  const groups = ["pooled", `d ${batch.division}`, batch.plan.kind, sound];
  const add = (name: string, amount: number | boolean, count: number | boolean = 1) => {
    if (!Number(count)) return;
    for (const group of groups) {
      const sum = (scores[`${group}|${name}`] ??= { total: 0, count: 0 });
      sum.total += Number(amount);
      sum.count += Number(count);
    }
  };

  let threw: string | null = null;
  let judged: ReturnType<typeof judgeThroughout>;
  const logs = batch.trays.map(({ log }) => log);
  try {
    judged = judgeThroughout(logs, limit);
  } catch (error) {
    threw = `seed ${batch.seed}: ${error instanceof Error ? error.message : String(error)}`;
    const silent = logs.map(() => ({ calledAt: null, verdicts: [] }));
    judged = { trays: silent, milliseconds: 0, verdicts: 0 };
  }
  const exponential = exponentialFit(limit);

  batch.trays.forEach((tray, index) => {
    const { truth, log, fault } = tray;
    const ours = judged.trays[index]!;
    const calls: Record<RuleName, number | null> = {
      practice: firstCall(commonPractice, log),
      "constant weight": firstCall(constantWeight, log),
      exponential: firstCall(exponential, log),
      "rate bound": firstCall(rateBound, log),
      ours: ours.calledAt,
    };
    const stalled = isStall(fault);
    const atEnd = truth.at(-1)!;
    const fine = batch.division <= fineEnough * truth[0]!.solidsGrams;
    const provable = couldBeProved(truth, batch.division, dryLimit);
    const provableAtLimit = couldBeProved(truth, batch.division, limit);
    const ourOutcome = outcomeOf(truth, calls.ours);
    for (const [rule, calledAt] of Object.entries(calls)) {
      const score = (name: string, amount: number | boolean, count: number | boolean = 1) =>
        add(`${rule}|${name}`, amount, count);
      const outcome = outcomeOf(truth, calledAt);
      const falseDry = outcome?.falseDry ?? false;
      const missed = calledAt === null;
      score("false", falseDry);
      score("false among calls", falseDry, !missed);
      score("false, no fault", falseDry, fault === "none");
      score("false, stalled", falseDry && stalled);
      const calledStalled = falseDry && calledAt !== null && calledAt >= batch.faultShownAt;
      score("stalled called", calledStalled, stalled && atEnd.excess > dryLimit);
      score("wet piece only", outcome?.wetPieceOnly ?? false);
      const extra = outcome?.extraHours ?? null;
      score("extra hours", extra ?? 0, extra !== null);
      score("missed", missed, provable);
      score("missed, fine", missed, provable && fine);
      score("missed, fine, no fault", missed, provable && fine && fault === "none");
      score("missed, fine, at the stated limit", missed, provableAtLimit && fine);
      score("never", missed);
      score("never, dry at the end", missed, atEnd.excess <= dryLimit);
      const ourExtra = ourOutcome?.extraHours ?? null;
      const both = extra !== null && ourExtra !== null;
      score("both, its hours", extra ?? 0, both);
      score("both, our hours", ourExtra ?? 0, both);
    }
    if (threw) return;
    scoreNaming(batch, tray, ours.verdicts, add);
    scoreHours(log, ours, add);
    const lastWord = ours.verdicts.at(-1);
    if (lastWord && calls.ours === null && provable && fine)
      add(`why missed|${whyOf(lastWord)}`, 1);
    ours.verdicts.forEach((verdict, weighing) => {
      const { pDry } = verdict;
      const isDry = truth[weighing]!.excess <= limit;
      if (isDry && pDry < 0.1) add(`why low|${sound}, ${whyOf(verdict)}`, 1);
      add("p_dry|brier", (pDry - Number(isDry)) ** 2);
      add("p_dry|dry", isDry);
      add(`p_dry|stated ${binOf(pDry)}`, pDry);
      add(`p_dry|seen ${binOf(pDry)}`, isDry);
      add("p_dry|stated top", pDry, pDry >= 0.95);
      add("p_dry|seen top", isDry, pDry >= 0.95);
    });
  });
  const { milliseconds, verdicts } = judged;
  return { seed: batch.seed, scores, trays: batch.trays.length, milliseconds, verdicts, threw };
}

type Add = (name: string, amount: number | boolean, count?: number | boolean) => void;

/**
 * The hours to go that were told before a tray was called, against when the call came: after the weighing before it,
 * and at the latest at its own. An interval is right where it meets that stretch.
 */
function scoreHours(
  { weighings }: TrayLog,
  { calledAt, verdicts }: { calledAt: number | null; verdicts: readonly TrayVerdict[] },
  add: Add,
): void {
  if (calledAt === null) return;
  const hourOf = (weighing: number): number => weighings[weighing]!.dryingHours;
  verdicts.slice(0, calledAt).forEach(({ moreHours }, weighing) => {
    if (moreHours === null) return;
    const earliest = hourOf(calledAt - 1) - hourOf(weighing);
    const latest = hourOf(calledAt) - hourOf(weighing);
    add("hours to go|right", moreHours.low <= latest && moreHours.high >= earliest);
    add("hours to go|late", latest - moreHours.estimate);
  });
}

function scoreNaming(
  batch: SimulatedBatch,
  tray: SimulatedTray,
  verdicts: readonly TrayVerdict[],
  add: Add,
): void {
  if (batch.fault.is === "none") {
    add(
      "named|alarm: contradiction",
      verdicts.some(({ contradiction }) => contradiction !== null),
    );
    add(
      "named|alarm: stalled",
      verdicts.some(({ verdict }) => verdict === "stalled"),
    );
    add(
      "named|alarm: gaining",
      verdicts.some(({ verdict }) => verdict === "gaining"),
    );
    return;
  }
  const last = verdicts.length - 1;
  if (tray.fault === "none" || batch.faultShownAt < 0 || last < batch.faultShownAt) return;
  const since = verdicts.slice(batch.faultShownAt);
  const named = since.some((verdict) => names(tray.fault, verdict));
  const otherwise = since.some(({ contradiction }) => contradiction !== null);
  const visible = isVisible(batch, tray, last);
  add(`named|${tray.fault}`, named);
  add(`named|${tray.fault}, visible`, named, visible);
  add(`named|${tray.fault}, another name`, !named && otherwise, visible);
  add("named|all", named);
  add("named|all, visible", named, visible);
  add("named|all, another name", !named && otherwise, visible);
}
