import { expect, test } from "vitest";
import { linesOf, measured } from "../../src/label/lines.ts";
import fc from "../rig/properties.ts";

const wide = (text: string) =>
  linesOf(
    measured(text, () => 0),
    1,
  );

/** As the library draws a piece: one whose first letter is of a script that runs from right to left is turned. */
const drawn = (piece: string): string => {
  const first = /[^\p{Script=Common}\p{Script=Inherited}]/u.exec(piece)?.[0] ?? "";
  const isTurned = /\p{Script=Hebrew}|\p{Script=Arabic}/u.test(first);
  return isTurned ? Array.from(piece).reverse().join("") : piece;
};

const mirrors: Readonly<Record<string, string>> = {
  "(": ")",
  ")": "(",
  "[": "]",
  "]": "[",
  "<": ">",
  ">": "<",
};

// Unicode, BidiCharacterTest-18.0.0.txt (2026-02-03, copyright Unicode, Inc.), lines as they stand there: letters;
// paragraph; its level; level of each letter, x where it has no form; letters from left to right. Taken are lines whose
// paragraph runs as its own first letter says, which is how a label sets a text.
const published = `05D0 05D1 0028 05D2 05D3 005B 0026 0065 0066 005D 002E 0029 0067 0068;1;1;1 1 1 1 1 1 1 2 2 1 1 1 2 2;12 13 11 10 9 7 8 6 5 4 3 2 1 0
0061 0062 0063 0020 0028 0064 0065 0066 0020 0627 0628 062C 0029 0020 05D0 05D1 05D2;0;0;0 0 0 0 0 0 0 0 0 1 1 1 0 0 1 1 1;0 1 2 3 4 5 6 7 8 11 10 9 12 13 16 15 14
05D0 05D1 05D2 0020 0028 0064 0065 0066 0020 0627 0628 062C 0029 0020 0061 0062 0063;1;1;1 1 1 1 1 2 2 2 1 1 1 1 1 1 2 2 2;14 15 16 13 12 11 10 9 8 5 6 7 4 3 2 1 0
0061 0062 0063 0020 0028 0627 0628 062C 0020 0064 0065 0066 0029 0020 05D0 05D1 05D2;0;0;0 0 0 0 0 1 1 1 0 0 0 0 0 0 1 1 1;0 1 2 3 4 7 6 5 8 9 10 11 12 13 16 15 14
05D0 05D1 05D2 0020 0028 0627 0628 062C 0020 0064 0065 0066 0029 0020 0061 0062 0063;1;1;1 1 1 1 1 1 1 1 1 2 2 2 1 1 2 2 2;14 15 16 13 12 9 10 11 8 7 6 5 4 3 2 1 0
0627 0628 062C 0020 0062 006F 006F 006B 0028 0073 0029;1;1;1 1 1 1 2 2 2 2 2 2 2;4 5 6 7 8 9 10 3 2 1 0
202E 0061 202A 0062 202C 2066 0063 2069 202A 0064 202C 0065 202C;2;0;x 1 x 2 x 1 2 1 x 2 x 1 x;11 9 7 6 5 3 1
202D 05D0 202B 05D1 202C 2068 05D2 2069 202B 05D3 202C 05D4 202C;2;1;x 2 x 3 x 2 3 2 x 3 x 2 x;1 3 5 6 7 9 11
202A 05D0 0028 05D1 202C 202D 0029;2;1;x 3 3 3 x x 2;3 2 1 6
202E 0028 202C 202B 0061 0029 0062;2;0;x 1 x x 2 2 2;4 5 6 1
062A 0031 002F 0032;2;1;1 2 2 2;1 2 3 0
05D0 202B 0062 202C 0020 0031 0020 0032;1;1;1 x 4 x 1 2 1 2;7 6 5 4 2 0
0061 202B 05D1 202C 0020 0031 0020 0032;0;0;0 x 1 x 1 2 1 2;0 7 6 5 4 2
0061 0028 05D0 005B 05D1 005D 0021 0029 0062;0;0;0 0 1 1 1 1 0 0 0;0 1 5 4 3 2 6 7 8
05D0 0028 0061 005B 0062 005D 0021 0029 05D1;1;1;1 1 2 2 2 2 1 1 1;8 7 6 2 3 4 5 1 0`;

test.each(published.split("\n"))("a line is seen as Unicode's own test says: %s", (line) => {
  const [codePoints = "", , level, levels = "", order = ""] = line.split(";");
  const letters = codePoints.split(" ").map((hex) => String.fromCodePoint(parseInt(hex, 16)));
  const ranks = levels.split(" ").map(Number);
  const expected = order
    .split(" ")
    .map(Number)
    .map((index) => {
      const letter = letters[index] ?? "";
      return (ranks[index] ?? 0) % 2 === 1 ? (mirrors[letter] ?? letter) : letter;
    })
    .join("")
    .replaceAll(/\p{Cf}/gu, "");
  const [one, ...others] = wide(letters.join(""));
  expect(others).toEqual([]);
  expect(one?.pieces.map(drawn).join("")).toBe(expected);
  expect(one?.fromRight).toBe(level === "1");
});

// The widths are the letters' count.
const broken = (text: string, width: number) =>
  linesOf(
    measured(text, (piece) => Array.from(piece).length),
    width,
  ).map(({ pieces }) => pieces.map(drawn).join(""));

test("lines are filled in the order in which they are read, and each is turned by itself", () => {
  expect(broken("אחת שתיים שלוש 250 g", 10)).toEqual(["םייתש תחא", "g 250 שולש"]);
  expect(broken("From: \u2068אחת (שתיים) 3\u2069, ok", 12)).toEqual([
    "From: תחא",
    "3 (םייתש),",
    "ok",
  ]);
});

test("digits are drawn in their order, whichever script they are of", () => {
  for (const digits of ["12.5", "١٢٫٥", "۱۲٫۵"]) {
    expect(broken(`كغ ${digits}`, 50)).toEqual([`${digits} غك`]);
    expect(broken(digits, 50)).toEqual([digits]);
    expect(broken(`x (${digits}) y`, 50)).toEqual([`x (${digits}) y`]);
  }
});

test("scripts that join are drawn apart from those that do not, and letters that are kept apart are not joined", () => {
  expect(wide("שלוםسلام")[0]?.pieces).toEqual(["سلام", "שלום"]);
  expect(wide("می\u200Cخواهم")[0]?.pieces).toEqual(["خواهم", "می"]);
});

const letters = Array.from("ab 12.,()-é\u0301אבגָ ابج١۱\u200C\u200F\u202E\u202C\u2068\u2069🍓");
const whole = (text: string): string =>
  Array.from(text.replaceAll(/[\s\p{Cf}]/gu, ""))
    .sort()
    .join("");

test("whatever is typed, no letter is lost, none is put in, and no line is wider than it may be", () => {
  fc.assert(
    fc.property(
      fc.array(fc.constantFrom(...letters), { maxLength: 60 }),
      fc.integer({ min: 2, max: 30 }),
      (typed, width) => {
        const text = typed.join("");
        const lines = broken(text, width);
        // A bracket may stand there mirrored.
        const plain = (one: string): string => whole(one.replaceAll(/[()]/g, "|"));
        expect(plain(lines.join(""))).toBe(plain(text));
        for (const line of lines) {
          const clusters = [...new Intl.Segmenter().segment(line)];
          expect(Array.from(line).length <= width || clusters.length === 1).toBe(true);
        }
      },
    ),
  );
});
