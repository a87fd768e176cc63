/** A batch in the shapes of wire/: its trays, verdicts, clock, curves and history. */
import { clockDoubtAt } from "../tray/clockdoubt.ts";
import { isoOf, isoOrNull } from "../clock.ts";
import { spanToDryBasis } from "../food/basis.ts";
import { netUncertainty } from "../tray/net.ts";
import { trayClock } from "../tray/dryingclock.ts";
import { moistureOf, waterRemoved, yieldOf } from "../tray/yield.ts";
import type { TrayId, TrayWeighing } from "../tray/weighing.ts";
import { asKept } from "../units/mass.ts";
import { grams, utcMs, type Grams } from "../units/quantity.ts";
import { byCriteria, type CriterionAnswer } from "../verdict/criteria.ts";
import { ofFoodLeft } from "../verdict/foodtaken.ts";
import { provableBefore, worthPlanningHours } from "../verdict/provable.ts";
import type {
  Contradiction,
  CurveShape,
  Interval,
  Reason,
  TrayVerdict,
  VerdictWord,
} from "../verdict/verdict.ts";
import type * as wireBatch from "../wire/batch.ts";
import type { Span } from "../wire/words.ts";
import type { Batch, ClockMoment, Tray } from "./bench.ts";
import { isInDoubt, type Kitchen } from "./kitchen.ts";
import { reasonsIn } from "./given.ts";
import {
  batchClockAt,
  batchHoursAt,
  clockOf,
  coresToCheck,
  current,
  foodOf,
  freshNetOf,
  freshOf,
  isLeftEmpty,
  isRunning,
  logOf,
  minutesOutOf,
  momentsOf,
  netOf,
  netOn,
  nextWeighingAtHours,
  phaseOf,
  portionsOf,
  roundOf,
  tareOf,
  toldOf,
  trayClockOf,
  weighingsOf,
  wordOf,
  type PortionMass,
  type Weighed,
} from "./look.ts";
import type { Now } from "./step.ts";

const span = (interval: Interval<number> | null): Span | null =>
  interval === null ? null : { ...interval };

const idByName = (batch: Batch, name: string): TrayId | null =>
  batch.trays.find((tray) => tray.name === name)?.id ?? null;

type ShowWeighing = (weighing: TrayWeighing) => wireBatch.Weighing;

/** How weighings of a batch are shown: what all of them rest on is looked up once. */
export function weighingsShown(
  batch: Batch,
  { timeFactor, jumps = [] }: Omit<Now, "at">,
): ShowWeighing {
  const counted = new Set(current(batch.weighings));
  const batchClock = clockOf(batch);
  const trays = new Map(
    batch.trays.map((tray) => [
      tray.id,
      { clock: trayClock(batchClock, tray.id), tare: tareOf(batch, tray) },
    ]),
  );
  return (weighing) => {
    const tray = trays.get(weighing.trayId);
    const drying = weighing.kind === "dry" ? (tray?.clock ?? null) : null;
    return {
      id: weighing.id,
      batch: weighing.batchId,
      tray: weighing.trayId,
      kind: weighing.kind,
      portion: weighing.portion,
      grossGrams: weighing.gross,
      netGrams: netOn(tray?.tare ?? null, weighing),
      divisionGrams: weighing.division,
      dryingHours: drying?.dryingHoursAt(weighing.at) ?? null,
      minutesOut: drying && minutesOutOf(drying, weighing.at, timeFactor),
      scale: weighing.scale,
      source: weighing.source,
      zeroSeen: weighing.zeroSeen,
      at: isoOf(weighing.at),
      clockDoubt: clockDoubtAt(jumps, weighing.at, batch.startedAt),
      supersedes: weighing.supersedes,
      struck: weighing.struck,
      foodTaken: weighing.foodTaken === true,
      reason: weighing.reason,
      current: counted.has(weighing),
    };
  };
}

/** What the net mass that was probably meant makes of the whole tray, as a correction would state it. */
function meantBy(
  batch: Batch,
  trayName: string,
  net: Grams | null,
): { readonly netGrams: number; readonly grossGrams: number } | null {
  const tray = batch.trays.find(({ name }) => name === trayName);
  const tare = tray === undefined ? null : tareOf(batch, tray);
  if (net === null || tare === null) return null;
  return { netGrams: asKept(net), grossGrams: asKept(grams(net + tare)) };
}

/** Of a reason that ends with how many more hours to give. */
export const beforeHours = (text: string): string => text.replace(/(; |, and ).*/, "");

