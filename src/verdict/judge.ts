/**
 * From the log of each tray of a batch to a verdict in the words of the public contract. A verdict is a
 * statement about weight alone: it says that water has stopped leaving, not that food may be eaten or kept.
 */
import type { TrayLog } from "../tray/weighing.ts";
import { z95 } from "../units/normal.ts";
import { fraction, grams, hours, type Grams, type Hours } from "../units/quantity.ts";
import { humbled } from "./confidence.ts";
import { contradictionsIn } from "./contradiction.ts";
import { openCore } from "./core.ts";
import { curveOf } from "./curve.ts";
import { drynessOf, type Dryness } from "./dryness.ts";
import { neverLowered } from "./level.ts";
import { endMassOf, freshGramsOf, loadOf, type Load } from "./load.ts";
import { ofFoodLeft } from "./foodtaken.ts";
import { heavyForLot } from "./lot.ts";
import { mended } from "./mend.ts";
import { outlookOf, type Outlook, type Spread } from "./outlook.ts";
import { lastPair, provableOf, type Pair } from "./pair.ts";
import {
  coreReason,
  losingReason,
  lotReason,
  notWeighedReason,
  riseReason,
  roundedHours,
  stableReasons,
  stallReason,
  togetherReason,
  unsureReasons,
} from "./reasons.ts";
import { said } from "./sentences.ts";
import { firstWeighingHours, kitchenGrams, mostCertain } from "./rules.ts";
import { provedTogether } from "./together.ts";
import { wordFor, type Word } from "./word.ts";
import type {
  BatchVerdict,
  Contradiction,
  Interval,
  JudgmentSettings,
  Reason,
  TrayVerdict,
  VerdictWord,
} from "./verdict.ts";

/** Worst first: a batch has the first of these that any of its trays has. */
const precedence: readonly VerdictWord[] = ["gaining", "stalled", "losing", "unsure", "stable"];

/**
 * The verdict of each tray, in the order of `given`, and of the batch that they make. The trays share a dryer, and those
 * of one food their rates, so each counts in the verdicts of the others; one whose figures contradict each other does
 * not. The same logs and settings give the same answer.
 */
export function judgeBatch(given: readonly TrayLog[], settings: JudgmentSettings): BatchVerdict {
  const logs = given.map(ofFoodLeft);
  const inGrams = settings.inGrams ?? kitchenGrams;
  const nothings = logs.map(nothingLeftIn);
  const contradictions = contradictionsIn(
    logs.filter((_, i) => nothings[i] === null),
    inGrams,
  );
  const loads = logs.map((log, i) => (nothings[i] === null ? loadOf(log, inGrams) : null));
  const sound = loads.filter(
    (load): load is Load => load !== null && !contradictions.has(load.log),
  );
  const judged = new Map(judgeSound(sound, settings).map((one) => [one.dryness.load.log, one]));
  const trays = logs.map((log, i) => {
    const nothing = nothings[i]!;
    if (nothing !== null) return emptied(log, nothing);
    const contradiction = contradictions.get(log);
    if (contradiction !== undefined)
      return contradicted(log, loads[i] ?? null, contradiction, settings);
    const one = judged.get(log);
    return one === undefined ? notYetWeighed(log) : verdictOf(one, settings);
  });
  return { ...batchOf(trays), trays };
}

/** The row that leaves no food at all on the tray: nothing can be reckoned with it. */
function nothingLeftIn(log: TrayLog): Contradiction | null {
  const rows = log.fresh === null ? log.weighings : [log.fresh, ...log.weighings];
  const row = rows.find(({ net }) => net <= 0);
  if (row === undefined) return null;
  return {
    code: "lighter-than-possible",
    ...said("no-food-left", { netGrams: row.net }),
    ref: row.ref,
    otherTray: null,
    meantNet: null,
  };
}

const emptied = (log: TrayLog, contradiction: Contradiction): TrayVerdict => ({
  ...nothingSaid(log),
  verdict: "unsure",
  confidence: sure(1),
  reasons: [asReason(contradiction)],
  contradiction,
});

