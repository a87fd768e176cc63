import { existsSync, readFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";

/** Where package.json lies: above the build, which has a folder of its own. */
export function programFolder(): string {
  let folder = import.meta.dirname;
  while (!existsSync(join(folder, "package.json")) && dirname(folder) !== folder)
    folder = dirname(folder);
  return folder;
}

/** As package.json has it. */
export function programVersion(): string {
  const file = join(programFolder(), "package.json");
  const found: unknown = JSON.parse(readFileSync(file, "utf8"));
  return typeof found === "object" && found !== null && "version" in found
    ? String(found.version)
    : "unknown";
}

/** What pages tell one build from another by; as the sources, run by a test, it has no more than its version. */
export function programName(): string {
  const build = basename(join(import.meta.dirname, ".."));
  const named = /^\d+T\d+Z$/.test(build) ? ` (${build})` : "";
  return `Stillweight ${programVersion()}${named}`;
}
