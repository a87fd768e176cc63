// What the program is made of: every package that comes with it, its version and its licence, as the lock file and
// the packages themselves say; and which of them run a program when they are installed.
//   npm run licences
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { isStarted } from "./tools.mjs";

const root = join(import.meta.dirname, "..");

/** Licences that ask for no more than their text and the name of who wrote it. */
export const permissive = [
  "MIT",
  "MIT-0",
  "ISC",
  "BSD-2-Clause",
  "BSD-3-Clause",
  "0BSD",
  "Apache-2.0",
  "BlueOak-1.0.0",
  "Unlicense",
  "(BSD-2-Clause OR MIT OR Apache-2.0)",
  "(MIT OR WTFPL)",
];

/** @returns {{ name: string, version: string, licence: string, installs: boolean }[]} */
export function shipped() {
  const lock = JSON.parse(readFileSync(join(root, "package-lock.json"), "utf8"));
  return Object.entries(lock.packages)
    .filter(([path, one]) => path !== "" && !one.dev && !one.devOptional)
    .map(([path, one]) => ({
      name: path.replace(/^.*node_modules\//, ""),
      version: one.version,
      licence: one.license ?? licenceIn(path),
      installs: one.hasInstallScript === true,
    }))
    .toSorted((a, b) => a.name.localeCompare(b.name));
}

/** Old packages say it in a part that the lock file does not carry. */
function licenceIn(path) {
  const said = JSON.parse(readFileSync(join(root, path, "package.json"), "utf8"));
  const inPackage = said.license?.type ?? said.license ?? said.licenses?.[0]?.type;
  if (inPackage !== undefined) return inPackage;
  const file = readdirSync(join(root, path)).find((name) => /^licen[cs]e/i.test(name));
  const text = file === undefined ? "" : readFileSync(join(root, path, file), "utf8");
  return /^MIT License\s/.test(text) ? "MIT" : "not said";
}

if (isStarted(import.meta.filename)) {
  const all = shipped();
  for (const { name, version, licence, installs } of all)
    console.log(
      `${name} ${version}: ${licence}${installs ? " (runs a program when installed)" : ""}`,
    );
  const other = all.filter(({ licence }) => !permissive.includes(licence));
  console.log(`${all.length} packages, ${other.length} with a licence to be looked at`);
  process.exitCode = other.length === 0 ? 0 : 1;
}
