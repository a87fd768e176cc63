/** The bench in the shapes of wire/: what the page and other programs see. */
import { isoOf, isoOrNull } from "../clock.ts";
import { pourTolerance } from "../tray/portion.ts";
import type { TrayWeighing } from "../tray/weighing.ts";
import { grams } from "../units/quantity.ts";
import type * as wire from "../wire/bench.ts";
import type { Alert, AlertFigures, Batch, Bench, ScaleOnBench, Settings, Tray } from "./bench.ts";
import { choiceOn } from "./crossed.ts";
import { nextLoad } from "./loads.ts";
import { hiddenOf, pourFor } from "./pour.ts";
import { netOf, portionsOf, tareOf } from "./look.ts";
import { showBatch } from "./showbatch.ts";
import { showBagTaken, showBagTask, showPacking } from "./showbag.ts";
import { showChecking } from "./showkitchen.ts";
import type { Now } from "./step.ts";

const showScale = (scale: ScaleOnBench): wire.Scale => ({
  id: scale.id,
  uri: scale.uri,
  practice: scale.practice,
  link: scale.link.link,
  since: isoOf(scale.link.sinceUtcMs),
  why: scale.link.why,
  fix: scale.link.fix,
  form: scale.form,
  unit: scale.unit,
  keys: [...scale.keys],
  asking: scale.asking,
  offersAsking:
    scale.canBeAsked &&
    scale.asking === null &&
    scale.form === null &&
    scale.link.link === "silent",
  candidates: scale.candidates.map((one) => ({ ...one })),
  state: scale.pan.state,
  grams: scale.pan.mass,
  settled: scale.pan.settled,
  divisionGrams: scale.pan.division,
  zeroSeen: scale.pan.zeroSeen,
});

function showTask(bench: Bench, scale: ScaleOnBench, now: Now): wire.ScaleTask {
  const next = nextLoad(bench, scale, now.at);
  return {
    scale: scale.id,
    next:
      next === null
        ? null
        : {
            batch: next.batch.id,
            tray: next.tray.id,
            name: next.tray.name,
            kind: next.kind,
            portion: next.portion,
            chosen: next.chosen,
          },
    chosen: choiceOn(bench, scale, now.at),
    pour: showPour(scale, next),
    check: showChecking(bench, scale, now.at),
    question: showQuestion(bench, scale),
    taken: showTaken(bench, scale),
    bag: showBagTask(bench, scale),
    bagTaken: showBagTaken(bench, scale, now.at),
  };
}

function showQuestion(bench: Bench, { load }: ScaleOnBench): wire.Question | null {
  if (load === null || load.question === null) return null;
  return {
    load: load.id,
    grams: load.weight.mass,
    is: load.question.is,
    why: load.question.why,
    candidates: load.question.candidates.flatMap((one) => {
      const batch = bench.batches.find((other) => other.id === one.batchId);
      const tray = batch?.trays.find((other) => other.id === one.trayId);
      if (batch === undefined || tray === undefined) return [];
      const tare = tareOf(batch, tray);
      return [
        {
          batch: batch.id,
          tray: tray.id,
          name: tray.name,
          kind: one.kind,
          portion: one.portion,
          probability: one.probability,
          netGrams: tare === null || one.kind === "tare" ? null : load.weight.mass - tare,
        },
      ];
    }),
  };
}

function showTaken(bench: Bench, { lastTaken }: ScaleOnBench): wire.Taken | null {
  if (lastTaken === null) return null;
  for (const batch of bench.batches) {
    const weighing = batch.weighings.find((one) => one.id === lastTaken);
    const tray = batch.trays.find((one) => one.id === weighing?.trayId);
    if (weighing === undefined || tray === undefined) continue;
    return {
      weighing: weighing.id,
      batch: batch.id,
      tray: tray.id,
      name: tray.name,
      kind: weighing.kind,
      ...portionTaken(batch, tray, weighing),
      grossGrams: weighing.gross,
      at: isoOf(weighing.at),
    };
  }
  return null;
}

