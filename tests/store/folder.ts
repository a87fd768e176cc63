import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, onTestFinished } from "vitest";
import { openStore, type Store, type StoreOptions } from "../../src/store/store.ts";
import type { FaultCode } from "../../src/faults.ts";
import { noon } from "./facts.ts";

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

/** For toThrow: a Fault with this code. */
export const refusal = (code: FaultCode): unknown =>
  expect.objectContaining({ name: "Fault", code });
