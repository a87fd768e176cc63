/** Copies of a store beside which SQLite may make no file, as on a disk that is read-only or full. */
import Database from "better-sqlite3";
import * as files from "node:fs";
import { join } from "node:path";
import { expect, test, vi } from "vitest";
import { backUp } from "../../src/store/backup.ts";
import { databaseIn } from "../../src/store/database.ts";
import { refusal, tempFolder } from "./folder.ts";
import { folderOfKilled, never, storeWith, weighingsIn } from "./killed.ts";

vi.mock("node:fs", async (original) => {
  const actual = await original<typeof files>();
  return {
    ...actual,
    copyFileSync: vi.fn<typeof files.copyFileSync>(actual.copyFileSync),
  };
});

/** Where SQLite would put its index is a name that it does not open. */
function folderWithoutIndex(weighings: number): string {
  const folder = folderOfKilled(weighings);
  files.symlinkSync("nowhere", `${databaseIn(folder)}-shm`);
  expect(() => new Database(databaseIn(folder), { readonly: true }).pragma("user_version")).toThrow(
    "unable to open",
  );
  return folder;
}

const bytesIn = (folder: string): Readonly<Record<string, string>> =>
  Object.fromEntries(
    files
      .readdirSync(folder, { withFileTypes: true })
      .map(({ name, parentPath }) => [
        name,
        name.endsWith("-shm") ? "" : files.readFileSync(join(parentPath, name), "base64"),
      ]),
  );

test("rows that are in the log alone are copied, and the folder stays as it was to the byte", async () => {
  const folder = folderWithoutIndex(30);
  const before = bytesIn(folder);
  const target = tempFolder();
  const report = await backUp(folder, join(target, "copy.db"), never);
  expect(report).toMatchObject({ problems: [], holds: { weighings: { rows: 30 } } });
  expect(files.readdirSync(target)).toEqual(["copy.db"]);
  expect(files.statSync(join(target, "copy.db")).mode & 0o777).toBe(0o600);
  expect(weighingsIn(join(target, "copy.db"))).toBe(30);
  expect(bytesIn(folder)).toEqual(before);
});

test("a change that was under way when the journal was last written is taken back in the copy", async () => {
  const file = join(tempFolder(), "whole.db");
  await backUp(storeWith(400).folder, file, never);
  const db = new Database(file);
  // So little room for pages that they go into the file before the change is kept.
  db.pragma("cache_size = 2");
  db.exec("BEGIN; DROP TRIGGER weighing_never_changed; UPDATE weighing SET gross_mg = 1");
  const folder = tempFolder();
  files.copyFileSync(file, databaseIn(folder));
  files.copyFileSync(`${file}-journal`, `${databaseIn(folder)}-journal`);
  db.exec("ROLLBACK");
  db.close();
  expect(
    files.readFileSync(databaseIn(folder)).equals(files.readFileSync(file)),
    "the half-made change is in the file",
  ).toBe(false);
  const before = bytesIn(folder);
  const target = tempFolder();
  const report = await backUp(folder, join(target, "copy.db"), never);
  expect(report).toMatchObject({ problems: [], holds: { weighings: { rows: 400 } } });
  expect(files.readdirSync(target)).toEqual(["copy.db"]);
  expect(bytesIn(folder)).toEqual(before);
});

test("a log that is torn is copied up to what was kept, a store that is damaged is refused", async () => {
  const folder = folderWithoutIndex(30);
  const log = `${databaseIn(folder)}-wal`;
  files.truncateSync(log, files.statSync(log).size - 100);
  const target = tempFolder();
  const report = await backUp(folder, join(target, "copy.db"), never);
  // The last commit held the 30 weighings.
  expect(report).toMatchObject({ problems: [], holds: { batches: 1, weighings: { rows: 0 } } });

  const bytes = files.readFileSync(databaseIn(folder));
  files.writeFileSync(databaseIn(folder), bytes.fill(0xa5));
  files.rmSync(log);
  await expect(backUp(folder, join(target, "copy.db"), never)).rejects.toThrow(
    refusal("store.not-ours"),
  );
  expect(files.readdirSync(target)).toEqual(["copy.db"]);
  expect(weighingsIn(join(target, "copy.db"))).toBe(0);
});

test("a store that somebody writes to meanwhile is not copied byte by byte", async () => {
  const folder = folderWithoutIndex(30);
  vi.mocked(files.copyFileSync).mockImplementationOnce((from, to) => {
    files.writeFileSync(to, files.readFileSync(from));
    files.appendFileSync(`${databaseIn(folder)}-wal`, "more");
  });
  const target = tempFolder();
  const going = backUp(folder, join(target, "copy.db"), never);
  await expect(going).rejects.toThrow(refusal("store.in-use"));
  expect(files.readdirSync(target)).toEqual([]);
});

test("a target's disk that is full is said, and nothing is left there", async () => {
  const folder = folderWithoutIndex(30);
  vi.mocked(files.copyFileSync).mockImplementationOnce(() => {
    throw Object.assign(new Error("ENOSPC: no space left on device, copyfile"), {
      code: "ENOSPC",
      syscall: "copyfile",
    });
  });
  const target = tempFolder();
  const going = backUp(folder, join(target, "copy.db"), never);
  await expect(going).rejects.toThrow(refusal("store.full"));
  await expect(going).rejects.toThrow(join(target, "copy.db"));
  expect(files.readdirSync(target)).toEqual([]);
});
