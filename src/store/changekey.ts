import type Database from "better-sqlite3";
import type { UtcMs } from "../units/quantity.ts";

/** Under which key something was asked for, and when. */
export type ChangeKey = { readonly key: string; readonly at: UtcMs };

/** Whoever asks again does so within seconds; a computer that was switched off meanwhile takes minutes to start. */
const keysKeptForMs = 60 * 60_000;

export function changeKeysIn(db: Database.Database) {
  const forget = db.prepare<[number]>("DELETE FROM change_key WHERE at_utc_ms < ?");
  const insert = db.prepare<[string, number]>(
    "INSERT INTO change_key (key, at_utc_ms) VALUES (?, ?) ON CONFLICT DO NOTHING",
  );
  const find = db.prepare<[string], 1>("SELECT 1 FROM change_key WHERE key = ?").pluck();
  return {
    add: ({ key, at }: ChangeKey): void => {
      forget.run(at - keysKeptForMs);
      insert.run(key, at);
    },
    has: (key: string): boolean => find.get(key) !== undefined,
  };
}
