import { expect, test } from "vitest";
import { commaShownBy, readNumber } from "../../src/reading/number.ts";
import fc from "../rig/properties.ts";

const read = (text: string, comma: "decimal" | "thousands" | null = null): unknown => {
  const found = readNumber(text, comma);
  return found?.is === "number" ? [found.value, found.decimals] : (found?.is ?? null);
};

test.each([
  ["123.4", 123.4, 1],
  ["+    123.4", 123.4, 1],
  ["-      2.1", -2.1, 1],
  ["12.3-", -12.3, 1],
  ["12.3 -", -12.3, 1],
  ["000-12.3", -12.3, 1],
  ["000125.40", 125.4, 2],
  [".5", 0.5, 1],
  ["12.", 12, 0],
  ["98,5", 98.5, 1],
  ["98,50", 98.5, 2],
  ["1,2345", 1.2345, 4],
  ["0,412", 0.412, 3],
  ["1250,125", 1250.125, 3],
  ["1,234.5", 1234.5, 1],
  ["1,234,567", 1234567, 0],
])("%s is %d with %d decimals", (text, value, decimals) => {
  expect(read(text)).toEqual([value, decimals]);
});

test("a comma before exactly three digits is left open until its meaning is known", () => {
  expect(read("1,250")).toBe("open-comma");
  expect(read("-12,305")).toBe("open-comma");
  expect(read("1,250", "decimal")).toEqual([1.25, 3]);
  expect(read("1,250", "thousands")).toEqual([1250, 0]);
});

test("a zero with a minus is zero", () => {
  for (const text of ["-0.0", "0.0-", "-  0"]) {
    const found = readNumber(text, null);
    expect(found?.is === "number" && Object.is(found.value, 0)).toBe(true);
  }
});

test.each([
  "",
  "-",
  "+-1",
  "--1",
  "-1-",
  "1.2.3",
  "1,2,3",
  "1.234,5",
  "12,34,567",
  "1e5",
  "0x10",
  "1 2",
])("%j is no number", (text) => {
  expect(read(text)).toBeNull();
});

test("one line with a comma that can only mark decimals settles it for the scale", () => {
  expect(commaShownBy(["  1,250 kg"])).toBeNull();
  expect(commaShownBy(["  1,250 kg", "  0,000 kg"])).toBe("decimal");
  expect(commaShownBy(["ST,GS,+  1,25 kg"])).toBe("decimal");
  expect(commaShownBy(["1,234,567"])).toBeNull();
});

test("what a display shows is read as it is meant, whatever its sign and decimals", () => {
  const shown = fc.record({
    counts: fc.integer({ min: -9_999_999, max: 9_999_999 }),
    decimals: fc.integer({ min: 0, max: 4 }),
    behind: fc.boolean(),
    blanks: fc.integer({ min: 0, max: 5 }),
  });
  fc.assert(
    fc.property(shown, ({ counts, decimals, behind, blanks }) => {
      const digits = (Math.abs(counts) / 10 ** decimals).toFixed(decimals);
      const sign = counts < 0 ? "-" : "";
      const text = behind ? digits + sign : sign + " ".repeat(sign ? blanks : 0) + digits;
      const found = readNumber(text, null);
      expect(found).toMatchObject({ is: "number", decimals });
      expect(found?.is === "number" ? Math.round(found.value * 10 ** decimals) : null).toBe(counts);
    }),
  );
});
