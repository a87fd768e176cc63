/** The bench after one change. The only place where the bench is altered. */
import type { Bag } from "../bag/bag.ts";
import { isFinal, stateOf } from "../bag/state.ts";
import { isCompared } from "./comparing.ts";
import { current } from "./look.ts";
import { seriesOf } from "./repeats.ts";
import { mostEmptyTrays } from "../tray/whichtray.ts";
import { withCheckWeight, withDryer, withFood } from "./kitchen.ts";
import type { Batch, Bench, Change, CoreCheck, ScaleOnBench } from "./bench.ts";
import type { Grams } from "../units/quantity.ts";

const inBatch = (bench: Bench, batchId: number, edit: (batch: Batch) => Batch): Bench => ({
  ...bench,
  batches: bench.batches.map((batch) => (batch.id === batchId ? edit(batch) : batch)),
});

const onScale = (bench: Bench, scaleId: string, edit: Partial<ScaleOnBench>): Bench => ({
  ...bench,
  scales: bench.scales.map((scale) => (scale.id === scaleId ? { ...scale, ...edit } : scale)),
});

/** Bags that were planned from the tray say it too. */
const withCore = (bench: Bench, { trayId, finding, at }: CoreCheck): Bench => ({
  ...bench,
  bags: bench.bags.map((bag) =>
    bag.parts.some((part) => part.trayId === trayId)
      ? { ...bag, coresSince: [...bag.coresSince, { trayId, finding, at }] }
      : bag,
  ),
});

const inBag = (bench: Bench, bagId: number, edit: (bag: Bag) => Bag): Bench => ({
  ...bench,
  bags: bench.bags.map((bag) => (bag.id === bagId ? edit(bag) : bag)),
});

/** Once the last bag of a plan is gone, so is the plan; a scale lets go of a bag that is gone. */
function withoutGoneBags(bench: Bench): Bench {
  const there = bench.bags.filter((bag) => !isFinal(stateOf(bag)));
  const plans = new Set(there.map((bag) => bag.plan));
  const ids = new Set(there.map((bag) => bag.id));
  return {
    ...bench,
    bags: bench.bags.filter((bag) => plans.has(bag.plan)),
    scales: bench.scales.map((scale) =>
      scale.bag === null || ids.has(scale.bag.bagId) ? scale : { ...scale, bag: null },
    ),
  };
}

const emptiesOf = ({ weighings }: Batch): readonly Grams[] =>
  current(weighings)
    .filter(({ kind }) => kind === "tare")
    .map(({ gross }) => gross);

const after = (next: number, used: number): number => Math.max(next, used + 1);

function lifted(bench: Bench, scaleId: string): Partial<ScaleOnBench> {
  const bag = bench.scales.find((scale) => scale.id === scaleId)?.bag ?? null;
  return bag === null ? {} : { bag: { ...bag, needsLift: false, why: null } };
}

