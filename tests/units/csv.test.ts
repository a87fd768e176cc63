import { expect, test } from "vitest";
import { parseTable, separatorOf } from "../../src/units/csv.ts";

const cellsOf = (text: string, separator: "," | ";" | "\t" = ",") =>
  parseTable(text, separator).map(({ cells }) => cells);

// The examples of RFC 4180, section 2.
test("RFC 4180: with and without a last line break, and with a header", () => {
  expect(cellsOf("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n")).toEqual([
    ["aaa", "bbb", "ccc"],
    ["zzz", "yyy", "xxx"],
  ]);
  expect(cellsOf("aaa,bbb,ccc\r\nzzz,yyy,xxx")).toEqual([
    ["aaa", "bbb", "ccc"],
    ["zzz", "yyy", "xxx"],
  ]);
});

test("RFC 4180: quoted cells may hold separators, line breaks and doubled quotes", () => {
  expect(cellsOf('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx')).toEqual([
    ["aaa", "b\r\nbb", "ccc"],
    ["zzz", "yyy", "xxx"],
  ]);
  expect(cellsOf('"aaa","b""bb","ccc"')).toEqual([["aaa", 'b"bb', "ccc"]]);
});

test("a record is named by the line on which it begins, blank lines counted and left out", () => {
  const records = parseTable('a,b\n\n"two\nlines",1\n , \nlast,2\n', ",");
  expect(records.map(({ line, cells }) => [line, cells[0]])).toEqual([
    [1, "a"],
    [3, "two\nlines"],
    [6, "last"],
  ]);
});

test("a byte order mark is not part of the first name", () => {
  expect(cellsOf("\uFEFFhours,grams")).toEqual([["hours", "grams"]]);
});

test("a lone carriage return ends a record, and its line is counted", () => {
  const records = parseTable("a,b\r1,2\r\n3,4\n5,6", ",");
  expect(records.map(({ line, cells }) => [line, ...cells])).toEqual([
    [1, "a", "b"],
    [2, "1", "2"],
    [3, "3", "4"],
    [4, "5", "6"],
  ]);
});

test.each([
  ['a,"b\nc,d\n', [1]],
  ['a\n"b"c\nd\n', [2]],
  ['a\n"b" ,c\n"d""e"\n5" thick\n', []],
])("quotation marks without a partner are seen in their record: %j", (text, torn) => {
  const records = parseTable(text, ",").filter(({ isTorn }) => isTorn);
  expect(records.map(({ line }) => line)).toEqual(torn);
});

test("the separator is the one that cuts the header most, quotes respected", () => {
  expect(separatorOf("hours;grams;food, cooked\n")).toBe(";");
  expect(separatorOf("hours\tgrams\n")).toBe("\t");
  expect(separatorOf('"a;b;c",grams\n')).toBe(",");
  expect(separatorOf("hours\n")).toBe(",");
});
