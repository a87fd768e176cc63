import { expect, test } from "vitest";
import { noFacts, type Form } from "../../src/reading/form.ts";
import { isProblems, readOwnForm } from "../../src/reading/ownform.ts";
import { said } from "../../src/reading/piece.ts";
import { tryOut } from "../../src/reading/tryout.ts";
import { computingMs } from "../rig/owntime.ts";
import fc from "../rig/properties.ts";
import { Ear, times } from "./hear.ts";

const gramsPer = { g: 1, kg: 1000, oz: 28.349523125, lb: 453.59237 } as const;
type Unit = keyof typeof gramsPer;

function form(table: unknown): Form {
  const read = readOwnForm(table);
  if (isProblems(read)) throw new Error(JSON.stringify(read.problems));
  return read;
}

const details = (table: unknown): string => {
  const read = readOwnForm(table);
  return isProblems(read) ? read.problems.map(({ detail }) => detail).join("\n") : "taken";
};

const bakery = {
  name: "bakery",
  line: [
    { part: "literal", text: "W:" },
    { part: "padding" },
    { part: "sign" },
    { part: "digits", point: ",", decimals: 1, over: ["----"], under: ["____"] },
    { part: "literal", text: " " },
    { part: "unit", g: ["GRM"], kg: ["KGM"] },
    { part: "literal", text: ";" },
    { part: "mark", still: ["*"], moving: ["~"] },
    { part: "mode", gross: ["B"], net: ["N"] },
  ],
};

test("a form put together from parts reads weight, unit, mark, mode, over and under", () => {
  const own = form(bakery);
  expect(own.name).toBe("own:bakery");
  expect(said(own, noFacts, "W:   -412,6 GRM;*N")).toEqual({
    is: "weight",
    mass: -412.6,
    division: 0.1,
    unit: "g",
    basis: "net",
    scaleSaysStill: true,
  });
  expect(said(own, noFacts, "W:1,2 KGM;~B")).toMatchObject({ mass: 1200, scaleSaysStill: false });
  expect(said(own, noFacts, "W: ---- GRM;~B")).toEqual({ is: "over" });
  expect(said(own, noFacts, "W: ____ GRM;~B")).toEqual({ is: "under" });
  for (const raw of [
    "W:1,25 GRM;*N",
    "W:1.2 GRM;*N",
    "W:1,2 g;*N",
    "W:1,2 GRM;*NN",
    " W:1,2 GRM;*N",
  ])
    expect(said(own, noFacts, raw)).toBeNull();
});

test("a declared length refuses a line that lost or gained a character", () => {
  const own = form({
    name: "fixed",
    length: 8,
    unit: "g",
    line: [{ part: "padding" }, { part: "sign" }, { part: "digits", point: "none", decimals: 1 }],
  });
  expect(said(own, noFacts, "    1234")).toMatchObject({ mass: 123.4, division: 0.1 });
  expect(said(own, noFacts, "   1234")).toBeNull();
  expect(said(own, noFacts, "     1234")).toBeNull();
});

