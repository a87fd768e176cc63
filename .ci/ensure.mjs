// Installs what is missing and builds what is stale, so that two commands are all a person needs.
// Plain JavaScript with no import from npm: it runs before anything is installed.
import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { delimiter, join } from "node:path";
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

/** Windows: a command's name has one of these endings. */
const endings = ["", ...(process.env.PATHEXT ?? "").split(";").filter((one) => one !== "")];

function onPath(command) {
  const folders = (process.env.PATH ?? "").split(delimiter);
  return folders.some((folder) =>
    endings.some((ending) => existsSync(join(folder, command + ending))),
  );
}

function run(command, args, options = {}) {
  const done = spawnSync(command, args, {
    cwd: root,
    stdio: ["ignore", "inherit", "inherit"],
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
  const lacking = tools.filter((tool) => !tool.seenAs.some(onPath));
  if (lacking.length === 0) return;
  if (!onPath("apt-get"))
    stop(
      `${purpose} needs: ${lacking.map((tool) => tool.seenAs[0]).join(", ")}. Install what is missing`,
    );
  const missing = lacking.map((tool) => tool.debian);
  const install = `apt-get install -y ${missing.join(" ")}`;
  const isRoot = process.getuid?.() === 0;
  const canSudo = !isRoot && onPath("sudo") && run("sudo", ["-n", "true"], { stdio: "ignore" });
  if (!(isRoot || canSudo)) stop(`${purpose} needs: ${missing.join(", ")}. Run: sudo ${install}`);
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

/** What npm runs is told where npm lies; by its name it is a batch file on Windows, which needs a shell. */
function npm(...args) {
  const stdio = ["ignore", "ignore", "inherit"];
  const script = process.env.npm_execpath ?? "";
  if (script.endsWith("npm-cli.js")) return run(process.execPath, [script, ...args], { stdio });
  return run("npm", args, { stdio, shell: process.platform === "win32" });
}

/** The store's library comes ready-made where its makers made it for this system and this Node.js. */
const toCompile =
  {
    win32: ". If it could not be fetched ready-made, it needs Python and the C++ build tools",
    darwin: ". If it could not be fetched ready-made, run: xcode-select --install",
  }[process.platform] ?? "";

function installPackages() {
  // By content, not by time: a fresh checkout of the same lock file needs no new installation.
  const stamp = join(root, "node_modules", ".installed-from");
  const lock = createHash("sha256")
    .update(readFileSync(join(root, "package-lock.json")))
    .digest("hex");
  if (existsSync(stamp) && readFileSync(stamp, "utf8") === lock) return;
  if (process.platform === "linux") needTools(toolsToCompile, "compiling the store's library");
  console.error("installing packages (about a minute the first time)");
  if (!npm("ci", "--no-audit", "--no-fund"))
    stop(`npm ci failed: see the lines above; with a network, run it again${toCompile}`);
  writeFileSync(stamp, lock);
}

installPackages();
if (forTests) needTools(toolsToTest, "the browser and label tests");
const built = join(root, "dist", ".built");
if (!existsSync(built) || statSync(built).mtimeMs < newestIn(root)) build(root);
