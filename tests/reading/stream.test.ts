import { expect, test } from "vitest";
import { noFacts } from "../../src/reading/form.ts";
import { afterBreak, choose } from "../../src/reading/stream.ts";
import { grams } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";
import { Ear, times } from "./hear.ts";

const live = (): Ear => {
  const ear = new Ear();
  for (const line of times(10, "ST,GS,+    123.4 g\r\n")) ear.hear(line);
  return ear;
};

test("a line that does not fit is an unreadable reading, and the form stays", () => {
  const ear = live().hear("ST,GS,+  1?3.4 g\r\n");
  expect(ear.readings.at(-1)).toMatchObject({ is: "unreadable", raw: "ST,GS,+  1?3.4 g" });
  expect(ear.report.form).toBe("marked");
});

test("a unit key pressed is told, and each line is converted by its own unit", () => {
  const ear = live().hear("ST,GS,+    10.00 oz\r\n");
  expect(ear.readings.at(-1)).toMatchObject({ is: "weight", mass: 283.49523125, unit: "oz" });
  expect(ear.reports.at(-1)).toMatchObject({ unit: "oz", why: "the unit changed from g to oz" });
});

test("ten foreign lines in a row are a change of form, recognised from those very lines", () => {
  const ear = live();
  for (const line of times(10, "   98.5 oz\r\n")) ear.hear(line);
  expect(ear.report.form).toBe("number-unit");
  ear.hear("   98.6 oz\r\n");
  expect(ear.report.unit).toBe("oz");
  expect(ear.readings.at(-1)).toMatchObject({ is: "weight", unit: "oz" });
  const weighed = ear.readings.filter((one) => one.is === "weight" && one.unit === "oz");
  expect(weighed).toHaveLength(1);
});

test("one foreign line in twenty over a minute is a change of form", () => {
  const ear = live();
  for (const line of times(30, "ST,GS,+    123.4 g\r\n")) ear.hear(line);
  ear.hear("?\r\n").hear("ST,GS,+    123.4 g\r\n").hear("?\r\n");
  expect(ear.report.form).toBe("marked");
  ear.hear("?\r\n");
  expect(ear.report).toMatchObject({ form: null, why: "the form of the lines changed" });
});

test("a declared form is warned about, not replaced", () => {
  const ear = new Ear({ form: "marked", facts: noFacts });
  ear.hear("ST,GS,+    123.4 g\r\n");
  for (const line of times(12, "   98.5 oz\r\n")) ear.hear(line);
  expect(ear.report.form).toBe("marked");
  expect(ear.report.why).toContain("not of the form that was declared");
  expect(ear.readings.filter((one) => one.is === "weight")).toHaveLength(1);
});

test("a person's answer reads the lines at hand and those to come", () => {
  const ear = new Ear();
  for (const line of times(9, "   250.3\r\n")) ear.hear(line);
  const step = choose(ear.stream, { form: "bare", unit: "g" });
  expect(step.report).toMatchObject({ form: "bare", unit: "g", question: null });
  expect(step.readings.map((one) => (one.is === "weight" ? one.mass : one.is))).toEqual(
    times(9, "").map(() => 250.3),
  );
  ear.stream = step.stream;
  expect(ear.hear("   251.0\r\n").readings.at(-1)).toMatchObject({ is: "weight", mass: 251 });
});

test("answers follow one another: the unit, then the point", () => {
  const ear = new Ear();
  for (const line of times(9, "+001234\r")) ear.hear(line);
  const unit = choose(ear.stream, { form: "implied-point", unit: "g" });
  expect(unit.report?.question).toContain("decimal point");
  const point = choose(unit.stream, { form: "implied-point", division: grams(0.1) });
  expect(point.report).toMatchObject({ form: "implied-point", unit: "g", question: null });
  expect(point.readings.at(-1)).toMatchObject({ is: "weight", mass: 123.4, division: 0.1 });
});

test("after a lost connection the form is still known, and half a line is not finished", () => {
  const ear = live().hear("ST,GS,+    99");
  ear.stream = afterBreak(ear.stream);
  ear.cutter.reset(true);
  ear.hear("9.9 g\r\nST,GS,+    123.5 g\r\n");
  expect(ear.masses().at(-1)).toBe(123.5);
  expect(ear.masses()).not.toContain(9.9);
  expect(ear.masses()).not.toContain(999.9);
});

test("a display that counts in fives is found out after a dozen different values", () => {
  const ear = live();
  for (let at = 0; at < 12; at++) ear.hear(`ST,GS,+    ${(100 + at * 0.5).toFixed(1)} g\r\n`);
  // 123.4 was seen, so the step is no 0.5.
  expect(ear.readings.at(-1)).toMatchObject({ division: 0.1 });
  const fives = new Ear();
  for (let at = 0; at < 20; at++) fives.hear(`ST,GS,+    ${(100 + at * 0.5).toFixed(1)} g\r\n`);
  expect(fives.readings.at(-1)).toMatchObject({ division: 0.5 });
  fives.hear("ST,GS,+    100.1 g\r\n").hear("ST,GS,+    100.5 g\r\n");
  expect(fives.readings.at(-1)).toMatchObject({ division: 0.1 });
});

test("what a display counts in is still known after a lost connection, and from before the start, until it is not so", () => {
  const fives = new Ear();
  for (let at = 0; at < 20; at++) fives.hear(`ST,GS,+    ${(100 + at * 0.5).toFixed(1)} g\r\n`);
  fives.stream = afterBreak(fives.stream);
  fives.cutter.reset(true);
  fives.hear("\r\nST,GS,+    250.5 g\r\n");
  expect(fives.readings.at(-1)).toMatchObject({ mass: 250.5, division: 0.5 });
  const before = new Ear();
  before.stream = { ...before.stream, known: grams(0.5) };
  for (const mass of ["  0.0", "100.5", "812.5", "612.0"]) {
    for (let at = 0; at < 3; at++) before.hear(`ST,GS,+    ${mass} g\r\n`);
    if (before.readings.length > 0) expect(before.readings.at(-1)).toMatchObject({ division: 0.5 });
  }
  expect(before.readings.at(-1)).toMatchObject({ mass: 612 });
  before.hear("ST,GS,+    612.4 g\r\n");
  expect(before.readings.at(-1)).toMatchObject({ mass: 612.4, division: 0.1 });
  before.hear("ST,GS,+    612.5 g\r\n");
  expect(before.readings.at(-1)).toMatchObject({ division: 0.1 });
  // Another display than that of before: no whole number of its steps.
  const other = new Ear();
  other.stream = { ...other.stream, known: grams(0.3) };
  for (let at = 0; at < 12; at++) other.hear("ST,GS,+    100.2 g\r\n");
  expect(other.readings.at(-1)).toMatchObject({ division: 0.1 });
});

test("random bytes never throw and never weigh anything once a form is known", () => {
  fc.assert(
    fc.property(fc.array(fc.uint8Array({ maxLength: 64 }), { maxLength: 30 }), (chunks) => {
      const ear = live();
      const before = ear.readings.length;
      for (const chunk of chunks) ear.hear(chunk);
      const weighed = ear.readings.slice(before).filter((one) => one.is === "weight");
      expect(weighed).toEqual([]);
    }),
  );
});
