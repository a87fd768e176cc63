// Compiles the service with tsc and the page with vite into dist/.
import { spawnSync } from "node:child_process";
import {
  cpSync,
  existsSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
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

/** A build's folder is called by the moment at which it was begun: 20261127T130512345Z. */
const isBuild = (name) => /^\d{8}T\d{9}Z$/.test(name);
/** So many stay beside the newest: a service that runs goes on with the build that it was started from. */
const earlierKept = 2;

/** The folder of the build that a start takes, by which tests find it. */
export function builtIn(root) {
  const entry = join(root, "dist", "main.js");
  const found = existsSync(entry) ? /"\.\/(\d+T\d+Z)\//.exec(readFileSync(entry, "utf8")) : null;
  return join(root, "dist", found?.[1] ?? "not-built");
}

/**
 * Builds everything, into a folder of its own: `dist/main.js` names it once it is whole, so that neither a service that
 * runs nor one that is started while or after a build fails finds half of it, or parts of another. Ends the process with
 * status 1 at the first failure.
 */
export function build(root) {
  console.error("building");
  const started = new Date();
  const dist = join(root, "dist");
  const name = started.toISOString().replaceAll(/[-:.]/g, "");
  const target = join(dist, name);
  const step = (tool, ...args) => {
    const done = spawnSync(process.execPath, [toolIn(root, tool), ...args], {
      cwd: root,
      stdio: ["ignore", "pipe", "pipe"],
      encoding: "utf8",
    });
    if (done.status === 0) return;
    console.error(done.stdout + done.stderr);
    rmSync(target, { recursive: true, force: true });
    process.exit(1);
  };
  const threads = totalmem() < amplyBytes ? ["--singleThreaded"] : [];
  step("tsc", "-p", "tsconfig.json", "--outDir", target, ...threads);
  // Files beside the sources that tsc does not carry over: SQL steps, tables of data, fonts.
  for (const folder of ["store/steps", "food/table", "label/font"]) {
    const from = join(root, "src", folder);
    if (existsSync(from)) cpSync(from, join(target, folder), { recursive: true });
  }
  step("vite", "build", "--logLevel", "warn", "web", "--outDir", join(target, "web"));
  const stamp = `${started.toISOString()}\n`;
  writeFileSync(join(target, ".built"), stamp);
  const entry = join(dist, "main.js");
  writeFileSync(`${entry}.arriving`, `#!/usr/bin/env node\nimport "./${name}/main.js";\n`);
  renameSync(`${entry}.arriving`, entry);
  writeFileSync(join(dist, ".built"), stamp);
  const whole = readdirSync(dist).filter(
    (one) => isBuild(one) && existsSync(join(dist, one, ".built")),
  );
  const stay = new Set(["main.js", ".built", ...whole.toSorted().slice(-1 - earlierKept)]);
  for (const old of readdirSync(dist).filter((one) => !stay.has(one)))
    rmSync(join(dist, old), { recursive: true, force: true });
}

if (isStarted(import.meta.filename)) build(join(import.meta.dirname, ".."));
