import type Database from "better-sqlite3";
import type { Batch } from "../service/bench.ts";
import { utcMs, type UtcMs } from "../units/quantity.ts";
import { bit, isSet, oneRow, text } from "./cell.ts";

type Row = {
  readonly id: number;
  readonly number: number;
  readonly name: string;
  readonly dryer: string;
  readonly practice: number;
  readonly started_at_utc_ms: number;
  readonly ended_at_utc_ms: number | null;
};

/** A batch without what belongs to it. */
export type BareBatch = Pick<
  Batch,
  "id" | "number" | "name" | "dryer" | "practice" | "startedAt" | "endedAt"
>;

const toRow = (batch: BareBatch): Row => ({
  id: batch.id,
  number: batch.number,
  name: text(batch.name),
  dryer: text(batch.dryer),
  practice: bit(batch.practice),
  started_at_utc_ms: batch.startedAt,
  ended_at_utc_ms: batch.endedAt,
});

const fromRow = (row: Row): BareBatch => ({
  id: row.id,
  number: row.number,
  name: row.name,
  dryer: row.dryer,
  practice: isSet(row.practice),
  startedAt: utcMs(row.started_at_utc_ms),
  endedAt: row.ended_at_utc_ms === null ? null : utcMs(row.ended_at_utc_ms),
});

export type BatchState = "open" | "ended" | "all";

export function batchesIn(db: Database.Database) {
  const insert = db.prepare<[Row]>(`
    INSERT INTO batch (id, number, name, dryer, practice, started_at_utc_ms, ended_at_utc_ms)
    VALUES (@id, @number, @name, @dryer, @practice, @started_at_utc_ms, @ended_at_utc_ms)`);
  const end = db.prepare<[number, number]>(
    "UPDATE batch SET ended_at_utc_ms = ? WHERE id = ? AND ended_at_utc_ms IS NULL",
  );
  const one = db.prepare<[number], Row>("SELECT * FROM batch WHERE id = ?");
  const list = {
    open: db.prepare<[], Row>("SELECT * FROM batch WHERE ended_at_utc_ms IS NULL ORDER BY number"),
    ended: db.prepare<[], Row>(
      "SELECT * FROM batch WHERE ended_at_utc_ms IS NOT NULL ORDER BY number",
    ),
    all: db.prepare<[], Row>("SELECT * FROM batch ORDER BY number"),
  };

  return {
    add: (batch: BareBatch): void => void insert.run(toRow(batch)),
    end: (id: number, at: UtcMs): void => oneRow(end.run(at, id), `the open batch ${id}`),
    find(id: number): BareBatch | null {
      const row = one.get(id);
      return row === undefined ? null : fromRow(row);
    },
    /** In the order of their numbers. */
    list: (state: BatchState): BareBatch[] => list[state].all().map(fromRow),
  };
}
