import type Database from "better-sqlite3";
import type { GivenVerdict } from "../service/bench.ts";
import { utcMs } from "../units/quantity.ts";
import type { VerdictWord } from "../verdict/verdict.ts";
import { text } from "./cell.ts";

type Row = {
  readonly id: number;
  readonly batch_id: number;
  readonly round: number;
  readonly tray_id: number | null;
  readonly word: VerdictWord;
  readonly at_utc_ms: number;
  readonly judgment_version: number;
  readonly text: string;
  readonly basis: string;
};

const toRow = (verdict: GivenVerdict): Row => ({
  id: verdict.id,
  batch_id: verdict.batchId,
  round: verdict.round,
  tray_id: verdict.trayId,
  word: verdict.word,
  at_utc_ms: verdict.at,
  judgment_version: verdict.judgmentVersion,
  text: text(verdict.text),
  basis: text(verdict.basis),
});

const fromRow = (row: Row): GivenVerdict => ({
  id: row.id,
  batchId: row.batch_id,
  round: row.round,
  trayId: row.tray_id,
  word: row.word,
  at: utcMs(row.at_utc_ms),
  judgmentVersion: row.judgment_version,
  text: row.text,
  basis: row.basis,
});

export function verdictsIn(db: Database.Database) {
  const insert = db.prepare<[Row]>(`
    INSERT INTO verdict (id, batch_id, round, tray_id, word, at_utc_ms, judgment_version, text, basis)
    VALUES (@id, @batch_id, @round, @tray_id, @word, @at_utc_ms, @judgment_version, @text, @basis)`);
  const ofBatch = db.prepare<[number], Row>("SELECT * FROM verdict WHERE batch_id = ? ORDER BY id");
  const lastWord = db
    .prepare<[number], VerdictWord>(
      "SELECT word FROM verdict WHERE batch_id = ? AND tray_id IS NULL ORDER BY id DESC LIMIT 1",
    )
    .pluck();

  return {
    add: (verdict: GivenVerdict): void => void insert.run(toRow(verdict)),
    ofBatch: (batchId: number): GivenVerdict[] => ofBatch.all(batchId).map(fromRow),
    /** The last one given of the batch as a whole. */
    lastWord: (batchId: number): VerdictWord | null => lastWord.get(batchId) ?? null,
  };
}
