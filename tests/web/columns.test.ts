import { expect, test } from "vitest";
import type { Curve } from "../../src/wire/batch.ts";
import {
  breaksIn,
  broughtIn,
  columnsOf,
  drynessForeseen,
  hoursRange,
  lastInterval,
  limitLine,
  massRange,
  sharesOf,
  zoomed,
} from "../../web/src/columns.ts";

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
  criteria: [],
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

test("the limit line lies above the dry food by the limit, and lower where more water may be held", () => {
  const held = { remaining_g: { estimate: 100, low: 50, high: 150 }, more_hours: null };
  const line = limitLine(curve(), held, 1);
  expect(line?.estimate).toBeCloseTo(202, 9);
  expect(line?.low).toBeCloseTo(151.5, 9);
  expect(line?.high).toBeCloseTo(252.5, 9);
  expect(limitLine(curve(), { remaining_g: null, more_hours: null }, 1)).toBe(null);
  expect(limitLine(curve(), null, 1)).toBe(null);
});

test("dryness is foreseen from the last weighing on, and not where it is there already", () => {
  const more = { estimate: 2, low: -1, high: 5 };
  expect(drynessForeseen(curve(), { remaining_g: null, more_hours: more })).toEqual({
    estimate: 9,
    low: 7,
    high: 12,
  });
  const none = { estimate: 0, low: 0, high: 0 };
  expect(drynessForeseen(curve(), { remaining_g: null, more_hours: none })).toBe(null);
});

test("a bound of many days does not squeeze the curve that is there", () => {
  expect(hoursRange(curve(), { estimate: 12, low: 8, high: 400 }).high).toBeLessThan(16);
  expect(hoursRange(curve(), { estimate: 12, low: 8, high: 14 }).high).toBeGreaterThan(14);
});

test("a zoomed picture stays within the curve, and comes back to the whole", () => {
  const whole = { low: 0, high: 10 };
  const near = zoomed(whole, whole, 0.5, 10);
  expect(near).toEqual({ low: 5, high: 10 });
  expect(zoomed(near, whole, 2, 10)).toEqual(whole);
  expect(broughtIn(near, whole, 0)).toEqual({ low: 0, high: 5 });
  expect(broughtIn(near, whole, 6)).toBe(near);
});

test("near by, the axis of mass closes round what is in view", () => {
  const { low, high } = massRange(curve(), [], 6, 8);
  expect(low).toBeGreaterThan(250);
  expect(high).toBeLessThan(350);
});

test("courses are shares of the mass before drying; without that mass there is none", () => {
  expect(sharesOf(curve())).toEqual([
    [0, 1],
    [7, 0.3],
  ]);
  expect(sharesOf(curve({ points: [point(4, 400), point(7, 300)] }))).toBe(null);
});
