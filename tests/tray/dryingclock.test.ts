import { expect, test } from "vitest";
import {
  clockStateAt,
  dryingHoursAt,
  minutesOutAt,
  stretchAt,
  type ClockRecord,
} from "../../src/tray/dryingclock.ts";
import { utcMs } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";

const at = (hour: number) => utcMs(hour * 3_600_000);
const moment = (is: "in" | "out", hour: number, trays: number[] | null = null) => ({
  is,
  at: at(hour),
  trays,
});
const record = (more: Partial<ClockRecord>): ClockRecord => ({
  moments: [],
  interruptions: [],
  gaps: [],
  ...more,
});

test("hours run only while the tray is in", () => {
  const clock = record({ moments: [moment("in", 1), moment("out", 9), moment("in", 10)] });
  expect([0, 1, 5, 9, 9.5, 10, 12].map((hour) => dryingHoursAt(clock, 1, at(hour)))).toEqual([
    0, 0, 4, 8, 8, 8, 10,
  ]);
  expect(minutesOutAt(clock, 1, at(9.5))).toBe(30);
  expect(minutesOutAt(clock, 1, at(5))).toBeNull();
  expect(clockStateAt(clock, 1, at(0.5))).toEqual({ is: "waiting", since: null });
});

test("a tray that alone came out has fewer hours than the rest", () => {
  const clock = record({ moments: [moment("in", 0), moment("out", 4, [2])] });
  expect(dryingHoursAt(clock, 1, at(10))).toBe(10);
  expect(dryingHoursAt(clock, 2, at(10))).toBe(4);
});

test("an interruption takes its hours away, breaks the curve, and overlapping ones count once", () => {
  const clock = record({
    moments: [moment("in", 0)],
    interruptions: [
      { from: at(2), to: at(5), trays: null },
      { from: at(4), to: at(6), trays: null },
    ],
  });
  expect(dryingHoursAt(clock, 1, at(10))).toBe(6);
  expect(stretchAt(clock, 1, at(2))).toBe(0);
  expect(stretchAt(clock, 1, at(10))).toBe(2);
});

test.each([
  [null, 6, 0],
  [false, 6, 1],
  [true, 10, 0],
] as const)("a gap answered %s: %d hours, %d breaks", (dryerRan, hours, breaks) => {
  const clock = record({
    moments: [moment("in", 0)],
    gaps: [{ from: at(3), to: at(7), dryerRan }],
  });
  expect(dryingHoursAt(clock, 1, at(10))).toBe(hours);
  expect(stretchAt(clock, 1, at(10))).toBe(breaks);
});

test("a dryer that stands still while the tray is out breaks nothing for that tray", () => {
  const clock = record({
    moments: [moment("in", 0), moment("out", 2, [1]), moment("in", 6, [1])],
    interruptions: [{ from: at(3), to: at(5), trays: null }],
  });
  expect(stretchAt(clock, 1, at(8))).toBe(0);
  expect(dryingHoursAt(clock, 1, at(8))).toBe(4);
  expect(stretchAt(clock, 2, at(8))).toBe(1);
  expect(dryingHoursAt(clock, 2, at(8))).toBe(6);
});

test("an interruption that has not ended stops the hours and breaks the curve at once", () => {
  const clock = record({
    moments: [moment("in", 0)],
    interruptions: [{ from: at(3), to: null, trays: null }],
  });
  expect(dryingHoursAt(clock, 1, at(10))).toBe(3);
  expect(stretchAt(clock, 1, at(3.5))).toBe(1);
});

test("moments told out of order, twice, or of the future", () => {
  const clock = record({
    moments: [moment("out", 6), moment("in", 3), moment("in", 1), moment("in", 20)],
  });
  expect(dryingHoursAt(clock, 1, at(8))).toBe(5);
  expect(clockStateAt(clock, 1, at(8))).toEqual({ is: "out", since: at(6) });
  expect(minutesOutAt(clock, 1, at(8))).toBe(120);
});

const spanOf = fc.tuple(fc.integer({ min: 0, max: 90 }), fc.integer({ min: 0, max: 20 }));

test("whatever was said in whatever order: never negative, never falling, never more than the time", () => {
  const said = fc.record({
    moments: fc.array(
      fc.record({
        is: fc.constantFrom("in" as const, "out" as const),
        hour: fc.integer({ min: 0, max: 100 }),
      }),
      { maxLength: 12 },
    ),
    stops: fc.array(spanOf, { maxLength: 4 }),
    gaps: fc.array(fc.tuple(spanOf, fc.option(fc.boolean())), { maxLength: 4 }),
  });
  fc.assert(
    fc.property(said, ({ moments, stops, gaps }) => {
      const clock = record({
        moments: moments.map(({ is, hour }) => moment(is, hour)),
        interruptions: stops.map(([from, long]) => ({
          from: at(from),
          to: at(from + long),
          trays: null,
        })),
        gaps: gaps.map(([[from, long], dryerRan]) => ({
          from: at(from),
          to: at(from + long),
          dryerRan,
        })),
      });
      let before = 0;
      for (let hour = 0; hour <= 110; hour += 5) {
        const now = dryingHoursAt(clock, 1, at(hour));
        expect(now).toBeGreaterThanOrEqual(before - 1e-9);
        expect(now).toBeLessThanOrEqual(before + 5 + 1e-9);
        before = now;
      }
    }),
  );
});
