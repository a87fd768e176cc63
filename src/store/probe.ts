import type Database from "better-sqlite3";
import { isFault } from "../faults.ts";
import { refusalOf } from "./trouble.ts";

export type Recording =
  | { readonly recording: true; readonly why: null }
  | { readonly recording: false; readonly why: string };

/** Two pages of SQLite beyond the row itself: about the room that a weighing takes in tables and indexes. */
const fillingBytes = 8192;

/**
 * Whether the disk takes a weighing now. Writes a new row before it removes the one before, so that room in the file
 * is asked for as well as room on the disk.
 */
export function probeIn(db: Database.Database) {
  const insert = db.prepare<[number]>("INSERT INTO probe (filling) VALUES (zeroblob(?))");
  const remove = db.prepare<[number | bigint]>("DELETE FROM probe WHERE id < ?");
  const tryWrite = db.transaction(() => {
    const { lastInsertRowid } = insert.run(fillingBytes);
    remove.run(lastInsertRowid);
  });

  return (path: string): Recording => {
    try {
      tryWrite.immediate();
      return { recording: true, why: null };
    } catch (thrown) {
      const refusal = refusalOf(thrown, path);
      if (isFault(refusal)) return { recording: false, why: refusal.message };
      throw refusal;
    }
  };
}
