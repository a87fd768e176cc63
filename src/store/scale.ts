import type Database from "better-sqlite3";
import { text } from "./cell.ts";

/** The addresses of the scales that a person set up, in the order in which they did. */
export function scalesIn(db: Database.Database) {
  const insert = db.prepare<[string]>("INSERT INTO scale (uri) VALUES (?) ON CONFLICT DO NOTHING");
  const remove = db.prepare<[string]>("DELETE FROM scale WHERE uri = ?");
  const all = db.prepare<[], string>("SELECT uri FROM scale ORDER BY id").pluck();

  return {
    remember: (uri: string): void => void insert.run(text(uri)),
    forget: (uri: string): void => void remove.run(text(uri)),
    all: (): string[] => all.all(),
  };
}
