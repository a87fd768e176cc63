/**
 * Verdicts as they are announced and kept: with the logs that they rest on, and with what of the batch was there then,
 * so that `replay.ts` can judge the same anew whatever was corrected, added or learned since.
 */
import type { ScaleComparison } from "../tray/offset.ts";
import type { TrayLog, WeighingId } from "../tray/weighing.ts";
import type { Fraction, Grams, UtcMs } from "../units/quantity.ts";
import { judgeBatch } from "../verdict/judge.ts";
import type { Placement } from "../verdict/placement.ts";
import { withScalesSaid } from "../verdict/otherscale.ts";
import { isSentence, type Said } from "../verdict/sentences.ts";
import { judgmentVersion, type BatchVerdict } from "../verdict/verdict.ts";
import type { Batch, Bench, GivenVerdict } from "./bench.ts";
import { clockOf, logOf, toldOf } from "./look.ts";
import { onOneScale } from "./onescale.ts";
import { ratesIn, sameFood, withRates, type FoodRate } from "./lessons.ts";
import { placementsOf, withScalesLearned } from "./repeats.ts";
import { divisionsFound, withDivisionsFound } from "./stepsfound.ts";

export type Judging = {
  readonly limit: Fraction;
  /** How many times faster than hands the clock runs while trays are out; 1 but for trials. */
  readonly timeFactor: number;
  /** null: scales were not told apart, as before comparisons were kept. */
  readonly comparisons: readonly ScaleComparison[] | null;
  /** Learned of the scales; left out: nothing. */
  readonly placements?: readonly Placement[];
  /** What ended batches showed of their foods' rates; left out: nothing. */
  readonly rates?: readonly FoodRate[];
  /** false: of trays that joined later the hours before were counted too, as they were once. */
  readonly joining?: boolean;
  /** false: what a scale weighed before its step was found out is judged by the step that its decimals show, as once. */
  readonly stepsFound?: boolean;
  /** How rounds are counted, where it is not as now. */
  readonly clock?: NonNullable<Standing["clock"]>;
};

/**
 * What of a batch was there: the last number of every noun that is only added to, and what could still be answered.
 * The trays and the water that their food was believed to hold are in the versions of the trays.
 */
export type Standing = {
  readonly tray: number;
  readonly weighing: number;
  readonly moment: number;
  readonly coreCheck: number;
  /** Of two scales; left out: they were not told apart. */
  readonly comparison?: number;
  /** Left out: nothing was learned of any scale. */
  readonly placements?: readonly Placement[];
  /** Left out: nothing was learned of how fast its foods dry. */
  readonly rates?: readonly FoodRate[];
  /**
   * How the clock is read. 2: trays that came out one after the other began a round each. Left out: as once, when of trays
   * that joined later the hours before were counted too, and every word that trays came out began a round.
   */
  readonly clock?: 2 | 3;
  /** Weighings from before the step of their scale was found out are judged with it. Left out: there was none. */
  readonly stepsFound?: true;
  readonly interruptions: readonly { readonly id: number; readonly to: UtcMs | null }[];
  readonly gaps: readonly { readonly id: number; readonly dryerRan: boolean | null }[];
};

/** What is known besides the weighings of a batch. */
export const knownBesides = (bench: Bench): Omit<Judging, "limit" | "timeFactor"> => ({
  comparisons: bench.kitchen.comparisons,
  placements: placementsOf(bench),
  rates: ratesIn(bench),
});

/** Of the trays that were weighed before drying. */
export const logsOf = (
  batch: Batch,
  {
    timeFactor,
    comparisons,
    placements = [],
    rates = [],
    joining = true,
    stepsFound = true,
  }: Omit<Judging, "limit">,
): readonly TrayLog[] => {
  const clock = clockOf(batch, joining ? undefined : new Map());
  const found = stepsFound ? divisionsFound(batch) : new Map<WeighingId, Grams>();
  return batch.trays
    .map((tray) => {
      const weighed = withDivisionsFound(logOf(batch, tray, timeFactor, clock), found);
      const log = withRates(withScalesLearned(weighed, batch, placements), rates);
      return comparisons === null ? log : onOneScale(log, batch, tray, comparisons);
    })
    .filter((log) => log.fresh !== null);
};

/** null: no tray was weighed before drying. */
export function judgedAs(batch: Batch, judging: Judging): BatchVerdict | null {
  const logs = logsOf(batch, judging);
  if (logs.length === 0) return null;
  return withScalesSaid(judgeBatch(logs, { limit: judging.limit }), logs);
}

