import type Database from "better-sqlite3";
import type { Bag, BagFate, BagPart, BagWeighing, GainAccepted, LaterCore } from "../bag/bag.ts";
import { fromMicrograms, fromMilligrams, toMicrograms, toMilligrams } from "../units/mass.ts";
import { fraction, utcMs } from "../units/quantity.ts";
import { bit, isSet, text, textOrNull, textsFrom } from "./cell.ts";
import { digestOf, headsIn } from "./chain.ts";
import { divisionUg } from "./weighing.ts";

type Row = {
  readonly id: number;
  readonly batch_id: number;
  readonly sequence: number;
  readonly plan: number;
  readonly product: string;
  readonly supplier: string | null;
  readonly prepared: Bag["prepared"];
  readonly went_in: Bag["wentIn"];
  readonly dried_at_utc_ms: number | null;
  readonly planned_at_utc_ms: number;
  readonly although: string | null;
  readonly container: Bag["container"];
  readonly volume_ml: number;
  readonly lot: string | null;
  readonly absorber_count: number | null;
  readonly absorber_cc: number | null;
  readonly typed_tare_mg: number | null;
  readonly target_mg: number;
  readonly fresh_per_dry: number;
  readonly moisture_fraction: number | null;
  readonly moisture_low_fraction: number | null;
  readonly moisture_high_fraction: number | null;
  readonly cautions: string;
};
type WithBatch = Row & {
  readonly batch_number: number;
  readonly practice: number;
  readonly started_at_utc_ms: number;
};
type PartRow = {
  readonly bag_id: number;
  readonly batch_id: number;
  readonly tray_id: number;
  readonly portion: number | null;
  readonly name: string;
  readonly mass_mg: number;
  readonly whole: number;
  readonly division_ug: number;
  readonly verdict: BagPart["verdict"];
  readonly core_dry: number;
};
type WeighingRow = {
  readonly id: number;
  readonly bag_id: number;
  readonly kind: BagWeighing["kind"];
  readonly gross_mg: number;
  readonly division_ug: number;
  readonly scale: string | null;
  readonly source: BagWeighing["source"];
  readonly zero_seen: number;
  readonly at_utc_ms: number;
  readonly supersedes: number | null;
  readonly struck: number;
  readonly reason: string | null;
};
type FateRow = {
  readonly id: number;
  readonly bag_id: number;
  readonly fate: BagFate["fate"];
  readonly at_utc_ms: number;
  readonly note: string | null;
  readonly takes_back: number | null;
};
type GainRow = {
  readonly id: number;
  readonly bag_id: number;
  readonly gain_mg: number;
  readonly provable_mg: number;
  readonly at_utc_ms: number;
};

const toRow = (bag: Bag): Row => ({
  id: bag.id,
  batch_id: bag.batchId,
  sequence: bag.sequence,
  plan: bag.plan,
  product: text(bag.product),
  supplier: textOrNull(bag.supplier),
  prepared: bag.prepared,
  went_in: bag.wentIn,
  dried_at_utc_ms: bag.driedAt,
  planned_at_utc_ms: bag.plannedAt,
  although: textOrNull(bag.although),
  container: bag.container,
  volume_ml: bag.volumeMl,
  lot: textOrNull(bag.lot),
  absorber_count: bag.absorbers?.count ?? null,
  absorber_cc: bag.absorbers?.cc ?? null,
  typed_tare_mg: bag.typedTare === null ? null : toMilligrams(bag.typedTare),
  target_mg: toMilligrams(bag.target),
  fresh_per_dry: bag.freshPerDry,
  moisture_fraction: bag.moisture?.estimate ?? null,
  moisture_low_fraction: bag.moisture?.low ?? null,
  moisture_high_fraction: bag.moisture?.high ?? null,
  cautions: JSON.stringify(bag.cautions.map(text)),
});

