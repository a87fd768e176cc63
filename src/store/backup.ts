/** Copies of a store, taken while it is in use, and brought back. A copy is one file that needs no other beside it. */
import Database from "better-sqlite3";
import {
  accessSync,
  constants,
  copyFileSync,
  existsSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
} from "node:fs";
import { dirname, join } from "node:path";
import { Fault, isFault } from "../faults.ts";
import type { UtcMs } from "../units/quantity.ts";
import {
  databaseIn,
  databaseName,
  dated,
  flush,
  flushName,
  makeFolder,
  refuseNewer,
} from "./database.ts";
import { inspectStore, openToRead, type StoreReport } from "./inspect.ts";
import { createPrivate, lockFolder, lockIn } from "./lock.ts";
import { readMark, type Mark } from "./mark.ts";
import { stepOf, stepsFolder, stepsIn } from "./steps.ts";
import { isNoDatabase, mayNotWriteBeside, onDisk, refusalOf } from "./trouble.ts";

const besides = ["-wal", "-shm", "-journal"];
/** What holds rows: the file of indexes (-shm) is made anew from them. */
const withRows = ["", "-wal", "-journal"];

/**
 * A verified copy of a folder's store in `file`, which is replaced only by a copy that was found to be whole. Throws
 * Faults, and what `stop` was aborted with; `file` is then as it was.
 */
export async function backUp(
  folder: string,
  file: string,
  stop: AbortSignal,
): Promise<StoreReport> {
  const source = databaseIn(folder);
  const target = onlyOurs(file, source);
  const partial = `${target}.partial`;
  try {
    const report = await verifiedCopy(source, partial);
    stop.throwIfAborted();
    takePlace(partial, target);
    return { ...report, file };
  } catch (thrown) {
    removeIfMay(partial);
    throw refusalOf(thrown, file);
  }
}

/** Where the copy goes: never over the store itself, nor over a file that is not a store. */
function onlyOurs(file: string, source: string): string {
  const into = dirname(file);
  if (!existsSync(into) || !statSync(into).isDirectory())
    throw new Fault("store.not-ours", `there is no folder ${into} to copy into`);
  if (!existsSync(file)) return file;
  const target = realpathSync(file);
  if (statSync(target).isDirectory())
    throw new Fault("store.not-ours", `${file} is a folder; name the file to be written`);
  if (isSameFile(target, source))
    throw new Fault("store.not-ours", `${file} is the store itself; name another file`);
  const folder = dirname(target);
  if (isSameFile(target, databaseIn(folder)) && existsSync(lockIn(folder)))
    throw new Fault("store.not-ours", `${file} is the store of a data folder; name another file`);
  if (statSync(target).size > 0) openToRead(target).close();
  return target;
}

/** By what the disk says, not by names: most disks of macOS and Windows tell no capitals apart. */
function isSameFile(one: string, other: string): boolean {
  const [first, second] = [one, other].map((file) =>
    statSync(file, { bigint: true, throwIfNoEntry: false }),
  );
  return first !== undefined && first.dev === second?.dev && first.ino === second.ino;
}

type Restored = {
  readonly report: StoreReport;
  /** The store that was there before; null when there was none. */
  readonly aside: string | null;
};

/**
 * Puts the copy in `file` into a folder. The store that was there stays beside it under a dated name, whole, before
 * anything is replaced. Throws Faults, store.in-use while a program has the folder open, and what `stop` was aborted
 * with; the folder's store is then as it was.
 */
export async function bringBack(
  file: string,
  folder: string,
  at: UtcMs,
  stop: AbortSignal,
): Promise<Restored> {
  const mark = markOf(file);
  onDisk(folder, () => makeFolder(folder));
  const lock = lockFolder(folder);
  const target = databaseIn(folder);
  const arriving = join(folder, `${databaseName}.arriving`);
  try {
    refuseOtherKind(target, mark);
    const report = await verifiedCopy(file, arriving);
    stop.throwIfAborted();
    const aside = existsSync(target) ? setAside(target, at) : null;
    if (aside !== null) foldIn(target);
    takePlace(arriving, target);
    return { report: { ...report, file: target }, aside };
  } catch (thrown) {
    removeIfMay(arriving);
    throw refusalOf(thrown, folder);
  } finally {
    lock.release();
  }
}

/** The mark of a store's file; null when it has none yet. Throws store.not-ours. */
export function markOf(file: string): Mark | null {
  const db = openToRead(file);
  try {
    return stepOf(db) === 0 ? null : readMark(db);
  } catch (thrown) {
    throw refusalOf(thrown, file);
  } finally {
    db.close();
  }
}

