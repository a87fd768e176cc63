/**
 * Scores rules for calling the end of drying on simulated trays.
 *   npm run bench:decision -- [--batches N] [--seed S] [--limit L]... [--range 1]... [--told] [--json]
 * Two ranges of N batches with even pieces, and a third of N/2 batches of which some hold thick pieces, which no bound
 * covers; only those asked for, where any are. Each with our rule, and the exponential, asked for at most the default
 * limit, and for as much as every rule may leave here and be right: of a rule that is asked for less, more hours are
 * asked. `--told`: the person knows the food and the thickness of its pieces, as one who dried many batches of it; no
 * bound is meant for that.
 */
import { availableParallelism } from "node:os";
import { parseArgs } from "node:util";
import { Worker } from "node:worker_threads";
import { dryLimit } from "./batch.ts";
import { Pooled } from "./bootstrap.ts";
import { asData, reportOf, summaryOf, type Run } from "./report.ts";
import type { BatchScores } from "./score.ts";
import type { Task } from "./worker.ts";

const { values } = parseArgs({
  options: {
    batches: { type: "string", default: "700" },
    seed: { type: "string", default: "20261125" },
    limit: { type: "string", multiple: true, default: ["0.01", String(dryLimit)] },
    range: { type: "string", multiple: true, default: ["1", "2", "3"] },
    told: { type: "boolean", default: false },
    json: { type: "boolean", default: false },
  },
});

function wanted(name: string, given: string, fits: (value: number) => boolean): number {
  const value = Number(given);
  if (fits(value)) return value;
  console.error(`--${name} ${given} cannot be used`);
  process.exit(2);
}
const isCount = (value: number) => Number.isInteger(value) && value > 0;
const batches = wanted("batches", values.batches, isCount);
const seed = wanted("seed", values.seed, isCount);
const limits = values.limit.map((one) => wanted("limit", one, (value) => value > 0 && value < 0.1));

const resamples = 1000;
const workers = Math.max(1, Math.min(availableParallelism(), 8));

function work(task: Task, arrived: (some: number) => void): Promise<BatchScores[]> {
  return new Promise((resolve, reject) => {
    const scores: BatchScores[] = [];
    const worker = new Worker(new URL("./worker.js", import.meta.url), { workerData: task });
    worker.on("message", (some: BatchScores[]) => {
      scores.push(...some);
      arrived(some.length);
    });
    worker.on("error", reject);
    worker.on("exit", () => resolve(scores));
  });
}

type Range = {
  readonly title: string;
  readonly firstSeed: number;
  readonly batches: number;
  readonly thickPieces: boolean;
};

async function run({ title, firstSeed, batches, thickPieces }: Range, limit: number): Promise<Run> {
  const seeds = Array.from({ length: batches }, (_, index) => firstSeed + index);
  let done = 0;
  const arrived = (some: number) => {
    done += some;
    if (process.stderr.isTTY) process.stderr.write(`\r${title}: ${done} of ${batches} batches `);
  };
  const tasks = Array.from({ length: workers }, (_, worker) => ({
    seeds: seeds.filter((_seed, index) => index % workers === worker),
    thickPieces,
    told: values.told,
    limit,
  }));
  const scores = (await Promise.all(tasks.map((task) => work(task, arrived)))).flat();
  if (process.stderr.isTTY) process.stderr.write("\r\u001b[K");
  if (scores.length !== batches)
    throw new Error(`${scores.length} of ${batches} batches came back`);
  scores.sort((a, b) => a.seed - b.seed);
  const milliseconds = scores.reduce((sum, batch) => sum + batch.milliseconds, 0);
  const judged = scores.reduce((sum, batch) => sum + batch.verdicts, 0);
  return {
    title: `${title}, seeds ${firstSeed}–${firstSeed + batches - 1}${values.told ? ", food and thickness known" : ""}`,
    limit,
    pooled: new Pooled(scores, resamples, firstSeed),
    bounded: !thickPieces && !values.told,
    batches,
    millisecondsPerTray: milliseconds / judged,
    threw: scores.flatMap(({ threw }) => threw ?? []),
  };
}

const started = performance.now();
const ranges: Record<string, Range> = {
  "1": { title: "first range", firstSeed: seed, batches, thickPieces: false },
  "2": { title: "second range", firstSeed: seed + 1_000_000, batches, thickPieces: false },
  "3": {
    title: "thick pieces in 35 % of batches",
    firstSeed: seed + 2_000_000,
    batches: Math.ceil(batches / 2),
    thickPieces: true,
  },
};
const runs: Run[] = [];
for (const name of values.range) {
  const range = ranges[name];
  if (range === undefined) {
    console.error(`--range ${name} cannot be used: 1, 2 or 3`);
    process.exit(2);
  }
  for (const limit of limits) runs.push(await run(range, limit));
}
const seconds = Math.round((performance.now() - started) / 1000);
if (values.json) {
  console.log(JSON.stringify({ batches, seed, seconds, runs: runs.map(asData) }, null, 1));
} else {
  console.log(
    `Rules for calling the end of drying, on simulated trays. Dry: at most ${dryLimit * 100} % water (dry basis) above what a\nworking dryer leaves. In brackets: 95 % of ${resamples} resamples of whole\nbatches. The parameters are assumed ranges: read the order of the rules, not the percentages.\n`,
  );
  console.log(runs.map(reportOf).join("\n\n\n"));
  console.log(`\n\n${summaryOf(runs)}`);
  console.log(`\n${seconds} s on ${workers} workers`);
}
