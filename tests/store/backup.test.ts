import Database from "better-sqlite3";
import { spawn } from "node:child_process";
import { once } from "node:events";
import {
  copyFileSync,
  existsSync,
  linkSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { expect, onTestFinished, test } from "vitest";
import { backUp, bringBack } from "../../src/store/backup.ts";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore, type Store, type StoreOptions } from "../../src/store/store.ts";
import { compileProgram } from "./compiled.ts";
import { aBatch, aTray, aWeighing, noon, started, taken } from "./facts.ts";
import { practice, real, refusal, tempFolder } from "./folder.ts";

const never = new AbortController().signal;

/** A store with so many weighings, left open. */
function storeWith(weighings: number, options: StoreOptions = real): Store {
  const store = openStore(tempFolder(), options);
  onTestFinished(() => store.close());
  const batch = aBatch(1, [aTray(1, 1)], { practice: options.practice });
  store.record([started(batch)]);
  store.record(Array.from({ length: weighings }, (_, i) => taken(aWeighing(i + 1))));
  return store;
}

async function backupOf(weighings: number, options: StoreOptions = real): Promise<string> {
  const store = storeWith(weighings, options);
  const file = join(tempFolder(), "copy.db");
  await backUp(store.folder, file, never);
  store.close();
  return file;
}

const weighingsIn = (file: string): number | undefined => inspectStore(file).holds?.weighings.rows;

test("a backup is one private file that needs no other beside it", async () => {
  const store = storeWith(5);
  const folder = tempFolder();
  const file = join(folder, "copy.db");
  const report = await backUp(store.folder, file, never);
  expect(report).toMatchObject({ file, problems: [] });
  expect(readdirSync(folder)).toEqual(["copy.db"]);
  expect(statSync(file).mode & 0o777).toBe(0o600);
  expect(weighingsIn(file)).toBe(5);
  expect(readdirSync(folder)).toEqual(["copy.db"]);
});

