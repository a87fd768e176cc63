import { expect, test } from "vitest";
import { afterStroke, bagNumberIn, nothingTyped, type Stroke } from "../../web/src/wedge.ts";

/** Strokes of a scanner, so many milliseconds apart. */
const strokes = (text: string, everyMs: number, codeOf?: (char: string) => string): Stroke[] =>
  [...text.split(""), "Enter"].map((key, at) => ({
    key,
    code: codeOf?.(key) ?? "",
    atMs: 1000 + at * everyMs,
  }));

function scanned(all: readonly Stroke[]): string | null {
  let typed = nothingTyped;
  let found: string | null = null;
  for (const stroke of all) {
    const after = afterStroke(typed, stroke);
    ({ typed } = after);
    found = after.scanned ?? found;
  }
  return found;
}

test("a number that is struck quickly and ends with Enter was scanned", () => {
  expect(scanned(strokes("12-3", 10))).toBe("12-3");
  expect(scanned(strokes("PRACTICE-3-1", 40))).toBe("PRACTICE-3-1");
});

test("a number that is torn in the middle is none: its tail would be another bag's", () => {
  const torn = strokes("17-1", 10).map((stroke, at) =>
    at === 0 ? stroke : { ...stroke, atMs: stroke.atMs + 900 },
  );
  expect(scanned(torn)).toBeNull();
  // After a silence a new number begins, whatever was struck before.
  const later = strokes("7-1", 10).map((stroke) => ({ ...stroke, atMs: stroke.atMs + 9000 }));
  expect(scanned([{ key: "1", code: "", atMs: 1000 }, ...later])).toBe("7-1");
  expect(scanned([...torn, ...later])).toBe("7-1");
});

test("a page that was busy between two strokes still hears the whole number", () => {
  expect(scanned(strokes("12-3", 150))).toBe("12-3");
});

test("a scanner set to another country's keyboard is read by where its keys sit", () => {
  // A scanner that strikes American keys on a German keyboard: the hyphen comes out as a sharp s.
  const german = strokes("12\u00df3", 10, (char) => (char === "\u00df" ? "Minus" : ""));
  expect(scanned(german)).toBe("12-3");
  // On a French keyboard the digits' keys give other signs.
  const places: Readonly<Record<string, string>> = {
    "&": "Digit1",
    "\u00e9": "Digit2",
    ")": "Minus",
    '"': "Digit3",
  };
  expect(scanned(strokes('&\u00e9)"', 10, (char) => places[char] ?? ""))).toBe("12-3");
});

test("the address in a label's code is the bag that it ends with, whatever the scanner's keyboard makes of its signs", () => {
  const address = "http://scale.lan:4680/#/shelf/17-1";
  expect(scanned(strokes(address, 10))).toBe("17-1");
  // Of German keys "/" sits on the 7, ":" and "." on signs of their own.
  const placeOf: Readonly<Record<string, string>> = {
    "/": "Digit7",
    ":": "Period",
    "#": "Backslash",
  };
  expect(scanned(strokes(address, 10, (char) => placeOf[char] ?? ""))).toBe("17-1");
  // American keys on a German keyboard: the slash comes out as a hyphen, the hyphen as a sharp s.
  const crossed = "http\u00d6--scale.lan\u00d64680-\u00a7-shelf-PRACTICE\u00df17\u00df1";
  const codes: Readonly<Record<string, string>> = {
    "\u00d6": "Semicolon",
    "-": "Slash",
    "\u00a7": "Digit3",
    "\u00df": "Minus",
  };
  expect(scanned(strokes(crossed, 10, (char) => codes[char] ?? ""))).toBe("PRACTICE-17-1");
  const torn = strokes(address, 10).map((stroke, at) =>
    at < address.length - 3 ? stroke : { ...stroke, atMs: stroke.atMs + 900 },
  );
  expect(scanned(torn)).toBeNull();
});

test("shift between the letters is no letter", () => {
  const all = strokes("PRACTICE-1-1", 8).flatMap((stroke) => [
    { key: "Shift", code: "ShiftLeft", atMs: stroke.atMs - 4 },
    stroke,
  ]);
  expect(scanned(all)).toBe("PRACTICE-1-1");
});

test("another code, an Enter alone, and a number after a pause within it are none", () => {
  expect(scanned(strokes("4006381333931", 10))).toBeNull();
  expect(scanned(strokes("", 10))).toBeNull();
  const broken = strokes("12-3", 10).map((stroke, at) =>
    at < 2 ? stroke : { ...stroke, atMs: stroke.atMs + 500 },
  );
  expect(scanned(broken)).toBeNull();
});

test.each([
  ["12-3", true],
  [" 12-3 ", true],
  ["practice-12-3", true],
  ["12", false],
  ["12-", false],
  ["https://example.org/12-3", false],
])("%s is a label's number: %s", (text, is) => {
  expect(bagNumberIn(text) !== null).toBe(is);
});