/** To a batch that has ended no hours are given: what is left of such a sentence is none that pages word by figures. */
const reasonShown = (isEnded: boolean, { code, sentence, figures, text }: Reason) =>
  isEnded && "nextHours" in figures
    ? { code, sentence: `${sentence}-ended`, figures: {}, text: beforeHours(text) }
    : { code, sentence, figures, text };

/** A tray that lost too much, or was weighed twice in one round, the second time less. */
const mayBeFoodTaken = ({ code, figures }: Contradiction): boolean =>
  code === "food-removed" ||
  (code === "weighed-twice" && Number(figures["netGrams"]) < Number(figures["beforeGrams"]));

function showVerdict(batch: Batch, verdict: TrayVerdict): wireBatch.TrayVerdict {
  const { contradiction, fit } = verdict;
  const isEnded = batch.endedAt !== null;
  return {
    tray: verdict.tray,
    verdict: verdict.verdict,
    confidence: verdict.confidence,
    p_dry: verdict.pDry,
    reasons: verdict.reasons.map((reason) => reasonShown(isEnded, reason)),
    remaining_g: span(verdict.remaining),
    more_hours: isEnded ? null : span(verdict.moreHours),
    next_weighing_hours: isEnded ? null : verdict.nextWeighingHours,
    provable_g: verdict.provable,
    contradiction:
      contradiction === null
        ? null
        : {
            code: contradiction.code,
            sentence: contradiction.sentence,
            figures: contradiction.figures,
            text: contradiction.text,
            weighing: batch.weighings.some((one) => one.id === contradiction.ref)
              ? contradiction.ref
              : null,
            otherTray: contradiction.otherTray,
            foodTaken: mayBeFoodTaken(contradiction),
            meant: meantBy(batch, verdict.tray, contradiction.meantNet),
          },
    fit:
      fit === null
        ? null
        : {
            model: fit.model,
            parameters: { ...fit.parameters },
            standard_errors: { ...fit.standardErrors },
          },
    expected_dry_g: span(verdict.expectedDry),
  };
}

function showTray(batch: Batch, tray: Tray, showWeighing: ShowWeighing): wireBatch.Tray {
  const weighings = weighingsOf(batch, tray.id);
  const freshNet = freshNetOf(batch, tray);
  const dry = weighings.findLast((weighing) => weighing.kind === "dry");
  const net = dry === undefined ? freshNet : netOf(batch, dry);
  const verdict = toldOf(batch, tray);
  const check = batch.coreChecks.findLast((one) => one.trayId === tray.id);
  const food = foodOf(batch, tray);
  // A tare that was typed too heavy leaves nothing to take a share of.
  const holds =
    freshNet === null || net === null || freshNet <= 0 || net <= 0 ? null : { freshNet, net };
  const moisture = holds === null || food === null ? null : moistureOf({ ...holds, food });
  return {
    id: tray.id,
    name: tray.name,
    tareGrams: tareOf(batch, tray),
    food: tray.foodName,
    foodSource: food?.source ?? null,
    waterPct: food === null ? null : food.water * 100,
    cautions: [...tray.cautions],
    thicknessMm: tray.thicknessMm,
    portions: portionsOf(batch, tray).map(showPortion),
    freshGrams: freshNet,
    netGrams: net,
    waterRemovedGrams:
      freshNet === null || net === null ? null : asKept(waterRemoved(freshNet, net)),
    yieldFraction: holds === null ? null : yieldOf(holds.freshNet, holds.net),
    moistureWetBasis: span(moisture),
    moistureDryBasis: spanToDryBasis(moisture),
    verdict: verdict === null ? null : showVerdict(batch, verdict),
    coreCheck:
      check === undefined
        ? null
        : {
            finding: check.finding,
            at: isoOf(check.at),
            dryingHours: trayClockOf(batch, tray.id).dryingHoursAt(check.at),
          },
    weighings: weighings.map(showWeighing),
  };
}

const showPortion = ({ portion, fresh, dry }: PortionMass): wireBatch.Portion => ({
  place: portion.place,
  food: portion.foodName,
  foodSource: portion.food?.source ?? null,
  waterPct: portion.food === null ? null : portion.food.water * 100,
  cautions: [...portion.cautions],
  thicknessMm: portion.thicknessMm,
  targetGrams: portion.target,
  fromBag: portion.fromBag,
  freshGrams: fresh,
  dryGrams: dry === null ? null : asKept(dry.grams),
  dryIsEstimate: dry?.isEstimate ?? false,
});

