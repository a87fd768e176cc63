import { expect, test } from "vitest";
import type { Curve } from "../../src/wire/batch.ts";
import { breaksIn, columnsOf, lastInterval, massRange } from "../../web/src/columns.ts";

const point = (dryingHours: number, netGrams: number, stretch = 0): Curve["points"][number] => ({
  weighing: dryingHours + 1,
  dryingHours,
  netGrams,
  uncertaintyGrams: 1,
  stretch,
});
const curve = (change: Partial<Curve> = {}): Curve => ({
  tray: 1,
  name: "1",
  fit: {
    dryingHours: [0, 5, 10],
    netGrams: [1000, 400, 200],
    lowGrams: [990, 380, 180],
    highGrams: [1010, 420, 220],
  },
  points: [point(0, 1000), point(7, 300)],
  expectedDryGrams: { estimate: 110, low: 98, high: 122 },
  ...change,
});

test("a weighing between two points of the line leaves no hole in the line", () => {
  const { dryingHours, line, points } = columnsOf(curve(), 1);
  expect(dryingHours).toEqual([0, 5, 7, 10]);
  expect(line).toEqual([1000, 400, undefined, 200]);
  expect(points).toEqual([1000, undefined, 300, undefined]);
});

test("columns come in the unit that is shown", () => {
  expect(columnsOf(curve(), 1000).line[0]).toBe(1);
});

test("without a fit there are points and no line", () => {
  const { line, points } = columnsOf(curve({ fit: null }), 1);
  expect(line).toEqual([undefined, undefined]);
  expect(points).toEqual([1000, 300]);
});

test("the axis reaches down to the lightest that this food can be when dry", () => {
  const { low, high } = massRange(curve());
  expect(low).toBeLessThan(98);
  expect(low).toBeGreaterThanOrEqual(0);
  expect(high).toBeGreaterThan(1002);
});

test("an axis without any weighing is still an axis", () => {
  expect(massRange(curve({ fit: null, points: [], expectedDryGrams: null }))).toEqual({
    low: 0,
    high: 1,
  });
});

test("an interruption is marked between the weighings that it parts", () => {
  expect(breaksIn([point(0, 9), point(4, 8), point(6, 8, 1), point(8, 7, 1)])).toEqual([5]);
});

test("the last interval is of one stretch; two weighings across an interruption prove nothing", () => {
  const [before, last] = lastInterval([point(0, 9), point(4, 8), point(6, 7)]) ?? [];
  expect([before?.dryingHours, last?.dryingHours]).toEqual([4, 6]);
  expect(lastInterval([point(0, 9), point(4, 8, 1)])).toBe(null);
  expect(lastInterval([point(0, 9)])).toBe(null);
});
