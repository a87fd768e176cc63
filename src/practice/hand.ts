/**
 * The practice hand: what a patient person would do next at the dryer, seen from the same bench that the page
 * shows. In: the bench, what the hand has on the pan, and how long its present act has lasted. Out: the next act
 * and a sentence about it. What was weighed and dried it reads from the bench, so that a person may take over,
 * and the service may start again, at any point.
 */
import type { Batch, Tray } from "../wire/batch.ts";
import type { Bench, Scale, ScaleTask } from "../wire/bench.ts";
import type { ClockSet, LoadAnswer, NewBatch } from "../wire/requests.ts";
import type { CoreFinding, WeighingKind } from "../wire/words.ts";
import { hours, type Grams } from "../units/quantity.ts";
import { between, type Chance } from "./chance.ts";
import { dryMass, loadAt, netAfter, practiceDryer, practiceLoads } from "./dryer.ts";
import { afterPackAct, idlePacker, packMove, type PackAct, type Packer } from "./packer.ts";
import { trayCalled } from "../tray/called.ts";

export type Act =
  | { readonly is: "start-batch"; readonly body: NewBatch }
  | { readonly is: "place"; readonly tray: number; readonly empty: boolean }
  | { readonly is: "lift" }
  | { readonly is: "clock"; readonly batch: number; readonly set: ClockSet["is"] }
  | { readonly is: "core"; readonly tray: number; readonly finding: CoreFinding }
  | { readonly is: "answer-load"; readonly scale: string; readonly body: LoadAnswer }
  | { readonly is: "answer-gap"; readonly gap: number; readonly dryerRan: boolean }
  | { readonly is: "acknowledge"; readonly alert: number }
  | { readonly is: "end"; readonly batch: number }
  | PackAct
  | { readonly is: "wait" };

export type Hand = {
  readonly onPan: {
    readonly tray: number;
    readonly empty: boolean;
    /** The newest weighing of that tray when it was put down: a newer one means that the load was taken. */
    readonly lastWeighing: number;
  } | null;
  /** How long the hand stays with its present act before it looks for the next. */
  readonly pauseMs: number;
  readonly batchesBegun: number;
  readonly packer: Packer;
};

export const idleHand: Hand = {
  onPan: null,
  pauseMs: 1000,
  batchesBegun: 0,
  packer: idlePacker,
};

/** `inActMs`: real milliseconds since the last act that was not a wait. */
type Seen = {
  readonly bench: Bench;
  readonly hand: Hand;
  readonly inActMs: number;
  readonly mostBatches: number;
};

/** `doing` is null while the hand lingers over what it did last. */
type Move = { readonly act: Act; readonly doing: string | null };

/** A load that is not taken within this time is lifted and put down again. */
const giveUpLoadMs = 15_000;
/** The hand weighs at the program's proposal, but at the latest after so many hours in the dryer. */
const firstHours = 15;
const againHours = 4;
const restMs = 20_000;
/** After as many rounds of weighing a batch is ended whatever the verdict: practice has to go on. */
const mostRounds = 14;
/** A piece is dry inside when the whole tray has no more than this above its dry mass. */
const dryWithin = 1.01;
/** Drying hours within which two figures mean the same time out of the dryer. */
const sameHours = 0.02;

const wait = (doing: string | null): Move => ({ act: { is: "wait" }, doing });

export function nextMove(seen: Seen): Move {
  const { bench, hand, inActMs } = seen;
  const scale = bench.scales.find((one) => one.practice);
  if (inActMs < hand.pauseMs) return wait(null);
  if (!bench.recording) return wait("waiting until weighings can be kept again");
  if (scale === undefined || scale.link !== "up") return wait("waiting for the practice scale");
  if (hand.onPan !== null) return withLoad(seen, hand.onPan, scale);

  const gap = bench.batches.flatMap((batch) => batch.gaps).find((one) => one.dryerRan === null);
  if (gap !== undefined)
    return {
      act: { is: "answer-gap", gap: gap.id, dryerRan: true },
      doing: "saying that the practice dryer ran on while the program was down",
    };
  const { toPack } = hand.packer;
  const told = toPack === null ? undefined : bench.alerts.find((one) => one.batch === toPack.batch);
  if (told !== undefined)
    return { act: { is: "acknowledge", alert: told.id }, doing: "tidying up the alerts" };
  const packing = packMove({
    bench,
    packer: hand.packer,
    scale,
    inActMs,
    giveUpMs: giveUpLoadMs,
  });
  if (packing !== null) return packing;
  const moves = bench.batches
    .filter((batch) => batch.practice && batch.trays.length > 0)
    .map((batch) => (batch.phase === "loading" ? loading(batch) : drying(bench, batch)));
  return moves.find((move) => move.act.is !== "wait") ?? moves[0] ?? betweenBatches(seen);
}

