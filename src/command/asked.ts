import { parseArgs } from "node:util";
import { Fault } from "../faults.ts";
import { dataFolderIn } from "./datafolder.ts";
import type { Io } from "./io.ts";

/** What the commands on the store are asked: a data folder, and the files that they name. */
type Asked = {
  readonly folder: string;
  /** Whether a person named the folder. */
  readonly folderNamed: boolean;
  readonly files: readonly string[];
};

/**
 * `file`: what the one file is that the command takes, and an example; null: it takes none. Throws
 * word.unknown-command for options that are not known and for a wrong number of files.
 */
export function askedOf(args: readonly string[], io: Io, file: string | null): Asked {
  const { values, positionals } = parsed(args);
  refuseNoFolder(values.data);
  const given = positionals.map((one) => JSON.stringify(one)).join(" and ");
  if (file === null && positionals.length > 0)
    throw new Fault("word.unknown-command", `${given} is more than is asked for`);
  if (file !== null && (positionals.length !== 1 || positionals.includes("")))
    throw new Fault("word.unknown-command", `give ${file}; given was ${given || "none"}`);
  return {
    folder: values.data ?? dataFolderIn(io.env, process.platform),
    folderNamed: values.data !== undefined,
    files: positionals,
  };
}

export function refuseNoFolder(data: string | undefined): void {
  if (data === "") throw new Fault("word.unknown-command", '--data "" names no folder');
}

function parsed(args: readonly string[]) {
  try {
    return parseArgs({
      args: [...args],
      strict: true,
      allowPositionals: true,
      options: { data: { type: "string" } },
    });
  } catch (thrown) {
    throw new Fault("word.unknown-command", thrown instanceof Error ? thrown.message : "", {
      cause: thrown,
    });
  }
}

/** The exit code of a command that a person interrupted. */
export const interruptedCode = 130;

/** Runs `work`; when it ends because a person interrupted it, says nothing more than the exit code. */
export async function unlessInterrupted(io: Io, work: () => Promise<void>): Promise<number> {
  try {
    await work();
    return 0;
  } catch (thrown) {
    if (io.signal.aborted && thrown === io.signal.reason) return interruptedCode;
    throw thrown;
  }
}