const showMoment = (moment: ClockMoment, isCurrent: boolean): wireBatch.ClockMoment => ({
  id: moment.id,
  is: moment.is,
  at: isoOf(moment.at),
  trays: moment.trays === null ? null : [...moment.trays],
  implied: moment.implied,
  supersedes: moment.supersedes,
  struck: moment.struck,
  reason: moment.reason,
  current: isCurrent,
});

function showClock(batch: Batch, now: Now): wireBatch.Batch["clock"] {
  const at = batch.endedAt ?? now.at;
  const { is, since } = batchClockAt(batch, at);
  const clock = clockOf(batch);
  const out = batch.trays.flatMap(
    ({ id }) => minutesOutOf(trayClock(clock, id), at, now.timeFactor) ?? [],
  );
  return {
    state: is,
    since: isoOrNull(since),
    dryingHours: batchHoursAt(batch, at),
    minutesOut: out.length === 0 ? null : Math.max(...out),
    running: isRunning(batch),
  };
}

function showNextWeighing(batch: Batch, now: Now): wireBatch.Batch["nextWeighing"] {
  if (phaseOf(batch) !== "drying") return null;
  const due = nextWeighingAtHours(batch, now.at, now.timeFactor);
  if (due === null) return null;
  const left = due - batchHoursAt(batch, now.at);
  const counting = batchClockAt(batch, now.at).is === "in" && isRunning(batch);
  return {
    dryingHours: due,
    at: counting ? isoOf(utcMs(now.at + Math.max(0, left) * 3_600_000)) : null,
    due: counting && left <= 0,
  };
}

type Named = Pick<Batch, "id" | "number" | "name" | "dryer" | "startedAt" | "endedAt" | "practice">;

/** What a batch is known by. */
const showNamed = (batch: Named) => ({
  id: batch.id,
  number: batch.number,
  name: batch.name,
  dryer: batch.dryer,
  startedAt: isoOf(batch.startedAt),
  endedAt: isoOrNull(batch.endedAt),
  practice: batch.practice,
});

export function showBatch(batch: Batch, now: Now): wireBatch.Batch {
  const round = roundOf(batch);
  const word = wordOf(batch);
  const behind = word === null ? [] : (batch.judged?.behind ?? []);
  const showWeighing = weighingsShown(batch, now);
  return {
    ...showNamed(batch),
    phase: phaseOf(batch),
    clock: showClock(batch, now),
    round: {
      number: round?.number ?? 0,
      weighed: [...(round?.weighed ?? [])],
      waiting: [...(round?.waiting ?? [])],
    },
    verdict: word,
    moreHours: batch.endedAt === null ? span(batch.judged?.moreHours ?? null) : null,
    behind: behind.flatMap((name) => idByName(batch, name) ?? []),
    nextWeighing: showNextWeighing(batch, now),
    coresToCheck: [...coresToCheck(batch)],
    provableBefore: showProvable(batch),
    trays: batch.trays.map((tray) => showTray(batch, tray, showWeighing)),
    moments: momentsOf(batch).map((moment) => showMoment(moment, true)),
    interruptions: batch.interruptions.map((one) => ({
      id: one.id,
      from: isoOf(one.from),
      to: isoOrNull(one.to),
      reason: one.reason,
    })),
    gaps: batch.gaps.map((gap) => ({
      id: gap.id,
      batch: gap.batchId,
      from: isoOf(gap.from),
      to: isoOf(gap.to),
      dryerRan: gap.dryerRan,
    })),
  };
}

/** What the scale can prove of the load, as long as nothing was weighed after drying. */
function showProvable(batch: Batch): wireBatch.Batch["provableBefore"] {
  if (batch.endedAt !== null || batch.weighings.some(({ kind }) => kind === "dry")) return null;
  const loads = batch.trays.flatMap((tray) => {
    const weighing = freshOf(batch, tray);
    const fresh = weighing === null ? null : netOf(batch, weighing);
    if (weighing === null || fresh === null || fresh <= 0) return [];
    return [{ fresh, food: tray.food, division: weighing.division }];
  });
  if (loads.length === 0) return null;
  const division = grams(Math.max(...loads.map((load) => load.division)));
  const provable = provableBefore(loads, division);
  return {
    divisionGrams: division,
    longestHours: Math.max(...provable.hoursByTray),
    togetherHours: provable.hoursTogether,
    divisionNeededGrams: provable.divisionNeeded,
    worthPlanningHours,
  };
}

