import type Database from "better-sqlite3";
import type { Interruption } from "../service/bench.ts";
import { utcMs, type UtcMs } from "../units/quantity.ts";
import { oneRow, text } from "./cell.ts";

type Row = {
  readonly id: number;
  readonly batch_id: number;
  readonly from_utc_ms: number;
  readonly to_utc_ms: number | null;
  readonly reason: string;
};

const fromRow = (row: Row): Interruption => ({
  id: row.id,
  batchId: row.batch_id,
  from: utcMs(row.from_utc_ms),
  to: row.to_utc_ms === null ? null : utcMs(row.to_utc_ms),
  reason: row.reason,
});

export function interruptionsIn(db: Database.Database) {
  const insert = db.prepare<[Row]>(`
    INSERT INTO interruption (id, batch_id, from_utc_ms, to_utc_ms, reason)
    VALUES (@id, @batch_id, @from_utc_ms, @to_utc_ms, @reason)`);
  const end = db.prepare<[number, number]>("UPDATE interruption SET to_utc_ms = ? WHERE id = ?");
  const ofBatch = db.prepare<[number], Row>(
    "SELECT * FROM interruption WHERE batch_id = ? ORDER BY id",
  );

  return {
    add: ({ id, batchId, from, to, reason }: Interruption): void =>
      void insert.run({
        id,
        batch_id: batchId,
        from_utc_ms: from,
        to_utc_ms: to,
        reason: text(reason),
      }),
    end: (id: number, to: UtcMs): void => oneRow(end.run(to, id), `interruption ${id}`),
    ofBatch: (batchId: number): Interruption[] => ofBatch.all(batchId).map(fromRow),
  };
}
