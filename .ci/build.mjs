// Compiles the service with tsc and the page with vite into dist/.
import { spawnSync } from "node:child_process";
import { cpSync, existsSync, readdirSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";

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
  const bin = (name) => join(root, "node_modules", ".bin", name);
  const step = (command, args) => {
    const done = spawnSync(command, args, {
      cwd: root,
      stdio: ["ignore", "pipe", "pipe"],
      encoding: "utf8",
      shell: process.platform === "win32",
    });
    if (done.status === 0) return;
    console.error(done.stdout + done.stderr);
    process.exit(1);
  };
  rmSync(join(root, "dist"), { recursive: true, force: true });
  step(bin("tsc"), ["-p", "tsconfig.json"]);
  // Files beside the sources that tsc does not carry over: SQL steps, tables of data, fonts.
  for (const folder of ["store/steps", "food/table", "label/font"]) {
    const from = join(root, "src", folder);
    if (existsSync(from)) cpSync(from, join(root, "dist", folder), { recursive: true });
  }
  step(bin("vite"), ["build", "--logLevel", "warn", "web"]);
  writeFileSync(join(root, "dist", ".built"), `${started.toISOString()}\n`);
}

if (process.argv[1] === import.meta.filename) build(join(import.meta.dirname, ".."));