const toPartRow = (bag: Bag, part: BagPart): PartRow => ({
  bag_id: bag.id,
  batch_id: bag.batchId,
  tray_id: part.trayId,
  portion: part.portion,
  name: text(part.name),
  mass_mg: toMilligrams(part.grams),
  whole: bit(part.whole),
  division_ug: toMicrograms(part.division),
  verdict: part.verdict,
  core_dry: bit(part.coreDry),
});

const partFrom = (row: PartRow): BagPart => ({
  trayId: row.tray_id,
  portion: row.portion,
  name: row.name,
  grams: fromMilligrams(row.mass_mg),
  whole: isSet(row.whole),
  division: fromMicrograms(row.division_ug),
  verdict: row.verdict,
  coreDry: isSet(row.core_dry),
});

const toWeighingRow = (weighing: BagWeighing): WeighingRow => ({
  id: weighing.id,
  bag_id: weighing.bagId,
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
});

const weighingFrom = (row: WeighingRow): BagWeighing => ({
  id: row.id,
  bagId: row.bag_id,
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
});

const fateFrom = (row: FateRow): BagFate => ({
  id: row.id,
  bagId: row.bag_id,
  fate: row.fate,
  at: utcMs(row.at_utc_ms),
  note: row.note,
  takesBack: row.takes_back,
});

const gainFrom = (row: GainRow): GainAccepted => ({
  id: row.id,
  bagId: row.bag_id,
  gain: fromMilligrams(row.gain_mg),
  provable: fromMilligrams(row.provable_mg),
  at: utcMs(row.at_utc_ms),
});

function moistureFrom(row: Row): Bag["moisture"] {
  const { moisture_fraction, moisture_low_fraction, moisture_high_fraction } = row;
  if (moisture_fraction === null || moisture_low_fraction === null) return null;
  if (moisture_high_fraction === null) return null;
  return {
    estimate: fraction(moisture_fraction),
    low: fraction(moisture_low_fraction),
    high: fraction(moisture_high_fraction),
  };
}

/** Which bags to read: `in-hand` are those of plans of which a bag is still there. */
export type BagsWanted =
  { readonly is: "all" | "in-hand" } | { readonly is: "batch" | "bag"; readonly id: number };

const wanted: Record<BagsWanted["is"], string> = {
  all: "? = 0",
  "in-hand": `? = 0 AND plan IN (
    SELECT plan FROM bag WHERE id NOT IN (
      SELECT bag_id FROM bag_fate AS said WHERE fate <> 'opened' AND takes_back IS NULL
        AND NOT EXISTS (SELECT 1 FROM bag_fate WHERE takes_back = said.id)))`,
  batch: "bag.batch_id = ?",
  bag: "bag.id = ?",
};

function byBag<R extends { readonly bag_id: number }>(rows: readonly R[]): Map<number, R[]> {
  const lists = new Map<number, R[]>();
  for (const row of rows) {
    const list = lists.get(row.bag_id);
    if (list === undefined) lists.set(row.bag_id, [row]);
    else list.push(row);
  }
  return lists;
}

type CoreRow = {
  readonly bag_id: number;
  readonly tray_id: number;
  readonly finding: LaterCore["finding"];
  readonly at_utc_ms: number;
};
const coreFrom = (row: CoreRow): LaterCore => ({
  trayId: row.tray_id,
  finding: row.finding,
  at: utcMs(row.at_utc_ms),
});

