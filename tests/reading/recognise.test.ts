import { expect, test } from "vitest";
import { noFacts } from "../../src/reading/form.ts";
import { withParity } from "../../bench/recognise/wire.ts";
import type { FormReport } from "../../src/reading/stream.ts";
import { seeded } from "../rig/scale.ts";
import { Ear, times } from "./hear.ts";

const hearLines = (ear: Ear, lines: readonly string[]): Ear => {
  for (const line of lines) ear.hear(line);
  return ear;
};

const answers = (report: FormReport): unknown =>
  report.candidates.map(({ form, unit, division, reading }) => [
    form,
    unit,
    division,
    reading.is === "weight" ? Math.round(reading.mass * 1e4) / 1e4 : reading.is,
  ]);

test("a form that carries mark and unit is known after eight lines, and those lines are read", () => {
  const ear = hearLines(new Ear(), times(7, "ST,GS,+    123.4 g\r\n"));
  expect(ear.report.form).toBeNull();
  expect(ear.readings).toEqual([]);
  ear.hear("ST,GS,+    123.4 g\r\n");
  expect(ear.report).toMatchObject({ form: "marked", unit: "g", question: null });
  expect(ear.masses()).toEqual(times(8, "").map(() => 123.4));
  expect(ear.readings.map(({ atMonoMs }) => atMonoMs)).toEqual([
    100, 200, 300, 400, 500, 600, 700, 800,
  ]);
});

test("a number alone asks for its unit, shows what each would make, and says nothing until told", () => {
  const ear = hearLines(new Ear(), times(12, "   250.3\r\n"));
  expect(ear.readings).toEqual([]);
  expect(ear.report.question).toContain("unit");
  expect(answers(ear.report)).toEqual([
    ["bare", "g", null, 250.3],
    ["bare", "kg", null, 250300],
    ["bare", "oz", null, 7095.8856],
    ["bare", "lb", null, 113534.1702],
  ]);
});

test("zero-padded digits ask for the unit first and then for the point", () => {
  const ear = hearLines(new Ear(), times(10, "+001234\r"));
  expect(ear.report.question).toContain("unit");
  const declared = hearLines(
    new Ear({ form: null, facts: { ...noFacts, unit: "g" } }),
    times(10, "+001234\r"),
  );
  expect(declared.report.question).toContain("decimal point");
  expect(answers(declared.report)).toEqual([
    ["implied-point", "g", 1, 1234],
    ["implied-point", "g", 0.1, 123.4],
    ["implied-point", "g", 0.01, 12.34],
    ["implied-point", "g", 0.001, 1.234],
  ]);
  expect(declared.readings).toEqual([]);
});

test("zero-padded digits with a unit are asked about too: a point may have been left out", () => {
  const ear = hearLines(new Ear(), times(10, "+001234 g\r\n"));
  expect(ear.report.question).toContain("decimal point");
  expect(ear.readings).toEqual([]);
});

test("a comma before three digits is asked about until a line shows what it means", () => {
  const ear = hearLines(new Ear(), times(10, "  1,250 kg\r\n"));
  expect(ear.report.question).toContain("comma");
  expect(answers(ear.report)).toEqual([
    ["number-unit", null, 1, 1250],
    ["number-unit", null, 1000, 1250000],
  ]);
  hearLines(ear, times(2, "  0,000 kg\r\n"));
  expect(ear.report).toMatchObject({ form: "number-unit", question: null });
  expect(ear.masses().slice(-3)).toEqual([1250, 0, 0]);
});

test("a missing unit that may mean moving is never taken for it unasked", () => {
  const lines = ["  98.53", "  98.55", "  98.51 g", "  98.50 g"].map((line) => `${line}\r\n`);
  const ear = hearLines(new Ear(), [...lines, ...lines, ...lines]);
  expect(ear.report.question).toContain("blank its unit");
  expect(answers(ear.report)).toEqual([["unit-when-still", "g", null, 98.51]]);
  expect(ear.readings).toEqual([]);
});

test("status bytes are confirmed with a known load before they are believed", () => {
  const ear = hearLines(new Ear(), times(12, "\x02*0 001234000000\r"));
  expect(ear.report.question).toContain("load that you know");
  expect(answers(ear.report)).toEqual([["status-frame", "kg", null, 1234000]]);
});

