import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { onTestFinished } from "vitest";
import { openStore, type Store, type StoreOptions } from "../../src/store/store.ts";
import { utcMs } from "../../src/units/quantity.ts";

/** 2026-11-25 12:00 UTC, as good as any other moment. */
export const noon = utcMs(Date.UTC(2026, 10, 25, 12));

export const real: StoreOptions = { practice: false, timeFactor: 1, at: noon };
export const practice: StoreOptions = { practice: true, timeFactor: 60, at: noon };

/** An empty folder that is gone after the test. */
export function tempFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "stillweight-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** A store in a folder of its own, closed after the test. */
export function tempStore(options: StoreOptions = real): Store {
  const store = openStore(tempFolder(), options);
  onTestFinished(() => store.close());
  return store;
}
