import type Database from "better-sqlite3";
import type { ClockJump } from "../tray/clockdoubt.ts";
import { utcMs } from "../units/quantity.ts";
import { bit, isSet } from "./cell.ts";

type Row = { readonly at_utc_ms: number; readonly away_ms: number; readonly off_unknown: number };

export function clockJumpsIn(db: Database.Database) {
  const insert = db.prepare<[number, number, number]>(
    "INSERT INTO clock_jump (at_utc_ms, away_ms, off_unknown) VALUES (?, ?, ?)",
  );
  const all = db.prepare<[], Row>("SELECT * FROM clock_jump ORDER BY id");

  return {
    add: ({ at, awayMs, offUnknown }: ClockJump): void =>
      void insert.run(at, awayMs, bit(offUnknown)),
    all: (): ClockJump[] =>
      all.all().map((row) => ({
        at: utcMs(row.at_utc_ms),
        awayMs: row.away_ms,
        offUnknown: isSet(row.off_unknown),
      })),
  };
}