/** The batch as a whole first, then its trays. */
export function verdictsGiven(
  batch: Batch,
  judged: BatchVerdict,
  given: Judging & { readonly round: number; readonly at: UtcMs },
): readonly Omit<GivenVerdict, "id">[] {
  const { limit, timeFactor, round, at } = given;
  const logs = logsOf(batch, given);
  const common = { batchId: batch.id, round, at, judgmentVersion };
  return [
    {
      ...common,
      trayId: null,
      word: judged.verdict,
      text: judged.behind.join(", "),
      basis: JSON.stringify({
        limit,
        moreHours: judged.moreHours,
        timeFactor,
        standing: standingOf(batch, given),
      }),
    },
    ...judged.trays.map((verdict) => ({
      ...common,
      trayId: batch.trays.find((tray) => tray.name === verdict.tray)?.id ?? null,
      word: verdict.verdict,
      text: verdict.reasons.map((reason) => reason.text).join("; "),
      basis: JSON.stringify({
        limit,
        log: logs.find((log) => log.tray === verdict.tray),
        verdict: { ...verdict, curve: null },
      }),
    })),
  ];
}

/** Those that are announced; earlier programs gave one of trays of which nothing is told yet, too. */
export const toldAmong = <Given extends Pick<GivenVerdict, "trayId">>(
  batch: Batch,
  given: readonly Given[],
): readonly Given[] =>
  given.filter(({ trayId }) => {
    const tray = batch.trays.find(({ id }) => id === trayId);
    return tray === undefined || toldOf(batch, tray) !== null;
  });

function standingOf(
  batch: Batch,
  {
    comparisons,
    placements = [],
    rates = [],
    joining = true,
    stepsFound = true,
    clock = 3,
  }: Judging,
): Standing {
  const ofItsFoods = rates.filter(({ food }) =>
    batch.trays.some((tray) => sameFood(food, tray.food?.name ?? "")),
  );
  const last = (rows: readonly { readonly id: number }[]): number =>
    Math.max(0, ...rows.map(({ id }) => id));
  return {
    tray: last(batch.trays),
    weighing: last(batch.weighings),
    moment: last(batch.moments),
    coreCheck: last(batch.coreChecks),
    ...(comparisons === null ? {} : { comparison: last(comparisons) }),
    ...(placements.length === 0 ? {} : { placements }),
    ...(ofItsFoods.length === 0 ? {} : { rates: ofItsFoods }),
    ...(joining ? { clock } : {}),
    ...(stepsFound && divisionsFound(batch).size > 0 ? { stepsFound } : {}),
    interruptions: batch.interruptions.map(({ id, to }) => ({ id, to })),
    gaps: batch.gaps.map(({ id, dryerRan }) => ({ id, dryerRan })),
  };
}

/** The batch as it stood. `trays`: the versions that they had then. */
export function asItStood(batch: Batch, trays: Batch["trays"], standing: Standing): Batch {
  const upTo = <Row extends { readonly id: number }>(rows: readonly Row[], last: number): Row[] =>
    rows.filter(({ id }) => id <= last);
  return {
    ...batch,
    trays: upTo(trays, standing.tray),
    weighings: upTo(batch.weighings, standing.weighing),
    moments: upTo(batch.moments, standing.moment),
    coreChecks: upTo(batch.coreChecks, standing.coreCheck),
    interruptions: batch.interruptions.flatMap((one) => {
      const then = standing.interruptions.find(({ id }) => id === one.id);
      return then === undefined ? [] : [{ ...one, to: then.to }];
    }),
    gaps: batch.gaps.flatMap((one) => {
      const then = standing.gaps.find(({ id }) => id === one.id);
      return then === undefined ? [] : [{ ...one, dryerRan: then.dryerRan }];
    }),
    judged: null,
  };
}

/** The last row of weighings that was there when a batch's verdict was given; null where it does not say. */
export function weighingsBehind(basis: string): number | null {
  const { standing } = JSON.parse(basis) as { readonly standing?: Partial<Standing> };
  return standing?.weighing ?? null;
}

/** What a kept verdict said, sentence by sentence; none where it was kept before reasons had figures. */
export function reasonsIn(basis: string): Said[] {
  const kept = JSON.parse(basis) as { readonly verdict?: { readonly reasons?: readonly Said[] } };
  const reasons = kept.verdict?.reasons ?? [];
  if (!reasons.every(({ sentence }) => isSentence(sentence ?? ""))) return [];
  return reasons.map(({ sentence, figures, text }) => ({ sentence, figures, text }));
}
