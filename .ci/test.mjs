// Every check in one command: formatter, lint with import rules, types, then the tests. The last line
// counts the tests as the runner's own report has them; a run with no test is a failure.
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { toolIn } from "./tools.mjs";

const root = join(import.meta.dirname, "..");
const report = join(root, ".build", "tests.json");

/** Runs one thing, and says what it printed once it is done: two of these go on beside each other. */
async function check(what, ...args) {
  const child = spawn(process.execPath, args, { cwd: root, stdio: ["ignore", "pipe", "pipe"] });
  const said = [];
  for (const out of [child.stdout, child.stderr]) out.on("data", (bytes) => said.push(bytes));
  const [status] = await once(child, "close");
  console.log(`\n== ${what}\n${Buffer.concat(said).toString().trimEnd()}`);
  return status === 0;
}

async function inTurn(...checks) {
  const fine = [];
  for (const one of checks) fine.push(await check(...one));
  return fine;
}

/** Says at once what it prints. */
async function checkAloud(what, ...args) {
  console.log(`\n== ${what}`);
  const child = spawn(process.execPath, args, {
    cwd: root,
    stdio: ["ignore", "inherit", "inherit"],
  });
  const [status] = await once(child, "close");
  return status === 0;
}

mkdirSync(join(root, ".build"), { recursive: true });
rmSync(report, { force: true });
const tool = (name) => toolIn(root, name);
// The formatter has one thread and takes as long as all the others together.
const before = await Promise.all([
  inTurn([
    "format",
    tool("prettier"),
    ...["--check", "--ignore-unknown", "--log-level", "warn", "."],
  ]),
  inTurn(
    ["lint and import rules", ".ci/lint.mjs"],
    ["types of the service", tool("tsc"), "--noEmit", "-p", "tsconfig.json"],
    ["types of the page", tool("tsc"), "-p", "web/tsconfig.json"],
    ["types of the benchmarks", tool("tsc"), "--noEmit", "-p", "bench/tsconfig.json"],
    ["types of the tests", tool("tsc"), "-p", "tests/tsconfig.json"],
  ),
]);
const fine = [
  ...before.flat(),
  await checkAloud(
    "tests",
    tool("vitest"),
    "run",
    "--config",
    ".ci/vitest.config.ts",
    "--reporter=default",
    "--reporter=json",
    `--outputFile.json=${report}`,
    ...process.argv.slice(2),
  ),
];

let passed = 0;
let failed = 0;
try {
  const seen = JSON.parse(readFileSync(report, "utf8"));
  passed = seen.numPassedTests;
  failed = seen.numFailedTests;
  // A file that cannot be loaded counts no failed test of its own.
  failed += seen.testResults.filter(
    (f) => f.status === "failed" && f.assertionResults.length === 0,
  ).length;
} catch (error) {
  console.error(`the runner left no report: ${error.message}`);
}
const good = fine.every(Boolean) && failed === 0 && passed > 0;
if (passed + failed === 0) console.error("no test ran");
if (!good && failed === 0) failed = fine.filter((one) => !one).length || 1;
console.log(`\n${passed} passed, ${failed} failed`);
process.exit(good ? 0 : 1);