function withLoad(seen: Seen, onPan: NonNullable<Hand["onPan"]>, scale: Scale): Move {
  const batch = seen.bench.batches.find((one) => one.trays.some((t) => t.id === onPan.tray));
  const tray = batch?.trays.find((one) => one.id === onPan.tray);
  if (batch === undefined || tray === undefined)
    return { act: { is: "lift" }, doing: "taking off a tray of a batch that has ended" };
  if (newestWeighing(tray) > onPan.lastWeighing)
    return { act: { is: "lift" }, doing: `lifting ${trayCalled(tray.name)}` };
  const question = questionAt(seen.bench.tasks, scale);
  if (question !== null) {
    const kind = kindOf(batch, onPan.empty);
    return {
      act: {
        is: "answer-load",
        scale: scale.id,
        body: { load: question.load, tray: tray.id, kind },
      },
      doing: `saying that it is ${trayCalled(tray.name)}`,
    };
  }
  if (seen.inActMs > giveUpLoadMs)
    return { act: { is: "lift" }, doing: `lifting ${trayCalled(tray.name)} to try again` };
  return wait(`waiting until ${trayCalled(tray.name)} is taken`);
}

const questionAt = (tasks: readonly ScaleTask[], scale: Scale): ScaleTask["question"] =>
  tasks.find((task) => task.scale === scale.id)?.question ?? null;

const kindOf = (batch: Batch, empty: boolean): WeighingKind => {
  if (empty) return "tare";
  return batch.phase === "loading" ? "fresh" : "dry";
};

const newestWeighing = (tray: Tray): number => Math.max(0, ...tray.weighings.map((one) => one.id));

const hasKind = (tray: Tray, kind: WeighingKind): boolean =>
  tray.weighings.some((one) => one.kind === kind);

function betweenBatches({ bench, hand, inActMs, mostBatches }: Seen): Move {
  const open = bench.alerts[0];
  if (open !== undefined)
    return { act: { is: "acknowledge", alert: open.id }, doing: "tidying up the alerts" };
  if (hand.batchesBegun >= mostBatches) return wait("done: start a batch of your own");
  if (hand.batchesBegun > 0 && inActMs < restMs) return wait("resting before the next batch");
  return {
    act: { is: "start-batch", body: practiceBatch() },
    doing: "starting a practice batch",
  };
}

/** Four trays whose empty masses are known from an earlier day. */
function practiceBatch(): NewBatch {
  return {
    dryer: practiceDryer,
    trays: practiceLoads.map((load, place) => ({
      name: `${place + 1}`,
      tareGrams: load.tareGrams,
      food: load.food,
      waterPct: load.waterPct,
    })),
  };
}

function loading(batch: Batch): Move {
  for (const tray of batch.trays) {
    if (tray.tareGrams === null)
      return {
        act: { is: "place", tray: tray.id, empty: true },
        doing: `weighing ${trayCalled(tray.name)} empty`,
      };
    if (!hasKind(tray, "fresh"))
      return {
        act: { is: "place", tray: tray.id, empty: false },
        doing: `loading ${trayCalled(tray.name)}`,
      };
  }
  return {
    act: { is: "clock", batch: batch.id, set: "in" },
    doing: "putting the trays into the dryer",
  };
}

