/**
 * The copies that the program makes of its record by itself, in a folder that may hold those of other records. Which
 * are its own it knows by eight hexadecimal digits in their names, drawn once for each data folder. They lie in a file
 * beside the record, with the folders in which copies were made: a restored record goes on with its folder's copies,
 * and two folders with one record in them do not remove each other's.
 *
 * Every call here may wait for ever where a disk of the network does not answer.
 */
import { randomBytes } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, rmSync, statfsSync, statSync } from "node:fs";
import { join, resolve } from "node:path";
import type { UtcMs } from "../units/quantity.ts";
import { backUp, markOf } from "./backup.ts";
import { databaseIn } from "./database.ts";
import { readJson, replaceJson } from "./jsonfile.ts";
import { copyName, newestCopy, readCopyName, surplusCopies } from "./rotation.ts";

export type CopiesAsked = {
  readonly dataFolder: string;
  /** null: a folder of their own inside the data folder. */
  readonly folder: string | null;
  readonly everyHours: number;
  /** The newest so many stay, and one for each of twelve months before. */
  readonly keep: number;
  readonly now: UtcMs;
};

export type CopiesKept = {
  /** When the newest copy was made. */
  readonly at: UtcMs;
  readonly isNew: boolean;
};

type Own = {
  readonly record: string;
  /** In which a copy was made; other than the one inside the data folder. */
  readonly folders: readonly string[];
};

/** Room that stays free beside a copy, so that copies never take the place of weighings. */
const spareBytes = 100_000_000;

export const copiesFolder = ({ dataFolder, folder }: Pick<CopiesAsked, "dataFolder" | "folder">) =>
  folder === null ? join(dataFolder, "backups") : resolve(folder);

/**
 * Makes a copy if one is due, and removes those of this record that need not stay. Throws Faults and Errors in
 * sentences; copies that were there are then still there.
 */
export async function keepCopies(asked: CopiesAsked): Promise<CopiesKept> {
  const { dataFolder, everyHours, keep, now } = asked;
  const folder = copiesFolder(asked);
  const own = ownIn(dataFolder);
  // A folder elsewhere is not made: where a disk is not mounted, it would be made on the wrong one.
  if (asked.folder === null) mkdirSync(folder, { recursive: true, mode: 0o700 });
  else refuseBare(folder, own);
  const before = copiesOf(own, dataFolder, folder);
  const newest = newestCopy(before, now);
  if (newest !== null && now - newest < everyHours * 3_600_000) return { at: newest, isNew: false };
  removeUnfinished(folder, own);
  refuseNoRoom(folder, dataFolder);
  const name = copyName(now, own.record);
  await backUp(dataFolder, join(folder, name), new AbortController().signal);
  if (asked.folder !== null && !own.folders.includes(folder))
    replaceJson(ownFile(dataFolder), { ...own, folders: [...own.folders, folder] });
  for (const surplus of surplusCopies([...before, name], keep, now))
    rmSync(join(folder, surplus), { force: true });
  return { at: now, isNew: true };
}

/** What is left of a mount point when its disk is not mounted has none of the copies that were made there. */
function refuseBare(folder: string, own: Own): void {
  if (!existsSync(folder)) throw new Error(`there is no folder ${folder}: is its disk attached?`);
  if (!own.folders.includes(folder)) return;
  if (readdirSync(folder).some((name) => name.includes(own.record))) return;
  throw new Error(
    `the copies that were made in ${folder} are not there: is its disk attached? For another disk, make an empty file stillweight-${own.record} in it`,
  );
}

/** Those with the record's digits in their names; of those from before, the ones of a record begun when this one was. */
function copiesOf(own: Own, dataFolder: string, folder: string): string[] {
  let begun: UtcMs | null = null;
  return readdirSync(folder).filter((name) => {
    const named = readCopyName(name);
    if (named === null || named.record !== null) return named?.record === own.record;
    begun ??= begunAt(databaseIn(dataFolder));
    return begun !== null && begunAt(join(folder, name)) === begun;
  });
}

/** null: the file does not say. */
function begunAt(file: string): UtcMs | null {
  try {
    return markOf(file)?.createdAt ?? null;
  } catch {
    return null;
  }
}

/** A program that is killed while it copies leaves its half-made copy. */
function removeUnfinished(folder: string, own: Own): void {
  const unfinished = new RegExp(`-${own.record}\\.db\\.partial(-wal|-shm|-journal)?$`);
  for (const name of readdirSync(folder))
    if (unfinished.test(name)) rmSync(join(folder, name), { force: true });
}

function refuseNoRoom(folder: string, dataFolder: string): void {
  const { bavail, bsize } = statfsSync(folder);
  const free = bavail * bsize;
  const needed = statSync(databaseIn(dataFolder)).size + spareBytes;
  if (free >= needed) return;
  const inMb = (bytes: number): number => Math.round(bytes / 1_000_000);
  throw new Error(
    `${inMb(free)} MB are free on the disk of ${folder}, a copy with room beside it takes ${inMb(needed)} MB`,
  );
}

const ownFile = (dataFolder: string): string => join(dataFolder, "copies.json");

/** Draws the digits where there are none yet. */
function ownIn(dataFolder: string): Own {
  const file = ownFile(dataFolder);
  if (existsSync(file)) return readOwn(file);
  const own: Own = { record: randomBytes(4).toString("hex"), folders: [] };
  replaceJson(file, own);
  return own;
}

function readOwn(file: string): Own {
  const read = readJson(file);
  if (isOwn(read)) return read;
  throw new Error(
    `${file} is not as it was written: remove it; the copies made so far then stay for good`,
  );
}

const isOwn = (read: unknown): read is Own =>
  typeof read === "object" &&
  read !== null &&
  "record" in read &&
  typeof read.record === "string" &&
  /^[0-9a-f]{8}$/.test(read.record) &&
  "folders" in read &&
  Array.isArray(read.folders) &&
  read.folders.every((one) => typeof one === "string");
