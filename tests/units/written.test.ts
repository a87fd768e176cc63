import { describe, expect, test } from "vitest";
import { folded, inOneForm, isLegible, isolated } from "../../src/units/written.ts";
import fc from "../rig/properties.ts";

// Unicode, UAX #15, figures 3 to 5 (from memory): one letter written in two ways.
test.each([
  ["letters with marks", "Cre\u0300me bru\u0302le\u0301e", "Crème brûlée"],
  ["the sign for an angstrom", "\u212B", "Å"],
  ["Hangul in its parts", "\u1100\u1161", "가"],
  ["spaces around", "  A ", "A"],
  ["spaces of any kind within", "A \u00A0\u3000\t B", "A B"],
  ["line breaks", "A\r\nB\u2028C", "A B C"],
  ["a control", "A\u0007B", "A B"],
  ["what is not seen", "\uFEFFA\u200BB\u00AD\u2060", "AB"],
  ["an override", "\u202Egpj.exe", "gpj.exe"],
  ["nothing but what is not seen", " \u200B\u2068\u2069 ", ""],
])("%s are brought into one form", (_name, typed, form) => {
  expect(inOneForm(typed)).toBe(form);
});

test.each([
  ["a family", "👨‍👩‍👧‍👦"],
  ["a flag", "🇮🇱"],
  ["England's flag", "\u{1F3F4}\u{E0067}\u{E0062}\u{E0065}\u{E006E}\u{E0067}\u{E007F}"],
  ["a heart in colour", "❤️"],
  ["Persian kept apart", "می\u200Cخواهم"],
  ["Hindi joined", "क्\u200Dष"],
  ["Hebrew with points", "לָחֶם"],
  ["a mark of direction", "C++\u200E שלום"],
])("%s stays as it was typed", (_name, typed) => {
  expect(inOneForm(typed)).toBe(typed.normalize("NFC"));
  expect(isLegible(typed)).toBe(true);
});

test("whatever is typed, its form has that form, and no control or space at its ends", () => {
  fc.assert(
    fc.property(fc.string({ unit: "binary" }), (typed) => {
      const form = inOneForm(typed);
      expect(inOneForm(form)).toBe(form);
      expect(form).toBe(form.normalize("NFC"));
      expect(form).not.toMatch(/\p{Cc}|^\s|\s$|\s\s/u);
      expect(folded(form)).toBe(folded(typed));
    }),
  );
});

describe("a letter", () => {
  test("with all marks that Unicode's text for streams allows is legible, with a hundred it is not", () => {
    expect(isLegible(`Z${"\u0301".repeat(30)}algo `.repeat(10))).toBe(true);
    expect(isLegible(`Z${"\u0301".repeat(100)}algo`)).toBe(false);
    expect(isLegible("👩\u200D".repeat(60))).toBe(false);
    expect(isLegible("x".repeat(5000))).toBe(true);
  });
});

test("a name from right to left is kept from turning what stands beside it; others stay as they are", () => {
  for (const name of ["דג", "سمك", "Fish דג", "ܢܘܢܐ", "\u{1E900}"])
    expect(isolated(name)).toBe(`\u2068${name}\u2069`);
  for (const name of ["Tray 1", "Süß", "草莓", "👨‍👩‍👧‍👦", "é", "Борщ", "ต้มยำ"])
    expect(isolated(name)).toBe(name);
});