const fromRow = (
  row: WithBatch,
  of: {
    readonly parts: readonly PartRow[];
    readonly weighings: readonly WeighingRow[];
    readonly fates: readonly FateRow[];
    readonly gains: readonly GainRow[];
    readonly cores: readonly CoreRow[];
  },
): Bag => ({
  id: row.id,
  batchId: row.batch_id,
  batchNumber: row.batch_number,
  sequence: row.sequence,
  plan: row.plan,
  practice: isSet(row.practice),
  product: row.product,
  supplier: row.supplier,
  prepared: row.prepared,
  wentIn: row.went_in,
  batchStartedAt: utcMs(row.started_at_utc_ms),
  driedAt: row.dried_at_utc_ms === null ? null : utcMs(row.dried_at_utc_ms),
  plannedAt: utcMs(row.planned_at_utc_ms),
  parts: of.parts.map(partFrom),
  although: row.although,
  container: row.container,
  volumeMl: row.volume_ml,
  lot: row.lot,
  absorbers:
    row.absorber_count === null || row.absorber_cc === null
      ? null
      : { count: row.absorber_count, cc: row.absorber_cc },
  typedTare: row.typed_tare_mg === null ? null : fromMilligrams(row.typed_tare_mg),
  target: fromMilligrams(row.target_mg),
  freshPerDry: row.fresh_per_dry,
  moisture: moistureFrom(row),
  cautions: textsFrom(row.cautions),
  weighings: of.weighings.map(weighingFrom),
  fates: of.fates.map(fateFrom),
  gainsAccepted: of.gains.map(gainFrom),
  coresSince: of.cores.map(coreFrom),
});

