/**
 * One program a data folder. The lock is a file lock that the kernel lets go of when the process dies, so that a
 * crash leaves nothing to clear away: a second, empty SQLite file in which a transaction is kept open for ever.
 */
import Database from "better-sqlite3";
import { closeSync, openSync } from "node:fs";
import { join } from "node:path";
import { Fault } from "../faults.ts";
import { isBusy, isNoDatabase, refusalOf } from "./trouble.ts";

type FolderLock = { release(): void };

export const lockIn = (folder: string): string => join(folder, "stillweight.lock");

export function lockFolder(folder: string): FolderLock {
  const file = lockIn(folder);
  let lock: Database.Database | null = null;
  try {
    createPrivate(file);
    lock = new Database(file, { timeout: 0 });
    // Nothing is ever written, so that no journal has to lie about.
    lock.pragma("journal_mode = MEMORY");
    lock.exec("BEGIN EXCLUSIVE");
  } catch (thrown) {
    lock?.close();
    if (isBusy(thrown))
      throw new Fault("store.in-use", `another program has ${folder} open`, { cause: thrown });
    if (isNoDatabase(thrown))
      throw new Fault("store.not-ours", `${file} is not a lock of this program`, { cause: thrown });
    throw refusalOf(thrown, folder);
  }
  const held = lock;
  return { release: () => void held.close() };
}

/** SQLite would create the file readable for all; its log files then take over the rights of the file. */
export function createPrivate(file: string): void {
  try {
    closeSync(openSync(file, "wx", 0o600));
  } catch (thrown) {
    // Never opened and closed when it is there: closing would let go of the locks that this process has on it.
    if (!(thrown instanceof Error && "code" in thrown && thrown.code === "EEXIST")) throw thrown;
  }
}