test("trailing blanks are no sign of movement unless a still line is marked", () => {
  const ear = hearLines(new Ear(), times(12, "   98.50 g    \r\n"));
  expect(ear.report.form).toBe("number-unit");
  expect(ear.readings.every((one) => one.is === "weight" && one.scaleSaysStill === null)).toBe(
    true,
  );
  hearLines(ear, times(20, "   98.50 g   S\r\n"));
  expect(ear.report.form).toBe("flagged");
  expect(ear.readings.at(-1)).toMatchObject({ is: "weight", mass: 98.5, scaleSaysStill: true });
});

test("noise with the eighth bit set is refused, and the reason names speed and parity", () => {
  const chance = seeded(7);
  const noise = Uint8Array.from({ length: 4000 }, () => Math.floor(chance() * 256));
  const ear = new Ear();
  for (let at = 0; at < noise.length; at += 40) ear.hear(noise.subarray(at, at + 40));
  expect(ear.report).toMatchObject({ form: null, candidates: [] });
  expect(ear.report.why).toMatch(/speed \(baud\) or the parity/);
  expect(ear.readings).toEqual([]);
});

test("control characters without a meaning are refused as a wrong speed", () => {
  const ear = hearLines(new Ear(), times(30, "\x10\x1f\x11\x7f\x05\x06\x13\x0e\r"));
  expect(ear.report.why).toContain("speed (baud)");
});

test("bytes without an end of line are told apart from no bytes", () => {
  const ear = hearLines(new Ear(), times(60, "ST,GS,+   12.3 g"));
  expect(ear.report.why).toContain("no end of line");
  expect(ear.readings).toEqual([]);
});

test("text that is no weight is refused and quoted", () => {
  const ear = hearLines(new Ear(), times(25, "hello, world\r\n"));
  expect(ear.report).toMatchObject({ form: null, question: null });
  expect(ear.report.why).toContain("hello, world");
});

test("a scale that shows nothing but overload is not recognised by that", () => {
  const ear = hearLines(new Ear(), times(25, "-------- g\r\n"));
  expect(ear.report.form).toBeNull();
  expect(ear.report.why).toContain("take the load off");
});

test("even parity read as an eighth bit is taken off, and the cure is named", () => {
  const even = (text: string): Uint8Array =>
    Uint8Array.from(Buffer.from(text, "latin1"), (byte) => {
      let ones = 0;
      for (let left = byte; left > 0; left >>= 1) ones += left & 1;
      return ones % 2 === 0 ? byte : byte | 0x80;
    });
  const ear = new Ear();
  for (let at = 0; at < 10; at++) ear.hear(even("ST,GS,+    123.4 g\r"));
  expect(ear.report).toMatchObject({ form: "marked", unit: "g" });
  expect(ear.report.why).toContain("bits=7&parity=even");
  expect(ear.masses()).toEqual(times(10, "").map(() => 123.4));
});

test("odd parity is taken off too, where it leaves all but a few bytes as they are", () => {
  const ear = new Ear();
  for (let at = 0; at < 12; at++) ear.hear(withParity(Buffer.from("     113 g\r\n"), "odd"));
  expect(ear.report).toMatchObject({ form: "number-unit", unit: "g" });
  expect(ear.report.why).toContain("bits=7&parity=odd");
  expect(ear.masses()).toEqual(times(12, "").map(() => 113));
});

test("a banner before the first weights only delays the recognition", () => {
  const banner = ["Model 12", "Ver 3.01", "(c) nobody"].map((line) => `${line}\r\n`);
  const ear = hearLines(new Ear(), [...banner, ...times(30, "  250.3 g\r\n")]);
  expect(ear.report.form).toBe("number-unit");
});

test("a declared form is read from its first line", () => {
  const ear = new Ear({ form: "number-unit", facts: noFacts }).hear("250.3 g\r\n");
  expect(ear.masses()).toEqual([250.3]);
});

test("a declared form without its unit still asks for it", () => {
  const ear = new Ear({ form: "bare", facts: noFacts }).hear("250.3\r\n");
  expect(ear.report.question).toContain("unit");
  expect(ear.readings).toEqual([]);
});
