/**
 * Unplugs and replugs, the device coming back under a new name behind the same stable link.
 *   npm run bench:unplug -- [--times N] [--seed S]
 */
import { join } from "node:path";
import { parseArgs } from "node:util";
import { spread, unplugAndReplug } from "../../tests/rig/unplug.ts";

const { values } = parseArgs({
  options: {
    times: { type: "string", default: "200" },
    seed: { type: "string", default: "20261125" },
  },
});
const times = Number(values.times);
const seed = Number(values.seed);
if (!Number.isInteger(times) || times < 1 || !Number.isInteger(seed)) {
  console.error("--times and --seed are whole numbers, at least one time");
  process.exit(2);
}

let met = true;
for (const gapMs of [1, 10, 100]) {
  const rig = join(process.cwd(), "tests", "rig");
  const done = await unplugAndReplug(gapMs, times, seed + gapMs, rig);
  const asAnnounced = JSON.stringify(done.announced) === JSON.stringify(done.expected);
  const good =
    Math.max(...done.noticedMs) < 500 &&
    Math.max(...done.backMs) < 2000 &&
    done.renamed === times &&
    done.invented === 0 &&
    asAnnounced;
  met &&= good;
  console.log(`a line every ${gapMs} ms, ${times} unplugs, ${done.renamed} under a new name`);
  console.log(`  noticed after ms        ${spread(done.noticedMs)}`);
  console.log(`  weights again after ms  ${spread(done.backMs)}`);
  console.log(`  of ${done.readings} readings invented ${done.invented}`);
  console.log(
    `  loads announced ${done.announced.length} of ${done.expected.length}${asAnnounced ? ", each once" : ": NOT AS THEY LAY"}`,
  );
}
console.log(
  `${met ? "met    " : "NOT MET"} every unplug noticed within 0.5 s, back within 2 s, none lost, none invented`,
);
process.exitCode = met ? 0 : 1;
