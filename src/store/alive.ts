import type Database from "better-sqlite3";
import type { Alive } from "../service/bench.ts";
import { utcMs } from "../units/quantity.ts";

/** When the service last said that it was running: the start of a gap, if it was not closed properly. */
export function aliveIn(db: Database.Database) {
  const set = db.prepare<[number, number]>(
    "INSERT OR REPLACE INTO alive (id, at_utc_ms, system_utc_ms) VALUES (1, ?, ?)",
  );
  const get = db.prepare<[], { at_utc_ms: number; system_utc_ms: number }>("SELECT * FROM alive");

  return {
    set: ({ at, systemAt }: Alive): void => void set.run(at, systemAt),
    last(): Alive | null {
      const row = get.get();
      return row === undefined
        ? null
        : { at: utcMs(row.at_utc_ms), systemAt: utcMs(row.system_utc_ms) };
    },
  };
}
