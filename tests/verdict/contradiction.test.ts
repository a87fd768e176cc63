import { expect, test } from "vitest";
import { contradictionsIn } from "../../src/verdict/contradiction.ts";
import { judgeBatch } from "../../src/verdict/judge.ts";
import { kitchenGrams } from "../../src/verdict/rules.ts";
import { utcMs } from "../../src/units/quantity.ts";
import { judgeTray, logOf, settings, strawberries } from "./logs.ts";

const berries = { fresh: 1000, food: strawberries };
const drying = [
  [8, 610],
  [12, 430],
  [16, 270],
  [20, 150],
  [24, 108],
  [28, 97],
] as const;
type Rows = readonly (readonly [number, number])[];
const withRow = (i: number, net: number, rows: Rows = drying): Rows =>
  rows.map((row, j) => (j === i ? [row[0], net] : row));
const found = (...logs: Parameters<typeof contradictionsIn>[0]) => [
  ...contradictionsIn(logs, kitchenGrams).values(),
];

test("a tray that only dries contradicts nothing", () => {
  expect(found(logOf(drying, berries))).toEqual([]);
  expect(found(logOf(drying))).toEqual([]);
});

test("moisture taken up in a night in the open is a gain, not a contradiction", () => {
  const log = logOf([...drying, [30, 96.5], [38, 99.5]], berries);
  expect(found(log)).toEqual([]);
  expect(judgeTray(log, settings).verdict).toBe("gaining");
});

test("trays swapped at one weighing are both named, with the other's name", () => {
  const a = logOf(withRow(3, 75), { ...berries, tray: "A" });
  const b = logOf(
    withRow(
      3,
      150,
      drying.map(([hour, net]) => [hour, net / 2]),
    ),
    { ...berries, fresh: 500, tray: "B" },
  );
  const slips = found(a, b);
  expect(slips.map(({ code }) => code)).toEqual(["swapped-trays", "swapped-trays"]);
  expect(new Set(slips.map(({ otherTray }) => otherTray))).toEqual(new Set(["A", "B"]));
  expect(slips.map(({ ref }) => ref)).toEqual([5, 5]);
});

test("trays swapped at the last weighing are seen although the lighter one only seems quick", () => {
  const a = logOf(
    [
      [8, 610],
      [12, 225],
    ],
    { ...berries, tray: "A" },
  );
  const b = logOf(
    [
      [8, 320],
      [12, 430],
    ],
    { ...berries, fresh: 520, tray: "B" },
  );
  expect(found(a, b).map(({ code }) => code)).toEqual(["swapped-trays", "swapped-trays"]);
});

test("one tray weighed under two names is weighed twice", () => {
  const a = logOf(drying, { ...berries, tray: "A" });
  const b = logOf(
    [
      [8, 320],
      [12, 430],
      [16, 140],
    ],
    { ...berries, fresh: 520, tray: "B" },
  );
  const slips = contradictionsIn([a, b], kitchenGrams);
  expect(slips.get(a)).toBeUndefined();
  expect(slips.get(b)).toMatchObject({ code: "weighed-twice", ref: 3, otherTray: "A" });
});

test("two figures for one hour that do not agree are weighed twice, two that do are not", () => {
  expect(
    found(
      logOf(
        [
          [8, 610],
          [12, 430],
          [12, 390],
          [16, 270],
        ],
        berries,
      ),
    )[0]?.code,
  ).toBe("weighed-twice");
  expect(
    found(
      logOf(
        [
          [8, 610],
          [12, 430],
          [12, 430.1],
          [16, 270],
        ],
        berries,
      ),
    ),
  ).toEqual([]);
});

test.each([
  [2, 270 / 28.349523125, "oz written down as g"],
  [5, 97 / 28.349523125, "oz written down as g"],
  [1, 430 / 453.59237, "lb written down as g"],
  [3, 150 * 28.349523125, "g written down as oz"],
  [2, 0.27, "kg written down as g"],
])("row %d in another unit is named with the unit", (i, net, words) => {
  const [slip] = found(logOf(withRow(i, net), berries));
  expect(slip).toMatchObject({ code: "unit-mixed", ref: i + 2 });
  expect(slip!.text).toContain(words);
  // Told to a hundredth: what stood in the row before.
  const meant = { 1: 430, 2: 270, 3: 150, 5: 97 }[i]!;
  expect(slip!.meantNet).toBeCloseTo(meant, 2);
});

