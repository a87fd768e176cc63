import { expect, test } from "vitest";
import { trayClock, type ClockRecord } from "../../src/tray/dryingclock.ts";
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
  expect(
    [0, 1, 5, 9, 9.5, 10, 12].map((hour) => trayClock(clock, 1).dryingHoursAt(at(hour))),
  ).toEqual([0, 0, 4, 8, 8, 8, 10]);
  expect(trayClock(clock, 1).minutesOutAt(at(9.5))).toBe(30);
  expect(trayClock(clock, 1).minutesOutAt(at(5))).toBeNull();
  expect(trayClock(clock, 1).stateAt(at(0.5))).toEqual({ is: "waiting", since: null });
});

test("a tray that alone came out has fewer hours than the rest", () => {
  const clock = record({ moments: [moment("in", 0), moment("out", 4, [2])] });
  expect(trayClock(clock, 1).dryingHoursAt(at(10))).toBe(10);
  expect(trayClock(clock, 2).dryingHoursAt(at(10))).toBe(4);
});

test("an interruption takes its hours away, breaks the curve, and overlapping ones count once", () => {
  const clock = record({
    moments: [moment("in", 0)],
    interruptions: [
      { from: at(2), to: at(5), trays: null },
      { from: at(4), to: at(6), trays: null },
    ],
  });
  expect(trayClock(clock, 1).dryingHoursAt(at(10))).toBe(6);
  expect(trayClock(clock, 1).stretchAt(at(2))).toBe(0);
  expect(trayClock(clock, 1).stretchAt(at(10))).toBe(2);
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
  expect(trayClock(clock, 1).dryingHoursAt(at(10))).toBe(hours);
  expect(trayClock(clock, 1).stretchAt(at(10))).toBe(breaks);
});

test("a dryer that stands still while the tray is out breaks nothing for that tray", () => {
  const clock = record({
    moments: [moment("in", 0), moment("out", 2, [1]), moment("in", 6, [1])],
    interruptions: [{ from: at(3), to: at(5), trays: null }],
  });
  expect(trayClock(clock, 1).stretchAt(at(8))).toBe(0);
  expect(trayClock(clock, 1).dryingHoursAt(at(8))).toBe(4);
  expect(trayClock(clock, 2).stretchAt(at(8))).toBe(1);
  expect(trayClock(clock, 2).dryingHoursAt(at(8))).toBe(6);
});

test("an interruption that has not ended stops the hours and breaks the curve at once", () => {
  const clock = record({
    moments: [moment("in", 0)],
    interruptions: [{ from: at(3), to: null, trays: null }],
  });
  expect(trayClock(clock, 1).dryingHoursAt(at(10))).toBe(3);
  expect(trayClock(clock, 1).stretchAt(at(3.5))).toBe(1);
});

test("moments told out of order, twice, or of the future", () => {
  const clock = record({
    moments: [moment("out", 6), moment("in", 3), moment("in", 1), moment("in", 20)],
  });
  expect(trayClock(clock, 1).dryingHoursAt(at(8))).toBe(5);
  expect(trayClock(clock, 1).stateAt(at(8))).toEqual({ is: "out", since: at(6) });
  expect(trayClock(clock, 1).minutesOutAt(at(8))).toBe(120);
});

const spanOf = fc.tuple(fc.integer({ min: 0, max: 90 }), fc.integer({ min: 0, max: 20 }));

/** Whatever may have been said, in whatever order. */
const saidOf: fc.Arbitrary<ClockRecord> = fc
  .record({
    moments: fc.array(
      fc.record({
        is: fc.constantFrom("in" as const, "out" as const),
        hour: fc.integer({ min: 0, max: 100 }),
      }),
      { maxLength: 12 },
    ),
    stops: fc.array(spanOf, { maxLength: 4 }),
    gaps: fc.array(fc.tuple(spanOf, fc.option(fc.boolean())), { maxLength: 4 }),
    joined: fc.option(fc.integer({ min: 0, max: 100 })),
  })
  .map(({ moments, stops, gaps, joined }) => ({
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
    joined: new Map(joined === null ? [] : [[1, at(joined)]]),
  }));

test("whatever was said in whatever order: never negative, never falling, never more than the time", () => {
  fc.assert(
    fc.property(saidOf, (said) => {
      const clock = trayClock(said, 1);
      let before = 0;
      for (let hour = 0; hour <= 110; hour += 5) {
        const now = clock.dryingHoursAt(at(hour));
        expect(now).toBeGreaterThanOrEqual(before - 1e-9);
        expect(now).toBeLessThanOrEqual(before + 5 + 1e-9);
        before = now;
      }
    }),
  );
});

test("what trays did later changes nothing of what is told of a moment", () => {
  fc.assert(
    fc.property(saidOf, fc.integer({ min: 0, max: 110 }), (said, hour) => {
      const then = at(hour);
      const known = { ...said, moments: said.moments.filter((one) => one.at <= then) };
      const toldOf = (record: ClockRecord) => {
        const clock = trayClock(record, 1);
        return [
          clock.stateAt(then),
          clock.dryingHoursAt(then),
          clock.minutesOutAt(then),
          clock.stretchAt(then),
        ];
      };
      expect(toldOf(said)).toEqual(toldOf(known));
    }),
  );
});
