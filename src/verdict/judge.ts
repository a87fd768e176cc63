/**
 * From the log of each tray of a batch to a verdict in the words of the public contract. A verdict is a
 * statement about weight alone: it says that water has stopped leaving, not that food may be eaten or kept.
 */
import { normalBelow } from "../drying/normal.ts";
import type { TrayLog } from "../tray/weighing.ts";
import { fraction, grams, hours, type Grams, type Hours } from "../units/quantity.ts";
import { contradictionsIn } from "./contradiction.ts";
import { drynessOf, type Dryness } from "./dryness.ts";
import { endMassOf, freshGramsOf, loadOf, type Load } from "./load.ts";
import { outlookOf, type Outlook, type Spread } from "./outlook.ts";
import { inHours, inMass, inShare } from "./phrase.ts";
import {
  firstWeighingHours,
  kitchenGrams,
  leastHoursApart,
  mostCertain,
  rateTolerance,
  thresholds,
  z95,
  zRise,
} from "./rules.ts";
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

export function judgeBatch(logs: readonly TrayLog[], settings: JudgmentSettings): BatchVerdict {
  const inGrams = settings.inGrams ?? kitchenGrams;
  const contradictions = contradictionsIn(logs, inGrams);
  const loads = logs.map((log) => loadOf(log, inGrams));
  const sound = loads.filter(
    (load): load is Load => load !== null && !contradictions.has(load.log),
  );
  const dryness = new Map(drynessOf(sound, settings.limit).map((one) => [one.load.log, one]));
  const trays = logs.map((log, i) => {
    const contradiction = contradictions.get(log);
    if (contradiction !== undefined) return contradicted(log, loads[i] ?? null, contradiction);
    const known = dryness.get(log);
    return known === undefined ? notYetWeighed(log) : verdictOf(known, settings);
  });
  return { ...batchOf(trays), trays };
}

export const judgeTray = (log: TrayLog, settings: JudgmentSettings): TrayVerdict =>
  judgeBatch([log], settings).trays[0]!;

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
    reasons: [
      {
        code: "too-few",
        text: `not weighed since drying began; weigh first after ${firstWeighingHours} h of drying`,
      },
    ],
  };
}

