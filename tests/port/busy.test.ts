// When the program had no time for its scales. All figures are invented.
import { expect, test } from "vitest";
import { Busy, spread } from "../../src/port/busy.ts";
import { monoMs, utcMs } from "../../src/units/quantity.ts";

const everyMs = 250;
const at = (ms: number) => monoMs(1000 + ms);
const busy = (): Busy => new Busy(everyMs, at(0));

test("what comes while looks come in time is fresh, however long nothing came before", () => {
  const one = busy();
  for (let ms = 250; ms <= 5000; ms += 250) expect(one.look(at(ms))).toBe(false);
  expect(one.before(at(5100))).toBeNull();
  expect(one.before(at(5101))).toBeNull();
});

test("a look that comes late says that nothing was heard for want of time, and since when", () => {
  const one = busy();
  expect(one.look(at(250))).toBe(false);
  expect(one.look(at(3300))).toBe(true);
  expect(one.before(at(3302))).toBe(at(250));
  // Of the same time only what is read first was waiting.
  expect(one.before(at(3303))).toBeNull();
  expect(one.look(at(3550))).toBe(false);
});

test("a program that was stopped, or a computer that slept, is no want of time but a silence", () => {
  const one = busy();
  expect(one.look(at(10_001))).toBe(false);
  expect(one.before(at(10_002))).toBeNull();
});

test("what is read before the late look was waiting, too", () => {
  const one = busy();
  expect(one.before(at(100))).toBeNull();
  expect(one.before(at(3100))).toBe(at(100));
  expect(one.look(at(3101))).toBe(false);
});

test("two such times with nothing read between them are one, unless they are a silence together", () => {
  const one = busy();
  expect(one.look(at(2000))).toBe(true);
  expect(one.look(at(4500))).toBe(true);
  expect(one.before(at(4501))).toBe(at(0));
  const read = busy();
  expect(read.look(at(2000))).toBe(true);
  expect(read.before(at(2001))).toBe(at(0));
  expect(read.look(at(4500))).toBe(true);
  expect(read.before(at(4501))).toBe(at(2001));
  const long = busy();
  expect(long.look(at(6000))).toBe(true);
  expect(long.look(at(12_000))).toBe(true);
  expect(long.before(at(12_001))).toBe(at(6000));
});

test("what comes later than the turn of a late look is fresh", () => {
  const one = busy();
  expect(one.look(at(3000))).toBe(true);
  expect(one.before(at(3100))).toBeNull();
});

test("bytes that waited get the times over which they came, all of them and in order", () => {
  const bytes = Buffer.from("1\n2\n3\n4\n5\n6\n7\n8\n9\n0\n");
  const chunk = { bytes, atMonoMs: at(2000), atUtcMs: utcMs(500_000) };
  const pieces = spread(chunk, at(1000), 1);
  expect(Buffer.concat(pieces.map((piece) => piece.bytes))).toEqual(bytes);
  const ends = pieces.filter((piece) => piece.bytes.includes(10));
  expect(ends.map(({ atMonoMs }) => atMonoMs - at(1000))).toEqual(
    Array.from({ length: 10 }, (_, line) => 100 * (line + 1)),
  );
  expect(ends[0]?.atUtcMs).toBe(utcMs(500_000 - 900));
  expect(pieces.at(-1)).toMatchObject({ atMonoMs: chunk.atMonoMs, atUtcMs: chunk.atUtcMs });
  // A clock that runs sixty times as fast has gone on by so much more.
  expect(spread(chunk, at(1000), 60)[0]?.atUtcMs).toBe(utcMs(500_000 - 60 * 950));
});
