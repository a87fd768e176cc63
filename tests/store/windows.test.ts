// Windows writes a file through only by a handle that may write, and opens no folder at all: seen with Node.js 20 and
// 22 for Windows under Wine (EPERM, fsync). Here its answers are played, so that every copy and every small file of
// our own is tried against them.
import { copyFileSync, readdirSync } from "node:fs";
import type * as Fs from "node:fs";
import { join } from "node:path";
import { beforeEach, expect, onTestFinished, test, vi } from "vitest";
import { backUp, bringBack } from "../../src/store/backup.ts";
import { databaseIn } from "../../src/store/database.ts";
import { devicesIn } from "../../src/store/devices.ts";
import { openStore } from "../../src/store/store.ts";
import { noon, oneBatch } from "./facts.ts";
import { real, tempFolder } from "./folder.ts";

vi.mock("node:fs", async (original) => {
  const fs = await original<typeof Fs>();
  const mayOnlyRead = new Set<number>();
  const refused = (call: string) =>
    Object.assign(new Error(`EPERM: operation not permitted, ${call}`), {
      code: "EPERM",
      syscall: call,
    });
  return {
    ...fs,
    openSync: (path: string, flags: string, mode?: number) => {
      if (fs.statSync(path, { throwIfNoEntry: false })?.isDirectory()) throw refused("open");
      const handle = fs.openSync(path, flags, mode);
      if (flags === "r") mayOnlyRead.add(handle);
      else mayOnlyRead.delete(handle);
      return handle;
    },
    fsyncSync: (handle: number) => {
      if (mayOnlyRead.has(handle)) throw refused("fsync");
      fs.fsyncSync(handle);
    },
  };
});

beforeEach(() => {
  const { platform } = process;
  Object.defineProperty(process, "platform", { value: "win32" });
  onTestFinished(() => void Object.defineProperty(process, "platform", { value: platform }));
});

const stop = new AbortController().signal;

function filled(): string {
  const folder = tempFolder();
  const store = openStore(folder, real);
  store.record([oneBatch]);
  store.close();
  return folder;
}

test("a device is paired", () => {
  const devices = devicesIn(tempFolder(), () => noon);
  const { token } = devices.pair(devices.newCode("full").code, "tablet");
  expect(devices.ofToken(token)?.name).toBe("tablet");
});

test("a copy is made, and brought back with the store that was there set aside", async () => {
  const folder = filled();
  const copy = join(tempFolder(), "copy.db");
  expect((await backUp(folder, copy, stop)).holds?.batches).toBe(1);
  const { report, aside } = await bringBack(copy, folder, noon, stop);
  expect(report.holds?.batches).toBe(1);
  expect(aside).not.toBeNull();
});

test("a store of an older layout is copied aside and brought up to date", () => {
  const folder = tempFolder();
  const fixtures = join(import.meta.dirname, "..", "..", "fixtures", "databases");
  copyFileSync(join(fixtures, "v0001.db"), databaseIn(folder));
  openStore(folder, real).close();
  expect(readdirSync(folder).filter((name) => name.startsWith("before-layout-"))).toHaveLength(1);
});
