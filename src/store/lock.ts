/**
 * One program a data folder. The lock is a file lock that the kernel lets go of when the process dies, so that a
 * crash leaves nothing to clear away: a second, empty SQLite file in which a transaction is kept open for ever.
 */
import Database from "better-sqlite3";
import { closeSync, fchownSync, openSync, statSync } from "node:fs";
import { dirname, join } from "node:path";
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

/**
 * SQLite would create the file readable for all; its log files then take over the rights and the owner of the file. What
 * root makes in the folder of a service belongs to whom the folder belongs: the service could not read it otherwise.
 */
export function createPrivate(file: string): void {
  let handle: number;
  try {
    handle = openSync(file, "wx", 0o600);
  } catch (thrown) {
    // Never opened and closed when it is there: closing would let go of the locks that this process has on it.
    if (thrown instanceof Error && "code" in thrown && thrown.code === "EEXIST") return;
    throw thrown;
  }
  try {
    if (process.getuid?.() === 0) giveAway(handle, dirname(file));
  } finally {
    closeSync(handle);
  }
}

function giveAway(handle: number, folder: string): void {
  const { uid, gid } = statSync(folder);
  try {
    fchownSync(handle, uid, gid);
  } catch {
    // A root without this right, as in some containers, keeps the file: what it runs as can read it.
  }
}