type Summed = Weighed & Named;

export function showSummary(batch: Summed, word: VerdictWord | null): wireBatch.BatchSummary {
  const sum = (of: (tray: Tray) => Grams | null): number | null => {
    const masses = batch.trays.filter((tray) => !isLeftEmpty(batch, tray)).map(of);
    const known = masses.filter((mass) => mass !== null);
    return known.length === 0 || known.length < masses.length
      ? null
      : known.reduce((total, mass) => total + mass, 0);
  };
  const lastNet = (tray: Tray): Grams | null => {
    const dry = weighingsOf(batch, tray.id).findLast((weighing) => weighing.kind === "dry");
    return dry === undefined ? null : netOf(batch, dry);
  };
  return {
    ...showNamed(batch),
    verdict: word,
    foods: [...new Set(batch.trays.flatMap((tray) => tray.foodName ?? []))],
    trays: batch.trays.length,
    freshGrams: sum((tray) => freshNetOf(batch, tray)),
    netGrams: sum(lastNet),
  };
}

const showShape = (shape: CurveShape | null): wireBatch.Curve["fit"] =>
  shape === null
    ? null
    : {
        dryingHours: [...shape.dryingHours],
        netGrams: [...shape.netGrams],
        lowGrams: [...shape.lowGrams],
        highGrams: [...shape.highGrams],
      };

export function showCurves(batch: Batch): wireBatch.Curve[] {
  const clock = clockOf(batch);
  return batch.trays.map((tray) => {
    const verdict = batch.judged?.trays.find((one) => one.tray === tray.name);
    const ofTray = trayClock(clock, tray.id);
    const left = ofFoodLeft(logOf(batch, tray, 1, clock));
    const massOf = new Map(left.weighings.map(({ ref, net }) => [ref, net]));
    if (left.fresh !== null) massOf.set(left.fresh.ref, left.fresh.net);
    const counted = weighingsOf(batch, tray.id).filter((weighing) => weighing.kind !== "tare");
    return {
      tray: tray.id,
      name: tray.name,
      fit: showShape(verdict?.curve ?? null),
      points: counted.flatMap((weighing) => {
        const net = massOf.get(weighing.id);
        if (net === undefined) return [];
        const isDry = weighing.kind === "dry";
        return [
          {
            weighing: weighing.id,
            dryingHours: isDry ? ofTray.dryingHoursAt(weighing.at) : 0,
            netGrams: net,
            uncertaintyGrams: netUncertainty(weighing.division),
            stretch: ofTray.stretchAt(weighing.at),
          },
        ];
      }),
      expectedDryGrams: span(verdict?.expectedDry ?? null),
      criteria: byCriteria(left.weighings).map(({ criterion, answer }) => ({
        name: criterion.name,
        rule: criterion.rule,
        source: criterion.source,
        ...showAnswer(answer),
      })),
    };
  });
}

const showAnswer = (answer: CriterionAnswer) => ({
  is: answer.is,
  changeGrams: "changeGrams" in answer ? answer.changeGrams : null,
  allowedGrams: "allowedGrams" in answer ? answer.allowedGrams : null,
  waitHours: "waitHours" in answer ? answer.waitHours : null,
  divisionNeededGrams: "divisionNeededGrams" in answer ? answer.divisionNeededGrams : null,
  massNeededGrams: "massNeededGrams" in answer ? answer.massNeededGrams : null,
});

export function showHistory(batch: Batch, kitchen: Kitchen, now: Now): wireBatch.History {
  const shown = showBatch(batch, now);
  const moments = new Set(momentsOf(batch));
  return {
    weighings: batch.weighings.map(weighingsShown(batch, now)),
    moments: batch.moments.map((one) => showMoment(one, moments.has(one))),
    interruptions: shown.interruptions,
    gaps: shown.gaps,
    verdicts: batch.verdicts.map((one) => ({
      at: isoOf(one.at),
      round: one.round,
      tray: one.trayId,
      verdict: one.word,
      judgmentVersion: one.judgmentVersion,
      text: one.text,
      reasons: reasonsIn(one.basis),
    })),
    coreChecks: batch.coreChecks.map((one) => ({
      tray: one.trayId,
      finding: one.finding,
      at: isoOf(one.at),
    })),
    inDoubt: batch.weighings.filter((one) => isInDoubt(kitchen, one)).map(({ id }) => id),
  };
}