const asReason = ({ code, sentence, figures, text }: Contradiction): Reason => ({
  code,
  sentence,
  figures,
  text,
});

/** A tray that contradicts nothing, with its word. */
type Judged = {
  readonly dryness: Dryness;
  readonly pair: Pair | null;
  readonly word: Word;
  readonly confidence: number;
  /** Probability that it is dry, from all trays weighed as one where that proves it. */
  readonly together: number | null;
  /** The most it could weigh as dry as the others of its food, where it stands still at more. */
  readonly mostOfLotGrams: number | null;
};

/** Trays none of which contradicts itself, in the order of `loads`. */
function judgeSound(
  loads: readonly Load[],
  { limit, inGrams }: JudgmentSettings,
): readonly Judged[] {
  if (loads.length === 0) return [];
  const constants = inGrams ?? kitchenGrams;
  const alone = neverLowered(drynessOf(loads, limit), limit, constants);
  const pairs = loads.map(lastPair);
  const wordOf = (dryness: Dryness, i: number): Word => wordFor(dryness, pairs[i]!);
  const heavy = heavyForLot(alone, alone.map(wordOf));
  const all = alone.map((dryness, i) => heavy[i]?.dryness ?? dryness);
  const words = all.map(wordOf);
  const confidences = humbled(words, loads, limit, constants);
  const isOneLoad = heavy.every((one) => one === null);
  const together = isOneLoad ? provedTogether(all, words, limit) : null;
  return all.map((dryness, i) => ({
    dryness,
    pair: pairs[i]!,
    word: words[i]!,
    confidence: confidences[i]!,
    together: words[i]!.verdict === "unsure" ? together : null,
    mostOfLotGrams: words[i]!.verdict === "stable" ? null : (heavy[i]?.mostGrams ?? null),
  }));
}

function batchOf(trays: readonly TrayVerdict[]): Omit<BatchVerdict, "trays"> {
  const verdict =
    precedence.find((word) => trays.some((tray) => tray.verdict === word)) ?? "unsure";
  const waiting = trays.filter((tray) => tray.verdict !== "stable");
  const known = waiting.flatMap(({ moreHours }) => (moreHours === null ? [] : [moreHours]));
  if (trays.length > 0 && waiting.length === 0) return { verdict, moreHours: noneLeft, behind: [] };
  if (known.length === 0)
    return { verdict, moreHours: null, behind: waiting.map(({ tray }) => tray) };
  const slowest = (pick: (one: Interval<Hours>) => number): Hours =>
    hours(Math.max(...known.map(pick)));
  const moreHours = {
    estimate: slowest(({ estimate }) => estimate),
    low: slowest(({ low }) => low),
    high: slowest(({ high }) => high),
  };
  // The batch waits for whoever cannot be told to be ready by the time that most are.
  const behind = waiting
    .filter(
      (tray) => tray.moreHours === null || tray.moreHours.estimate >= 0.9 * moreHours.estimate,
    )
    .map(({ tray }) => tray);
  return { verdict, moreHours, behind };
}

const noneLeft: Interval<Hours> = { estimate: hours(0), low: hours(0), high: hours(0) };

const sure = (p: number) => fraction(Math.min(Math.max(p, 0), mostCertain));

function nothingSaid(log: TrayLog): Omit<TrayVerdict, "verdict" | "confidence" | "reasons"> {
  return {
    tray: log.tray,
    pDry: fraction(0),
    remaining: null,
    moreHours: null,
    nextWeighingHours: null,
    provable: null,
    contradiction: null,
    fit: null,
    curve: null,
    expectedDry: expectedDryOf(log),
  };
}

function notYetWeighed(log: TrayLog): TrayVerdict {
  return {
    ...nothingSaid(log),
    verdict: "unsure",
    confidence: sure(1),
    nextWeighingHours: hours(firstWeighingHours),
    reasons: [notWeighedReason(firstWeighingHours)],
  };
}

/**
 * The figures that contradict each other make a tray unsure. What the rest of them says of dryness is told, and where
 * one odd row lies behind two later weighings that prove dryness without it, it no longer stands in the way.
 */
