/** A restore whose last step the file system refuses. */
import * as files from "node:fs";
import { join } from "node:path";
import { expect, test, vi } from "vitest";
import { backUp, bringBack } from "../../src/store/backup.ts";
import { databaseIn } from "../../src/store/database.ts";
import { noon } from "./facts.ts";
import { tempFolder } from "./folder.ts";
import { folderOfKilled, never, storeWith, weighingsIn } from "./killed.ts";

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
