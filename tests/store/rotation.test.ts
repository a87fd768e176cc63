import { describe, expect, test } from "vitest";
import { copyName, newestCopy, readCopyName, surplusCopies } from "../../src/store/rotation.ts";
import { utcMs } from "../../src/units/quantity.ts";

const day = 86_400_000;
const now = utcMs(Date.UTC(2026, 10, 25, 12));
const daily = (days: number): string[] =>
  Array.from({ length: days }, (_, ago) => copyName(utcMs(now - ago * day), "9f3a12bc"));

test.each([
  ["9f3a12bc", "stillweight-20261125T120000Z-9f3a12bc.db"],
  [null, "stillweight-20261125T120000Z.db"],
])("the time, in UTC, and the record %j are in the name, and read back", (record, name) => {
  expect(copyName(now, record)).toBe(name);
  expect(readCopyName(name)).toEqual({ at: now, record });
});

test.each([
  "stillweight.db",
  "stillweight-20261325T120000Z.db",
  "stillweight-20261125T120000Z.db.partial",
  "stillweight-20261125T120000Z-9f3a12bc.db.partial",
  "stillweight-20261125T120000Z-9f3a12b.db",
  "stillweight-20261125T120000Z-9F3A12BC.db",
  "holiday.jpg",
  "",
])("%j is no copy: it is neither counted nor removed", (name) => {
  expect(readCopyName(name)).toBeNull();
  expect(surplusCopies([name], 1, now)).toEqual([]);
});

describe("after years of daily copies", () => {
  const names = daily(800);
  const gone = new Set(surplusCopies(names, 14, now));
  const stay = names.filter((name) => !gone.has(name));

  test("the newest 14 and the last of each of twelve months stay", () => {
    expect(stay).toHaveLength(14 + 12);
    expect(stay.slice(0, 14)).toEqual(names.slice(0, 14));
    expect(stay.slice(14).map((name) => name.slice(12, 20))).toEqual([
      "20261111",
      "20261031",
      "20260930",
      "20260831",
      "20260731",
      "20260630",
      "20260531",
      "20260430",
      "20260331",
      "20260228",
      "20260131",
      "20251231",
    ]);
  });

  test("a second look removes nothing more", () => {
    expect(surplusCopies(stay, 14, now)).toEqual([]);
  });
});

test("day by day, no more than the promised number is ever there", () => {
  let names: string[] = [];
  for (let today = 0; today < 500; today++) {
    const at = utcMs(now + today * day);
    names.push(copyName(at, "9f3a12bc"));
    const gone = surplusCopies(names, 14, at);
    names = names.filter((name) => !gone.includes(name));
    expect(names.length).toBeLessThanOrEqual(26);
    expect(newestCopy(names, at)).toBe(at);
  }
  // A year back is still within reach, to a month.
  const oldest = Math.min(...names.map((name) => Number(readCopyName(name)?.at)));
  expect((now + 499 * day - oldest) / day).toBeGreaterThan(330);
});

test("copies from a clock that ran ahead push out no true one and hold up no new one", () => {
  const ahead = Array.from({ length: 20 }, (_, n) =>
    copyName(utcMs(now + (n + 1) * 365 * day), "9f3a12bc"),
  );
  const names = [...ahead, ...daily(5)];
  expect(newestCopy(names, now)).toBe(now);
  const gone = surplusCopies(names, 14, now);
  expect(gone.filter((name) => daily(5).includes(name))).toEqual([]);
  expect(surplusCopies([...ahead, ...ahead.map(aDayLater)], 14, now)).toHaveLength(14);
});

const aDayLater = (name: string): string =>
  copyName(utcMs(Number(readCopyName(name)?.at) + day), "9f3a12bc");

test("a clock that is back in the past removes no more of the true copies than a right one did", () => {
  const names = daily(800);
  const kept = names.filter((name) => !surplusCopies(names, 14, now).includes(name));
  const past = utcMs(Date.UTC(2000, 0, 1));
  let all = kept;
  for (let today = 0; today < 60; today++) {
    const at = utcMs(past + today * day);
    all = [...all, copyName(at, "9f3a12bc")];
    const gone = surplusCopies(all, 14, at);
    all = all.filter((name) => !gone.includes(name));
  }
  expect(all.filter((name) => kept.includes(name))).toEqual(kept);
  // And when it is right again, those of the wrong time go by the same rule.
  expect(surplusCopies(all, 14, now).filter((name) => names.slice(0, 14).includes(name))).toEqual(
    [],
  );
});