test("backups taken while another program writes hold everything that it had said it kept", async () => {
  const writer = compileProgram("writer");
  onTestFinished(() => writer.remove());
  const folder = tempFolder();
  const child = spawn(process.execPath, [writer.file, folder], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  onTestFinished(() => void child.kill("SIGKILL"));
  let said = "";
  child.stdout.setEncoding("utf8").on("data", (text: string) => void (said += text));
  const lastSaid = (): number => Number(said.match(/(\d+)\n[^\n]*$/)?.[1] ?? 0);
  await once(child.stdout, "data");
  const copies: number[] = [];
  for (let round = 1; round <= 8; round++) {
    const before = lastSaid();
    const file = join(tempFolder(), "copy.db");
    const report = await backUp(folder, file, never);
    const rows = report.holds?.weighings.rows ?? 0;
    expect(rows).toBeGreaterThanOrEqual(before);
    expect(report.problems).toEqual([]);
    copies.push(rows);
    await once(child.stdout, "data");
  }
  child.kill("SIGKILL");
  expect(copies.toSorted((a, b) => a - b)).toEqual(copies);
  expect(copies.at(-1)).toBeGreaterThan(copies[0] ?? 0);
});

test("a newer backup takes the place of an older one, and of nothing else", async () => {
  const store = storeWith(2);
  const file = await backupOf(1);
  await backUp(store.folder, file, never);
  expect(weighingsIn(file)).toBe(2);

  const photo = join(tempFolder(), "trays.jpg");
  writeFileSync(photo, "not a store at all");
  await expect(backUp(store.folder, photo, never)).rejects.toThrow(refusal("store.not-ours"));
  expect(readFileSync(photo, "utf8")).toBe("not a store at all");
});

/** As where a disk tells no capitals apart: one file, and both names are right. */
function inCapitals(folder: string): string {
  const name = join(folder, "STILLWEIGHT.DB");
  if (!existsSync(name)) linkSync(databaseIn(folder), name);
  return name;
}

test("a backup is not written over the store itself, by whatever name", async () => {
  const store = storeWith(2);
  const link = join(tempFolder(), "link.db");
  symlinkSync(databaseIn(store.folder), link);
  const capitals = inCapitals(store.folder);
  for (const file of [databaseIn(store.folder), link, capitals])
    await expect(backUp(store.folder, file, never)).rejects.toThrow(refusal("store.not-ours"));
  store.record([taken(aWeighing(3))]);
});

test("the log of an older file of its name, copied by hand, does not speak into a backup", async () => {
  const older = storeWith(30);
  const folder = tempFolder();
  const file = join(folder, "copy.db");
  for (const ending of ["", "-wal"])
    copyFileSync(`${databaseIn(older.folder)}${ending}`, `${file}${ending}`);
  expect(statSync(`${file}-wal`).size).toBeGreaterThan(0);
  await backUp(storeWith(3).folder, file, never);
  expect(readdirSync(folder)).toEqual(["copy.db"]);
  expect(weighingsIn(file)).toBe(3);
});

test("a backup is not written over the store of another data folder", async () => {
  const other = storeWith(30);
  const store = storeWith(3);
  const capitals = inCapitals(other.folder);
  for (const file of [databaseIn(other.folder), capitals])
    await expect(backUp(store.folder, file, never)).rejects.toThrow(refusal("store.not-ours"));
  expect(weighingsIn(databaseIn(other.folder))).toBe(30);
});

test("a folder that lets nothing be removed is said in a sentence", async () => {
  const store = storeWith(1);
  const folder = tempFolder();
  mkdirSync(join(folder, "copy.db.partial"));
  const going = backUp(store.folder, join(folder, "copy.db"), never);
  await expect(going).rejects.toThrow(refusal("store.unwritable"));
});

test("a backup of a store that is not as it was kept is refused, and the older copy stays", async () => {
  const store = storeWith(3);
  const file = await backupOf(1);
  const db = new Database(databaseIn(store.folder));
  db.exec("DROP TRIGGER weighing_never_changed; UPDATE weighing SET gross_mg = 1 WHERE id = 2");
  db.close();
  await expect(backUp(store.folder, file, never)).rejects.toThrow(refusal("store.damaged"));
  expect(weighingsIn(file)).toBe(1);
  expect(existsSync(`${file}.partial`)).toBe(false);
});

test("a backup without a place to go, or without a store, is refused", async () => {
  const store = storeWith(1);
  const nowhere = join(tempFolder(), "no", "such", "copy.db");
  await expect(backUp(store.folder, nowhere, never)).rejects.toThrow(refusal("store.not-ours"));
  await expect(backUp(store.folder, tempFolder(), never)).rejects.toThrow("is a folder");
  const file = join(tempFolder(), "copy.db");
  await expect(backUp(tempFolder(), file, never)).rejects.toThrow(refusal("store.not-ours"));
  expect(existsSync(file)).toBe(false);
});

test("an interrupted backup leaves nothing", async () => {
  const store = storeWith(1);
  const folder = tempFolder();
  const stop = new AbortController();
  const going = backUp(store.folder, join(folder, "copy.db"), stop.signal);
  stop.abort(new Error("interrupted"));
  await expect(going).rejects.toThrow("interrupted");
  expect(readdirSync(folder)).toEqual([]);
});

test("a backup is brought back into a folder that was never there", async () => {
  const file = await backupOf(4);
  const folder = join(tempFolder(), "new");
  const { report, aside } = await bringBack(file, folder, noon, never);
  expect(aside).toBeNull();
  expect(report).toMatchObject({ file: databaseIn(folder), problems: [] });
  const store = openStore(folder, real);
  expect(store.loadBatch(1)?.weighings).toHaveLength(4);
  store.record([taken(aWeighing(5))]);
  store.close();
  expect(weighingsIn(file)).toBe(4);
});

test("the store that was there is kept beside, whole, under a dated name", async () => {
  const file = await backupOf(4);
  const store = storeWith(2);
  store.close();
  const { aside } = await bringBack(file, store.folder, noon, never);
  expect(aside).toBe(join(store.folder, "before-restore-20261125T120000Z.db"));
  expect(weighingsIn(aside ?? "")).toBe(2);
  expect(weighingsIn(databaseIn(store.folder))).toBe(4);
  const again = await bringBack(file, store.folder, noon, never);
  expect(again.aside).toBe(join(store.folder, "before-restore-20261125T120000Z-2.db"));
  expect(weighingsIn(aside ?? "")).toBe(2);
});

test("rows of a killed service that are still in the log alone are kept beside too, and do not come back", async () => {
  const file = await backupOf(4);
  const running = storeWith(2);
  const folder = tempFolder();
  for (const name of ["stillweight.db", "stillweight.db-wal"])
    copyFileSync(join(running.folder, name), join(folder, name));
  expect(statSync(`${databaseIn(folder)}-wal`).size).toBeGreaterThan(0);
  const { aside } = await bringBack(file, folder, noon, never);
  expect(weighingsIn(databaseIn(folder))).toBe(4);
  expect(weighingsIn(aside ?? "")).toBe(2);
});

test("a damaged store is kept beside and replaced", async () => {
  const file = await backupOf(4);
  const store = storeWith(200);
  store.close();
  const bytes = readFileSync(databaseIn(store.folder));
  bytes.fill(0xa5, 4096);
  writeFileSync(databaseIn(store.folder), bytes);
  const { aside } = await bringBack(file, store.folder, noon, never);
  expect(readFileSync(aside ?? "").equals(bytes)).toBe(true);
  expect(weighingsIn(databaseIn(store.folder))).toBe(4);
});

test("nothing is brought back while a program has the folder open", async () => {
  const file = await backupOf(4);
  const store = storeWith(2);
  await expect(bringBack(file, store.folder, noon, never)).rejects.toThrow(refusal("store.in-use"));
  store.record([taken(aWeighing(3))]);
  expect(store.loadBatch(1)?.weighings).toHaveLength(3);
});

test.each([
  ["that is a text", "store.not-ours", (file: string) => writeFileSync(file, "x".repeat(5000))],
  [
    "with a changed weighing",
    "store.damaged",
    (file: string) => {
      const db = new Database(file);
      db.exec("DROP TRIGGER weighing_never_changed; UPDATE weighing SET gross_mg = 1 WHERE id = 2");
      db.close();
    },
  ],
  [
    "of a newer program",
    "store.newer-than-program",
    (file: string) => {
      const db = new Database(file);
      db.pragma("user_version = 99");
      db.close();
    },
  ],
] as const)("a copy %s is refused and the store stays", async (_, code, spoil) => {
  const file = await backupOf(4);
  spoil(file);
  const store = storeWith(2);
  store.close();
  const before = readFileSync(databaseIn(store.folder));
  await expect(bringBack(file, store.folder, noon, never)).rejects.toThrow(refusal(code));
  expect(readFileSync(databaseIn(store.folder)).equals(before)).toBe(true);
  expect(readdirSync(store.folder).filter((name) => /arriving|restore/.test(name))).toEqual([]);
  openStore(store.folder, real).close();
});

test("practice is not brought back over real food, nor real food over practice", async () => {
  const played = await backupOf(3, practice);
  const worked = await backupOf(3);
  const realStore = storeWith(1);
  const practiceStore = storeWith(1, practice);
  realStore.close();
  practiceStore.close();
  const wrong = refusal("store.wrong-kind");
  await expect(bringBack(played, realStore.folder, noon, never)).rejects.toThrow(wrong);
  await expect(bringBack(worked, practiceStore.folder, noon, never)).rejects.toThrow(wrong);
  await bringBack(played, practiceStore.folder, noon, never);
  expect(() => openStore(practiceStore.folder, real)).toThrow(wrong);
});

test("a foreign file under the store's name is not replaced", async () => {
  const file = await backupOf(3);
  const folder = tempFolder();
  mkdirSync(folder, { recursive: true });
  writeFileSync(databaseIn(folder), "somebody's notes");
  await expect(bringBack(file, folder, noon, never)).rejects.toThrow(refusal("store.not-ours"));
  expect(readFileSync(databaseIn(folder), "utf8")).toBe("somebody's notes");
});

test("a store that was copied by hand, log and all, is brought back whole", async () => {
  const running = storeWith(6);
  const folder = tempFolder();
  for (const name of ["stillweight.db", "stillweight.db-wal"])
    copyFileSync(join(running.folder, name), join(folder, name));
  const target = tempFolder();
  await bringBack(databaseIn(folder), target, noon, never);
  expect(weighingsIn(databaseIn(target))).toBe(6);
});
