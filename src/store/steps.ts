/** The layout of the store as numbered SQL files, run in order, each once and in one transaction. */
import Database from "better-sqlite3";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";

export type Step = { readonly number: number; readonly name: string; readonly sql: string };

export const stepsFolder = join(import.meta.dirname, "steps");

/** The steps in a folder, in order; gaps and doubles in their numbers are a mistake of the program. */
export function stepsIn(folder: string): readonly Step[] {
  const names = readdirSync(folder)
    .filter((name) => name.endsWith(".sql"))
    .toSorted();
  return names.map((name, index) => {
    const number = index + 1;
    if (!name.startsWith(`${String(number).padStart(4, "0")}-`))
      throw new Error(`${join(folder, name)} is not step ${number}`);
    // SQLite keeps the text of a layout, line ends and all, and it is compared with that of stores made elsewhere.
    const sql = readFileSync(join(folder, name), "utf8").replaceAll("\r\n", "\n");
    return { number, name, sql };
  });
}

export const stepOf = (db: Database.Database): number =>
  Number(db.pragma("user_version", { simple: true }));

/** Brings the store from the step it is at to the last one. A step that fails leaves it at the one before. */
export function runSteps(db: Database.Database, steps: readonly Step[]): void {
  // Rebuilding a table breaks references for a moment; they are checked before each step is kept.
  db.pragma("foreign_keys = OFF");
  for (const step of steps.slice(stepOf(db))) {
    db.transaction(() => {
      db.exec(step.sql);
      const broken = db.pragma("foreign_key_check");
      if (Array.isArray(broken) && broken.length > 0)
        throw new Error(`step ${step.name} leaves ${broken.length} rows that name no row`);
      db.pragma(`user_version = ${step.number}`);
    }).exclusive();
  }
  db.pragma("foreign_keys = ON");
}

/** Tables, indexes and triggers as SQL, in a fixed order. */
export const layoutOf = (db: Database.Database): readonly string[] =>
  db
    .prepare<[], string>("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY type, name")
    .pluck()
    .all();

/** The layout that the steps make, to compare a store with. */
export function layoutOfSteps(steps: readonly Step[]): readonly string[] {
  const db = new Database(":memory:");
  try {
    runSteps(db, steps);
    return layoutOf(db);
  } finally {
    db.close();
  }
}
