import { readFile } from "node:fs/promises";
import { Fault } from "../faults.ts";
import { settingsFileIn } from "./datafolder.ts";
import type { Io } from "./io.ts";

/** A file that is named must be there; the usual one need not be. */
export async function settingsFile(
  named: string | undefined,
  io: Io,
): Promise<{ path: string; text: string } | null> {
  const path = named ?? settingsFileIn(io.env, process.platform);
  if (path === null) return null;
  try {
    return { path, text: await readFile(path, "utf8") };
  } catch (thrown) {
    if (named === undefined) return null;
    const why = thrown instanceof Error ? thrown.message : String(thrown);
    throw new Fault("word.unknown-command", `cannot read the settings file: ${why}`);
  }
}
