import type Database from "better-sqlite3";
import { Fault } from "../faults.ts";
import type { TrayWeighing } from "../tray/weighing.ts";
import { fromMicrograms, fromMilligrams, toMicrograms, toMilligrams } from "../units/mass.ts";
import { utcMs, type Grams } from "../units/quantity.ts";
import { bit, isSet, text, textOrNull } from "./cell.ts";
import { digestOf } from "./chain.ts";

type Row = {
  readonly id: number;
  readonly batch_id: number;
  readonly tray_id: number;
  readonly kind: TrayWeighing["kind"];
  readonly gross_mg: number;
  readonly division_ug: number;
  readonly scale: string | null;
  readonly source: TrayWeighing["source"];
  readonly zero_seen: number;
  readonly at_utc_ms: number;
  readonly supersedes: number | null;
  readonly struck: number;
  readonly reason: string | null;
  readonly portion: number | null;
  readonly food: "taken" | null;
};

/** The finest division kept: a mass is kept in whole milligrams. */
const finestDivisionUg = 1000;

/** Throws weighing.impossible for a division that cannot be kept. */
export function divisionUg(division: Grams): number {
  const inUg = toMicrograms(division);
  if (inUg >= finestDivisionUg) return inUg;
  throw new Fault(
    "weighing.impossible",
    `a division of ${division} g is finer than the 0.001 g that can be kept`,
  );
}

/** Wider than what counts for the same load: that is looked at where the rows are understood. */
const againWithinMs = 15 * 60_000;
/** A scale of years ago says little of the one of today. Our choice. */
const mostAgain = 100;

const toRow = (weighing: TrayWeighing): Row => ({
  id: weighing.id,
  batch_id: weighing.batchId,
  tray_id: weighing.trayId,
  kind: weighing.kind,
  gross_mg: toMilligrams(weighing.gross),
  division_ug: divisionUg(weighing.division),
  scale: textOrNull(weighing.scale),
  source: weighing.source,
  zero_seen: bit(weighing.zeroSeen),
  at_utc_ms: weighing.at,
  supersedes: weighing.supersedes,
  struck: bit(weighing.struck),
  reason: textOrNull(weighing.reason),
  portion: weighing.portion,
  food: weighing.foodTaken === true ? "taken" : null,
});

const fromRow = (row: Row): TrayWeighing => ({
  id: row.id,
  batchId: row.batch_id,
  trayId: row.tray_id,
  kind: row.kind,
  gross: fromMilligrams(row.gross_mg),
  division: fromMicrograms(row.division_ug),
  scale: row.scale,
  source: row.source,
  zeroSeen: isSet(row.zero_seen),
  at: utcMs(row.at_utc_ms),
  supersedes: row.supersedes,
  struck: isSet(row.struck),
  reason: row.reason,
  portion: row.portion,
  ...(row.food === "taken" ? { foodTaken: true } : {}),
});

/** Weighings by which a scale's division is known: some rounds of a full dryer. */
const mostOfLate = 20;

