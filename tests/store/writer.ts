/**
 * A program of its own: keeps weighings as fast as it can and says on standard output which are kept, after they
 * are. Argument: the data folder.
 */
import { writeSync } from "node:fs";
import { isFault } from "../../src/faults.ts";
import { openStore } from "../../src/store/store.ts";
import { aBatch, aMoment, aTray, aWeighing, noon, started, taken } from "./facts.ts";

const say = (line: string): void => void writeSync(1, `${line}\n`);

const store = openStore(process.argv[2] ?? "", { practice: false, timeFactor: 1, at: noon });
const { next, batches } = store.load();
if (batches.length === 0) store.record([started(aBatch(1, [aTray(1, 1)]))]);
for (let id = next.weighing; ; id++) {
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
}
