import type Database from "better-sqlite3";
import type { FormChoice } from "../reading/form.ts";
import type { AskingSaid } from "../service/bench.ts";
import type { ScaleUnit } from "../reading/reading.ts";
import { fromMicrograms, toMicrograms } from "../units/mass.ts";
import { text } from "./cell.ts";

type FormRow = {
  readonly uri: string;
  readonly form: FormChoice["form"];
  readonly unit: ScaleUnit | null;
  readonly division_ug: number | null;
};

/** The scales that a person set up, in the order in which they did, and how a person said to read each. */
export function scalesIn(db: Database.Database) {
  const insert = db.prepare<[string]>("INSERT INTO scale (uri) VALUES (?) ON CONFLICT DO NOTHING");
  const remove = db.prepare<[string]>("DELETE FROM scale WHERE uri = ?");
  const all = db.prepare<[], string>("SELECT uri FROM scale ORDER BY id").pluck();
  const setForm = db.prepare<[FormRow]>(`
    INSERT INTO scale_form (uri, form, unit, division_ug) VALUES (@uri, @form, @unit, @division_ug)
    ON CONFLICT (uri) DO UPDATE
    SET form = excluded.form, unit = excluded.unit, division_ug = excluded.division_ug`);
  const removeForm = db.prepare<[string]>("DELETE FROM scale_form WHERE uri = ?");
  const formOf = db.prepare<[string], FormRow>("SELECT * FROM scale_form WHERE uri = ?");

  const setAsking = db.prepare<[string, string | null, number]>(`
    INSERT INTO scale_asking (uri, ask, every_ms) VALUES (?, ?, ?)
    ON CONFLICT (uri) DO UPDATE SET ask = excluded.ask, every_ms = excluded.every_ms`);
  const removeAsking = db.prepare<[string]>("DELETE FROM scale_asking WHERE uri = ?");
  const askingOf = db.prepare<[string], { ask: string | null; every_ms: number }>(
    "SELECT ask, every_ms FROM scale_asking WHERE uri = ?",
  );
  const nameOf = db
    .prepare<[string], string>("SELECT name FROM scale_name WHERE place = ?")
    .pluck();
  const named = db.prepare<[], number>("SELECT count(*) FROM scale_name").pluck();
  const name = db.prepare<[string, string]>("INSERT INTO scale_name (name, place) VALUES (?, ?)");

  return {
    /** The name by which the scale at a place is known; a place that never had a scale gets the next one. */
    nameAt: db.transaction((place: string): string => {
      const kept = nameOf.get(text(place));
      if (kept !== undefined) return kept;
      const next = `scale-${(named.get() ?? 0) + 1}`;
      name.run(next, text(place));
      return next;
    }),
    remember: (uri: string): void => void insert.run(text(uri)),
    forget: db.transaction((uri: string): void => {
      remove.run(text(uri));
      removeForm.run(text(uri));
      removeAsking.run(text(uri));
    }),
    all: (): string[] => all.all(),
    chooseForm(uri: string, { form, unit, division }: FormChoice): void {
      const division_ug = division === undefined ? null : toMicrograms(division);
      setForm.run({ uri: text(uri), form, unit: unit ?? null, division_ug });
    },
    sayAsking: (uri: string, { ask, everyMs }: AskingSaid): void =>
      void setAsking.run(text(uri), ask, everyMs),
    askingSaid(uri: string): AskingSaid | null {
      const row = askingOf.get(text(uri));
      return row === undefined ? null : { ask: row.ask, everyMs: row.every_ms };
    },
    /** null: nobody was ever asked. */
    chosenForm(uri: string): FormChoice | null {
      const row = formOf.get(text(uri));
      if (row === undefined) return null;
      const { form, unit, division_ug } = row;
      return {
        form,
        ...(unit === null ? {} : { unit }),
        ...(division_ug === null ? {} : { division: fromMicrograms(division_ug) }),
      };
    },
  };
}