function contradicted(
  log: TrayLog,
  load: Load | null,
  contradiction: Contradiction,
  settings: JudgmentSettings,
): TrayVerdict {
  const rest = mended(log, contradiction);
  const verdict = rest === null ? null : judgedAlone(rest.log, settings);
  const reason = asReason(contradiction);
  const isProved = rest?.standsAlone === true && verdict?.verdict === "stable";
  if (isProved) return { ...verdict, contradiction, reasons: [...verdict.reasons, reason] };
  return {
    ...nothingSaid(log),
    pDry: verdict?.pDry ?? fraction(0),
    provable: load === null ? null : provableOf(load),
    verdict: "unsure",
    confidence: sure(1),
    reasons: [reason],
    contradiction,
  };
}

function judgedAlone(log: TrayLog, settings: JudgmentSettings): TrayVerdict | null {
  const load = loadOf(log, settings.inGrams ?? kitchenGrams);
  const [judged] = load === null ? [] : judgeSound([load], settings);
  return judged === undefined ? null : verdictOf(judged, settings);
}

function expectedDryOf(log: TrayLog): Interval<Grams> | null {
  const freshGrams = freshGramsOf(log);
  if (freshGrams === null || log.food === null) return null;
  const { endGrams, endSdGrams } = endMassOf(log.food, freshGrams, freshGrams);
  return {
    estimate: grams(endGrams),
    low: grams(Math.max(endGrams - z95 * endSdGrams, 0)),
    high: grams(Math.min(endGrams + z95 * endSdGrams, freshGrams)),
  };
}

function verdictOf(judged: Judged, { limit }: JudgmentSettings): TrayVerdict {
  const { dryness, pair, word, together, mostOfLotGrams } = judged;
  const { load } = dryness;
  const uPairGrams = pair?.uGrams ?? Math.SQRT2 * load.rows.at(-1)!.uGrams;
  const outlook = outlookOf(dryness, limit, uPairGrams);
  const verdict = together === null ? word.verdict : "stable";
  // Hours in the dryer do not tell why a tray that loses nothing is heavier than the others.
  const goesOn = verdict === "losing" || (verdict === "unsure" && mostOfLotGrams === null);
  return {
    tray: load.log.tray,
    verdict,
    confidence: sure(together ?? judged.confidence),
    pDry: sure(together ?? dryness.pDry),
    reasons: reasonsFor(judged, outlook, limit),
    remaining: massInterval(outlook.remaining),
    moreHours: verdict === "stable" ? noneLeft : goesOn ? hoursInterval(outlook.moreHours) : null,
    nextWeighingHours: goesOn ? hours(roundedHours(outlook.nextWeighingHours)) : null,
    provable: provableOf(load),
    contradiction: null,
    ...curveOf(load),
    expectedDry: expectedDryOf(load.log),
  };
}

function reasonsFor(
  { dryness, pair, word, together, mostOfLotGrams }: Judged,
  outlook: Outlook,
  limit: number,
): readonly Reason[] {
  if (mostOfLotGrams !== null) return [lotReason(dryness.load, mostOfLotGrams)];
  if (together !== null) return [togetherReason(limit)];
  const core = openCore(dryness.load.log);
  switch (word.verdict) {
    case "losing":
      return [
        core === null
          ? losingReason(pair, outlook, dryness.load.end.dryGrams)
          : coreReason(core.finding, core.atHour),
      ];
    case "stable":
      return stableReasons(dryness, pair!, outlook);
    case "gaining":
      return [riseReason(pair!)];
    case "stalled":
      return [stallReason(dryness.load, pair!)];
    case "unsure":
      return unsureReasons(dryness, pair, outlook, limit);
  }
}

const massInterval = ({ low, middle, high }: Spread): Interval<Grams> => ({
  estimate: grams(middle),
  low: grams(low),
  high: grams(high),
});

const hoursInterval = (spread: Spread | null): Interval<Hours> | null =>
  spread === null
    ? null
    : {
        estimate: hours(roundedHours(spread.middle)),
        low: hours(roundedHours(spread.low)),
        high: hours(roundedHours(spread.high)),
      };
