import type Database from "better-sqlite3";
import type { Alert, Channel } from "../service/bench.ts";
import { utcMs, type UtcMs } from "../units/quantity.ts";
import { figuresFrom, oneRow, text } from "./cell.ts";

type Row = {
  readonly id: number;
  readonly key: string;
  readonly code: Alert["code"];
  readonly batch_id: number | null;
  readonly round: number | null;
  readonly text: string;
  readonly figures: string;
  readonly at_utc_ms: number;
  readonly acknowledged_at_utc_ms: number | null;
};

const toRow = (alert: Alert): Row => ({
  id: alert.id,
  key: text(alert.key),
  code: alert.code,
  batch_id: alert.batchId,
  round: alert.round,
  text: text(alert.text),
  figures: text(JSON.stringify(alert.figures)),
  at_utc_ms: alert.at,
  acknowledged_at_utc_ms: alert.acknowledgedAt,
});

const fromRow = (row: Row, owed: readonly Channel[]): Alert => ({
  id: row.id,
  key: row.key,
  code: row.code,
  batchId: row.batch_id,
  round: row.round,
  text: row.text,
  figures: figuresFrom(row.figures),
  at: utcMs(row.at_utc_ms),
  acknowledgedAt: closedIn(row),
  owed,
});

const closedIn = ({ acknowledged_at_utc_ms: at }: Pick<Row, "acknowledged_at_utc_ms">) =>
  at === null ? null : utcMs(at);

export function alertsIn(db: Database.Database) {
  const insert = db.prepare<[Row]>(`
    INSERT INTO alert (id, key, code, batch_id, round, text, figures, at_utc_ms, acknowledged_at_utc_ms)
    VALUES (@id, @key, @code, @batch_id, @round, @text, @figures, @at_utc_ms, @acknowledged_at_utc_ms)`);
  const owe = db.prepare<[number, Channel]>(
    "INSERT INTO alert_sending (alert_id, channel) VALUES (?, ?)",
  );
  const send = db.prepare<[number, number, Channel]>(
    "UPDATE alert_sending SET sent_at_utc_ms = ? WHERE alert_id = ? AND channel = ?",
  );
  const owed = db
    .prepare<[number], Channel>(
      "SELECT channel FROM alert_sending WHERE alert_id = ? AND sent_at_utc_ms IS NULL ORDER BY channel",
    )
    .pluck();
  const acknowledge = db.prepare<[number, number]>(
    "UPDATE alert SET acknowledged_at_utc_ms = ? WHERE id = ?",
  );
  const open = db.prepare<[], Row>(
    "SELECT * FROM alert WHERE acknowledged_at_utc_ms IS NULL ORDER BY id",
  );
  const keys = db.prepare<[], Pick<Row, "key" | "acknowledged_at_utc_ms">>(
    `
    SELECT key, acknowledged_at_utc_ms FROM alert LEFT JOIN batch ON batch.id = batch_id
    WHERE batch_id IS NULL OR ended_at_utc_ms IS NULL OR acknowledged_at_utc_ms IS NULL
    ORDER BY alert.id`,
  );

  return {
    add: (alert: Alert): void => {
      insert.run(toRow(alert));
      for (const channel of alert.owed) owe.run(alert.id, channel);
    },
    acknowledge: (id: number, at: UtcMs): void => oneRow(acknowledge.run(at, id), `alert ${id}`),
    sent: (id: number, channel: Channel, at: UtcMs): void =>
      oneRow(send.run(at, id, channel), `alert ${id} by ${channel}`),
    /** Those that nobody acknowledged. */
    open: (): Alert[] => open.all().map((row) => fromRow(row, owed.all(row.id))),
    /** Of open alerts, of open batches, and of no batch: those that could be raised a second time, and when each was closed. */
    keys: () => keys.all().map((row) => [row.key, closedIn(row)] as const),
  };
}
