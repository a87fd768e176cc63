/** `stillweight pair`: a code for a device on the network. Beside the service, with the same data folder. */
import { existsSync, statSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { parseArgs } from "node:util";
import { systemClock } from "../clock.ts";
import { Fault } from "../faults.ts";
import { databaseIn } from "../store/database.ts";
import { codeLivesMs, writeCode, type NewCode } from "../store/devices.ts";
import { refuseNoFolder } from "./asked.ts";
import { dataFolderIn, practiceFolderIn } from "./datafolder.ts";
import type { Io } from "./io.ts";

/** Throws word.unknown-command, store.not-ours, store.full and store.unwritable. */
export async function pair(args: readonly string[], io: Io): Promise<number> {
  const asked = parsed(args);
  refuseNoFolder(asked.data);
  const folder = asked.data ?? dataFolderIn(io.env, process.platform);
  if (!existsSync(folder))
    throw new Fault(
      "store.not-ours",
      `there is no folder ${folder}: name the one that the service printed at its start`,
    );
  if (!statSync(folder).isDirectory())
    throw new Fault("store.not-ours", `${folder} is a file, not a data folder`);
  const devices = devicesFolderOf(folder);
  const access = asked["read-only"] === true ? "read-only" : "full";
  for (const line of codeInWords(writeCode(devices, access, systemClock().system()))) io.out(line);
  return 0;
}

/** Devices are the same in practice: there, the service prints the folder of practice, and they lie around it. */
function devicesFolderOf(folder: string): string {
  const around = dirname(resolve(folder));
  const isOfPractice =
    practiceFolderIn(around) === resolve(folder) && existsSync(databaseIn(around));
  return isOfPractice ? around : folder;
}

export const codeInWords = ({ code, access }: NewCode): readonly string[] => [
  `pairing code ${code}`,
  `  for one device, ${access === "full" ? "with full access" : "that may only look"}, within ${codeLivesMs / 60_000} minutes`,
];

function parsed(args: readonly string[]) {
  try {
    return parseArgs({
      args: [...args],
      strict: true,
      allowPositionals: false,
      options: { data: { type: "string" }, "read-only": { type: "boolean" } },
    }).values;
  } catch (thrown) {
    throw new Fault("word.unknown-command", thrown instanceof Error ? thrown.message : "", {
      cause: thrown,
    });
  }
}
