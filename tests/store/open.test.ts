import Database from "better-sqlite3";
import {
  closeSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  statSync,
  writeFileSync,
  writeSync,
} from "node:fs";
import { join } from "node:path";
import { expect, onTestFinished, test } from "vitest";
import { backUp } from "../../src/store/backup.ts";
import { databaseIn, openDatabase } from "../../src/store/database.ts";
import { openStore, type StoreOptions } from "../../src/store/store.ts";
import { layoutOfSteps, stepsFolder, stepsIn, type Step } from "../../src/store/steps.ts";
import { utcMs } from "../../src/units/quantity.ts";
import { aBatch, aTray, aWeighing, oneBatch, started, taken, noon } from "./facts.ts";
import { practice, real, tempFolder, refusal } from "./folder.ts";

const opened = (folder: string, options: StoreOptions = real) => {
  const store = openStore(folder, options);
  onTestFinished(() => store.close());
  return store;
};
const layout = stepsIn(stepsFolder);

test("the folder and every file in it can be read by their owner alone", () => {
  const folder = join(tempFolder(), "new", "data");
  const store = opened(folder);
  store.record([oneBatch]);
  expect(statSync(folder).mode & 0o777).toBe(0o700);
  const modes = readdirSync(folder).map((name) => [
    name,
    statSync(join(folder, name)).mode & 0o777,
  ]);
  expect(modes).toHaveLength(4);
  expect(modes.filter(([, mode]) => mode !== 0o600)).toEqual([]);
});

test("a commit is made to wait for the disk", () => {
  const folder = tempFolder();
  const db = openDatabase(folder, layout, noon);
  const asked = (name: string) => db.pragma(name, { simple: true });
  expect(asked("journal_mode")).toBe("wal");
  expect(asked("synchronous")).toBe(2);
  expect(asked("foreign_keys")).toBe(1);
  expect(asked("trusted_schema")).toBe(0);
  expect(asked("busy_timeout")).toBe(5000);
  expect(asked("user_version")).toBe(layout.length);
  db.close();
});

test("every table is strict", () => {
  const db = openDatabase(tempFolder(), layout, noon);
  const tables = db
    .prepare<[], { name: string; strict: number }>(
      "SELECT name, strict FROM pragma_table_list WHERE schema = 'main' AND name NOT LIKE 'sqlite_%'",
    )
    .all();
  expect(tables.length).toBeGreaterThan(10);
  expect(tables.filter(({ strict }) => strict !== 1)).toEqual([]);
  db.close();
});

test("a second program on the same folder is refused, and let in once the first is gone", () => {
  const folder = tempFolder();
  const first = openStore(folder, real);
  expect(() => openStore(folder, real)).toThrow(refusal("store.in-use"));
  first.record([oneBatch]);
  first.close();
  const second = openStore(folder, real);
  expect(second.load().batches).toHaveLength(1);
  second.close();
});

test("closing leaves one file that holds everything", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  store.record([oneBatch]);
  store.close();
  store.close();
  expect(readdirSync(folder).toSorted()).toEqual(["stillweight.db", "stillweight.lock"]);
});

test.each([
  ["a text", () => Buffer.from("trays: A B C\n")],
  [
    "another program's database",
    () => {
      const file = join(tempFolder(), "other.db");
      const db = new Database(file);
      db.exec("CREATE TABLE t (a)");
      db.close();
      return readFileSync(file);
    },
  ],
])("%s under the store's name is refused and left as it is", (_, content) => {
  const folder = tempFolder();
  const before = content();
  writeFileSync(databaseIn(folder), before);
  expect(() => openStore(folder, real)).toThrow(refusal("store.not-ours"));
  expect(readFileSync(databaseIn(folder)).equals(before)).toBe(true);
});

test("a store of a newer program is refused and left as it is", () => {
  const folder = tempFolder();
  openStore(folder, real).close();
  const db = new Database(databaseIn(folder));
  db.exec("CREATE TABLE of_the_future (a)");
  db.pragma("user_version = 99");
  db.close();
  const before = readFileSync(databaseIn(folder));
  expect(() => openStore(folder, real)).toThrow(refusal("store.newer-than-program"));
  expect(readFileSync(databaseIn(folder)).equals(before)).toBe(true);
});

