import type Database from "better-sqlite3";
import type { Settings } from "../service/bench.ts";
import { fraction, type UtcMs } from "../units/quantity.ts";
import { bit, isSet, textOrNull } from "./cell.ts";

type Row = {
  readonly at_utc_ms: number;
  readonly limit_fraction: number;
  readonly display_unit: Settings["displayUnit"];
  readonly webhook: string | null;
  readonly out_too_long_minutes: number;
  readonly sound: number;
};

export function settingsIn(db: Database.Database) {
  const insert = db.prepare<[Row]>(`
    INSERT INTO settings_version (at_utc_ms, limit_fraction, display_unit, webhook, out_too_long_minutes, sound)
    VALUES (@at_utc_ms, @limit_fraction, @display_unit, @webhook, @out_too_long_minutes, @sound)`);
  const last = db.prepare<[], Row>("SELECT * FROM settings_version ORDER BY version DESC LIMIT 1");

  return {
    change: (settings: Settings, at: UtcMs): void =>
      void insert.run({
        at_utc_ms: at,
        limit_fraction: settings.limit,
        display_unit: settings.displayUnit,
        webhook: textOrNull(settings.webhook),
        out_too_long_minutes: settings.outTooLongMinutes,
        sound: bit(settings.sound),
      }),
    /** null: nobody ever changed any. */
    current(): Settings | null {
      const row = last.get();
      if (row === undefined) return null;
      return {
        limit: fraction(row.limit_fraction),
        displayUnit: row.display_unit,
        webhook: row.webhook,
        outTooLongMinutes: row.out_too_long_minutes,
        sound: isSet(row.sound),
      };
    },
  };
}
