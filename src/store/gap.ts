import type Database from "better-sqlite3";
import type { Gap } from "../service/bench.ts";
import { utcMs, type UtcMs } from "../units/quantity.ts";
import { bit, bitOrNull, isSetOrNull, oneRow } from "./cell.ts";

type Row = {
  readonly id: number;
  readonly batch_id: number;
  readonly from_utc_ms: number;
  readonly to_utc_ms: number;
  readonly dryer_ran: number | null;
};

const fromRow = (row: Row): Gap => ({
  id: row.id,
  batchId: row.batch_id,
  from: utcMs(row.from_utc_ms),
  to: utcMs(row.to_utc_ms),
  dryerRan: isSetOrNull(row.dryer_ran),
});

export function gapsIn(db: Database.Database) {
  const insert = db.prepare<[Row]>(`
    INSERT INTO gap (id, batch_id, from_utc_ms, to_utc_ms, dryer_ran)
    VALUES (@id, @batch_id, @from_utc_ms, @to_utc_ms, @dryer_ran)`);
  const answer = db.prepare<[number, number, number]>(
    "UPDATE gap SET dryer_ran = ?, answered_at_utc_ms = ? WHERE id = ?",
  );
  const ofBatch = db.prepare<[number], Row>("SELECT * FROM gap WHERE batch_id = ? ORDER BY id");

  return {
    add: ({ id, batchId, from, to, dryerRan }: Gap): void =>
      void insert.run({
        id,
        batch_id: batchId,
        from_utc_ms: from,
        to_utc_ms: to,
        dryer_ran: bitOrNull(dryerRan),
      }),
    answer: (id: number, dryerRan: boolean, at: UtcMs): void =>
      oneRow(answer.run(bit(dryerRan), at, id), `gap ${id}`),
    ofBatch: (batchId: number): Gap[] => ofBatch.all(batchId).map(fromRow),
  };
}
