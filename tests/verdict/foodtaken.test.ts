import fc from "fast-check";
import { expect, test } from "vitest";
import { ofFoodLeft, shareLeft } from "../../src/verdict/foodtaken.ts";
import type { TrayLog } from "../../src/tray/weighing.ts";
import { grams } from "../../src/units/quantity.ts";
import { judgeTray, logOf, settings, strawberries } from "./logs.ts";

const berries = { fresh: 1000, food: strawberries };
// A tray of our own making, dry at 97 g: 1000 g of strawberries hold 90.5 g of dry matter.
const drying: readonly (readonly [number, number])[] = [
  [8, 610],
  [16, 270],
  [24, 108],
  [28, 97],
  [32, 97],
  [36, 97],
];

/** Drying as above, with all but `share` of the food taken off at row `at`, weighed just before it and just after. */
function takenAt(at: number, share: number, isSaid = true): TrayLog {
  const [hour, before] = drying[at]!;
  const rows = [
    ...drying.slice(0, at + 1),
    [hour, before * share] as const,
    ...drying.slice(at + 1).map(([later, net]) => [later, net * share] as const),
  ];
  const log = logOf(rows, berries);
  const said = log.weighings.map((row, i) =>
    isSaid && i === at + 1 ? { ...row, foodTaken: true as const } : row,
  );
  return { ...log, weighings: said };
}

test("food taken off between two weighings at the same hours contradicts nothing once that is said", () => {
  for (const at of [1, 2, 3, 4]) {
    const silent = judgeTray(takenAt(at, 0.8, false), settings);
    expect(silent.contradiction?.code).toBe("weighed-twice");
    const said = judgeTray(takenAt(at, 0.8), settings);
    expect([said.verdict, said.contradiction]).toEqual(["stable", null]);
  }
});

test("it is judged as a tray that was loaded with so much less", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 0, max: drying.length - 2 }),
      fc.double({ min: 0.3, max: 0.97, noNaN: true }),
      (at, share) => {
        const less = logOf(
          drying.map(([hour, net]) => [hour, net * share]),
          { ...berries, fresh: 1000 * share },
        );
        const one = judgeTray(takenAt(at, share), settings);
        const other = judgeTray(less, settings);
        expect(one.verdict).toBe(other.verdict);
        expect(one.pDry).toBeCloseTo(other.pDry, 6);
        expect(one.remaining?.estimate).toBeCloseTo(other.remaining!.estimate, 4);
        expect(one.provable).toBeCloseTo(other.provable!, 6);
      },
    ),
    { numRuns: 40 },
  );
});

test("where hours of drying lie between, what was lost may be water: only what was weighed since is judged", () => {
  const rows = drying.map(([hour, net], i) => [hour, i < 5 ? net : net * 0.75] as const);
  const log = logOf([...rows, [40, 97 * 0.75], [44, 97 * 0.75]], berries);
  expect(judgeTray(log, settings).contradiction).toMatchObject({ code: "food-removed", ref: 7 });
  const said = {
    ...log,
    weighings: log.weighings.map((row) =>
      row.ref === 7 ? { ...row, foodTaken: true as const } : row,
    ),
  };
  const left = ofFoodLeft(said);
  expect(left.fresh).toBeNull();
  expect(left.weighings.map(({ dryingHours }) => dryingHours)).toEqual([36, 40, 44]);
  const verdict = judgeTray(said, settings);
  expect(verdict.contradiction).toBeNull();
  // Of a tray whose fresh mass says nothing any more the weight alone proves nothing of its food.
  expect(verdict.reasons.map(({ code }) => code)).toContain("dryness-unchecked");
});

test("a dryer that stopped is found after food was taken off, too", () => {
  const stopped = [
    [8, 610],
    [16, 270],
    [20, 270],
    [20, 216],
    [24, 216],
  ] as const;
  const log = logOf(stopped, berries);
  const weighings = log.weighings.map((row, i) =>
    i === 3 ? { ...row, foodTaken: true as const } : row,
  );
  expect(judgeTray({ ...log, weighings }, settings)).toMatchObject({
    verdict: "stalled",
    contradiction: null,
  });
});

test("said of the first weighing after drying, nothing is left to compare the fresh mass with", () => {
  const log = logOf(drying, berries);
  const [first, ...others] = log.weighings;
  const left = ofFoodLeft({ ...log, weighings: [{ ...first!, foodTaken: true }, ...others] });
  expect([left.fresh, left.weighings.length]).toEqual([null, drying.length]);
});

test("the share left is the product of what was left each time", () => {
  const row = (net: number, foodTaken = false) => ({ net: grams(net), foodTaken });
  expect(shareLeft([row(500), row(200), row(150, true), row(100), row(50, true)])).toBeCloseTo(
    0.75 * 0.5,
    12,
  );
  expect(shareLeft([row(500), row(200)])).toBe(1);
});

test("where masses were put right so that nothing can have been taken, the row counts as it stands", () => {
  const heavier = logOf([...drying.slice(0, 4), [28, 99]], berries);
  const last = heavier.weighings.length - 1;
  const said = (net: number): TrayLog => ({
    ...heavier,
    weighings: heavier.weighings.map((row, i) =>
      i === last ? { ...row, net: grams(net), foodTaken: true as const } : row,
    ),
  });
  expect(judgeTray(said(99), settings).contradiction?.code).toBe("weighed-twice");
  expect(judgeTray(said(0), settings)).toMatchObject({
    verdict: "unsure",
    contradiction: { code: "lighter-than-possible" },
  });
  const row = (net: number, foodTaken: boolean) => ({ net: grams(net), foodTaken });
  expect(shareLeft([row(97, false), row(99, true)])).toBe(1);
  expect(shareLeft([row(97, false), row(0, true)])).toBe(1);
});
