import { readFile } from "node:fs/promises";
import { Fault } from "../faults.ts";
import { settingsFileIn } from "./datafolder.ts";
import { fileTrouble } from "./filetrouble.ts";
import type { Io } from "./io.ts";

/** A file that is named must be there; the usual one need not be. */
export async function settingsFile(
  named: string | undefined,
  io: Io,
): Promise<{ path: string; text: string } | null> {
  const path = named ?? settingsFileIn(io.env, process.platform);
  if (path === null) return null;
  let text: string;
  try {
    text = await readFile(path, "utf8");
  } catch (thrown) {
    if (named === undefined) return null;
    const why = `cannot read the settings file ${path}: ${fileTrouble(thrown)}`;
    throw new Fault("word.unknown-command", why, { cause: thrown });
  }
  // What is no text would be shown byte by byte at the place of the first fault.
  if (/[\0\uFFFD]/.test(text))
    throw new Fault("word.unknown-command", `the settings file ${path} is no text in UTF-8`);
  return { path, text };
}