function contradicted(log: TrayLog, load: Load | null, contradiction: Contradiction): TrayVerdict {
  return {
    ...nothingSaid(log),
    provable: load === null ? null : provableOf(load),
    verdict: "unsure",
    confidence: sure(1),
    reasons: [{ code: contradiction.code, text: contradiction.text }],
    contradiction,
  };
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

/** The last two weighings of a stretch and what may be read from them. */
type Pair = { readonly lossGrams: number; readonly apartHours: number; readonly uGrams: number };

function lastPair({ rows }: Load): Pair | null {
  const last = rows.at(-1);
  const before = rows.findLast(
    (row) => last !== undefined && last.hour - row.hour >= leastHoursApart,
  );
  if (last === undefined || before === undefined) return null;
  return {
    lossGrams: before.netGrams - last.netGrams,
    apartHours: last.hour - before.hour,
    uGrams: Math.hypot(last.uGrams, before.uGrams),
  };
}

/** The smallest loss between the last two weighings that the scale can tell from nothing, one-sided 95 %. */
function provableOf({ rows }: Load): Grams {
  const last = rows.at(-1)!;
  const before = rows.at(-2) ?? last;
  return grams(z95 * Math.hypot(last.uGrams, before.uGrams));
}

type Finding = {
  readonly verdict: VerdictWord;
  readonly confidence: number;
  readonly reasons: readonly Reason[];
};

function verdictOf(dryness: Dryness, settings: JudgmentSettings): TrayVerdict {
  const { load } = dryness;
  const pair = lastPair(load);
  const uPairGrams = pair?.uGrams ?? Math.SQRT2 * load.rows.at(-1)!.uGrams;
  const outlook = outlookOf(dryness, settings.limit, uPairGrams);
  const finding = findingOf(dryness, pair, outlook, settings);
  const drying = finding.verdict === "losing" || finding.verdict === "unsure";
  return {
    tray: load.log.tray,
    verdict: finding.verdict,
    confidence: sure(finding.confidence),
    pDry: sure(dryness.pDry),
    reasons: finding.reasons,
    remaining: massInterval(outlook.remaining),
    moreHours:
      finding.verdict === "stable" ? noneLeft : drying ? hoursInterval(outlook.moreHours) : null,
    nextWeighingHours: drying ? hours(roundedHours(outlook.nextWeighingHours)) : null,
    provable: provableOf(load),
    contradiction: null,
    fit: null,
    curve: null,
    expectedDry: expectedDryOf(load.log),
  };
}

const massInterval = ({ low, middle, high }: Spread): Interval<Grams> => ({
  estimate: grams(middle),
  low: grams(low),
  high: grams(high),
});

/** Never a finer figure than half an hour, above six hours than one. */
const roundedHours = (value: number): number =>
  value < 6 ? Math.ceil(value * 2) / 2 : Math.ceil(value);

const hoursInterval = (spread: Spread | null): Interval<Hours> | null =>
  spread === null
    ? null
    : {
        estimate: hours(roundedHours(spread.middle)),
        low: hours(roundedHours(spread.low)),
        high: hours(roundedHours(spread.high)),
      };

function findingOf(
  dryness: Dryness,
  pair: Pair | null,
  outlook: Outlook,
  settings: JudgmentSettings,
): Finding {
  const { load, pDry, pWetStopped, pWetWorking } = dryness;
  const { dryGrams } = load.end;
  const core = openCore(load);
  if (core !== null) return core;

  if (pair !== null && pair.lossGrams < -zRise * pair.uGrams)
    return {
      verdict: "gaining",
      confidence: normalBelow(-pair.lossGrams / pair.uGrams),
      reasons: [
        {
          code: "rose",
          text: `gained ${inMass(-pair.lossGrams)} in ${inHours(pair.apartHours)}; the scale alone explains ${inMass(zRise * pair.uGrams)}`,
        },
      ],
    };

  const pLosingFast =
    pair === null
      ? 0
      : normalBelow((pair.lossGrams - rateTolerance * dryGrams * pair.apartHours) / pair.uGrams);
  const pLosing = Math.max(pWetWorking, pLosingFast * (1 - pWetStopped));

  if (pair !== null && pDry >= thresholds.stable)
    return { verdict: "stable", confidence: pDry, reasons: stableReasons(dryness, pair, outlook) };
  if (pWetStopped >= thresholds.stalled && pair !== null)
    return { verdict: "stalled", confidence: pWetStopped, reasons: [stallReason(load, pair)] };
  if (pLosing >= thresholds.losing)
    return {
      verdict: "losing",
      confidence: pLosing,
      reasons: [losingReason(pair, outlook, dryGrams)],
    };
  const likeliest = Math.max(pDry, pWetStopped, pLosing);
  return {
    verdict: "unsure",
    confidence: 1 - likeliest,
    reasons: unsureReasons(dryness, pair, outlook, settings),
  };
}

/** A soft or cold core stands until a later check, after more drying, finds it dry. */
function openCore({ log }: Load): Finding | null {
  const wet = log.coreChecks.findLast(({ finding }) => finding !== "dry");
  if (wet === undefined) return null;
  const closed = log.coreChecks.some(
    ({ finding, dryingHours }) => finding === "dry" && dryingHours > wet.dryingHours,
  );
  if (closed) return null;
  return {
    verdict: "losing",
    confidence: mostCertain,
    reasons: [
      {
        code: "soft-core",
        text: `the thickest piece was ${wet.finding} inside at ${inHours(wet.dryingHours)} of drying: dry on and break another`,
      },
    ],
  };
}

function stableReasons({ load }: Dryness, pair: Pair, { remaining }: Outlook): readonly Reason[] {
  const most = inMass(Math.max(pair.lossGrams, 0) + z95 * pair.uGrams);
  const high = inShare(remaining.high / load.end.dryGrams);
  const steady: Reason = {
    code: "steady",
    text: `no loss above ${most} in ${inHours(pair.apartHours)}; at most ${high} of the dry mass left to lose (95 %)`,
  };
  if (load.end.telling) return [steady];
  return [
    steady,
    {
      code: "dryness-unchecked",
      text: "the dry mass of this food is too little known to show a dryer that stopped: break the thickest piece of the tray",
    },
  ];
}

function stallReason({ end, rows }: Load, pair: Pair): Reason {
  const mass = rows.at(-1)!.netGrams;
  const most = end.endGrams + z95 * end.endSdGrams;
  if (!end.blind && mass > most)
    return {
      code: "heavy",
      text: `weight stands still at ${inMass(mass)}, yet dry this food weighs at most ${inMass(most)}: check vacuum, heat and ice, and the tare`,
    };
  return {
    code: "broke-off",
    text: `the loss broke off to ${inMass(pair.lossGrams)} in ${inHours(pair.apartHours)} without the slow end that drying has: check vacuum, heat and ice`,
  };
}

function losingReason(pair: Pair | null, { remaining }: Outlook, dryGrams: number): Reason {
  const left = `${inMass(remaining.low)} to ${inMass(remaining.high)} of water left to lose`;
  if (pair === null || pair.lossGrams < z95 * pair.uGrams)
    return { code: "above-tolerance", text: left };
  const rate = inShare(pair.lossGrams / pair.apartHours / dryGrams);
  return {
    code: "above-tolerance",
    text: `lost ${inMass(pair.lossGrams)} in ${inHours(pair.apartHours)}, ${rate} of the dry mass an hour; ${left}`,
  };
}

function unsureReasons(
  { load, pWetStopped }: Dryness,
  pair: Pair | null,
  { nextWeighingHours }: Outlook,
  { limit }: JudgmentSettings,
): readonly Reason[] {
  const next = inHours(roundedHours(nextWeighingHours));
  if (pair === null)
    return [
      {
        code: "too-few",
        text: `one weighing proves nothing; weigh again after ${next} more of drying`,
      },
    ];
  const reasons: Reason[] = [];
  const limitGrams = limit * load.end.dryGrams;
  if (z95 * pair.uGrams > limitGrams)
    reasons.push({
      code: "too-coarse",
      text: `losses under ${inMass(z95 * pair.uGrams)} do not show on this scale, and ${inMass(limitGrams)} matter here; a finer scale or ${next} more of drying would settle it`,
    });
  if (pWetStopped > 1 - thresholds.stable)
    reasons.push(
      load.end.telling
        ? {
            code: "heavy",
            text: `weight stands still, but heavier than this food is likely to be when dry: check vacuum, heat and ice`,
          }
        : {
            code: "dryness-unchecked",
            text: `the dry mass of this food is too little known to show a dryer that stopped; its water content, or the thickest piece broken, would settle it`,
          },
    );
  if (reasons.length === 0)
    reasons.push({
      code: "too-few",
      text: `the last weighings leave it open; weigh again after ${next} more of drying`,
    });
  return reasons;
}
