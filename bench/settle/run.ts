/**
 * `settled` against truth: loads of each kind on made-up scales, ours beside plain rules.
 *   npm run bench:settle -- [--loads N] [--seeds 1,2,3] [--per-second N] [--ours]
 */
import { parseArgs } from "node:util";
import {
  anyScale,
  equalInARow,
  joined,
  kinds,
  movingDeviation,
  ours,
  quantile,
  scoreKind,
  type Kind,
  type Rule,
} from "../../tests/settle/score.ts";
import { seeded } from "../../tests/settle/signal.ts";

const { values } = parseArgs({
  options: {
    loads: { type: "string", default: "500" },
    seeds: { type: "string", default: "1,2,3" },
    "per-second": { type: "string", default: "10" },
    kinds: { type: "string", default: kinds.join(",") },
    ours: { type: "boolean", default: false },
  },
});
const loads = Number(values.loads);
const seeds = values.seeds.split(",").map(Number);
const perSecond = Number(values["per-second"]);
const chosen = values.kinds.split(",").filter((kind): kind is Kind => kinds.includes(kind as Kind));
if (![loads, perSecond, ...seeds].every((one) => Number.isInteger(one) && one > 0)) {
  console.error("--loads, --per-second and --seeds are whole numbers above 0");
  process.exit(2);
}

const rules: readonly (readonly [string, Rule])[] = [
  ["ours", ours],
  ["5 equal in a row", equalInARow(5)],
  ["10 equal in a row", equalInARow(10)],
  ["sd of 6 below 0.5", movingDeviation(6, 0.5)],
  ["sd of 10 below 0.4", movingDeviation(10, 0.4)],
];
const delayColumns = ["median", "p95", "most", ">1 s", "… still"];
const columns = delayColumns.concat("missed", "double", "early", ">d/2", "worst d");

console.log(
  `${loads} loads of each kind at ${perSecond} readings a second, seeds ${seeds.join(", ")}; seconds after true rest;\n… still: later than 1 s after the last of the motion fell below the noise`,
);
console.log(
  `${"rule".padEnd(20)}${"kind".padEnd(8)}${columns.map((one) => one.padStart(8)).join("")}`,
);
/** Nothing is asked of the median but that it stays within the second; to wait that long makes fewer errors. */
const mostMedian = 0.85;
const laterThanDue = (seconds: readonly number[]): number =>
  seconds.filter((one) => one > 1).length;
let met = true;
for (const [name, rule] of values.ours ? rules.slice(0, 1) : rules) {
  for (const kind of chosen) {
    const score = joined(
      seeds.map((seed) => scoreKind(kind, loads, rule, anyScale(perSecond), seeded(seed))),
    );
    const late = laterThanDue(score.delays);
    const figures = [
      ...[0.5, 0.95, 1].map((share) => quantile(score.delays, share).toFixed(2)),
      late,
      laterThanDue(score.delaysStill),
      score.missed,
      score.double,
      score.early,
      score.wrong,
      Math.max(...score.errors).toFixed(2),
    ];
    console.log(
      `${name.padEnd(20)}${kind.padEnd(8)}${figures.map((one) => String(one).padStart(8)).join("")}`,
    );
    if (name !== "ours") continue;
    const { missed, double, early, wrong } = score;
    met &&=
      late + missed + double + early + wrong === 0 && quantile(score.delays, 0.5) <= mostMedian;
  }
}
console.log(
  `${met ? "met    " : "NOT MET"} ours: none missed, double, early, later than 1 s or off by more than half a division; median at most ${mostMedian} s`,
);
process.exitCode = met ? 0 : 1;
