import Database from "better-sqlite3";
import { createHash } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { expect, test } from "vitest";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore } from "../../src/store/store.ts";
import { aMoment, aVerdict, aWeighing, later, oneBatch, taken } from "./facts.ts";
import { real, refusal, tempFolder } from "./folder.ts";

const scale = "serial:///dev/ttyUSB0";
const weighings = Array.from({ length: 9 }, (_, i) => aWeighing(i + 1, { scale }));

/** A closed store with nine weighings, one of them a correction, and three moments. */
function keptFile(): string {
  const folder = tempFolder();
  const store = openStore(folder, real);
  store.record([oneBatch, ...weighings.map(taken)]);
  store.record([taken(aWeighing(10, { supersedes: 4, reason: "wrong tray", trayId: 2 }))]);
  store.record([1, 2, 3].map((id) => ({ is: "moment-set", moment: aMoment(id) })));
  store.record([{ is: "verdict-given", verdict: aVerdict(1) }]);
  store.close();
  return databaseIn(folder);
}

/** Alters a store behind the program's back: the named triggers are taken away and put back. */
function tamper(file: string, triggers: readonly string[], sql: string): void {
  const db = new Database(file);
  const made = triggers.map((name) => {
    const text = db.prepare("SELECT sql FROM sqlite_schema WHERE name = ?").pluck().get(name);
    db.exec(`DROP TRIGGER ${name}`);
    return String(text);
  });
  db.pragma("foreign_keys = OFF");
  db.exec(sql);
  for (const text of made) db.exec(text);
  db.close();
}

test("a store that nobody touched is whole, and its contents are counted", () => {
  const report = inspectStore(keptFile());
  expect(report.problems).toEqual([]);
  expect(report.holds).toMatchObject({
    practice: false,
    batches: 1,
    openBatches: 1,
    trays: 2,
    corrections: 1,
    verdicts: 1,
    firstAt: later(1),
    lastAt: later(10),
  });
  expect(report.holds?.weighings.rows).toBe(10);
  expect(report.holds?.moments.rows).toBe(3);
});

test("the chain can be followed with nothing but its description", () => {
  const file = keptFile();
  const db = new Database(file, { readonly: true });
  const rows = db
    .prepare(
      `SELECT json_array('weighing', id, batch_id, tray_id, kind, gross_mg, division_ug, scale, source, zero_seen,
         at_utc_ms, supersedes, struck, reason), digest FROM weighing ORDER BY id`,
    )
    .raw()
    .all() as [string, string][];
  db.close();
  let previous = "0".repeat(64);
  for (const [text, digest] of rows) {
    previous = createHash("sha256").update(`${previous}\n${text}`).digest("hex");
    expect(digest).toBe(previous);
  }
  expect(rows).toHaveLength(10);
  expect(inspectStore(file).holds?.weighings.head).toBe(previous);
});

test("the digest of a row is what another program makes of it", () => {
  const file = keptFile();
  const db = new Database(file, { readonly: true });
  const first = db.prepare("SELECT digest FROM weighing WHERE id = 1").pluck().get();
  db.close();
  // sha256sum of GNU coreutils 9.1 over the text that chain.ts describes for this row.
  expect(first).toBe("0bd03576592c86fbba64c107e056c22a6344d33fca27f8e5130497b2ab1bedd6");
});

test("a byte that flips in the file is found although the database sees no damage", () => {
  const file = keptFile();
  const bytes = readFileSync(file);
  const at = bytes.lastIndexOf(scale);
  expect(at).toBeGreaterThan(0);
  bytes[at + 1] = (bytes[at + 1] ?? 0) ^ 1;
  writeFileSync(file, bytes);
  const { problems } = inspectStore(file);
  expect(problems).toHaveLength(1);
  expect(problems[0]).toMatch(/^weighing \d+ is not as it was kept/);
});

test.each([
  ["mass", "UPDATE weighing SET gross_mg = gross_mg + 1 WHERE id = 5"],
  ["time", "UPDATE weighing SET at_utc_ms = at_utc_ms - 1 WHERE id = 5"],
  ["tray", "UPDATE weighing SET tray_id = 2 WHERE id = 5"],
])("a changed %s is named", (_, sql) => {
  const file = keptFile();
  tamper(file, ["weighing_never_changed"], sql);
  expect(inspectStore(file).problems).toEqual([
    "weighing 5 is not as it was kept, or the weighing before it was changed or removed",
  ]);
});