/** Of a portion, what was poured; of a whole tray, all that lies on it. */
function portionTaken(batch: Batch, tray: Tray, weighing: TrayWeighing) {
  const one = portionsOf(batch, tray).find(({ portion }) => portion.place === weighing.portion);
  const isPoured = one !== undefined && weighing.kind === "fresh";
  return {
    portion: weighing.portion,
    food: one?.portion.foodName ?? null,
    netGrams: isPoured ? one.fresh : netOf(batch, weighing),
  };
}

function showPour(scale: ScaleOnBench, next: ReturnType<typeof nextLoad>): wire.ScaleTask["pour"] {
  const pour = pourFor(scale, next);
  if (pour === null) return null;
  const { batch, tray } = pour.as;
  const target = pour.portion?.target ?? null;
  const isWaiting = scale.load?.became === "ignored" || scale.load?.became === "asked";
  return {
    batch: batch.id,
    tray: tray.id,
    name: tray.name,
    portion: pour.portion?.place ?? null,
    portions: tray.portions.length,
    food: pour.portion === null ? tray.foodName : pour.portion.foodName,
    beforeGrams: pour.before,
    hiddenGrams: hiddenOf(scale, tray),
    targetGrams: target,
    toleranceGrams: target === null ? null : pourTolerance(target, scale.pan.division ?? grams(1)),
    load: isWaiting ? (scale.load?.id ?? null) : null,
    isOn: batch.weighings.some(({ id, trayId }) => id === scale.lastTaken && trayId === tray.id),
  };
}

const showFigures = (figures: AlertFigures): wire.Alert["figures"] =>
  Object.fromEntries(
    Object.entries(figures).map(([name, value]) => [
      name,
      typeof value === "object" ? [...value] : value,
    ]),
  );

export const showAlert = (alert: Alert): wire.Alert => ({
  id: alert.id,
  code: alert.code,
  batch: alert.batchId,
  round: alert.round,
  text: alert.text,
  figures: showFigures(alert.figures),
  at: isoOf(alert.at),
  acknowledged: isoOrNull(alert.acknowledgedAt),
});

const showSettings = (settings: Settings): wire.Settings => ({
  limitPct: settings.limit * 100,
  displayUnit: settings.displayUnit,
  webhook: settings.webhook,
  mqtt:
    settings.mqtt === null
      ? null
      : {
          url: settings.mqtt.url,
          prefix: settings.mqtt.prefix,
          user: settings.mqtt.user,
          hasPassword: settings.mqtt.password !== null,
        },
  outTooLongMinutes: settings.outTooLongMinutes,
  sound: settings.sound,
  learning: settings.learning,
});

/** What the bench itself does not know of the program that runs it. */
export type Surroundings = Pick<
  wire.Bench,
  | "program"
  | "practice"
  | "timeFactor"
  | "dataFolder"
  | "recording"
  | "notRecordingWhy"
  | "clockJump"
  | "sending"
  | "backup"
  | "practiceHand"
>;

const showComparing = (
  comparing: Bench["comparing"],
): Exclude<wire.Bench["comparing"], undefined> =>
  comparing === null
    ? null
    : {
        one: comparing.one,
        other: comparing.other,
        first:
          comparing.first === null
            ? null
            : { scale: comparing.first.scale, grams: comparing.first.shown },
        why: comparing.why,
      };

const bagRows = ({ bag, bagWeighing, bagFate, bagGain, weighing }: Bench["next"]): number =>
  bag + bagWeighing + bagFate + bagGain + weighing;

export const showBench = (bench: Bench, around: Surroundings, now: Now): wire.Bench => ({
  ...around,
  scales: bench.scales.map(showScale),
  tasks: bench.scales.map((scale) => showTask(bench, scale, now)),
  comparing: showComparing(bench.comparing),
  nextBatchNumber: bench.next.batchNumber,
  nextWeighing: bench.next.weighing,
  bagsAsOf: bagRows(bench.next),
  batches: bench.batches.map((batch) => showBatch(batch, now)),
  packing: showPacking(bench, now.at),
  alerts: bench.alerts.filter((alert) => alert.acknowledgedAt === null).map(showAlert),
  settings: showSettings(bench.settings),
});
