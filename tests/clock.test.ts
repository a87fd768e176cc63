import { beforeEach, describe, expect, test } from "vitest";
import { isoOf, systemClock, type Clock, type TimeSource } from "../src/clock.ts";
import { utcMs } from "../src/units/quantity.ts";

const hour = 3_600_000;
const start = Date.UTC(2026, 10, 25, 8);
/** A computer whose three clocks a test sets. */
let computer: { mono: number; utc: number; up: number };
const source: TimeSource = {
  monoMs: () => computer.mono,
  utcMs: () => computer.utc,
  upMs: () => computer.up,
};
const pass = (ms: number): void => {
  computer.mono += ms;
  computer.utc += ms;
  computer.up += ms;
};
let clock: Clock;

beforeEach(() => {
  computer = { mono: 5000, utc: start, up: 90_000 };
  clock = systemClock(1, source);
});

describe("a jump of the computer's clock", () => {
  test.each([
    ["an hour on", hour],
    ["an hour back", -hour],
    ["twenty years on: a board without a battery that hears of the time", 20 * 8766 * hour],
    ["back to 1970", -start],
    ["past 2038, where 32 bits end", Date.UTC(2038, 0, 20) - start],
  ])("%s changes no duration, and is known", (_name, jump) => {
    pass(10_000);
    const before = clock.utc();
    computer.utc += jump;
    expect(clock.utc()).toBe(before);
    pass(2 * hour);
    expect(clock.utc() - before).toBe(2 * hour);
    expect(clock.awayMs()).toBe(jump);
    expect(clock.system()).toBe(start + 10_000 + jump + 2 * hour);
  });
});

describe("a computer that slept", () => {
  test("is told, and its clock goes on by the time of the sleep", () => {
    pass(hour);
    expect(clock.wake()).toBe(0);
    computer.utc += 8 * hour;
    computer.up += 8 * hour;
    expect(clock.wake()).toBe(8 * hour);
    expect(clock.wake()).toBe(0);
    expect(clock.utc()).toBe(start + 9 * hour);
    expect(clock.awayMs()).toBe(0);
  });
  test("a clock that was only set did not sleep", () => {
    computer.utc += 8 * hour;
    expect(clock.wake()).toBe(0);
    expect(clock.utc()).toBe(start);
  });
});

describe("a new start", () => {
  const earlier = { at: utcMs(start - 3 * hour), systemAt: utcMs(start - 3 * hour) };

  test("goes by the computer's clock where nothing speaks against it", () => {
    clock.carryOnFrom(earlier);
    expect(clock.utc()).toBe(start);
  });
  test("in the past goes on from where the last run was", () => {
    computer.utc = start - 100_000 * hour;
    clock = systemClock(1, source);
    clock.carryOnFrom(earlier);
    expect(clock.utc()).toBe(earlier.at);
    pass(hour);
    expect(clock.utc()).toBe(earlier.at + hour);
  });
  test("in the middle of a batch keeps to the clock by which it was begun", () => {
    const lag = 56 * 8766 * hour;
    clock.carryOnFrom({ at: utcMs(earlier.at - lag), systemAt: earlier.systemAt }, "midway");
    expect(clock.utc()).toBe(start - lag);
    expect(clock.awayMs()).toBe(lag);
  });
  test("with nothing under way takes the computer's time over", () => {
    clock.carryOnFrom({ at: utcMs(earlier.at - hour), systemAt: earlier.systemAt });
    expect(clock.utc()).toBe(start);
  });
});

test("the hour that comes twice when summer time ends is two hours in what is written", () => {
  // In Paris both are 02:30 on 25 October 2026 (IANA time zone database, Europe/Paris: CEST to CET at 01:00 UTC).
  const [first, second] = [0.5, 1.5].map((hours) => utcMs(Date.UTC(2026, 9, 25) + hours * hour));
  const inParis = (at: number | undefined): string =>
    new Intl.DateTimeFormat("en-GB", { timeZone: "Europe/Paris", timeStyle: "short" }).format(at);
  expect(inParis(first)).toBe(inParis(second));
  expect(isoOf(first ?? utcMs(0))).toBe("2026-10-25T00:30:00.000Z");
  expect(isoOf(second ?? utcMs(0))).toBe("2026-10-25T01:30:00.000Z");
});
