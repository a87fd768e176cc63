// Installs what is missing and builds what is stale, so that two commands are all a person needs.
// Plain JavaScript with no import from npm: it runs before anything is installed.
import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { delimiter, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build, newestIn } from "./build.mjs";

// Not import.meta.dirname: a Node.js that is too old to have it is to be told so.
const root = fileURLToPath(new URL("..", import.meta.url));
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
/** Not needed: in it the many pages of the tests cost less than half the work. */
const quickBrowser = { seenAs: ["chromium-headless-shell"], debian: "chromium-headless-shell" };

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

/** Whether a version of Node.js is one of those that package.json names. */
function isAmong(version, engines) {
  const parts = (text) => text.split(".").map(Number);
  const compared = (one, other) => {
    const [[major, minor = 0], [otherMajor, otherMinor = 0]] = [parts(one), parts(other)];
    return major - otherMajor || minor - otherMinor;
  };
  return engines.split("||").some((range) =>
    range
      .trim()
      .split(" ")
      .every((bound) =>
        bound.startsWith(">=")
          ? compared(version, bound.slice(2)) >= 0
          : compared(version, bound.slice(1)) < 0,
      ),
  );
}

function needNode() {
  const { engines } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
  const { node } = process.versions;
  if (isAmong(node, engines.node)) return;
  stop(
    `Node.js ${node} does not do: 20.19 or a later 20, or 22.12 and later is needed. ` +
      "Debian 13 brings one (sudo apt-get install nodejs npm); for others see https://nodejs.org/en/download",
  );
}

const lackingOf = (tools) => tools.filter((tool) => !tool.seenAs.some(onPath));

/** What makes a command root's: nothing for root himself, else sudo where it asks no password; null where it may not. */
function asRoot() {
  if (process.getuid?.() === 0) return [];
  const canSudo = onPath("sudo") && run("sudo", ["-n", "true"], { stdio: "ignore" });
  return canSudo ? ["sudo", "-n"] : null;
}

/** Whether Debian's packages could be installed. `told`: what becomes of apt's complaints. */
function installDebian(prefix, packages, { told = "inherit", options = [] } = {}) {
  const apt = (...args) => {
    const [command, ...rest] = [...prefix, "apt-get", "-q", "-y", ...options, ...args];
    const env = { ...process.env, DEBIAN_FRONTEND: "noninteractive" };
    return run(command, rest, { env, stdio: ["ignore", "ignore", told] });
  };
  apt("update");
  return apt("install", ...packages);
}

/** Installs Debian's packages that are missing, or stops with the one command to run. */
function needTools(tools, purpose) {
  const lacking = lackingOf(tools);
  if (lacking.length === 0) return;
  if (!onPath("apt-get"))
    stop(
      `${purpose} needs: ${lacking.map((tool) => tool.seenAs[0]).join(", ")}. Install what is missing`,
    );
  const missing = lacking.map((tool) => tool.debian);
  const install = `sudo apt-get update && sudo apt-get install -y ${missing.join(" ")}`;
  const prefix = asRoot();
  if (prefix === null) stop(`${purpose} needs: ${missing.join(", ")}. Run: ${install}`);
  console.error(`${purpose} needs ${missing.join(", ")}: installing from Debian's packages`);
  if (!installDebian(prefix, missing))
    stop(`could not install ${missing.join(", ")}. Run: ${install}`);
}

/** Asked for once in each folder of packages; without it all works as well. */
function wantTool(tool, purpose) {
  const asked = join(root, "node_modules", `.asked-for-${tool.debian}`);
  if (lackingOf([tool]).length === 0 || existsSync(asked) || !onPath("apt-get")) return;
  writeFileSync(asked, "");
  const prefix = asRoot();
  if (prefix === null) return;
  console.error(`installing ${tool.debian} from Debian's packages, if it is there, ${purpose}`);
  // Where there is no network, nobody is to wait for it long.
  const options = ["-o", "Acquire::Retries=0", "-o", "Acquire::http::Timeout=15"];
  installDebian(prefix, [tool.debian], { told: "ignore", options });
}

/** What npm runs is told where npm lies; by its name it is a batch file on Windows, which needs a shell. */
/** Says why it failed, also where `npm run --silent`, which hands its silence on, called this. */
function npm(command, told = "inherit") {
  const args = [...command, "--loglevel=error"];
  const stdio = ["ignore", "ignore", told];
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

/**
 * Whether the store's library is there, and made for the Node.js that runs. Asked of a process of its own: where one for
 * another version was tried, Node.js does not load the right one after it ("Module did not self-register").
 */
function storeLoads() {
  const open = 'new (require("better-sqlite3"))(":memory:").close()';
  return run(process.execPath, ["-e", open], { stdio: "ignore" });
}

function makeStoreLibrary() {
  console.error("making the store's library (where it has to be compiled, that takes minutes)");
  const make = (told) => npm(["rebuild", "better-sqlite3"], told) && storeLoads();
  if (process.platform === "linux" && lackingOf(toolsToCompile).length > 0) {
    if (make("ignore")) return;
    needTools(toolsToCompile, "compiling the store's library");
  }
  if (!make("inherit"))
    stop(
      `the store's library could not be made: see the lines above; with a network, run it again${toCompile}`,
    );
}

function installPackages() {
  // By content, not by time: a fresh checkout of the same lock file needs no new installation.
  const stamp = join(root, "node_modules", ".installed-from");
  const lock = createHash("sha256")
    .update(readFileSync(join(root, "package-lock.json")))
    .digest("hex");
  if (!existsSync(stamp) || readFileSync(stamp, "utf8") !== lock) {
    console.error("installing packages (a minute the first time, more on a small computer)");
    // The one program that has to run at an installation runs after it: both at once want half as much memory again.
    if (!npm(["ci", "--ignore-scripts", "--no-audit", "--no-fund"]))
      stop("npm ci failed: see the lines above; with a network, run it again");
    writeFileSync(stamp, lock);
  }
  // Also after Node.js itself was replaced: the library is made for one version of it.
  if (!storeLoads()) makeStoreLibrary();
}

needNode();
installPackages();
if (forTests) {
  needTools(toolsToTest, "the browser and label tests");
  wantTool(quickBrowser, "to make the tests in a browser quicker");
}
const built = join(root, "dist", ".built");
if (!existsSync(built) || statSync(built).mtimeMs < newestIn(root)) build(root);
