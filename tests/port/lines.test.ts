import { expect, test } from "vitest";
import { LineCutter, longestLine } from "../../src/port/lines.ts";
import fc from "../rig/properties.ts";
import { seeded } from "../rig/scale.ts";

const bytes = (text: string): Uint8Array => Buffer.from(text, "latin1");
const cutAll = (text: string): readonly string[] => new LineCutter().cut(bytes(text));

test.each([
  ["a\r\nb\r\n", ["a", "b"]],
  ["a\rb\r", ["a", "b"]],
  ["a\nb\n", ["a", "b"]],
  ["\na\r\nb\r", ["a", "b"]],
  ["\x02a\x03b\x04", ["\x02a", "b"]],
  ["a\x8db\x8a", ["a", "b"]],
  ["\r\n\r\n", []],
  ["no end", []],
  ["  a  \r", ["  a  "]],
  ["\xb5\xe9\r", ["\xb5\xe9"]],
])("%j is cut at every end and nowhere else", (text, lines) => {
  expect(cutAll(text)).toEqual(lines);
});

test("lines are the same however the bytes arrive, and more than a stream holds come at once", () => {
  const lines = fc.array(
    fc.string({ unit: fc.constantFrom("a", " ", "7", "."), minLength: 1, maxLength: 30 }),
    {
      maxLength: 200,
    },
  );
  fc.assert(
    fc.property(lines, fc.array(fc.nat(2000), { maxLength: 20 }), (whole, offsets) => {
      const all = bytes(whole.map((line) => `${line}\r\n`).join(""));
      const cutter = new LineCutter();
      const found: string[] = [];
      let from = 0;
      for (const to of [
        ...offsets.filter((at) => at < all.length).toSorted((a, b) => a - b),
        all.length,
      ]) {
        found.push(...cutter.cut(all.subarray(from, to)));
        from = to;
      }
      expect(found).toEqual(whole);
      expect(cutter.discardedBytes).toBe(0);
    }),
  );
});

test("a run without an end is thrown away and counted, and the next line is whole", () => {
  for (const pieces of [1, 7, 300]) {
    const cutter = new LineCutter();
    const run = bytes("x".repeat(longestLine + 44));
    const found: string[] = [...cutter.cut(bytes("first\r"))];
    for (let at = 0; at < run.length; at += pieces)
      found.push(...cutter.cut(run.subarray(at, at + pieces)));
    found.push(...cutter.cut(bytes("x\rlast\r")));
    expect(found).toEqual(["first", "last"]);
    expect(cutter.discardedBytes).toBe(longestLine + 45);
  }
});

test("a line of just the longest length passes", () => {
  expect(cutAll(`${"x".repeat(longestLine)}\r`)).toEqual(["x".repeat(longestLine)]);
});

test("what a connection ends with is never finished by the next one", () => {
  const cutter = new LineCutter();
  cutter.cut(bytes("ST,GS,+  41"));
  cutter.reset(false);
  expect(cutter.cut(bytes("2.6 g\r"))).toEqual(["2.6 g"]);
  cutter.cut(bytes("ST,GS,+  41"));
  cutter.reset(true);
  expect(cutter.cut(bytes("2.6 g\r412.6 g\r"))).toEqual(["412.6 g"]);
});

test("10 MB of noise without an end of line leave the memory flat", () => {
  const chance = seeded(11);
  const noise = Buffer.from(Array.from({ length: 4096 }, () => 0x20 + Math.floor(chance() * 90)));
  const cutter = new LineCutter();
  cutter.cut(noise);
  const before = process.memoryUsage();
  let most = 0;
  const rounds = 2560;
  for (let round = 0; round < rounds; round++) {
    expect(cutter.cut(noise)).toEqual([]);
    if (round % 256 === 0) most = Math.max(most, process.memoryUsage().rss - before.rss);
  }
  expect(cutter.discardedBytes).toBe(noise.length * (rounds + 1));
  expect(most).toBeLessThan(60e6);
});