export function apply(bench: Bench, change: Change): Bench {
  const { next } = bench;
  switch (change.is) {
    case "batch-started": {
      const { batch } = change;
      const trayIds = batch.trays.map((tray) => tray.id);
      return {
        ...bench,
        batches: [...bench.batches, batch],
        next: {
          ...next,
          batch: after(next.batch, batch.id),
          batchNumber: after(next.batchNumber, batch.number),
          tray: after(next.tray, Math.max(0, ...trayIds)),
        },
      };
    }
    case "batch-ended": {
      const ended = bench.batches.filter(({ id }) => id === change.batchId);
      return {
        ...bench,
        batches: bench.batches.filter((batch) => batch.id !== change.batchId),
        series: [...bench.series, ...ended.flatMap(seriesOf)],
        emptyTrays: [...bench.emptyTrays, ...ended.flatMap(emptiesOf)].slice(-mostEmptyTrays),
        alerts: bench.alerts.filter((alert) => alert.batchId !== change.batchId),
      };
    }
    case "tray-added":
      return {
        ...inBatch(bench, change.tray.batchId, (batch) => ({
          ...batch,
          trays: [...batch.trays, change.tray],
        })),
        next: { ...next, tray: after(next.tray, change.tray.id) },
      };
    case "tray-changed":
      return inBatch(bench, change.tray.batchId, (batch) => ({
        ...batch,
        trays: batch.trays.map((tray) => (tray.id === change.tray.id ? change.tray : tray)),
      }));
    case "weighing-taken":
      return {
        ...inBatch(bench, change.weighing.batchId, (batch) => ({
          ...batch,
          weighings: [...batch.weighings, change.weighing],
        })),
        next: { ...next, weighing: after(next.weighing, change.weighing.id) },
      };
    case "moment-set":
      return {
        ...inBatch(bench, change.moment.batchId, (batch) => ({
          ...batch,
          moments: [...batch.moments, change.moment],
        })),
        next: { ...next, moment: after(next.moment, change.moment.id) },
      };
    case "interruption-noted":
      return {
        ...inBatch(bench, change.interruption.batchId, (batch) => ({
          ...batch,
          interruptions: [...batch.interruptions, change.interruption],
        })),
        next: { ...next, interruption: after(next.interruption, change.interruption.id) },
      };
    case "interruption-ended":
      return {
        ...bench,
        batches: bench.batches.map((batch) => ({
          ...batch,
          interruptions: batch.interruptions.map((one) =>
            one.id === change.id ? { ...one, to: change.to } : one,
          ),
        })),
      };
    case "gap-found":
      return {
        ...inBatch(bench, change.gap.batchId, (batch) => ({
          ...batch,
          gaps: [...batch.gaps, change.gap],
        })),
        next: { ...next, gap: after(next.gap, change.gap.id) },
      };
    case "gap-answered":
      return {
        ...bench,
        batches: bench.batches.map((batch) => ({
          ...batch,
          gaps: batch.gaps.map((gap) =>
            gap.id === change.id ? { ...gap, dryerRan: change.dryerRan } : gap,
          ),
        })),
      };
    case "core-checked":
      return {
        ...inBatch(withCore(bench, change.check), change.check.batchId, (batch) => ({
          ...batch,
          coreChecks: [...batch.coreChecks, change.check],
        })),
        next: { ...next, coreCheck: after(next.coreCheck, change.check.id) },
      };
    case "verdict-given":
      return {
        ...inBatch(bench, change.verdict.batchId, (batch) => ({
          ...batch,
          verdicts: [...batch.verdicts, change.verdict],
        })),
        next: { ...next, verdict: after(next.verdict, change.verdict.id) },
      };
    case "alert-raised":
      return {
        ...bench,
        alerts: [...bench.alerts, change.alert],
        alertKeys: new Map([...bench.alertKeys, [change.alert.key, null]]),
        next: { ...next, alert: after(next.alert, change.alert.id) },
      };
    case "alert-acknowledged":
      return {
        ...bench,
        alerts: bench.alerts.filter(({ id }) => id !== change.id),
        alertKeys: new Map([
          ...bench.alertKeys,
          ...bench.alerts.flatMap(({ id, key }) =>
            id === change.id ? [[key, change.at] as const] : [],
          ),
        ]),
      };
    case "alert-sent":
      return {
        ...bench,
        alerts: bench.alerts.map((alert) =>
          alert.id === change.id
            ? { ...alert, owed: alert.owed.filter((channel) => channel !== change.channel) }
            : alert,
        ),
      };
    case "bag-planned": {
      const { bag } = change;
      return {
        ...bench,
        bags: [...bench.bags, bag],
        next: {
          ...next,
          bag: after(next.bag, bag.id),
          bagPlan: after(next.bagPlan, bag.plan),
        },
      };
    }
    case "bag-weighed": {
      const { weighing } = change;
      return {
        ...inBag(bench, weighing.bagId, (bag) => ({
          ...bag,
          weighings: [...bag.weighings, weighing],
        })),
        next: { ...next, bagWeighing: after(next.bagWeighing, weighing.id) },
      };
    }
    case "bag-fate": {
      const { fate } = change;
      return withoutGoneBags({
        ...inBag(bench, fate.bagId, (bag) => ({ ...bag, fates: [...bag.fates, fate] })),
        next: { ...next, bagFate: after(next.bagFate, fate.id) },
      });
    }
    case "bag-gain-accepted": {
      const { accepted } = change;
      return {
        ...inBag(bench, accepted.bagId, (bag) => ({
          ...bag,
          gainsAccepted: [...bag.gainsAccepted, accepted],
        })),
        next: { ...next, bagGain: after(next.bagGain, accepted.id) },
      };
    }
    case "bags-returned":
      return {
        ...bench,
        bags: [...bench.bags, ...change.bags].toSorted((one, other) => one.id - other.id),
      };
    case "learned-anew":
      return { ...bench, series: change.series, emptyTrays: change.emptyTrays };
    case "lesson-kept":
      return {
        ...bench,
        lessons: [...bench.lessons, change.lesson],
        next: { ...next, lesson: after(next.lesson, change.lesson.id) },
      };
    case "lesson-changed":
      return {
        ...bench,
        lessons: bench.lessons.map((lesson) =>
          lesson.id === change.lessonId
            ? { ...lesson, counts: change.counts, why: change.reason }
            : lesson,
        ),
      };
    case "dryer-set":
      return { ...bench, kitchen: withDryer(bench.kitchen, change.dryer) };
    case "own-food-set":
      return { ...bench, kitchen: withFood(bench.kitchen, change.food) };
    case "check-weight-set":
      return { ...bench, kitchen: withCheckWeight(bench.kitchen, change.weight) };
    case "scale-checked": {
      const { kitchen } = bench;
      return { ...bench, kitchen: { ...kitchen, checks: [...kitchen.checks, change.check] } };
    }
    case "scales-compared": {
      const { kitchen } = bench;
      const comparisons = [...kitchen.comparisons, change.comparison];
      return { ...bench, kitchen: { ...kitchen, comparisons } };
    }
    case "comparing-changed":
      return { ...bench, comparing: change.comparing };
    case "check-chosen":
      return onScale(bench, change.scaleId, { checking: change.weightId });
    case "settings-changed":
      return { ...bench, settings: change.settings };
    case "scale-came":
      return { ...bench, scales: [...bench.scales, change.scale] };
    case "scale-went":
      return {
        ...bench,
        scales: bench.scales.filter((scale) => scale.id !== change.scaleId),
        comparing: isCompared(bench, change.scaleId) ? null : bench.comparing,
      };
    case "link-changed": {
      const { link, form, unit, keys, candidates } = change;
      const lost = link.link === "up" ? {} : { hidden: null };
      return onScale(bench, change.scaleId, { link, form, unit, keys, candidates, ...lost });
    }
    case "asking-said":
      return onScale(bench, change.scaleId, { asking: change.asking });
    case "pan-changed":
      return onScale(bench, change.scaleId, { pan: change.pan });
    case "load-changed":
      return {
        ...onScale(bench, change.scaleId, {
          load: change.load,
          ...(change.load === null ? lifted(bench, change.scaleId) : {}),
        }),
        next: { ...next, load: after(next.load, change.load?.id ?? 0) },
      };
    case "task-chosen":
      return onScale(bench, change.scaleId, { chosen: change.chosen });
    case "hidden-noticed":
      return onScale(bench, change.scaleId, { hidden: change.hidden });
    case "bag-chosen":
      return onScale(bench, change.scaleId, { bag: change.bag });
    case "bag-taken-shown":
      return onScale(bench, change.scaleId, { lastTakenBag: change.taken });
    case "taken-shown":
      // A tray after a bag: what can be taken back is the last thing alone.
      return onScale(bench, change.scaleId, {
        lastTaken: change.weighing,
        ...(change.weighing === null ? {} : { lastTakenBag: null }),
      });
  }
}
