import Database from "better-sqlite3";
import { statfsSync } from "node:fs";
import { Fault } from "../faults.ts";

const codeOf = (thrown: unknown): string | null =>
  thrown instanceof Database.SqliteError ? thrown.code : null;

const among = (code: string, kinds: readonly string[]): boolean =>
  kinds.some((kind) => code === kind || code.startsWith(`${kind}_`));

export const isBusy = (thrown: unknown): boolean =>
  among(codeOf(thrown) ?? "", ["SQLITE_BUSY", "SQLITE_LOCKED"]);

export const isNoDatabase = (thrown: unknown): boolean => codeOf(thrown) === "SQLITE_NOTADB";

/**
 * Whether a store could not be opened because SQLite could not make, or lengthen, a file of its own beside it: the
 * folder may not be written, or its disk is full. Takes a refusal of SQLite or a Fault made of it.
 */
export const mayNotWriteBeside = (thrown: unknown): boolean =>
  among(codeOf(thrown instanceof Fault ? thrown.cause : thrown) ?? "", [
    "SQLITE_CANTOPEN",
    "SQLITE_FULL",
    "SQLITE_IOERR_SHMMAP",
    "SQLITE_IOERR_SHMOPEN",
    "SQLITE_IOERR_SHMSIZE",
    "SQLITE_READONLY",
  ]);

/**
 * What the disk refused, as a Fault for a person. A broken rule of the layout and everything else is a bug of the
 * program and comes back as it is.
 */
export function refusalOf(thrown: unknown, path: string): unknown {
  const code = codeOf(thrown);
  if (code === null || !(thrown instanceof Error)) return systemRefusal(thrown, path);
  const said = `${code}: ${thrown.message}`;
  // The file of indexes that SQLite makes first is mapped into memory, and SQLite does not tell why it could not grow.
  const isFull =
    among(code, ["SQLITE_FULL"]) || (among(code, ["SQLITE_IOERR_SHMSIZE"]) && hasNoRoom(path));
  if (isFull)
    return new Fault("store.full", `the disk that holds ${path} is full (${said})`, {
      cause: thrown,
    });
  if (among(code, ["SQLITE_CORRUPT", "SQLITE_NOTADB"]))
    return new Fault("store.damaged", `${path} cannot be read as it was written (${said})`, {
      cause: thrown,
    });
  const unwritable = ["IOERR", "READONLY", "CANTOPEN", "PERM", "BUSY", "LOCKED", "PROTOCOL"];
  if (
    among(
      code,
      unwritable.map((kind) => `SQLITE_${kind}`),
    )
  )
    return new Fault("store.unwritable", `${path} cannot be written (${said})`, { cause: thrown });
  return thrown;
}

/** Room for less than what SQLite makes at the start of its file of indexes. */
function hasNoRoom(path: string): boolean {
  try {
    const { bavail, bsize } = statfsSync(path);
    return bavail * bsize < 32_768;
  } catch {
    return false;
  }
}

/** Trouble with a folder or a file, before SQLite had it in hand. */
function systemRefusal(thrown: unknown, path: string): unknown {
  if (!(thrown instanceof Error) || !("syscall" in thrown) || !("code" in thrown)) return thrown;
  if (thrown.code === "ENOTDIR")
    return new Fault(
      "store.unwritable",
      `${path} cannot be written: a part of its path is a file, not a folder`,
      { cause: thrown },
    );
  const full = thrown.code === "ENOSPC" || thrown.code === "EDQUOT";
  return new Fault(
    full ? "store.full" : "store.unwritable",
    full
      ? `the disk that holds ${path} is full (${thrown.message})`
      : `${path} cannot be written (${thrown.message})`,
    { cause: thrown },
  );
}

/** Runs `work`, and turns a refusal of the disk into a Fault. */
export function onDisk<T>(path: string, work: () => T): T {
  try {
    return work();
  } catch (thrown) {
    throw refusalOf(thrown, path);
  }
}