test("a weighing removed from the middle is found", () => {
  const file = keptFile();
  tamper(file, ["weighing_never_removed"], "DELETE FROM weighing WHERE id = 7");
  expect(inspectStore(file).problems).toEqual([
    "weighing 8 is not as it was kept, or the weighing before it was changed or removed",
    "10 weighings were kept, 9 are there",
  ]);
});

test("the last weighing removed is found", () => {
  const file = keptFile();
  tamper(file, ["weighing_never_removed"], "DELETE FROM weighing WHERE id = 10");
  expect(inspectStore(file).problems).toEqual([
    "10 weighings were kept, 9 are there",
    "the last weighing kept is not the last one there",
  ]);
});

test("a weighing slipped in is found", () => {
  const file = keptFile();
  tamper(
    file,
    ["weighing_id_rises", "weighing_chained"],
    `INSERT INTO weighing SELECT 11, batch_id, tray_id, kind, gross_mg, division_ug, scale, source, zero_seen,
       at_utc_ms, NULL, 0, NULL, digest, NULL, NULL FROM weighing WHERE id = 3`,
  );
  expect(inspectStore(file).problems[0]).toMatch(/^weighing 11 is not as it was kept/);
});

test("a changed moment of the drying clock is named", () => {
  const file = keptFile();
  tamper(file, ["moment_never_changed"], "UPDATE moment SET at_utc_ms = 0 WHERE id = 2");
  expect(inspectStore(file).problems).toEqual([
    "moment 2 is not as it was kept, or the moment before it was changed or removed",
  ]);
});

test("a row that names no row is found", () => {
  const file = keptFile();
  tamper(file, ["verdict_never_changed"], "UPDATE verdict SET batch_id = 77");
  expect(inspectStore(file).problems).toEqual(["row 1 of verdict names no batch that is there"]);
});

test("a guard that was taken away is found", () => {
  const file = keptFile();
  const db = new Database(file);
  db.exec("DROP TRIGGER weighing_never_changed");
  db.close();
  expect(inspectStore(file).problems).toEqual([
    "tables, indexes or triggers are not those that this program makes",
  ]);
});

test("torn pages are reported and not thrown", () => {
  const file = keptFile();
  const bytes = readFileSync(file);
  bytes.fill(0xa5, 4096 * 3, 4096 * 20);
  writeFileSync(file, bytes);
  expect(inspectStore(file).problems.length).toBeGreaterThan(0);
});

test("a missing file, a text and another program's database are not called damaged", () => {
  const folder = tempFolder();
  expect(() => inspectStore(databaseIn(folder))).toThrow(refusal("store.not-ours"));
  writeFileSync(databaseIn(folder), "tray,grams\n".repeat(50));
  expect(() => inspectStore(databaseIn(folder))).toThrow(refusal("store.not-ours"));
  const other = new Database(`${folder}/other.db`);
  other.exec("CREATE TABLE t (a)");
  other.close();
  expect(() => inspectStore(`${folder}/other.db`)).toThrow(refusal("store.not-ours"));
});

test("a newer store is refused, an older one is looked at as far as it goes", () => {
  const file = keptFile();
  const db = new Database(file);
  db.pragma("user_version = 99");
  expect(() => inspectStore(file)).toThrow(refusal("store.newer-than-program"));
  db.pragma("user_version = 0");
  db.close();
  expect(inspectStore(file)).toMatchObject({ layout: 0, holds: null, problems: [] });
});

test("a store in use is looked at without getting in its way", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  store.record([oneBatch, taken(aWeighing(1))]);
  expect(inspectStore(databaseIn(folder)).holds?.weighings.rows).toBe(1);
  store.record([taken(aWeighing(2))]);
  expect(inspectStore(databaseIn(folder))).toMatchObject({ problems: [] });
  expect(inspectStore(databaseIn(folder)).holds?.weighings.rows).toBe(2);
  store.close();
});
