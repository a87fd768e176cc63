import type Database from "better-sqlite3";
import type { Alive } from "../service/bench.ts";
import { utcMs, type UtcMs } from "../units/quantity.ts";

/** When the service last said that it was running: the start of a gap, if it was not closed properly. */
export function aliveIn(db: Database.Database) {
  const set = db.prepare<[number, number]>(
    "INSERT OR REPLACE INTO alive (id, at_utc_ms, system_utc_ms) VALUES (1, ?, ?)",
  );
  const get = db.prepare<[], { at_utc_ms: number; system_utc_ms: number }>("SELECT * FROM alive");

  const times = [
    ["batch", "started_at_utc_ms"],
    ["batch", "ended_at_utc_ms"],
    ["bag", "planned_at_utc_ms"],
    ...["weighing", "moment", "core_check", "verdict", "alert"].map((of) => [of, "at_utc_ms"]),
    ...["bag_weighing", "bag_fate", "scale_check"].map((of) => [of, "at_utc_ms"]),
  ].map(([table, column]) => `SELECT max(${column}) AS at FROM ${table}`);
  const newest = db.prepare<[], number | null>(
    `SELECT max(at) FROM (${times.join(" UNION ALL ")})`,
  );

  return {
    newest(): UtcMs | null {
      const at = newest.pluck().get() ?? null;
      return at === null ? null : utcMs(at);
    },
    set: ({ at, systemAt }: Alive): void => void set.run(at, systemAt),
    last(): Alive | null {
      const row = get.get();
      return row === undefined
        ? null
        : { at: utcMs(row.at_utc_ms), systemAt: utcMs(row.system_utc_ms) };
    },
  };
}
