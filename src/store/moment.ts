import type Database from "better-sqlite3";
import type { ClockMoment } from "../service/bench.ts";
import { utcMs } from "../units/quantity.ts";
import { bit, isSet, numbersFrom, textOrNull } from "./cell.ts";
import { digestOf } from "./chain.ts";

type Row = {
  readonly id: number;
  readonly batch_id: number;
  readonly went: ClockMoment["is"];
  readonly at_utc_ms: number;
  readonly tray_ids: string | null;
  readonly implied: number;
  readonly supersedes: number | null;
  readonly struck: number;
  readonly reason: string | null;
};

const toRow = (moment: ClockMoment): Row => ({
  id: moment.id,
  batch_id: moment.batchId,
  went: moment.is,
  at_utc_ms: moment.at,
  tray_ids: moment.trays === null ? null : JSON.stringify(moment.trays),
  implied: bit(moment.implied),
  supersedes: moment.supersedes,
  struck: bit(moment.struck),
  reason: textOrNull(moment.reason),
});

const fromRow = (row: Row): ClockMoment => ({
  id: row.id,
  batchId: row.batch_id,
  is: row.went,
  at: utcMs(row.at_utc_ms),
  trays: row.tray_ids === null ? null : numbersFrom(row.tray_ids),
  implied: isSet(row.implied),
  supersedes: row.supersedes,
  struck: isSet(row.struck),
  reason: row.reason,
});

export function momentsIn(db: Database.Database) {
  const head = db.prepare<[], string>("SELECT head FROM chain WHERE noun = 'moment'").pluck();
  const insert = db.prepare<[Row & { digest: string }]>(`
    INSERT INTO moment (id, batch_id, went, at_utc_ms, tray_ids, implied, supersedes, struck, reason, digest)
    VALUES (@id, @batch_id, @went, @at_utc_ms, @tray_ids, @implied, @supersedes, @struck, @reason, @digest)`);
  const ofBatch = db.prepare<[number], Row>("SELECT * FROM moment WHERE batch_id = ? ORDER BY id");

  return {
    add(moment: ClockMoment): void {
      const row = toRow(moment);
      insert.run({ ...row, digest: digestOf("moment", row, head.get() ?? "") });
    },
    /** Every row, in the order in which they were kept. */
    ofBatch: (batchId: number): ClockMoment[] => ofBatch.all(batchId).map(fromRow),
  };
}
