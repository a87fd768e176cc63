import type Database from "better-sqlite3";
import { utcMs, type UtcMs } from "../units/quantity.ts";
import { oneRow } from "./cell.ts";

export type PhotoKept = {
  readonly id: number;
  readonly batchId: number;
  /** null: of the batch as a whole, or of a bag. */
  readonly trayId: number | null;
  readonly bagId: number | null;
  readonly type: string;
  readonly size: number;
  readonly at: UtcMs;
};
export type NewPhoto = Omit<PhotoKept, "id" | "size"> & { readonly bytes: Uint8Array };

type Row = {
  readonly id: number;
  readonly batch_id: number;
  readonly tray_id: number | null;
  readonly bag_id: number | null;
  readonly type: string;
  readonly size: number;
  readonly at_utc_ms: number;
};

const fromRow = (row: Row): PhotoKept => ({
  id: row.id,
  batchId: row.batch_id,
  trayId: row.tray_id,
  bagId: row.bag_id,
  type: row.type,
  size: row.size,
  at: utcMs(row.at_utc_ms),
});

export function photosIn(db: Database.Database) {
  const insert = db.prepare<[number, number | null, number | null, string, Uint8Array, number]>(
    "INSERT INTO photo (batch_id, tray_id, bag_id, type, bytes, at_utc_ms) VALUES (?, ?, ?, ?, ?, ?)",
  );
  const columns = "id, batch_id, tray_id, bag_id, type, length(bytes) AS size, at_utc_ms";
  const ofBatch = db.prepare<[number], Row>(
    `SELECT ${columns} FROM photo WHERE batch_id = ? ORDER BY id`,
  );
  const one = db.prepare<[number], Row>(`SELECT ${columns} FROM photo WHERE id = ?`);
  const bytes = db.prepare<[number], Buffer>("SELECT bytes FROM photo WHERE id = ?").pluck();
  const remove = db.prepare<[number]>("DELETE FROM photo WHERE id = ?");

  return {
    add: ({ batchId, trayId, bagId, type, bytes: picture, at }: NewPhoto): void =>
      void insert.run(batchId, trayId, bagId, type, picture, at),
    ofBatch: (batchId: number): PhotoKept[] => ofBatch.all(batchId).map(fromRow),
    find(id: number): { readonly photo: PhotoKept; readonly bytes: Buffer } | null {
      const row = one.get(id);
      const picture = bytes.get(id);
      return row === undefined || picture === undefined
        ? null
        : { photo: fromRow(row), bytes: picture };
    },
    remove: (id: number): void => oneRow(remove.run(id), `photo ${id}`),
  };
}
