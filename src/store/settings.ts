import type Database from "better-sqlite3";
import type { Settings } from "../service/bench.ts";
import { fraction, type UtcMs } from "../units/quantity.ts";
import { bit, isSet, text, textOrNull } from "./cell.ts";

type Row = {
  readonly at_utc_ms: number;
  readonly limit_fraction: number;
  readonly display_unit: Settings["displayUnit"];
  readonly webhook: string | null;
  readonly out_too_long_minutes: number;
  readonly sound: number;
  readonly learning: number;
  readonly mqtt_url: string | null;
  readonly mqtt_prefix: string | null;
  readonly mqtt_user: string | null;
};

const mqttPassword = "mqtt-password";

export function settingsIn(db: Database.Database) {
  const insert = db.prepare<[Row]>(`
    INSERT INTO settings_version (at_utc_ms, limit_fraction, display_unit, webhook, out_too_long_minutes, sound,
      learning, mqtt_url, mqtt_prefix, mqtt_user)
    VALUES (@at_utc_ms, @limit_fraction, @display_unit, @webhook, @out_too_long_minutes, @sound,
      @learning, @mqtt_url, @mqtt_prefix, @mqtt_user)`);
  const secret = db
    .prepare<[], string>(`SELECT value FROM secret WHERE name = '${mqttPassword}'`)
    .pluck();
  const keepSecret = db.prepare<[string]>(`
    INSERT INTO secret (name, value) VALUES ('${mqttPassword}', ?)
    ON CONFLICT (name) DO UPDATE SET value = excluded.value`);
  const forgetSecret = db.prepare<[]>(`DELETE FROM secret WHERE name = '${mqttPassword}'`);
  const last = db.prepare<[], Row>("SELECT * FROM settings_version ORDER BY version DESC LIMIT 1");

  return {
    change(settings: Settings, at: UtcMs): void {
      const password = settings.mqtt?.password ?? null;
      if (password === null) forgetSecret.run();
      else keepSecret.run(text(password));
      insert.run({
        at_utc_ms: at,
        limit_fraction: settings.limit,
        display_unit: settings.displayUnit,
        webhook: textOrNull(settings.webhook),
        out_too_long_minutes: settings.outTooLongMinutes,
        sound: bit(settings.sound),
        learning: bit(settings.learning),
        mqtt_url: textOrNull(settings.mqtt?.url ?? null),
        mqtt_prefix: textOrNull(settings.mqtt?.prefix ?? null),
        mqtt_user: textOrNull(settings.mqtt?.user ?? null),
      });
    },
    /** null: nobody ever changed any. */
    current(): Settings | null {
      const row = last.get();
      if (row === undefined) return null;
      return {
        limit: fraction(row.limit_fraction),
        displayUnit: row.display_unit,
        webhook: row.webhook,
        mqtt:
          row.mqtt_url === null || row.mqtt_prefix === null
            ? null
            : {
                url: row.mqtt_url,
                prefix: row.mqtt_prefix,
                user: row.mqtt_user,
                password: secret.get() ?? null,
              },
        outTooLongMinutes: row.out_too_long_minutes,
        sound: isSet(row.sound),
        learning: isSet(row.learning),
      };
    },
  };
}
