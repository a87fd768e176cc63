import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { beforeEach, expect, test } from "vitest";
import { backUp, bringBack } from "../../src/store/backup.ts";
import { keepCopies, type CopiesKept } from "../../src/store/copies.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { copyName, readCopyName } from "../../src/store/rotation.ts";
import { openStore } from "../../src/store/store.ts";
import { utcMs, type UtcMs } from "../../src/units/quantity.ts";
import { aBatch, aTray, aWeighing, noon, started, taken } from "./facts.ts";
import { real, refusal, tempFolder } from "./folder.ts";

const hour = 3_600_000;
const never = new AbortController().signal;
let folder: string;
beforeEach(() => {
  folder = tempFolder();
});

/** A data folder with a record that was begun so many hours after noon and has so many weighings. */
function record(begunHours: number, weighings: number): string {
  const data = tempFolder();
  const store = openStore(data, { ...real, at: utcMs(noon + begunHours * hour) });
  store.record([started(aBatch(1, [aTray(1, 1)]))]);
  store.record(Array.from({ length: weighings }, (_, i) => taken(aWeighing(i + 1))));
  store.close();
  return data;
}
const after = (hours: number): UtcMs => utcMs(noon + hours * hour);
const keep = (dataFolder: string, hours: number, more = {}): Promise<CopiesKept> =>
  keepCopies({ dataFolder, folder, everyHours: 24, keep: 2, now: after(hours), ...more });
const digitsOf = (data: string): string => {
  const { record: digits } = JSON.parse(readFileSync(join(data, "copies.json"), "utf8")) as {
    record: string;
  };
  return digits;
};
const copiesOf = (data: string): string[] =>
  readdirSync(folder).filter((name) => readCopyName(name)?.record === digitsOf(data));
const weighingsIn = (name: string): number | undefined =>
  inspectStore(join(folder, name)).holds?.weighings.rows;

test("two records in one folder each make, count and remove their own copies alone", async () => {
  const [one, other] = [record(0, 3), record(1, 7)];
  expect(await keep(one, 0)).toEqual({ at: after(0), isNew: true });
  // It was counted with the first one's, and so not due for a day.
  expect(await keep(other, 1)).toEqual({ at: after(1), isNew: true });
  expect(await keep(one, 2)).toEqual({ at: after(0), isNew: false });
  expect(await keep(other, 2)).toEqual({ at: after(1), isNew: false });
  for (let day = 1; day <= 5; day++) await keep(one, day * 24);
  // The two newest and November's last before them.
  expect(copiesOf(one)).toHaveLength(3);
  expect(copiesOf(other)).toHaveLength(1);
  for (const name of copiesOf(one)) expect(weighingsIn(name)).toBe(3);
  for (const name of copiesOf(other)) expect(weighingsIn(name)).toBe(7);
});

test("one record restored into two folders is two records from then on", async () => {
  const one = record(0, 3);
  const file = join(tempFolder(), "copy.db");
  await backUp(one, file, never);
  const other = tempFolder();
  await bringBack(file, other, noon, never);
  await keep(one, 0);
  await keep(other, 0.5);
  expect([copiesOf(one).length, copiesOf(other).length]).toEqual([1, 1]);
});

test("a folder goes on with its copies when its record is restored", async () => {
  const data = record(0, 3);
  await keep(data, 0);
  const [name = ""] = copiesOf(data);
  await bringBack(join(folder, name), data, noon, never);
  expect(await keep(data, 1)).toEqual({ at: after(0), isNew: false });
});

test("copies from before the digits were in their names are told apart by when their record was begun", async () => {
  const [one, other] = [record(0, 3), record(1, 7)];
  const old = (hours: number): string => join(folder, copyName(after(hours), null));
  for (const days of [1, 2, 3, 4]) await backUp(one, old(days * 24), never);
  await backUp(other, old(0), never);
  writeFileSync(old(-24), "no store at all");
  expect(await keep(one, 100)).toEqual({ at: after(96), isNew: false });
  expect(copiesOf(one)).toEqual([]);
  await keep(one, 120);
  // The newest two, November's last before them, and what is not its own.
  expect(readdirSync(folder).toSorted()).toEqual(
    [
      copyName(after(-24), null),
      copyName(after(0), null),
      ...[3, 4].map((days) => copyName(after(days * 24), null)),
      copyName(after(120), digitsOf(one)),
    ].toSorted(),
  );
});

test("what a copy that was cut off left is removed, another record's is not", async () => {
  const data = record(0, 3);
  await keep(data, 0);
  const mine = `stillweight-20261125T120000Z-${digitsOf(data)}.db.partial`;
  const others = `stillweight-20261125T120000Z-${digitsOf(data) === "00000000" ? 1 : 0}0000000.db.partial`;
  for (const name of [mine, `${mine}-wal`, others]) writeFileSync(join(folder, name), "half");
  await keep(data, 24);
  expect(readdirSync(folder).filter((name) => name.includes(".partial"))).toEqual([others]);
});

test("a mount point without its disk gets no copy, and another disk is taken when it is told to be one", async () => {
  const data = record(0, 3);
  await keep(data, 0);
  const disk = join(tempFolder(), "disk");
  mkdirSync(disk);
  for (const name of readdirSync(folder)) copyFileSync(join(folder, name), join(disk, name));
  for (const name of readdirSync(folder)) rmSync(join(folder, name));
  // Another record's copies, or files of somebody's own, do not make it the disk.
  writeFileSync(join(folder, "stillweight-20261125T120000Z-00000000.db"), "");
  const going = keep(data, 24);
  await expect(going).rejects.toThrow("is its disk attached?");
  await expect(going).rejects.toThrow(`an empty file stillweight-${digitsOf(data)} in it`);
  expect(readdirSync(folder)).toEqual(["stillweight-20261125T120000Z-00000000.db"]);

  writeFileSync(join(folder, `stillweight-${digitsOf(data)}`), "");
  expect(await keep(data, 24)).toEqual({ at: after(24), isNew: true });

  // And the one from before goes on where it is seen again.
  for (const name of readdirSync(folder)) rmSync(join(folder, name));
  for (const name of readdirSync(disk)) copyFileSync(join(disk, name), join(folder, name));
  expect(await keep(data, 25)).toEqual({ at: after(25), isNew: true });
});

test("the folder inside the data folder is made again when somebody removed it", async () => {
  const data = record(0, 3);
  for (const hours of [0, 1]) {
    expect(await keep(data, hours, { folder: null })).toEqual({ at: after(hours), isNew: true });
    rmSync(join(data, "backups"), { recursive: true });
  }
});

test("what is known of copies is private, and said when it is not as it was written", async () => {
  const data = record(0, 3);
  await keep(data, 0);
  const file = join(data, "copies.json");
  expect(statSync(file).mode & 0o777).toBe(0o600);
  for (const text of ["", "[]", '{"record":"../../x","folders":[]}', '{"record":"9f3a12bc"}']) {
    writeFileSync(file, text);
    await expect(keep(data, 24)).rejects.toThrow("remove it");
    expect(readdirSync(folder)).toHaveLength(1);
  }
  rmSync(file);
  expect(await keep(data, 24)).toEqual({ at: after(24), isNew: true });
  expect(readdirSync(folder)).toHaveLength(2);
});

test("a disk that keeps no digits gets no copies under digits that are forgotten", async () => {
  const data = record(0, 3);
  mkdirSync(join(data, "copies.json.arriving"));
  await expect(keep(data, 0)).rejects.toThrow(refusal("store.unwritable"));
  expect(readdirSync(folder)).toEqual([]);
  expect(existsSync(join(data, "copies.json"))).toBe(false);
});
