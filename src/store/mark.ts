/**
 * What a data folder is for: real food or practice. The mark is set when the store is made. A real one may turn into
 * practice as long as nothing was weighed; practice never turns into real food.
 */
import type Database from "better-sqlite3";
import { Fault } from "../faults.ts";
import { utcMs, type UtcMs } from "../units/quantity.ts";
import { bit, isSet } from "./cell.ts";

export type Mark = {
  readonly practice: boolean;
  /** How many times as fast as the real clock this folder's clock last ran; 1 for real food. */
  readonly timeFactor: number;
  readonly createdAt: UtcMs;
};

type Row = {
  readonly practice: number;
  readonly time_factor: number;
  readonly created_at_utc_ms: number;
};

export function readMark(db: Database.Database): Mark | null {
  const row = db.prepare<[], Row>("SELECT * FROM meta").get();
  if (row === undefined) return null;
  return {
    practice: isSet(row.practice),
    timeFactor: row.time_factor,
    createdAt: utcMs(row.created_at_utc_ms),
  };
}

const isWeighedOn = (db: Database.Database): boolean =>
  db.prepare<[], number>("SELECT EXISTS (SELECT 1 FROM weighing)").pluck().get() === 1;

/** Sets or checks the mark; throws store.wrong-kind when the folder is for the other kind. */
export function settleMark(
  db: Database.Database,
  folder: string,
  asked: { readonly practice: boolean; readonly timeFactor: number; readonly at: UtcMs },
): Mark {
  const settle = db.transaction(() => {
    const kept = readMark(db);
    if (kept === null)
      db.prepare<[number, number, number]>(
        "INSERT INTO meta (id, practice, time_factor, created_at_utc_ms) VALUES (1, ?, ?, ?)",
      ).run(bit(asked.practice), asked.timeFactor, asked.at);
    else if (kept.practice && !asked.practice)
      throw new Fault("store.wrong-kind", `${folder} was used for practice and stays practice`);
    else if (!kept.practice && asked.practice && isWeighedOn(db))
      throw new Fault("store.wrong-kind", `${folder} holds weighings of real food`);
    else if (asked.practice) {
      db.prepare<[number]>("UPDATE meta SET practice = 1, time_factor = ?").run(asked.timeFactor);
      db.exec("UPDATE batch SET practice = 1 WHERE practice = 0");
    }
  });
  settle.immediate();
  const mark = readMark(db);
  if (mark === null) throw new Error(`${folder} has no mark`);
  return mark;
}
