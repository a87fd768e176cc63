import type Database from "better-sqlite3";
import type { Tray } from "../service/bench.ts";
import type { Portion } from "../tray/portion.ts";
import type { FoodOnTray } from "../tray/weighing.ts";
import { fromMilligrams, toMilligrams } from "../units/mass.ts";
import { fraction, type Grams, type UtcMs } from "../units/quantity.ts";
import { text, textOrNull, textsFrom } from "./cell.ts";

type FoodCells = {
  readonly food_said: string | null;
  readonly food_name: string | null;
  readonly food_water_fraction: number | null;
  readonly food_water_sd_fraction: number | null;
  readonly food_source: string | null;
  readonly cautions: string;
  readonly thickness_mm: number | null;
};
type Version = FoodCells & {
  readonly tray_id: number;
  readonly at_utc_ms: number | null;
  readonly name: string;
  readonly typed_tare_mg: number | null;
};
type Row = Version & { readonly batch_id: number; readonly version: number };
type PortionRow = FoodCells & {
  readonly tray_id: number;
  readonly version: number;
  readonly place: number;
  readonly target_mg: number | null;
  readonly bag_id: number | null;
};

export type RedriedIn = {
  readonly batch: number;
  readonly batchNumber: number;
  readonly tray: string;
};

const massOrNull = (mass: Grams | null): number | null =>
  mass === null ? null : toMilligrams(mass);
const massFrom = (cell: number | null): Grams | null =>
  cell === null ? null : fromMilligrams(cell);

type Food = Pick<Tray, "foodName" | "food" | "cautions" | "thicknessMm">;

const toFood = ({ foodName, food, cautions, thicknessMm }: Food): FoodCells => ({
  food_said: textOrNull(foodName),
  food_name: food === null ? null : text(food.name),
  food_water_fraction: food?.water ?? null,
  food_water_sd_fraction: food?.waterSd ?? null,
  food_source: food === null ? null : text(food.source),
  cautions: JSON.stringify(cautions.map(text)),
  thickness_mm: thicknessMm,
});

const toVersion = (tray: Tray, at: UtcMs | null): Version => ({
  tray_id: tray.id,
  at_utc_ms: at,
  name: text(tray.name),
  typed_tare_mg: massOrNull(tray.typedTare),
  ...toFood(tray),
});

const toPortion = (trayId: number, version: number, portion: Portion): PortionRow => ({
  tray_id: trayId,
  version,
  place: portion.place,
  ...toFood(portion),
  target_mg: massOrNull(portion.target),
  bag_id: portion.fromBag,
});

function foodFrom(row: FoodCells): FoodOnTray | null {
  const { food_name, food_water_fraction, food_water_sd_fraction, food_source } = row;
  if (food_name === null || food_source === null) return null;
  if (food_water_fraction === null || food_water_sd_fraction === null) return null;
  return {
    name: food_name,
    water: fraction(food_water_fraction),
    waterSd: fraction(food_water_sd_fraction),
    source: food_source,
  };
}

const portionFrom = (row: PortionRow): Portion => ({
  place: row.place,
  foodName: row.food_said,
  food: foodFrom(row),
  cautions: textsFrom(row.cautions),
  thicknessMm: row.thickness_mm,
  target: massFrom(row.target_mg),
  fromBag: row.bag_id,
});

const fromRow = (row: Row, portions: readonly PortionRow[]): Tray => ({
  id: row.tray_id,
  batchId: row.batch_id,
  name: row.name,
  typedTare: massFrom(row.typed_tare_mg),
  foodName: row.food_said,
  food: foodFrom(row),
  cautions: textsFrom(row.cautions),
  thicknessMm: row.thickness_mm,
  portions: portions.map(portionFrom),
});

