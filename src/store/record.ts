import type { Batch, Fact } from "../service/bench.ts";
import type { Nouns } from "./nouns.ts";

/** Writes one fact. The caller wraps all facts of one input in one transaction. */
export function write(fact: Fact, into: Nouns): void {
  switch (fact.is) {
    case "batch-started":
      return writeBatch(fact.batch, into);
    case "batch-ended":
      return into.batches.end(fact.batchId, fact.at);
    case "tray-added":
      return into.trays.add(fact.tray);
    case "tray-changed":
      return into.trays.change(fact.tray, fact.at);
    case "weighing-taken":
      return into.weighings.add(fact.weighing);
    case "moment-set":
      return into.moments.add(fact.moment);
    case "interruption-noted":
      return into.interruptions.add(fact.interruption);
    case "interruption-ended":
      return into.interruptions.end(fact.id, fact.to);
    case "gap-found":
      return into.gaps.add(fact.gap);
    case "gap-answered":
      return into.gaps.answer(fact.id, fact.dryerRan, fact.at);
    case "core-checked":
      return into.coreChecks.add(fact.check);
    case "verdict-given":
      return into.verdicts.add(fact.verdict);
    case "alert-raised":
      return into.alerts.add(fact.alert);
    case "alert-acknowledged":
      return into.alerts.acknowledge(fact.id, fact.at);
    case "alert-sent":
      return into.alerts.sent(fact.id, fact.channel, fact.at);
    case "bag-planned":
      return into.bags.add(fact.bag);
    case "bag-weighed":
      return into.bags.weigh(fact.weighing);
    case "bag-fate":
      return into.bags.end(fact.fate);
    case "bag-gain-accepted":
      return into.bags.acceptGain(fact.accepted);
    case "lesson-kept":
      return into.lessons.add(fact.lesson);
    case "lesson-changed":
      return into.lessons.change(fact);
    case "dryer-set":
      return into.kitchen.setDryer(fact.dryer, fact.at);
    case "own-food-set":
      return into.kitchen.setFood(fact.food, fact.at);
    case "check-weight-set":
      return into.kitchen.setWeight(fact.weight, fact.at);
    case "scale-checked":
      return into.kitchen.addCheck(fact.check);
    case "scales-compared":
      return into.kitchen.addComparison(fact.comparison);
    case "settings-changed":
      return into.settings.change(fact.settings, fact.at);
  }
}

/** A batch with all that it already has. */
function writeBatch(batch: Batch, into: Nouns): void {
  into.batches.add(batch);
  for (const tray of batch.trays) into.trays.add(tray);
  for (const weighing of batch.weighings) into.weighings.add(weighing);
  for (const moment of batch.moments) into.moments.add(moment);
  for (const interruption of batch.interruptions) into.interruptions.add(interruption);
  for (const gap of batch.gaps) into.gaps.add(gap);
  for (const check of batch.coreChecks) into.coreChecks.add(check);
  for (const verdict of batch.verdicts) into.verdicts.add(verdict);
}
