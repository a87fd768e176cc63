// Installs what is missing and builds what is stale, so that two commands are all a person needs.
// Plain JavaScript with no import from npm: it runs before anything is installed.
import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { build, newestIn } from "./build.mjs";

const root = join(import.meta.dirname, "..");
const forTests = process.argv.includes("--dev");

/** Debian's packages: the command or file that shows that a package is there, and the package. */
const toolsToCompile = [
  { seenAs: ["python3"], debian: "python3" },
  { seenAs: ["make"], debian: "make" },
  { seenAs: ["g++"], debian: "g++" },
];
const toolsToTest = [
  { seenAs: ["chromium", "chromium-browser"], debian: "chromium" },
  { seenAs: ["pdftoppm"], debian: "poppler-utils" },
  { seenAs: ["python3"], debian: "python3" },
];

function onPath(command) {
  return (process.env.PATH ?? "").split(":").some((folder) => existsSync(join(folder, command)));
}

function run(command, args, options = {}) {
  const done = spawnSync(command, args, {
    cwd: root,
    stdio: ["ignore", "inherit", "inherit"],
    shell: process.platform === "win32",
    ...options,
  });
  return done.status === 0;
}

function stop(sentence) {
  console.error(sentence);
  process.exit(1);
}

/** Installs Debian's packages that are missing, or stops with the one command to run. */
function needTools(tools, purpose) {
  const missing = tools.filter((tool) => !tool.seenAs.some(onPath)).map((tool) => tool.debian);
  if (missing.length === 0) return;
  const install = `apt-get install -y ${missing.join(" ")}`;
  const isRoot = process.getuid?.() === 0;
  const canSudo = !isRoot && onPath("sudo") && run("sudo", ["-n", "true"], { stdio: "ignore" });
  if (!onPath("apt-get") || !(isRoot || canSudo))
    stop(`${purpose} needs: ${missing.join(", ")}. Run: sudo ${install}`);
  console.error(`${purpose} needs ${missing.join(", ")}: installing from Debian's packages`);
  const prefix = isRoot ? [] : ["sudo", "-n"];
  const quiet = { env: { ...process.env, DEBIAN_FRONTEND: "noninteractive" } };
  const apt = (...args) => {
    const [command, ...rest] = [...prefix, "apt-get", "-q", "-y", ...args];
    return run(command, rest, { ...quiet, stdio: ["ignore", "ignore", "inherit"] });
  };
  apt("update");
  if (!apt("install", ...missing))
    stop(`could not install ${missing.join(", ")}. Run: sudo ${install}`);
}

function installPackages() {
  // By content, not by time: a fresh checkout of the same lock file needs no new installation.
  const stamp = join(root, "node_modules", ".installed-from");
  const lock = createHash("sha256")
    .update(readFileSync(join(root, "package-lock.json")))
    .digest("hex");
  if (existsSync(stamp) && readFileSync(stamp, "utf8") === lock) return;
  if (process.platform === "linux") needTools(toolsToCompile, "compiling the store's library");
  console.error("installing packages (about a minute the first time)");
  if (!run("npm", ["ci", "--no-audit", "--no-fund"], { stdio: ["ignore", "ignore", "inherit"] }))
    stop("npm ci failed: see the lines above; with a network, run it again");
  writeFileSync(stamp, lock);
}

installPackages();
if (forTests) needTools(toolsToTest, "the browser and label tests");
const built = join(root, "dist", ".built");
if (!existsSync(built) || statSync(built).mtimeMs < newestIn(root)) build(root);
