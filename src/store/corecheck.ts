import type Database from "better-sqlite3";
import type { CoreCheck } from "../service/bench.ts";
import { utcMs } from "../units/quantity.ts";

type Row = {
  readonly id: number;
  readonly batch_id: number;
  readonly tray_id: number;
  readonly finding: CoreCheck["finding"];
  readonly at_utc_ms: number;
};

const fromRow = (row: Row): CoreCheck => ({
  id: row.id,
  batchId: row.batch_id,
  trayId: row.tray_id,
  finding: row.finding,
  at: utcMs(row.at_utc_ms),
});

export function coreChecksIn(db: Database.Database) {
  const insert = db.prepare<[Row]>(`
    INSERT INTO core_check (id, batch_id, tray_id, finding, at_utc_ms)
    VALUES (@id, @batch_id, @tray_id, @finding, @at_utc_ms)`);
  const ofBatch = db.prepare<[number], Row>(
    "SELECT * FROM core_check WHERE batch_id = ? ORDER BY id",
  );

  return {
    add: ({ id, batchId, trayId, finding, at }: CoreCheck): void =>
      void insert.run({ id, batch_id: batchId, tray_id: trayId, finding, at_utc_ms: at }),
    ofBatch: (batchId: number): CoreCheck[] => ofBatch.all(batchId).map(fromRow),
  };
}
