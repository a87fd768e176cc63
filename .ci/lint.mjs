// Runs oxlint with the rules of the house, and looks for exports that nothing takes.
import { spawnSync } from "node:child_process";
import { mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { untakenExports } from "./exports.mjs";
import { folders } from "./house.mjs";
import { config } from "./rules.mjs";
import { toolIn } from "./tools.mjs";

const root = join(import.meta.dirname, "..");
const all = Object.keys(folders);

const onDisk = readdirSync(join(root, "src"), { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map((entry) => entry.name);
const unlisted = onDisk.filter((name) => !all.includes(name));
if (unlisted.length > 0) {
  console.error(`not in .ci/house.mjs: ${unlisted.join(", ")}`);
  process.exit(1);
}

const untaken = untakenExports();
if (untaken.length > 0) {
  console.error(untaken.join("\n"));
  process.exit(1);
}

mkdirSync(join(root, ".build"), { recursive: true });
const configFile = join(root, ".build", "oxlint.json");
writeFileSync(configFile, JSON.stringify(config, null, 2));
const targets = process.argv.slice(2);
const done = spawnSync(
  process.execPath,
  [
    toolIn(root, "oxlint"),
    "-c",
    configFile,
    "--type-aware",
    "--deny-warnings",
    ...(targets.length ? targets : ["src", "web/src", "tests", "bench"]),
  ],
  { cwd: root, stdio: "inherit" },
);
process.exit(done.status ?? 1);
