import type Database from "better-sqlite3";
import { utcMs, type UtcMs } from "../units/quantity.ts";

/** When the service last said that it was running: the start of a gap, if it was not closed properly. */
export function aliveIn(db: Database.Database) {
  const set = db.prepare<[number]>(
    "INSERT INTO alive (id, at_utc_ms) VALUES (1, ?) ON CONFLICT DO UPDATE SET at_utc_ms = excluded.at_utc_ms",
  );
  const get = db.prepare<[], number>("SELECT at_utc_ms FROM alive").pluck();

  return {
    set: (at: UtcMs): void => void set.run(at),
    last(): UtcMs | null {
      const at = get.get();
      return at === undefined ? null : utcMs(at);
    },
  };
}
