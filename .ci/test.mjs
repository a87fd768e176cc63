// Every check in one command: formatter, lint with import rules, types, then the tests. The last line
// counts the tests as the runner's own report has them; a run with no test is a failure.
import { spawnSync } from "node:child_process";
import { mkdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { toolIn } from "./tools.mjs";

const root = join(import.meta.dirname, "..");
const report = join(root, ".build", "tests.json");

function check(what, ...args) {
  console.log(`\n== ${what}`);
  const done = spawnSync(process.execPath, args, {
    cwd: root,
    stdio: ["ignore", "inherit", "inherit"],
  });
  return done.status === 0;
}

mkdirSync(join(root, ".build"), { recursive: true });
rmSync(report, { force: true });
const tool = (name) => toolIn(root, name);
const fine = [
  check("format", tool("prettier"), "--check", "--ignore-unknown", "--log-level", "warn", "."),
  check("lint and import rules", ".ci/lint.mjs"),
  check("types of the service", tool("tsc"), "--noEmit", "-p", "tsconfig.json"),
  check("types of the page", tool("tsc"), "-p", "web/tsconfig.json"),
  check("types of the benchmarks", tool("tsc"), "--noEmit", "-p", "bench/tsconfig.json"),
  check("types of the tests", tool("tsc"), "-p", "tests/tsconfig.json"),
  check(
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