test("a newer layout that is still in the log alone is refused too", () => {
  const folder = tempFolder();
  openStore(folder, real).close();
  const db = new Database(databaseIn(folder));
  db.pragma("user_version = 99");
  const copied = tempFolder();
  for (const name of readdirSync(folder)) copyFileSync(join(folder, name), join(copied, name));
  db.close();
  expect(statSync(join(copied, "stillweight.db-wal")).size).toBeGreaterThan(0);
  expect(() => openStore(copied, real)).toThrow(refusal("store.newer-than-program"));
});

test("a store with a torn page is refused at the start, with the way back", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  store.record([oneBatch, ...Array.from({ length: 300 }, (_, i) => taken(aWeighing(i + 1)))]);
  store.close();
  const file = readFileSync(databaseIn(folder));
  file.fill(0xa5, 4096 * 4, file.length);
  writeFileSync(databaseIn(folder), file);
  expect(() => openStore(folder, real)).toThrow(refusal("store.damaged"));
});

test("a folder where nothing can be written is refused in a sentence", () => {
  const folder = tempFolder();
  mkdirSync(databaseIn(folder));
  expect(() => openStore(folder, real)).toThrow(refusal("store.unwritable"));
  writeFileSync(join(folder, "file"), "");
  expect(() => openStore(join(folder, "file", "data"), real)).toThrow(refusal("store.unwritable"));
});

test("practice never becomes real food, whatever it holds", () => {
  const folder = tempFolder();
  openStore(folder, practice).close();
  expect(() => openStore(folder, real)).toThrow(refusal("store.wrong-kind"));
  const store = opened(folder, { ...practice, timeFactor: 500 });
  expect(store.mark).toMatchObject({ practice: true, timeFactor: 500 });
});

test("real weighings never become practice; a folder with none of them may", () => {
  const folder = tempFolder();
  const first = openStore(folder, real);
  first.record([oneBatch]);
  first.close();
  const trial = openStore(folder, practice);
  expect(trial.load().batches.map((batch) => batch.practice)).toEqual([true]);
  trial.close();
  expect(() => openStore(folder, real)).toThrow(refusal("store.wrong-kind"));

  const other = tempFolder();
  const second = openStore(other, real);
  second.record([oneBatch, taken(aWeighing(1))]);
  second.close();
  expect(() => openStore(other, practice)).toThrow(refusal("store.wrong-kind"));
  expect(opened(other).mark).toMatchObject({ practice: false, timeFactor: 1 });
});

test("a practice batch cannot be kept in a folder for real food", () => {
  const batch = aBatch(1, [aTray(1, 1)], { practice: true });
  expect(() => opened(tempFolder()).record([started(batch)])).toThrow("never share a folder");
});

// Steps of the future, made up.
const second: Step = {
  number: layout.length + 1,
  name: "later.sql",
  sql: "CREATE TABLE later (id INTEGER PRIMARY KEY) STRICT; INSERT INTO later VALUES (7);",
};
const broken: Step = {
  number: layout.length + 1,
  name: "broken.sql",
  sql: "CREATE TABLE later (id INTEGER PRIMARY KEY) STRICT; ALTER TABLE tray ADD COLUMN colour TEXT; SELECT no_such();",
};

function filledFolder(): string {
  const folder = tempFolder();
  const store = openStore(folder, real);
  store.record([oneBatch, taken(aWeighing(1))]);
  store.close();
  return folder;
}

test("a new layout comes after a copy of the store as it was", () => {
  const folder = filledFolder();
  const db = openDatabase(folder, [...layout, second], noon);
  expect(db.prepare("SELECT id FROM later").pluck().all()).toEqual([7]);
  expect(db.pragma("user_version", { simple: true })).toBe(layout.length + 1);
  expect(db.pragma("foreign_keys", { simple: true })).toBe(1);
  db.close();
  const aside = join(folder, `before-layout-${layout.length + 1}-20261125T120000Z.db`);
  expect(statSync(aside).mode & 0o777).toBe(0o600);
  const old = new Database(aside, { readonly: true });
  expect(old.pragma("user_version", { simple: true })).toBe(layout.length);
  expect(old.prepare("SELECT count(*) FROM weighing").pluck().get()).toBe(1);
  old.close();
});

test("a new store is made without a copy of nothing", () => {
  const folder = tempFolder();
  openDatabase(folder, [...layout, second], noon).close();
  expect(readdirSync(folder)).toEqual(["stillweight.db"]);
});

