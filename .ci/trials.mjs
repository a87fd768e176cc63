// The table of what was tried against the program, in docs/tried.md: made from trials.json.
//   npm run trials                  writes the table anew
//   npm run trials -- NAME [NAME]   runs these trials first, and takes over their outcome; `all`: every one (hours)
import { spawnSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { isStarted } from "./tools.mjs";

const root = join(import.meta.dirname, "..");
const listFile = join(root, ".ci", "trials.json");
const page = join(root, "docs", "tried.md");

export const trials = () => JSON.parse(readFileSync(listFile, "utf8"));

/** The table as it stands in docs/tried.md, between the two marks. */
export function tableOf(list) {
  const rows = list.map(
    ({ fault, how, times, lost, where }) => `| ${[fault, how, times, lost, where].join(" | ")} |`,
  );
  return [
    "| fault or attack | how tried | times | lost or let in | where |",
    "|---|---|---|---|---|",
    ...rows,
  ].join("\n");
}

export const marks = ["<!-- trials: npm run trials -->", "<!-- end of trials -->"];

function outcome(trial) {
  console.log(`\n== ${trial.name}: ${trial.run}`);
  const done = spawnSync("bash", ["-c", trial.run], {
    cwd: root,
    encoding: "utf8",
    maxBuffer: 64 * 1024 * 1024,
  });
  const said = done.stdout + done.stderr;
  console.log(said.slice(-2000));
  if (done.status !== 0) return { ...trial, lost: "**failed**: see the command's output" };
  const count = trial.count === undefined ? null : new RegExp(trial.count).exec(said)?.[1];
  if (count === null) return trial;
  if (count === undefined) return { ...trial, lost: "**not counted**" };
  return {
    ...trial,
    times: trial.times.replace(/[\d,]+/, Number(count).toLocaleString("en")),
    lost: "0",
  };
}

if (isStarted(import.meta.filename)) {
  const asked = process.argv.slice(2);
  const known = trials();
  const unknown = asked.filter((name) => name !== "all" && !known.some((one) => one.name === name));
  if (unknown.length > 0) {
    console.error(
      `no trial is called ${unknown.join(", ")}: ${known.map(({ name }) => name).join(", ")}`,
    );
    process.exit(2);
  }
  const list = known.map((one) =>
    asked.includes(one.name) || asked.includes("all") ? outcome(one) : one,
  );
  writeFileSync(listFile, `${JSON.stringify(list, null, 2)}\n`);
  const [begin, end] = marks;
  const text = readFileSync(page, "utf8");
  const before = text.slice(0, text.indexOf(begin) + begin.length);
  writeFileSync(page, `${before}\n\n${tableOf(list)}\n\n${text.slice(text.indexOf(end))}`);
  process.exitCode = list.some(({ lost }) => lost.startsWith("**")) ? 1 : 0;
}