/** A folder for practice takes no real food, and the other way round. A store too damaged to say is replaced. */
function refuseOtherKind(target: string, arriving: Mark | null): void {
  if (!existsSync(target) || statSync(target).size === 0) return;
  let there: Mark | null;
  try {
    there = markOf(target);
  } catch (thrown) {
    if (thrown instanceof Fault && thrown.code === "store.damaged") return;
    throw thrown;
  }
  if (there === null || arriving === null || there.practice === arriving.practice) return;
  const kind = (mark: Mark): string => (mark.practice ? "practice" : "real food");
  throw new Fault(
    "store.wrong-kind",
    `the copy is of ${kind(arriving)}, ${dirname(target)} is for ${kind(there)}`,
  );
}

/** Copies the old store with its log, byte for byte, so that even a damaged one is all there. */
function setAside(target: string, at: UtcMs): string {
  const name = freeName(join(dirname(target), `before-restore-${dated(at)}`));
  try {
    for (const ending of ["", "-wal"]) {
      if (!existsSync(`${target}${ending}`)) continue;
      createPrivate(`${name}${ending}`);
      copyFileSync(`${target}${ending}`, `${name}${ending}`);
      flush(`${name}${ending}`);
    }
    flushName(name);
    return name;
  } catch (thrown) {
    removeIfMay(name);
    throw thrown;
  }
}

/** Brings the log into the store, so that the store is whole without it should nothing take its place. */
function foldIn(target: string): void {
  try {
    const db = new Database(target, { fileMustExist: true });
    try {
      db.pragma("wal_checkpoint(TRUNCATE)");
    } finally {
      db.close();
    }
  } catch (thrown) {
    // A damaged one is kept as it was, log and all, under its other name.
    const refusal = refusalOf(thrown, target);
    if (!isNoDatabase(thrown) && !(refusal instanceof Fault && refusal.code === "store.damaged"))
      throw refusal;
  }
}

/** A log that is left beside would be taken for that of the file that arrives, and bring old rows back. */
function takePlace(arriving: string, target: string): void {
  for (const ending of besides) rmSync(`${target}${ending}`, { force: true });
  renameSync(arriving, target);
  flushName(target);
}

function freeName(stem: string): string {
  for (let number = 1; ; number++) {
    const name = number === 1 ? `${stem}.db` : `${stem}-${number}.db`;
    if (!existsSync(name)) return name;
  }
}

/** Throws store.damaged, and leaves no copy, when the copy is not whole. */
async function verifiedCopy(from: string, to: string): Promise<StoreReport> {
  removeFile(to);
  createPrivate(to);
  try {
    await copyRows(from, to);
    const copy = new Database(to);
    try {
      copy.pragma("journal_mode = DELETE");
    } finally {
      copy.close();
    }
  } catch (thrown) {
    // Only the copy takes room.
    const refusal = refusalOf(thrown, from);
    throw isFault(refusal, "store.full") ? refusalOf(thrown, to) : refusal;
  }
  flush(to);
  const report = inspectStore(to);
  if (report.problems.length > 0)
    throw new Fault("store.damaged", `${from}: ${report.problems.join("; ")}`);
  return report;
}

/**
 * A log that a killed service left is read by way of a file that SQLite makes beside it. On a disk that is read-only
 * or full it cannot, and the log is read where the copy goes.
 */
async function copyRows(from: string, to: string): Promise<void> {
  let source: Database.Database;
  try {
    source = openToRead(from);
  } catch (thrown) {
    if (!mayNotWriteBeside(thrown)) throw thrown;
    copyBytes(from, to, thrown);
    return;
  }
  try {
    refuseNewer(from, stepOf(source), stepsIn(stepsFolder).length);
    // In one go: a copy in pieces starts again whenever the service writes in between.
    await source.backup(to, { progress: () => 0x7fffffff });
  } finally {
    source.close();
  }
}

/** Log and all. Nobody can be kept from writing meanwhile, so whether somebody did is looked at. */
function copyBytes(from: string, to: string, refused: unknown): void {
  const seen = (): string =>
    withRows
      .map((ending) => statSync(`${from}${ending}`, { bigint: true, throwIfNoEntry: false }))
      .map((stat) => `${stat?.ino} ${stat?.size} ${stat?.mtimeNs}`)
      .join();
  // Who may not read the file has to hear what SQLite said of it, not that the copy failed.
  if (!mayRead(from)) throw refused;
  const before = seen();
  for (const ending of withRows) {
    if (!existsSync(`${from}${ending}`)) continue;
    createPrivate(`${to}${ending}`);
    copyFileSync(`${from}${ending}`, `${to}${ending}`);
  }
  if (seen() !== before)
    throw new Fault("store.in-use", `${from} was written to while it was being copied`);
}

function mayRead(file: string): boolean {
  try {
    accessSync(file, constants.R_OK);
    return true;
  } catch {
    return false;
  }
}

function removeFile(file: string): void {
  for (const ending of ["", ...besides]) rmSync(`${file}${ending}`, { force: true });
}

/** After a failure, which is what has to be told: a folder that forbade it may forbid this as well. */
function removeIfMay(file: string): void {
  try {
    removeFile(file);
  } catch {
    // The next copy to this name removes it first.
  }
}
