/**
 * What a verdict costs: the time of one call of the judgment on one tray, after 2 to 12 weighings, and
 * beside it an exponential fitted to the same points by ml-levenberg-marquardt.
 *   npm run bench:judge -- [--trays N] [--seed S]
 */
import { parseArgs } from "node:util";
import { levenbergMarquardt } from "ml-levenberg-marquardt";
import type { TrayLog } from "../src/tray/weighing.ts";
import { fraction } from "../src/units/quantity.ts";
import { judgeBatch } from "../src/verdict/judge.ts";
import { simulateBatch } from "./decision/batch.ts";
import { mostWeighings } from "./decision/plans.ts";
import { upTo } from "./decision/rules.ts";

const { values } = parseArgs({
  options: {
    trays: { type: "string", default: "60" },
    seed: { type: "string", default: "20261125" },
  },
});
const trays = Number(values.trays);
const seed = Number(values.seed);
if (!Number.isInteger(trays) || trays < 1 || !Number.isInteger(seed)) {
  console.error("--trays and --seed are whole numbers, at least one tray");
  process.exit(2);
}

function logsWithAllWeighings(): TrayLog[] {
  const logs: TrayLog[] = [];
  for (let batch = seed; logs.length < trays; batch++) {
    const { plan, fault, trays: simulated } = simulateBatch(batch);
    if (plan.kind === "short" || fault.is !== "none") continue;
    logs.push(...simulated.map(({ log }) => log));
  }
  return logs.slice(0, trays);
}

const limit = fraction(0.01);
const judge = (log: TrayLog) => judgeBatch([log], { limit });

let thrown = 0;
/** The baseline throws on some trays; its time up to there counts all the same. */
function fitOrThrow(log: TrayLog): void {
  try {
    fitExponential(log);
  } catch {
    thrown++;
  }
}

function fitExponential({ fresh, weighings }: TrayLog) {
  const x = [0, ...weighings.map(({ dryingHours }) => dryingHours)];
  const y = [fresh?.net ?? 0, ...weighings.map(({ net }) => net)];
  const last = y.at(-1)!;
  return levenbergMarquardt(
    { x, y },
    ([end = 0, fall = 0, rate = 0]) =>
      (hours) =>
        end + fall * Math.exp(-rate * hours),
    {
      initialValues: [last, y[0]! - last, 2 / x.at(-1)!],
      gradientDifference: [1e-3, 1e-3, 1e-5],
      damping: 0.01,
      maxIterations: 100,
    },
  );
}

function timesOf(work: (log: TrayLog) => unknown, logs: readonly TrayLog[]): number[] {
  const times = logs.map((log) => {
    const started = performance.now();
    work(log);
    return performance.now() - started;
  });
  return times.sort((a, b) => a - b);
}

const quantile = (sorted: readonly number[], share: number) =>
  sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!.toFixed(2).padStart(9);

const logs = logsWithAllWeighings();
const [cold] = timesOf(judge, [upTo(logs[0]!, 6)]);
// A service runs for months: what is timed is code that the engine has compiled, for few weighings as for many.
for (const log of logs.slice(0, 20))
  for (let count = 2; count <= mostWeighings; count += 2) {
    judge(upTo(log, count));
    fitOrThrow(upTo(log, count));
  }
thrown = 0;
console.log(`the first verdict of a new process: ${cold!.toFixed(0)} ms`);
console.log(`milliseconds for one tray, ${logs.length} trays, Node ${process.version}\n`);
console.log("             judgment            ml-levenberg-marquardt, exponential");
console.log("weighings     median      p95        median      p95");
const all: { judge: number[]; baseline: number[] } = { judge: [], baseline: [] };
for (let count = 2; count <= mostWeighings; count++) {
  const prefixes = logs.map((log) => upTo(log, count));
  const [judged, fitted] = [timesOf(judge, prefixes), timesOf(fitOrThrow, prefixes)];
  all.judge.push(...judged);
  all.baseline.push(...fitted);
  console.log(
    `${String(count).padStart(9)} ${quantile(judged, 0.5)}${quantile(judged, 0.95)}     ${quantile(fitted, 0.5)}${quantile(fitted, 0.95)}`,
  );
}
all.judge.sort((a, b) => a - b);
all.baseline.sort((a, b) => a - b);
console.log(
  `      all ${quantile(all.judge, 0.5)}${quantile(all.judge, 0.95)}     ${quantile(all.baseline, 0.5)}${quantile(all.baseline, 0.95)}`,
);
if (thrown > 0) console.log(`\nthe baseline threw on ${thrown} of ${all.baseline.length} fits`);
const bound = 5;
for (const [name, share] of [
  ["median", 0.5],
  ["95 of 100", 0.95],
] as const) {
  const time = all.judge[Math.floor(share * all.judge.length)]!;
  console.log(`${time <= bound ? "met    " : "NOT MET"}  ${name} at most ${bound} ms a tray`);
}
