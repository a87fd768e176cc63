/** The file itself: whose it is, its rights, how carefully it is written, and its layout. */
import Database from "better-sqlite3";
import {
  chmodSync,
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readdirSync,
  readSync,
  renameSync,
  rmSync,
  statSync,
} from "node:fs";
import { dirname, join } from "node:path";
import { Fault } from "../faults.ts";
import type { UtcMs } from "../units/quantity.ts";
import { createPrivate } from "./lock.ts";
import { runSteps, stepOf, type Step } from "./steps.ts";

/** "Stwt": how the file says that it is ours (SQLite's application_id). */
export const applicationId = 0x53747774;
export const databaseName = "stillweight.db";
export const databaseIn = (folder: string): string => join(folder, databaseName);

/** Makes the folder, readable for its owner alone; the rights of one that is there are left as they are. */
export function makeFolder(folder: string): void {
  if (existsSync(folder)) {
    if (statSync(folder).isDirectory()) return;
    throw new Fault("store.not-ours", `${folder} is a file, not a data folder`);
  }
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  chmodSync(folder, 0o700);
}

/** Opens the store's file for writing and brings it to the newest layout; the caller holds the folder's lock. */
export function openDatabase(folder: string, steps: readonly Step[], at: UtcMs): Database.Database {
  const file = databaseIn(folder);
  if (existsSync(file) && statSync(file).size > 0) refuseForeign(file, steps.length);
  else createPrivate(file);
  const db = new Database(file, { timeout: 5000 });
  try {
    markOurs(db, file);
    refuseNewer(file, stepOf(db), steps.length);
    refuseDamaged(db, file);
    writeCarefully(db);
    if (stepOf(db) < steps.length) migrate(db, folder, steps, at);
    return db;
  } catch (thrown) {
    db.close();
    throw thrown;
  }
}

/** Only an empty file becomes ours: one that a power cut left half made is empty again once it is open. */
function markOurs(db: Database.Database, file: string): void {
  if (Number(db.pragma("application_id", { simple: true })) === applicationId) return;
  const objects = db.prepare("SELECT count(*) FROM sqlite_master").pluck().get();
  if (objects !== 0) throw new Fault("store.not-ours", `${file} was not made by this program`);
  db.pragma(`application_id = ${applicationId}`);
}

/**
 * A power cut may leave the header torn, and the log or journal beside the file then mends it. Otherwise looks at
 * the header alone, before SQLite may touch the file. Source of the offsets: SQLite's own description of
 * its file format, section 1.3 (the database header).
 */
function refuseForeign(file: string, newest: number): void {
  const header = headerOf(file);
  const isMended = ["-wal", "-journal"].some(
    (ending) => existsSync(`${file}${ending}`) && statSync(`${file}${ending}`).size > 0,
  );
  const isSqlite = header.toString("latin1", 0, 16) === "SQLite format 3\0";
  if (!isSqlite || header.readUInt32BE(68) !== applicationId) {
    if (isMended) return;
    throw new Fault("store.not-ours", `${file} was not made by this program`);
  }
  refuseNewer(file, header.readUInt32BE(layoutAt), newest);
}

const layoutAt = 60;

function headerOf(file: string): Buffer {
  const header = Buffer.alloc(100);
  const handle = openSync(file, "r");
  try {
    readSync(handle, header, 0, 100, 0);
  } finally {
    closeSync(handle);
  }
  return header;
}

export function refuseNewer(file: string, step: number, newest: number): void {
  if (step <= newest) return;
  const said = `${file} has layout ${step}, this program knows layouts up to ${newest}`;
  const folder = dirname(file);
  const back = file === databaseIn(folder) ? copyBefore(folder, newest) : null;
  throw new Fault(
    "store.newer-than-program",
    back === null
      ? said
      : `${said}. To stay with this program, call stillweight restore "${back}" --data "${folder}": the record as the newer program found it; what was kept since stays in a file beside it`,
  );
}

/** The newest copy that was made before a new layout and that a program of these layouts can read; null: none. */
function copyBefore(folder: string, newest: number): string | null {
  const made = (name: string): string => name.replace(/^before-layout-\d+-/, "");
  const copies = readdirSync(folder)
    .filter((name) => /^before-layout-\d+-.*\.db$/.test(name))
    .toSorted((a, b) => made(b).localeCompare(made(a)))
    .map((name) => join(folder, name));
  return copies.find((file) => headerOf(file).readUInt32BE(layoutAt) <= newest) ?? null;
}

function refuseDamaged(db: Database.Database, file: string): void {
  const said = db.pragma("quick_check(1)", { simple: true });
  if (said !== "ok") throw new Fault("store.damaged", `${file}: ${String(said)}`);
}

/** Every commit is on the disk when it returns; fullfsync: on macOS, past the disk's own cache too. */
function writeCarefully(db: Database.Database): void {
  db.pragma("journal_mode = WAL");
  db.pragma("synchronous = FULL");
  db.pragma("fullfsync = ON");
  db.pragma("checkpoint_fullfsync = ON");
  db.pragma("foreign_keys = ON");
  // Otherwise INSERT OR REPLACE would remove rows past the triggers that forbid it.
  db.pragma("recursive_triggers = ON");
  db.pragma("trusted_schema = OFF");
}

function migrate(db: Database.Database, folder: string, steps: readonly Step[], at: UtcMs): void {
  const from = stepOf(db);
  for (const name of readdirSync(folder).filter((one) => one.endsWith(".db.partial")))
    rmSync(join(folder, name), { force: true });
  const aside = join(folder, `before-layout-${steps.length}-${dated(at)}.db`);
  if (from > 0) copyAside(db, aside);
  try {
    runSteps(db, steps);
  } catch (thrown) {
    // A unit starts it again every two seconds: a copy each time of what is still there would fill the disk.
    if (stepOf(db) === from) rmSync(aside, { force: true });
    throw thrown;
  }
  // The header then says which layout the file has, also to a program that looks at the header alone.
  db.pragma("wal_checkpoint(TRUNCATE)");
}

/** Under its own name only when it is whole: a start that was cut off leaves nothing that looks like a copy. */
function copyAside(db: Database.Database, file: string): void {
  const partial = `${file}.partial`;
  rmSync(partial, { force: true });
  createPrivate(partial);
  db.prepare<[string]>("VACUUM INTO ?").run(partial);
  flush(partial);
  renameSync(partial, file);
}

/** The time as part of a file's name: 20261125T143005Z. */
export const dated = (at: UtcMs): string =>
  new Date(at).toISOString().replaceAll(/[-:]/g, "").replace(/\.\d+/, "");

/** Waits until a file is on the disk. Windows does so only by a handle that may write. */
export const flush = (file: string): void => flushBy(file, "r+");

/** Waits until a file's name is on the disk. On Windows a folder cannot be flushed, and need not be. */
export function flushName(file: string): void {
  if (process.platform !== "win32") flushBy(dirname(file), "r");
}

function flushBy(path: string, flags: "r" | "r+"): void {
  const handle = openSync(path, flags);
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}