export function traysIn(db: Database.Database) {
  const insert = db.prepare<[number, number]>("INSERT INTO tray (id, batch_id) VALUES (?, ?)");
  const insertVersion = db.prepare<[Version], { version: number }>(`
    INSERT INTO tray_version (tray_id, version, at_utc_ms, name, typed_tare_mg, food_said, food_name, food_water_fraction,
      food_water_sd_fraction, food_source, cautions, thickness_mm)
    VALUES (@tray_id, (SELECT count(*) + 1 FROM tray_version WHERE tray_id = @tray_id), @at_utc_ms, @name,
      @typed_tare_mg, @food_said, @food_name, @food_water_fraction, @food_water_sd_fraction, @food_source, @cautions,
      @thickness_mm)
    RETURNING version`);
  const insertPortion = db.prepare<[PortionRow]>(`
    INSERT INTO tray_portion (tray_id, version, place, food_said, food_name, food_water_fraction,
      food_water_sd_fraction, food_source, cautions, thickness_mm, target_mg, bag_id)
    VALUES (@tray_id, @version, @place, @food_said, @food_name, @food_water_fraction, @food_water_sd_fraction,
      @food_source, @cautions, @thickness_mm, @target_mg, @bag_id)`);
  const ofBatch = db.prepare<[number], Row>(`
    SELECT * FROM tray JOIN tray_version ON tray_id = tray.id
    WHERE batch_id = ? AND version = (SELECT max(version) FROM tray_version WHERE tray_id = tray.id)
    ORDER BY tray.id`);
  const ofBatchAt = db.prepare<[number, number], Row>(`
    SELECT * FROM tray JOIN tray_version ON tray_id = tray.id
    WHERE batch_id = ? AND version = (SELECT max(version) FROM tray_version
      WHERE tray_id = tray.id AND (at_utc_ms IS NULL OR at_utc_ms <= ?))
    ORDER BY tray.id`);
  const portionsOf = db.prepare<[number, number], PortionRow>(
    "SELECT * FROM tray_portion WHERE tray_id = ? AND version = ? ORDER BY place",
  );
  const ofBag = db.prepare<[number], RedriedIn>(`
    SELECT batch.id AS batch, batch.number AS batchNumber, tray_version.name AS tray
    FROM tray_portion
    JOIN tray_version USING (tray_id, version)
    JOIN tray ON tray.id = tray_id
    JOIN batch ON batch.id = tray.batch_id
    WHERE tray_portion.bag_id = ?
      AND version = (SELECT max(version) FROM tray_version AS newest WHERE newest.tray_id = tray.id)`);
  const thicknessOf = db
    .prepare<[{ readonly food: string }], number>(
      `SELECT thickness_mm FROM (
        SELECT tray_id, version, thickness_mm FROM tray_version
        WHERE food_said = @food COLLATE NOCASE AND thickness_mm IS NOT NULL
        UNION ALL
        SELECT tray_id, version, thickness_mm FROM tray_portion
        WHERE food_said = @food COLLATE NOCASE AND thickness_mm IS NOT NULL
      ) ORDER BY tray_id DESC, version DESC LIMIT 1`,
    )
    .pluck();
  const addVersion = (tray: Tray, at: UtcMs | null): void => {
    const version = insertVersion.get(toVersion(tray, at))?.version ?? 1;
    for (const portion of tray.portions) insertPortion.run(toPortion(tray.id, version, portion));
  };

  const whole = (row: Row): Tray => fromRow(row, portionsOf.all(row.tray_id, row.version));

  return {
    add(tray: Tray): void {
      insert.run(tray.id, tray.batchId);
      addVersion(tray, null);
    },
    change: addVersion,
    /** Of a food's pieces, mm, as it was stated last; null: never. */
    thicknessOf: (food: string): number | null => thicknessOf.get({ food }) ?? null,
    redriedIn: (bagId: number): RedriedIn | null => ofBag.get(bagId) ?? null,
    /** As they are now, in the order of their ids. */
    ofBatch: (batchId: number): Tray[] => ofBatch.all(batchId).map(whole),
    /** As they were then; those added later are as they came. */
    ofBatchAt: (batchId: number, at: UtcMs): Tray[] => ofBatchAt.all(batchId, at).map(whole),
  };
}