export function bagsIn(db: Database.Database) {
  const head = headsIn(db);
  const insert = db.prepare<[Row]>(`
    INSERT INTO bag (id, batch_id, sequence, plan, product, supplier, prepared, went_in, dried_at_utc_ms,
      planned_at_utc_ms, although, container, volume_ml, lot, absorber_count, absorber_cc, typed_tare_mg, target_mg,
      fresh_per_dry, moisture_fraction, moisture_low_fraction, moisture_high_fraction, cautions)
    VALUES (@id, @batch_id, @sequence, @plan, @product, @supplier, @prepared, @went_in, @dried_at_utc_ms,
      @planned_at_utc_ms, @although, @container, @volume_ml, @lot, @absorber_count, @absorber_cc, @typed_tare_mg,
      @target_mg, @fresh_per_dry, @moisture_fraction, @moisture_low_fraction, @moisture_high_fraction, @cautions)`);
  const insertPart = db.prepare<[PartRow]>(`
    INSERT INTO bag_part (bag_id, batch_id, tray_id, portion, name, mass_mg, whole, division_ug, verdict, core_dry)
    VALUES (@bag_id, @batch_id, @tray_id, @portion, @name, @mass_mg, @whole, @division_ug, @verdict, @core_dry)`);
  const insertWeighing = db.prepare<[WeighingRow & { digest: string }]>(`
    INSERT INTO bag_weighing (id, bag_id, kind, gross_mg, division_ug, scale, source, zero_seen, at_utc_ms,
      supersedes, struck, reason, digest)
    VALUES (@id, @bag_id, @kind, @gross_mg, @division_ug, @scale, @source, @zero_seen, @at_utc_ms,
      @supersedes, @struck, @reason, @digest)`);
  const insertFate = db.prepare<[FateRow & { digest: string }]>(`
    INSERT INTO bag_fate (id, bag_id, fate, at_utc_ms, note, takes_back, digest)
    VALUES (@id, @bag_id, @fate, @at_utc_ms, @note, @takes_back, @digest)`);
  const insertGain = db.prepare<[GainRow & { digest: string }]>(`
    INSERT INTO bag_gain (id, bag_id, gain_mg, provable_mg, at_utc_ms, digest)
    VALUES (@id, @bag_id, @gain_mg, @provable_mg, @at_utc_ms, @digest)`);

  const read = (is: BagsWanted["is"]) => {
    const ids = `SELECT id FROM bag WHERE ${wanted[is]}`;
    return {
      bags: db.prepare<[number], WithBatch>(`
        SELECT bag.*, batch.number AS batch_number, batch.practice, batch.started_at_utc_ms
        FROM bag JOIN batch ON batch.id = batch_id WHERE bag.id IN (${ids}) ORDER BY bag.id`),
      // Parts in the order in which the trays were named.
      parts: db.prepare<[number], PartRow>(
        `SELECT * FROM bag_part WHERE bag_id IN (${ids}) ORDER BY rowid`,
      ),
      weighings: db.prepare<[number], WeighingRow>(
        `SELECT * FROM bag_weighing WHERE bag_id IN (${ids}) ORDER BY id`,
      ),
      fates: db.prepare<[number], FateRow>(
        `SELECT * FROM bag_fate WHERE bag_id IN (${ids}) ORDER BY id`,
      ),
      gains: db.prepare<[number], GainRow>(
        `SELECT * FROM bag_gain WHERE bag_id IN (${ids}) ORDER BY id`,
      ),
      // A tray whose foods were packed apart is several parts of a bag.
      cores: db.prepare<[number], CoreRow>(`
        SELECT DISTINCT bag.id AS bag_id, core_check.tray_id, finding, at_utc_ms, core_check.id
        FROM bag JOIN bag_part ON bag_part.bag_id = bag.id
          JOIN core_check ON core_check.batch_id = bag.batch_id AND core_check.tray_id = bag_part.tray_id
        WHERE bag.id IN (${ids}) AND at_utc_ms >= planned_at_utc_ms ORDER BY core_check.id`),
    };
  };
  const reads = {
    all: read("all"),
    "in-hand": read("in-hand"),
    batch: read("batch"),
    bag: read("bag"),
  };
  const numberOf = db
    .prepare<[number, number], number>(
      "SELECT bag.id FROM bag JOIN batch ON batch.id = batch_id WHERE number = ? AND sequence = ?",
    )
    .pluck();

  return {
    add(bag: Bag): void {
      insert.run(toRow(bag));
      for (const part of bag.parts) insertPart.run(toPartRow(bag, part));
      for (const weighing of bag.weighings) this.weigh(weighing);
      for (const fate of bag.fates) this.end(fate);
      for (const accepted of bag.gainsAccepted) this.acceptGain(accepted);
    },
    weigh(weighing: BagWeighing): void {
      const row = toWeighingRow(weighing);
      insertWeighing.run({ ...row, digest: digestOf("bag_weighing", row, head().bag_weighing) });
    },
    end({ id, bagId, fate, at, note, takesBack }: BagFate): void {
      const kept = { id, bag_id: bagId, fate, at_utc_ms: at, note: textOrNull(note) };
      const row: FateRow = { ...kept, takes_back: takesBack };
      insertFate.run({ ...row, digest: digestOf("bag_fate", row, head().bag_fate) });
    },
    acceptGain({ id, bagId, gain, provable, at }: GainAccepted): void {
      const masses = { gain_mg: toMilligrams(gain), provable_mg: toMilligrams(provable) };
      const row: GainRow = { id, bag_id: bagId, ...masses, at_utc_ms: at };
      insertGain.run({ ...row, digest: digestOf("bag_gain", row, head().bag_gain) });
    },
    /** In the order of their ids. */
    list(asked: BagsWanted): Bag[] {
      const from = reads[asked.is];
      const id = "id" in asked ? asked.id : 0;
      const parts = byBag(from.parts.all(id));
      const weighings = byBag(from.weighings.all(id));
      const fates = byBag(from.fates.all(id));
      const gains = byBag(from.gains.all(id));
      const cores = byBag(from.cores.all(id));
      return from.bags.all(id).map((row) =>
        fromRow(row, {
          parts: parts.get(row.id) ?? [],
          weighings: weighings.get(row.id) ?? [],
          fates: fates.get(row.id) ?? [],
          gains: gains.get(row.id) ?? [],
          cores: cores.get(row.id) ?? [],
        }),
      );
    },
    /** The bag that a label names; null when there is none. */
    idOf: (batchNumber: number, sequence: number): number | null =>
      numberOf.get(batchNumber, sequence) ?? null,
  };
}