test("all rows from one on in another unit are named at the first", () => {
  const rows = drying.map(([hour, net], i): [number, number] => [
    hour,
    i < 3 ? net : net / 28.349523125,
  ]);
  expect(found(logOf(rows, berries))[0]).toMatchObject({ code: "unit-mixed", ref: 5 });
});

test("a fresh mass in ounces below weighings in grams is named at the fresh mass", () => {
  expect(found(logOf(drying, { ...berries, fresh: 35.27 }))[0]).toMatchObject({
    code: "unit-mixed",
    ref: 2,
  });
});

test("a tare left on or taken off twice is named by its size", () => {
  const [left] = found(logOf(withRow(3, 150 + 420), { ...berries, tare: 420 }));
  expect(left).toMatchObject({ code: "wrong-tare", ref: 5 });
  expect(left!.text).toContain("not taken off");
  expect(left!.meantNet).toBeCloseTo(150, 9);
});

test("a rise that no moisture explains is another tare or tray, at the row where it begins", () => {
  const shifted = drying.map(([hour, net], i): [number, number] => [hour, i < 4 ? net : net + 200]);
  expect(found(logOf(shifted, berries))[0]).toMatchObject({ code: "wrong-tare", ref: 6 });
  expect(found(logOf(withRow(5, 700), berries))[0]).toMatchObject({ code: "wrong-tare", ref: 7 });
});

test("a tray heavier dry than fresh is a contradiction with its line", () => {
  const verdict = judgeTray(logOf([[10, 1300]], berries), settings);
  expect(verdict.verdict).toBe("unsure");
  expect(verdict.contradiction?.ref).toBe(2);
});

test("a handful taken off is not taken for drying", () => {
  const less = drying.map(([hour, net], i): [number, number] => [hour, i < 4 ? net : net - 40]);
  expect(found(logOf([...drying, [32, 94], [36, 70]], berries))[0]).toMatchObject({
    code: "food-removed",
    ref: 9,
  });
  expect(found(logOf(less, berries)).length).toBe(0);
  const early = drying.map(([hour, net], i): [number, number] => [hour, i < 2 ? net : net * 0.4]);
  expect(["food-removed", "lighter-than-possible"]).toContain(
    found(logOf(early, berries))[0]?.code,
  );
});

test("lighter than the dry matter that was loaded", () => {
  expect(
    found(
      logOf(
        [
          [20, 150],
          [24, 60],
          [28, 35],
        ],
        berries,
      ),
    )[0]?.code,
  ).toBe("lighter-than-possible");
});

test("two fresh masses that differ are a conflict, two that agree are not", () => {
  expect(found(logOf([[0, 940], ...drying], berries))[0]).toMatchObject({
    code: "fresh-conflict",
    ref: 2,
  });
  expect(found(logOf([[0, 1000.1], ...drying], berries))).toEqual([]);
});

const clocked = (walls: readonly number[]) => {
  const log = logOf(drying.slice(0, walls.length), berries);
  return {
    ...log,
    weighings: log.weighings.map((one, i) => ({ ...one, at: utcMs(walls[i]! * 3_600_000) })),
  };
};

test("drying hours that the clock does not leave room for are out of order", () => {
  expect(found(clocked([10, 14, 18.5]))).toEqual([]);
  expect(found(clocked([10, 20, 18]))[0]).toMatchObject({ code: "hours-order", ref: 4 });
  expect(found(clocked([10, 11, 15.5]))[0]).toMatchObject({ code: "hours-order", ref: 3 });
  // Hours out of the dryer are no contradiction: the clock may run on.
  expect(found(clocked([10, 34, 60]))).toEqual([]);
});

test("a contradiction makes its tray unsure, says why, and leaves the others alone", () => {
  const steady = logOf(
    [
      [24, 104],
      [28, 97.5],
      [32, 94.7],
      [36, 93.5],
      [40, 93.0],
      [44, 92.9],
    ],
    { ...berries, tray: "A" },
  );
  const odd = logOf(withRow(3, 700), { ...berries, tray: "B" });
  const { verdict, trays } = judgeBatch([steady, odd], settings);
  expect(verdict).toBe("unsure");
  expect(trays[0]!.verdict).toBe("stable");
  expect(trays[1]).toMatchObject({ verdict: "unsure", contradiction: { code: "wrong-tare" } });
  expect(trays[1]!.reasons[0]!.code).toBe("wrong-tare");
});