export function weighingsIn(db: Database.Database) {
  const head = db.prepare<[], string>("SELECT head FROM chain WHERE noun = 'weighing'").pluck();
  const insert = db.prepare<[Row & { digest: string }]>(`
    INSERT INTO weighing (id, batch_id, tray_id, kind, gross_mg, division_ug, scale, source, zero_seen, at_utc_ms,
      supersedes, struck, reason, portion, food, digest)
    VALUES (@id, @batch_id, @tray_id, @kind, @gross_mg, @division_ug, @scale, @source, @zero_seen, @at_utc_ms,
      @supersedes, @struck, @reason, @portion, @food, @digest)`);
  const ofBatch = db.prepare<[number], Row>(
    "SELECT * FROM weighing WHERE batch_id = ? ORDER BY id",
  );
  const newest = db.prepare<[number], Row>(`
    WITH counted AS (
      SELECT *, row_number() OVER (
        PARTITION BY tray_id, kind, portion ORDER BY at_utc_ms DESC, id DESC
      ) AS place FROM weighing AS one
      WHERE batch_id = ? AND struck = 0 AND NOT EXISTS (SELECT 1 FROM weighing WHERE supersedes = one.id)
    )
    SELECT * FROM counted
    WHERE place = 1 OR kind = 'dry' AND tray_id IN (SELECT tray_id FROM counted WHERE food = 'taken')
    ORDER BY id`);
  const again = db
    .prepare<[number, number], number>(
      `SELECT DISTINCT batch_id FROM (
        SELECT batch_id, scale = lag(scale) OVER one AND at_utc_ms - lag(at_utc_ms) OVER one <= ? AS is_again
        FROM weighing
        WHERE source = 'scale' AND batch_id IN (
          SELECT id FROM batch WHERE practice = 0 AND ended_at_utc_ms IS NOT NULL
        )
        WINDOW one AS (PARTITION BY tray_id, kind ORDER BY at_utc_ms, id)
      ) WHERE is_again ORDER BY batch_id DESC LIMIT ?`,
    )
    .pluck();
  const empties = db
    .prepare<[number], number>(
      `SELECT gross_mg FROM weighing AS one
      WHERE kind = 'tare' AND struck = 0 AND batch_id IN (SELECT id FROM batch WHERE ended_at_utc_ms IS NOT NULL)
        AND NOT EXISTS (SELECT 1 FROM weighing WHERE supersedes = one.id)
      ORDER BY id DESC LIMIT ?`,
    )
    .pluck();
  const divisionOf = db
    .prepare<[string, number], number | null>(
      `SELECT max(division_ug) FROM (
        SELECT division_ug FROM weighing WHERE scale = ? AND source = 'scale' ORDER BY id DESC LIMIT ?)`,
    )
    .pluck();
  const batchOf = db
    .prepare<[number], number>("SELECT batch_id FROM weighing WHERE id = ?")
    .pluck();
  const correctedUnderBags = db
    .prepare<[], number>(
      `SELECT id FROM batch
      WHERE EXISTS (SELECT 1 FROM weighing WHERE batch_id = batch.id AND supersedes IS NOT NULL)
        AND EXISTS (SELECT 1 FROM bag WHERE batch_id = batch.id)
      ORDER BY id`,
    )
    .pluck();
  const any = db.prepare<[], number>("SELECT EXISTS (SELECT 1 FROM weighing)").pluck();

  return {
    add(weighing: TrayWeighing): void {
      const row = toRow(weighing);
      insert.run({ ...row, digest: digestOf("weighing", row, head.get() ?? "") });
    },
    /** Every row, in the order in which they were kept. */
    ofBatch: (batchId: number): TrayWeighing[] => ofBatch.all(batchId).map(fromRow),
    /**
     * The last of each tray, kind and portion, of those that are neither struck nor superseded; of trays from which food
     * was taken all that were weighed after drying, which tell the share that is left.
     */
    newest: (batchId: number): TrayWeighing[] => newest.all(batchId).map(fromRow),
    /** The last ended batches, oldest first, in which a tray was weighed on one scale again within minutes. */
    againIn: (): number[] => again.all(againWithinMs, mostAgain).toReversed(),
    /** What the last `most` trays of ended batches weighed empty, the newest last. */
    empties: (most: number): Grams[] => empties.all(most).map(fromMilligrams).toReversed(),
    /** The coarsest of the last weighings on a scale; null: there is none. */
    divisionOf(scale: string): Grams | null {
      const division = divisionOf.get(text(scale), mostOfLate) ?? null;
      return division === null ? null : fromMicrograms(division);
    },
    /** null: there is no such weighing. */
    batchOf: (id: number): number | null => batchOf.get(id) ?? null,
    /** Batches that were put into bags and of which a weighing was ever put right. */
    correctedUnderBags: (): number[] => correctedUnderBags.all(),
    any: (): boolean => any.get() === 1,
  };
}