/** A random form, a line of it, and what that line means. Our own invention throughout. */
const word = fc.stringMatching(/^[A-Za-z*~;:#]{1,4}$/);
const twoWords = fc.uniqueArray(word, { minLength: 2, maxLength: 2 });
const written = fc
  .record({
    figures: fc.integer({ min: 0, max: 99_999 }),
    decimals: fc.integer({ min: 0, max: 4 }),
    point: fc.constantFrom(".", ",", "none"),
    negative: fc.boolean(),
    unit: fc.constantFrom<Unit[]>("g", "kg", "oz", "lb"),
    unitWords: fc.option(fc.uniqueArray(word, { minLength: 4, maxLength: 4 }), { nil: null }),
    marks: fc.option(twoWords, { nil: null }),
    modes: fc.option(twoWords, { nil: null }),
    still: fc.boolean(),
    net: fc.boolean(),
    head: fc.option(word, { nil: null }),
    skip: fc.option(fc.stringMatching(/^[ -~]{1,5}$/), { nil: null }),
    blanks: fc.integer({ min: 0, max: 8 }),
    signLast: fc.boolean(),
    fixed: fc.boolean(),
  })
  .map((one) => {
    const units = ["g", "kg", "oz", "lb"] as const;
    const line: object[] = [];
    let text = "";
    const add = (part: object, shown: string): void => {
      line.push(part);
      text += shown;
    };
    if (one.skip !== null) {
      add({ part: "skip", width: one.skip.length }, one.skip);
      add({ part: "literal", text: "|" }, "|");
    }
    if (one.head !== null) add({ part: "literal", text: one.head }, one.head);
    add({ part: "padding" }, " ".repeat(one.blanks));
    const sign = one.negative ? "-" : "";
    if (!one.signLast) add({ part: "sign" }, sign);
    const width = one.decimals + 1;
    const digits = String(one.figures).padStart(width, "0");
    const point = one.point === "none" || one.decimals === 0 ? "" : one.point;
    const at = digits.length - one.decimals;
    const least = one.point === "none" ? width : 1;
    add(
      { part: "digits", least, point: one.point, decimals: one.decimals },
      digits.slice(0, at) + point + digits.slice(at),
    );
    if (one.signLast) add({ part: "sign" }, sign);
    const separated = (part: object, shown: string): void => {
      add({ part: "literal", text: "/" }, "/");
      add(part, shown);
    };
    if (one.unitWords !== null) {
      const words = one.unitWords;
      const spelt = Object.fromEntries(units.map((unit, index) => [unit, [words[index]]]));
      separated({ part: "unit", ...spelt }, words[units.indexOf(one.unit)] ?? "");
    }
    if (one.marks !== null) {
      const [still, moving] = one.marks;
      separated({ part: "mark", still, moving }, (one.still ? still : moving) ?? "");
    }
    if (one.modes !== null) {
      const [net, gross] = one.modes;
      separated({ part: "mode", net, gross }, (one.net ? net : gross) ?? "");
    }
    const table = {
      name: "made-up",
      line,
      ...(one.fixed ? { length: text.length } : {}),
      ...(one.unitWords === null ? { unit: one.unit } : {}),
    };
    const value = (one.figures / 10 ** one.decimals) * (one.negative ? -1 : 1);
    return {
      table,
      text,
      means: {
        is: "weight",
        grams: value * gramsPer[one.unit],
        unit: one.unit,
        still: one.marks === null ? null : one.still,
        basis: one.modes === null ? "unknown" : one.net ? "net" : "gross",
      },
    };
  });

test("what a random form writes is read back, over all units, signs and points", () => {
  fc.assert(
    fc.property(written, ({ table, text, means }) => {
      const what = said(form(table), noFacts, text);
      if (what?.is !== "weight") throw new Error(`${text}: ${JSON.stringify(what)}`);
      expect(Math.abs(what.mass - means.grams)).toBeLessThanOrEqual(
        1e-9 * Math.max(1, Math.abs(means.grams)),
      );
      expect([what.unit, what.scaleSaysStill, what.basis]).toEqual([
        means.unit,
        means.still,
        means.basis,
      ]);
      const tried = tryOut(form(table), noFacts, text);
      expect([tried.leftOver, tried.stoppedAt]).toEqual(["", null]);
      expect(tried.parts.map((part) => part.text).join("")).toBe(text);
    }),
    { numRuns: 2000 },
  );
});

test("neither rubbish nor a whole line with rubbish in it makes a random form throw or linger", () => {
  const bytes = fc.string({
    unit: fc.integer({ min: 0, max: 255 }).map((code) => String.fromCharCode(code)),
    maxLength: 256,
  });
  fc.assert(
    fc.property(written, bytes, fc.nat(), ({ table, text }, rubbish, at) => {
      const own = form(table);
      const cut = at % (text.length + 1);
      for (const raw of [
        rubbish,
        text.slice(0, cut) + rubbish + text.slice(cut),
        " ".repeat(256),
      ]) {
        const tookMs = computingMs(() => {
          said(own, noFacts, raw);
          tryOut(own, noFacts, raw);
        });
        expect(tookMs).toBeLessThan(1000);
      }
    }),
    { numRuns: 1000 },
  );
});

test("anything at all in the place of a form is a form or a list of sentences, never an error", () => {
  const part = fc.record(
    {
      part: fc.oneof(
        fc.constantFrom("digits", "sign", "unit", "mark", "skip", "literal", "padding"),
        fc.string(),
      ),
      least: fc.anything(),
      most: fc.oneof(fc.integer({ min: -2, max: 99 }), fc.anything()),
      width: fc.oneof(fc.integer({ min: -2, max: 99 }), fc.anything()),
      point: fc.oneof(fc.constantFrom(".", ",", "none"), fc.anything()),
      text: fc.oneof(fc.string(), fc.anything()),
      still: fc.oneof(fc.array(fc.string()), fc.anything()),
      g: fc.oneof(fc.array(fc.string()), fc.anything()),
    },
    { requiredKeys: ["part"] },
  );
  const table = fc.record(
    {
      name: fc.oneof(fc.constant("a"), fc.anything()),
      line: fc.oneof(fc.array(part), fc.anything()),
      keys: fc.anything(),
      length: fc.oneof(fc.integer({ min: 1, max: 300 }), fc.anything()),
      unit: fc.anything(),
      frame: fc.oneof(fc.record({ start: fc.string(), end: fc.constant("\r") }), fc.anything()),
      check: fc.oneof(
        fc.record({ kind: fc.constant("sum"), from: fc.integer({ min: -1, max: 5 }) }),
        fc.anything(),
      ),
    },
    { requiredKeys: [] },
  );
  fc.assert(
    fc.property(fc.oneof(fc.anything(), table), fc.string(), (value, raw) => {
      const read = readOwnForm(value);
      if (isProblems(read))
        expect(read.problems.every(({ detail }) => detail.length > 10)).toBe(true);
      else said(read, noFacts, raw);
    }),
    { numRuns: 3000 },
  );
});

const digits = { part: "digits" };
test.each<[unknown, string]>([
  [7, "begin a form with [[form]]"],
  [{ line: [digits] }, "name is missing"],
  [{ name: "A b", line: [digits] }, "cannot be a name"],
  [{ name: "a", line: [] }, "a list of 1 to 24 parts"],
  [{ name: "a", line: [{ part: "sign" }] }, 'no part "digits"'],
  [{ name: "a", line: [{ part: "digit" }] }, 'did you mean "digits"?'],
  [{ name: "a", line: [digits, digits] }, 'more than one part "digits"'],
  [{ name: "a", line: [{ ...digits, width: 3 }] }, 'digits takes no "width"'],
  [{ name: "a", line: [{ part: "digits", point: "none" }] }, 'point = "none" needs decimals'],
  [{ name: "a", line: [digits, { part: "literal", text: "0" }] }, "begins with a figure"],
  [{ name: "a", line: [digits, { part: "skip", width: 2 }] }, "beside a literal"],
  [
    { name: "a", line: [{ part: "padding" }, { part: "padding" }, digits] },
    "padding follows padding",
  ],
  [{ name: "a", line: [digits, { part: "literal", text: "\r" }] }, "printable"],
  [{ name: "a", line: [digits, { part: "mark", still: ["S"], moving: ["S"] }] }, "two things"],
  [{ name: "a", line: [digits, { part: "unit" }], unit: "g" }, "shows its unit already"],
  [{ name: "a", line: [digits], unit: "st" }, "none of g, kg, oz, lb"],
  [{ name: "a", line: [digits], keys: { tara: "T" } }, 'keys has no "tara"'],
  [{ name: "a", line: [digits], lenght: 3 }, 'did you mean "length"?'],
])("%j is refused with what to do", (table, why) => {
  expect(details(table)).toContain(why);
});

const hear = (own: readonly Form[], lines: readonly string[]): Ear => {
  const ear = new Ear({ form: null, facts: noFacts, own });
  for (const line of lines) ear.hear(line);
  return ear;
};

test("an own form is recognised by itself where no other fits", () => {
  const ear = hear([form(bakery)], times(8, "W:   412,6 GRM;*N\r\n"));
  expect(ear.report).toMatchObject({ form: "own:bakery", unit: "g", question: null });
  expect(ear.masses()).toEqual(times(8, "").map(() => 412.6));
});

test("an own form that reads a known line otherwise is asked about, beside the known one", () => {
  const tenth = form({
    name: "tenth",
    unit: "g",
    line: [
      { part: "padding" },
      { part: "sign" },
      { ...digits, point: ".", decimals: 1 },
      { part: "literal", text: " kg" },
    ],
  });
  const ear = hear([tenth], times(12, "   250.3 kg\r\n"));
  expect(ear.report.form).toBeNull();
  expect(ear.readings).toEqual([]);
  expect(ear.report.candidates.map((one) => one.form)).toEqual(["number-unit", "own:tenth"]);
});

test("an own form that only says more of a known line is asked about as well", () => {
  const still = form({
    name: "still",
    line: [
      { part: "padding" },
      digits,
      { part: "literal", text: " " },
      { part: "unit" },
      { part: "mark", still: [""] },
    ],
  });
  const ear = hear([still], times(12, "   250.3 g\r\n"));
  expect(ear.report.candidates.map((one) => one.form)).toEqual(["number-unit", "own:still"]);
});

test("an own form that reads known lines just so leaves them to the known form, damaged lines or not", () => {
  const same = form({
    name: "same",
    line: [
      { part: "padding" },
      digits,
      { part: "literal", text: " " },
      { part: "unit", g: ["g", "q"] },
    ],
  });
  const ear = hear([same], [...times(19, "   250.3 g\r\n"), "   250.3 q\r\n"]);
  expect(ear.report).toMatchObject({ form: "number-unit", question: null });
});

test("a try-out says which parts matched, where it stopped and what was left over", () => {
  const tried = tryOut(form(bakery), noFacts, "W:  412,6 g;*N");
  expect(tried).toMatchObject({ stoppedAt: "unit", leftOver: "g;*N", says: null });
  expect(tried.parts).toEqual([
    { name: "literal", text: "W:" },
    { name: "padding", text: "  " },
    { name: "sign", text: "" },
    { name: "digits", text: "412,6" },
    { name: "literal", text: " " },
  ]);
});

const cellar = (check: object | undefined, start = "\u0002", end = "\u0003", length = 16) => ({
  name: "cellar",
  length,
  frame: { start, end },
  ...(check === undefined ? {} : { check }),
  line: [
    { part: "mark", still: ["S"], moving: ["U"] },
    { part: "padding" },
    { part: "sign" },
    { part: "digits", decimals: 1 },
    { part: "literal", text: " " },
    { part: "unit" },
  ],
});

/** A frame as a scale would send it, its check byte worked out here by the definition of its kind. */
function frameOf(
  text: string,
  kind: "xor" | "sum" | null,
  { start = "\x02", end = "\x03", from = 0, last = false } = {},
): string {
  const before = start + text + (last ? end : "");
  const covered = Array.from(before.slice(from), (letter) => letter.charCodeAt(0));
  const xor = covered.reduce((one, other) => one ^ other, 0);
  const sum = (128 - (covered.reduce((one, other) => one + other, 0) % 128)) % 128;
  const byte = kind === null ? "" : String.fromCharCode(kind === "xor" ? xor : sum);
  return before + byte + (last ? "" : end);
}

test("a frame with its own start and end is read, with and without a check byte", () => {
  const plain = form(cellar(undefined, "\u0002", "\u0003", 15));
  expect(plain.cut).toEqual({ start: 2, length: 15 });
  expect(said(plain, noFacts, frameOf("S   -412.6 g", null).padEnd(15))).toBeNull();
  expect(said(plain, noFacts, frameOf("S    -412.6 g", null))).toMatchObject({
    mass: -412.6,
    scaleSaysStill: true,
  });
  const checked = form(cellar({ kind: "xor" }));
  const whole = frameOf("S    -412.6 g", "xor");
  expect(said(checked, noFacts, whole)).toMatchObject({ mass: -412.6, division: 0.1 });
  expect(said(checked, noFacts, `${whole}\r`)).toBeNull();
});

test("every single damaged byte of a framed form with a check byte is refused, whatever becomes of it", () => {
  const frames = fc.record({
    kind: fc.constantFrom("xor" as const, "sum" as const),
    start: fc.constantFrom("\x02", "\x01\x02", "#"),
    end: fc.constantFrom("\x03", "\r", "\x03\x04"),
    last: fc.boolean(),
    from: fc.nat(),
    tenths: fc.integer({ min: 0, max: 99_999 }),
    negative: fc.boolean(),
    still: fc.boolean(),
    unit: fc.constantFrom("g", "kg"),
  });
  let damaged = 0;
  fc.assert(
    fc.property(frames, ({ kind, start, end, last, from: any, ...shows }) => {
      const from = any % (start.length + 1);
      const figures = `${shows.negative ? "-" : ""}${(shows.tenths / 10).toFixed(1)}`;
      const text = `${shows.still ? "S" : "U"}${figures.padStart(9)} ${shows.unit.padEnd(1)}`;
      const raw = frameOf(text, kind, { start, end, from, last });
      const place = last ? "after-end" : "before-end";
      const own = form(cellar({ kind, from, place }, start, end, raw.length));
      expect(said(own, noFacts, raw)?.is).toBe("weight");
      for (let at = 0; at < raw.length; at++)
        for (let byte = 0; byte < 256; byte++) {
          if (byte === raw.charCodeAt(at)) continue;
          const other = raw.slice(0, at) + String.fromCharCode(byte) + raw.slice(at + 1);
          damaged += 1;
          if (said(own, noFacts, other) !== null)
            throw new Error(`took ${JSON.stringify(other)} for ${JSON.stringify(raw)}`);
        }
    }),
    { numRuns: 100 },
  );
  expect(damaged).toBeGreaterThan(300_000);
});

test("frames of an own form are recognised and read, whatever rubbish lies between them", () => {
  const own = form(cellar({ kind: "xor", from: 1 }));
  const whole = frameOf("S     412.6 g", "xor", { from: 1 });
  const ear = hear([own], [...times(12, whole), "rubbish", ...times(3, whole)]);
  expect(ear.report).toMatchObject({ form: "own:cellar", unit: "g" });
  expect(ear.masses().filter((mass) => mass !== 412.6)).toEqual([]);
  expect(ear.masses().length).toBeGreaterThanOrEqual(13);
});

test("a try-out of a frame says that its check byte is wrong", () => {
  const own = form(cellar({ kind: "sum", place: "after-end" }));
  const whole = frameOf("S     412.6 g", "sum", { last: true });
  expect(tryOut(own, noFacts, whole)).toMatchObject({ wrongCheck: false, says: { mass: 412.6 } });
  const damaged = whole.replace("412.6", "413.6");
  const tried = tryOut(own, noFacts, damaged);
  expect(tried).toMatchObject({ wrongCheck: true, stoppedAt: null, leftOver: "", says: null });
  expect(tried.parts.map(({ name }) => name)).toEqual([
    "start",
    "mark",
    "padding",
    "sign",
    "digits",
    "literal",
    "unit",
    "end",
    "check",
  ]);
});

test.each<[object, string]>([
  [{ frame: 7, length: 9 }, "frame has to be a table"],
  [{ frame: { start: "", end: "\r" }, length: 9 }, 'start = "" is not a text of 1 to 4 bytes'],
  [{ frame: { start: "\u0002", end: "#" }, length: 9 }, "the end needs one of"],
  [{ frame: { start: "\u0002", end: "\r" } }, "frame needs the length"],
  [{ frame: { start: "\u0002", end: "\r", stop: "x" }, length: 9 }, 'frame takes no "stop"'],
  [{ check: { kind: "xor" } }, "check needs a frame"],
  [{ frame: { start: "\u0002", end: "\r" }, length: 9, check: "xor" }, "check has to be a table"],
  [
    { frame: { start: "\u0002", end: "\r" }, length: 9, check: { kind: "crc" } },
    'kind = "crc" is none of xor, sum',
  ],
  [
    { frame: { start: "\u0002", end: "\r" }, length: 9, check: { kind: "xor", from: 2 } },
    "from = 2 is not a whole number from 0 to 1",
  ],
  [
    { frame: { start: "\u0002", end: "\r" }, length: 9, check: { kind: "xor", place: "first" } },
    'place = "first" is none of before-end, after-end',
  ],
])("the frame %j is refused with what to do", (more, why) => {
  expect(details({ name: "a", line: [digits], ...more })).toContain(why);
});
