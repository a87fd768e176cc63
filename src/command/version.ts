import { readFileSync } from "node:fs";

/** As package.json has it. */
export function programVersion(): string {
  const file = new URL("../../package.json", import.meta.url);
  const found: unknown = JSON.parse(readFileSync(file, "utf8"));
  return typeof found === "object" && found !== null && "version" in found
    ? String(found.version)
    : "unknown";
}