test("an older program names the copy that it can go back to, the newest that it knows the layout of", () => {
  const folder = filledFolder();
  const third = {
    ...second,
    number: layout.length + 2,
    sql: "CREATE TABLE last (id INTEGER) STRICT;",
  };
  openDatabase(folder, [...layout, second], noon).close();
  openDatabase(folder, [...layout, second, third], utcMs(noon + 1000)).close();
  const copy = join(folder, `before-layout-${layout.length + 1}-20261125T120000Z.db`);
  expect(() => openStore(folder, real)).toThrow(`stillweight restore "${copy}" --data "${folder}"`);
});

test("a copy of a store that is too new is refused by the store's name", async () => {
  const folder = filledFolder();
  openDatabase(folder, [...layout, second], noon).close();
  const copied = backUp(folder, join(tempFolder(), "copy.db"), new AbortController().signal);
  await expect(copied).rejects.toThrow(`${databaseIn(folder)} has layout ${layout.length + 1}`);
});

test("starts that fail at a new layout, one after the other, leave no copy each", () => {
  const folder = filledFolder();
  for (const second of [0, 2000, 4000])
    expect(() => openDatabase(folder, [...layout, broken], utcMs(noon + second))).toThrow(
      "no_such",
    );
  expect(readdirSync(folder).filter((name) => name.startsWith("before-"))).toEqual([]);
  // Of what the steps before it changed, a copy stays.
  const third = { ...broken, number: layout.length + 2, sql: "SELECT no_such();" };
  for (const after of [6000, 8000])
    expect(() => openDatabase(folder, [...layout, second, third], utcMs(noon + after))).toThrow(
      "no_such",
    );
  expect(readdirSync(folder).filter((name) => name.startsWith("before-"))).toHaveLength(1);
});

test("a step that fails half-way leaves the layout before it, and the store as it was", () => {
  const folder = filledFolder();
  expect(() => openDatabase(folder, [...layout, broken], noon)).toThrow("no_such");
  const store = opened(folder);
  expect(store.load().batches[0]?.weighings).toEqual([aWeighing(1)]);
  const witness = new Database(databaseIn(folder), { readonly: true });
  expect(witness.prepare("SELECT name FROM sqlite_schema WHERE name = 'later'").all()).toEqual([]);
  expect(witness.pragma("table_info(tray)")).toHaveLength(2);
  witness.close();
});

test("a step that leaves rows naming nothing is undone", () => {
  const folder = filledFolder();
  const careless: Step = {
    ...second,
    sql: "DROP TRIGGER tray_never_removed; DROP TRIGGER tray_version_never_removed; DELETE FROM tray;",
  };
  expect(() => openDatabase(folder, [...layout, careless], noon)).toThrow("name no row");
  expect(opened(folder).load().batches[0]?.trays).toHaveLength(2);
});

test("steps with a gap in their numbers are a mistake of the program", () => {
  const folder = tempFolder();
  writeFileSync(join(folder, "0001-a.sql"), "");
  writeFileSync(join(folder, "0003-c.sql"), "");
  expect(() => stepsIn(folder)).toThrow("0003-c.sql is not step 2");
  expect(existsSync(stepsFolder)).toBe(true);
});

test("steps whose line ends were turned make the layout that every other store has", () => {
  const turned = tempFolder();
  for (const { name, sql } of layout)
    writeFileSync(join(turned, name), sql.replaceAll("\n", "\r\n"));
  expect(layoutOfSteps(stepsIn(turned))).toEqual(layoutOfSteps(layout));
});

test("a header torn by a power cut is mended by the log beside it, and is not taken for a foreign file", () => {
  const folder = tempFolder();
  const store = openStore(folder, real);
  store.record([oneBatch]);
  // So many that the file grows, which puts its first page into the log.
  for (let id = 1; id <= 40; id++) store.record([taken(aWeighing(id))]);
  const after = tempFolder();
  for (const ending of ["", "-wal"])
    copyFileSync(`${databaseIn(folder)}${ending}`, `${databaseIn(after)}${ending}`);
  store.close();
  const file = openSync(databaseIn(after), "r+");
  writeSync(file, Buffer.alloc(512, 0xa5), 0, 512, 0);
  closeSync(file);
  const again = openStore(after, real);
  expect(again.loadBatch(1)?.weighings).toHaveLength(40);
  again.close();
});
