// Compiles the service with tsc and the page with vite into dist/.
import { spawnSync } from "node:child_process";
import { cpSync, existsSync, readdirSync, rmSync, statSync, writeFileSync } from "node:fs";
import { totalmem } from "node:os";
import { join } from "node:path";
import { isStarted, toolIn } from "./tools.mjs";

/** A computer with less is spared the compiler's threads, each of which wants memory of its own. */
const amplyBytes = 2 * 2 ** 30;

const sources = ["src", "web", "tsconfig.json", "package-lock.json", ".ci/build.mjs"];

/** The time, in milliseconds, of the newest file that the build is made from. */
export function newestIn(root) {
  const newest = (path) => {
    const seen = statSync(path);
    if (!seen.isDirectory()) return seen.mtimeMs;
    return Math.max(seen.mtimeMs, ...readdirSync(path).map((name) => newest(join(path, name))));
  };
  return Math.max(...sources.map((name) => newest(join(root, name))));
}

/** Builds everything; ends the process with status 1 at the first failure. */
export function build(root) {
  console.error("building");
  const started = new Date();
  const step = (tool, ...args) => {
    const done = spawnSync(process.execPath, [toolIn(root, tool), ...args], {
      cwd: root,
      stdio: ["ignore", "pipe", "pipe"],
      encoding: "utf8",
    });
    if (done.status === 0) return;
    console.error(done.stdout + done.stderr);
    process.exit(1);
  };
  rmSync(join(root, "dist"), { recursive: true, force: true });
  const threads = totalmem() < amplyBytes ? ["--singleThreaded"] : [];
  step("tsc", "-p", "tsconfig.json", ...threads);
  // Files beside the sources that tsc does not carry over: SQL steps, tables of data, fonts.
  for (const folder of ["store/steps", "food/table", "label/font"]) {
    const from = join(root, "src", folder);
    if (existsSync(from)) cpSync(from, join(root, "dist", folder), { recursive: true });
  }
  step("vite", "build", "--logLevel", "warn", "web");
  writeFileSync(join(root, "dist", ".built"), `${started.toISOString()}\n`);
}

if (isStarted(import.meta.filename)) build(join(import.meta.dirname, ".."));
