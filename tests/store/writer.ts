/**
 * A program of its own: keeps weighings as fast as it can and says on standard output which are kept, after they
 * are. Arguments: the data folder, and "packing" to plan and weigh a bag after each weighing of a tray.
 */
import { writeSync } from "node:fs";
import { isFault } from "../../src/faults.ts";
import { openStore } from "../../src/store/store.ts";
import { aBag, aBagWeighing } from "./bags.ts";
import { aBatch, aMoment, aTray, aWeighing, noon, started, taken } from "./facts.ts";

const say = (line: string): void => void writeSync(1, `${line}\n`);

const store = openStore(process.argv[2] ?? "", { practice: false, timeFactor: 1, at: noon });
const { next, batches } = store.load();
if (batches.length === 0) store.record([started(aBatch(1, [aTray(1, 1)]))]);
const isPacking = process.argv[3] === "packing";
for (let id = next.weighing, bag = next.bag; ; id++) {
  try {
    store.record([taken(aWeighing(id)), { is: "moment-set", moment: aMoment(id, { trays: [1] }) }]);
  } catch (thrown) {
    if (!isFault(thrown)) throw thrown;
    const there = store.loadBatch(1)?.weighings.length ?? 0;
    const { recording } = store.canRecord();
    say(`refused ${thrown.code} with ${there} there, can record: ${recording}`);
    break;
  }
  say(`kept ${id}`);
  if (!isPacking) continue;
  store.record([
    { is: "bag-planned", bag: aBag(bag, { plan: bag }) },
    { is: "bag-weighed", weighing: aBagWeighing(bag, bag, "tare", 8) },
  ]);
  say(`packed ${bag++}`);
}
