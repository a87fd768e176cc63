import { expect, test } from "vitest";
import { clockDoubtAt, jumpSince, type ClockJump } from "../../src/tray/clockdoubt.ts";
import { utcMs } from "../../src/units/quantity.ts";

const at = (hours: number) => utcMs(hours * 3_600_000);
const jump = (hours: number, awayMs: number, offUnknown = false): ClockJump => ({
  at: at(hours),
  awayMs,
  offUnknown,
});

test("weighings between a jump and its end are in doubt as to the time of day, no others", () => {
  const jumps = [jump(10, 3_600_000), jump(20, 0)];
  expect([5, 10, 15, 20, 25].map((hours) => clockDoubtAt(jumps, at(hours), at(0)))).toEqual([
    null,
    "time-of-day",
    "time-of-day",
    null,
    null,
  ]);
});

test("hours may be missing from all that a batch weighs after a stop of unknown length, and from no later batch", () => {
  const jumps = [jump(10, -99_000, true), jump(11, 0)];
  expect(clockDoubtAt(jumps, at(9), at(0))).toBeNull();
  expect(clockDoubtAt(jumps, at(12), at(0))).toBe("hours-missing");
  expect(clockDoubtAt(jumps, at(12), at(10.5))).toBeNull();
});

test("a jump is noted once, and so is its end; what is too small is not", () => {
  const first = jumpSince([], { at: at(1), awayMs: 3_600_000 });
  expect(first).toEqual(jump(1, 3_600_000));
  const jumps = [first].filter((one) => one !== null);
  expect(jumpSince(jumps, { at: at(2), awayMs: 3_600_900 })).toBeNull();
  expect(jumpSince(jumps, { at: at(3), awayMs: 400 })).toEqual(jump(3, 0));
  expect(jumpSince([], { at: at(1), awayMs: -1999 })).toBeNull();
});
