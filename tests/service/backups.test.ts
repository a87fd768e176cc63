import { existsSync, mkdirSync, readdirSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeEach, expect, test } from "vitest";
import { Backups, type BackupSetting } from "../../src/service/backups.ts";
import { keepCopies } from "../../src/store/copies.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore } from "../../src/store/store.ts";
import { utcMs, type UtcMs } from "../../src/units/quantity.ts";
import { real, tempFolder } from "../store/folder.ts";

const hour = 3_600_000;
let nowMs: number;
let folder: string;
let told: number;
let copies: number;

beforeEach(() => {
  nowMs = Date.UTC(2026, 10, 25, 12);
  folder = tempFolder();
  told = 0;
  copies = 0;
  openStore(folder, real).close();
});

const backups = (more: Partial<BackupSetting> = {}): Backups =>
  new Backups({
    folder: null,
    everyHours: 24,
    keep: 3,
    dataFolder: folder,
    now: () => utcMs(nowMs),
    isWorthIt: () => true,
    keepCopies: async (asked) => {
      const kept = await keepCopies(asked);
      if (kept.isNew) copies += 1;
      return kept;
    },
    changed: () => (told += 1),
    log: () => undefined,
    ...more,
  });
/** Without the digits of the record, which are drawn. */
const inFolder = (): string[] =>
  readdirSync(join(folder, "backups"))
    .map((name) => name.replace(/-[0-9a-f]{8}\.db$/, ".db"))
    .toSorted();

test("the first copy comes at once, the next when its time has come, and each is whole and private", async () => {
  const clock = backups();
  await clock.look();
  expect(inFolder()).toEqual(["stillweight-20261125T120000Z.db"]);
  nowMs += 23 * hour;
  await clock.look();
  expect(copies).toBe(1);
  nowMs += hour;
  await clock.look();
  expect(inFolder()).toHaveLength(2);
  for (const name of readdirSync(join(folder, "backups"))) {
    const file = join(folder, "backups", name);
    expect(inspectStore(file).problems).toEqual([]);
    expect(statSync(file).mode & 0o077).toBe(0);
  }
  expect(clock.state()).toMatchObject({ at: "2026-11-26T12:00:00.000Z", failed: null });
  expect(told).toBe(2);
});

test("a restart makes no copy before its time", async () => {
  await backups().look();
  nowMs += hour;
  const after = backups();
  await after.look();
  expect(copies).toBe(1);
  expect(after.state()?.at).toBe("2026-11-25T12:00:00.000Z");
});

test("old copies go, other files stay", async () => {
  const clock = backups();
  mkdirSync(join(folder, "backups"));
  writeFileSync(join(folder, "backups", "mine.txt"), "");
  for (let days = 0; days < 6; days++) {
    await clock.look();
    nowMs += 24 * hour;
  }
  // The newest three, and of November the last before them.
  expect(inFolder()).toEqual([
    "mine.txt",
    ...[27, 28, 29, 30].map((day) => `stillweight-202611${day}T120000Z.db`),
  ]);
});

test("with nothing weighed nothing is copied", async () => {
  await backups({ isWorthIt: () => false }).look();
  expect(existsSync(join(folder, "backups"))).toBe(false);
});

test("a folder elsewhere that is not there is not made: its disk may be missing", async () => {
  const elsewhere = join(folder, "unmounted");
  const clock = backups({ folder: elsewhere });
  await clock.look();
  expect(existsSync(elsewhere)).toBe(false);
  expect(clock.state()?.failed).toContain("is its disk attached?");
  expect(told).toBe(1);
  mkdirSync(elsewhere);
  nowMs += hour / 10;
  await clock.look();
  expect(clock.state()?.failed).not.toBeNull();
  nowMs += hour / 10;
  await clock.look();
  expect(clock.state()).toMatchObject({ failed: null, at: "2026-11-25T12:12:00.000Z" });
  expect(told).toBe(2);
});

test("a copy that is not whole leaves the earlier ones as they are, and is tried again", async () => {
  let isBroken = false;
  const clock = backups({
    keepCopies: (asked) =>
      isBroken ? Promise.reject(new Error("the copy is not whole")) : keepCopies(asked),
  });
  await clock.look();
  const before = inFolder();
  isBroken = true;
  nowMs += 24 * hour;
  await clock.look();
  expect(inFolder()).toEqual(before);
  expect(clock.state()).toMatchObject({
    failed: "the copy is not whole",
    at: "2026-11-25T12:00:00.000Z",
  });
  isBroken = false;
  nowMs += hour;
  await clock.look();
  expect(clock.state()?.failed).toBeNull();
});

test("two looks at once make one copy, and closing waits for it", async () => {
  const clock = backups();
  void clock.look();
  void clock.look();
  await clock.close();
  expect(copies).toBe(1);
  expect(inFolder()).toHaveLength(1);
});

test("the folder is looked into once an hour, so that copies that somebody removed are made again", async () => {
  let looks = 0;
  const clock = backups({
    keepCopies: (asked) => {
      looks += 1;
      return keepCopies(asked);
    },
  });
  await clock.look();
  rmSync(join(folder, "backups"), { recursive: true });
  for (let minutes = 1; minutes < 60; minutes++) {
    nowMs += hour / 60;
    await clock.look();
  }
  expect(looks).toBe(1);
  nowMs += hour / 60;
  await clock.look();
  expect(looks).toBe(2);
  expect(inFolder()).toEqual(["stillweight-20261125T130000Z.db"]);
});

test("a disk that does not answer is said, holds up neither looking nor closing, and is forgiven", async () => {
  let answer: (kept: { at: UtcMs; isNew: boolean }) => void = () => undefined;
  let asked = 0;
  const clock = backups({
    keepCopies: () => {
      asked += 1;
      return new Promise((resolve) => (answer = resolve));
    },
  });
  const first = clock.look();
  nowMs += hour / 6;
  void clock.look();
  expect(clock.state()?.failed).toBeNull();
  nowMs += hour / 12;
  void clock.look();
  void clock.look();
  expect(clock.state()?.failed).toContain("has not answered for 15 minutes");
  expect([asked, told]).toEqual([1, 1]);
  const before = performance.now();
  await clock.close();
  expect(performance.now() - before).toBeLessThan(8000);
  answer({ at: utcMs(nowMs), isNew: true });
  await first;
  expect(clock.state()).toMatchObject({ failed: null, at: "2026-11-25T12:15:00.000Z" });
  // Who was closed tells nobody.
  expect(told).toBe(1);
}, 15_000);