function drying(bench: Bench, batch: Batch): Move {
  if (batch.clock.state === "in") return inDryer(bench, batch);
  const left = batch.trays.filter((tray) => !weighedSinceOut(batch, tray));
  const alert = bench.alerts.find((one) => one.batch === batch.id);
  if (alert !== undefined && left.length === batch.trays.length)
    return { act: { is: "acknowledge", alert: alert.id }, doing: "reading the alerts" };
  const [waiting] = left;
  if (waiting !== undefined)
    return {
      act: { is: "place", tray: waiting.id, empty: false },
      doing: `weighing ${trayCalled(waiting.name)}`,
    };
  // After a soft piece only another, found dry, lets a batch be called stable.
  const isForBreaking = batch.trays.every(
    (tray) => tray.verdict?.verdict === "stable" || batch.coresToCheck.includes(tray.id),
  );
  if (batch.verdict === "stable" || isForBreaking || batch.round.number >= mostRounds)
    return finish(batch);
  return {
    act: { is: "clock", batch: batch.id, set: "in" },
    doing: "putting the trays back into the dryer",
  };
}

/** While the trays are out their clock stands, so a weighing at the clock's hours is one of this round. */
function weighedSinceOut(batch: Batch, tray: Tray): boolean {
  return tray.weighings.some(
    ({ kind, dryingHours }) =>
      kind === "dry" &&
      dryingHours !== null &&
      Math.abs(dryingHours - batch.clock.dryingHours) < sameHours,
  );
}

function inDryer(bench: Bench, batch: Batch): Move {
  const alerted = bench.alerts.some(
    (one) => one.batch === batch.id && one.code === "time-to-weigh",
  );
  const due = alerted || batch.nextWeighing?.due === true;
  if (!due && batch.clock.dryingHours < latestHours(batch))
    return wait("waiting while the dryer works");
  return {
    act: { is: "clock", batch: batch.id, set: "out" },
    doing: "taking the trays out to weigh them",
  };
}

function latestHours(batch: Batch): number {
  const weighed = batch.trays.flatMap((tray) =>
    tray.weighings.flatMap(({ kind, dryingHours }) => (kind === "dry" ? [dryingHours ?? 0] : [])),
  );
  return weighed.length === 0 ? firstHours : Math.max(...weighed) + againHours;
}

function finish(batch: Batch): Move {
  const toBreak = batch.trays.find((tray) => batch.coresToCheck.includes(tray.id));
  if (toBreak === undefined)
    return { act: { is: "end", batch: batch.id }, doing: "ending the batch" };
  const net = trueNet(batch, toBreak.id);
  const load = loadAt(batch.trays.indexOf(toBreak));
  const dry = net <= dryWithin * dryMass(load, toBreak.waterPct);
  return {
    act: { is: "core", tray: toBreak.id, finding: dry ? "dry" : "soft" },
    doing: `breaking the thickest piece of ${trayCalled(toBreak.name)}`,
  };
}

/** What lies on this tray of the batch at present, without the tray. */
export function trueNet(batch: Batch, trayId: number): Grams {
  const place = batch.trays.findIndex((one) => one.id === trayId);
  const typedWater = batch.trays[place]?.waterPct ?? null;
  const dried = batch.phase === "loading" ? 0 : batch.clock.dryingHours;
  return netAfter(loadAt(place), typedWater, hours(dried));
}

/** The hand after an act that was carried out. */
export function afterAct(hand: Hand, act: Act, bench: Bench, chance: Chance): Hand {
  const next = { ...hand, pauseMs: between(800, 2000, chance) };
  switch (act.is) {
    case "wait":
      return hand;
    case "place": {
      const tray = bench.batches.flatMap((one) => one.trays).find((one) => one.id === act.tray);
      const lastWeighing = tray === undefined ? 0 : newestWeighing(tray);
      return { ...next, onPan: { tray: act.tray, empty: act.empty, lastWeighing } };
    }
    case "lift":
      return { ...next, onPan: null, packer: afterPackAct(hand.packer, act) };
    case "plan-bags":
    case "choose-bag":
    case "place-bag":
      return { ...next, packer: afterPackAct(hand.packer, act) };
    case "end": {
      const tray = bench.batches.find(({ id }) => id === act.batch)?.trays[0];
      const toPack = tray === undefined ? null : { batch: act.batch, tray: tray.id };
      return { ...next, packer: { ...hand.packer, toPack } };
    }
    case "start-batch":
      return { ...next, batchesBegun: hand.batchesBegun + 1 };
    default:
      return next;
  }
}
