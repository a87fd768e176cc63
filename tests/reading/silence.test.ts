import { expect, test } from "vitest";
import {
  afterLine,
  isSilent,
  noRhythm,
  silentAfterMs,
  type Rhythm,
} from "../../src/reading/silence.ts";
import { monoMs } from "../../src/units/quantity.ts";

const every = (ms: number, count: number): Rhythm => {
  let rhythm = noRhythm;
  for (let at = 0; at < count; at++) rhythm = afterLine(rhythm, monoMs(at * ms));
  return rhythm;
};

test("a fast scale is silent after two seconds", () => {
  const rhythm = every(100, 20);
  expect(isSilent(rhythm, monoMs(0), monoMs(1900 + 2000))).toBe(false);
  expect(isSilent(rhythm, monoMs(0), monoMs(1900 + 2001))).toBe(true);
});

test("a slow scale is given three of its own periods", () => {
  expect(silentAfterMs(every(5000, 10))).toBe(15_000);
});

test("one long pause does not change what is usual", () => {
  const rhythm = afterLine(every(100, 10), monoMs(60_000));
  expect(silentAfterMs(rhythm)).toBe(2000);
});

test("a scale that never sent a line is silent two seconds after the connection", () => {
  expect(isSilent(noRhythm, monoMs(500), monoMs(2400))).toBe(false);
  expect(isSilent(noRhythm, monoMs(500), monoMs(2501))).toBe(true);
});
