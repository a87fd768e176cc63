/** A restore whose last step the file system refuses. */
import * as files from "node:fs";
import { join } from "node:path";
import { expect, onTestFinished, test, vi } from "vitest";
import { backUp, bringBack } from "../../src/store/backup.ts";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore, type Store } from "../../src/store/store.ts";
import { aBatch, aTray, aWeighing, noon, started, taken } from "./facts.ts";
import { real, tempFolder } from "./folder.ts";

const refused = (): never => {
  throw Object.assign(new Error("no space left on device"), { code: "ENOSPC" });
};
vi.mock("node:fs", async (original) => {
  const actual = await original<typeof files>();
  return {
    ...actual,
    renameSync: vi.fn<typeof files.renameSync>(actual.renameSync),
    copyFileSync: vi.fn<typeof files.copyFileSync>(actual.copyFileSync),
  };
});

const never = new AbortController().signal;
const weighingsIn = (file: string): number | undefined => inspectStore(file).holds?.weighings.rows;

function storeWith(weighings: number): Store {
  const store = openStore(tempFolder(), real);
  onTestFinished(() => store.close());
  store.record([started(aBatch(1, [aTray(1, 1)]))]);
  store.record(Array.from({ length: weighings }, (_, i) => taken(aWeighing(i + 1))));
  return store;
}

/** As a killed service leaves it: its last rows are in the log alone. */
function folderOfKilled(weighings: number): string {
  const running = storeWith(weighings);
  const folder = tempFolder();
  for (const name of ["stillweight.db", "stillweight.db-wal"])
    files.copyFileSync(join(running.folder, name), join(folder, name));
  expect(files.statSync(`${databaseIn(folder)}-wal`).size).toBeGreaterThan(0);
  return folder;
}

async function aBackup(): Promise<string> {
  const file = join(tempFolder(), "copy.db");
  await backUp(storeWith(4).folder, file, never);
  return file;
}

test("the store keeps the rows that were in its log alone when the copy cannot take its place", async () => {
  const file = await aBackup();
  const folder = folderOfKilled(30);
  vi.mocked(files.renameSync).mockImplementationOnce(refused);
  await expect(bringBack(file, folder, noon, never)).rejects.toThrow("no space left");
  expect(weighingsIn(databaseIn(folder))).toBe(30);
  expect(files.existsSync(join(folder, "stillweight.db.arriving"))).toBe(false);
});

test("a store that cannot be set aside is left as it was, with no half copy beside it", async () => {
  const file = await aBackup();
  const folder = folderOfKilled(30);
  const before = files.readdirSync(folder);
  vi.mocked(files.copyFileSync).mockImplementationOnce(refused);
  await expect(bringBack(file, folder, noon, never)).rejects.toThrow("no space left");
  expect(files.readdirSync(folder).filter((name) => /arriving|restore/.test(name))).toEqual([]);
  expect(files.readdirSync(folder)).toEqual(expect.arrayContaining(before));
  expect(weighingsIn(databaseIn(folder))).toBe(30);
});
