/** Stores as a killed service leaves them. */
import { copyFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { expect } from "vitest";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import type { Store } from "../../src/store/store.ts";
import { aBatch, aTray, aWeighing, started, taken } from "./facts.ts";
import { tempFolder, tempStore } from "./folder.ts";

export const never = new AbortController().signal;
export const weighingsIn = (file: string): number | undefined =>
  inspectStore(file).holds?.weighings.rows;

export function storeWith(weighings: number): Store {
  const store = tempStore();
  store.record([started(aBatch(1, [aTray(1, 1)]))]);
  store.record(Array.from({ length: weighings }, (_, i) => taken(aWeighing(i + 1))));
  return store;
}

/** Its last rows are in the log alone. */
export function folderOfKilled(weighings: number): string {
  const running = storeWith(weighings);
  const folder = tempFolder();
  for (const name of ["stillweight.db", "stillweight.db-wal"])
    copyFileSync(join(running.folder, name), join(folder, name));
  expect(statSync(`${databaseIn(folder)}-wal`).size).toBeGreaterThan(0);
  return folder;
}
