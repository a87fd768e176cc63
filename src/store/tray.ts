import type Database from "better-sqlite3";
import type { Tray } from "../service/bench.ts";
import { fromMilligrams, toMilligrams } from "../units/mass.ts";
import { fraction, type UtcMs } from "../units/quantity.ts";
import { text, textOrNull, textsFrom } from "./cell.ts";

type Version = {
  readonly tray_id: number;
  readonly at_utc_ms: number | null;
  readonly name: string;
  readonly typed_tare_mg: number | null;
  readonly food_said: string | null;
  readonly food_name: string | null;
  readonly food_water_fraction: number | null;
  readonly food_water_sd_fraction: number | null;
  readonly food_source: string | null;
  readonly cautions: string;
};
type Row = Version & { readonly batch_id: number };

const toVersion = (tray: Tray, at: UtcMs | null): Version => ({
  tray_id: tray.id,
  at_utc_ms: at,
  name: text(tray.name),
  typed_tare_mg: tray.typedTare === null ? null : toMilligrams(tray.typedTare),
  food_said: textOrNull(tray.foodName),
  food_name: tray.food === null ? null : text(tray.food.name),
  food_water_fraction: tray.food?.water ?? null,
  food_water_sd_fraction: tray.food?.waterSd ?? null,
  food_source: tray.food === null ? null : text(tray.food.source),
  cautions: JSON.stringify(tray.cautions.map(text)),
});

function foodFrom(row: Row): Tray["food"] {
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

const fromRow = (row: Row): Tray => ({
  id: row.tray_id,
  batchId: row.batch_id,
  name: row.name,
  typedTare: row.typed_tare_mg === null ? null : fromMilligrams(row.typed_tare_mg),
  foodName: row.food_said,
  food: foodFrom(row),
  cautions: textsFrom(row.cautions),
});

export function traysIn(db: Database.Database) {
  const insert = db.prepare<[number, number]>("INSERT INTO tray (id, batch_id) VALUES (?, ?)");
  const insertVersion = db.prepare<[Version]>(`
    INSERT INTO tray_version (tray_id, version, at_utc_ms, name, typed_tare_mg, food_said, food_name, food_water_fraction,
      food_water_sd_fraction, food_source, cautions)
    VALUES (@tray_id, (SELECT count(*) + 1 FROM tray_version WHERE tray_id = @tray_id), @at_utc_ms, @name,
      @typed_tare_mg, @food_said, @food_name, @food_water_fraction, @food_water_sd_fraction, @food_source, @cautions)`);
  const ofBatch = db.prepare<[number], Row>(`
    SELECT * FROM tray JOIN tray_version ON tray_id = tray.id
    WHERE batch_id = ? AND version = (SELECT max(version) FROM tray_version WHERE tray_id = tray.id)
    ORDER BY tray.id`);

  return {
    add(tray: Tray): void {
      insert.run(tray.id, tray.batchId);
      insertVersion.run(toVersion(tray, null));
    },
    change: (tray: Tray, at: UtcMs): void => void insertVersion.run(toVersion(tray, at)),
    /** As they are now, in the order of their ids. */
    ofBatch: (batchId: number): Tray[] => ofBatch.all(batchId).map(fromRow),
  };
}
