import { expect, test } from "vitest";
import { weighingsCsv } from "../../src/service/csv.ts";
import { parseTable } from "../../src/units/csv.ts";
import { dried } from "./given.ts";

/** The names of a batch's first tray as they come out. */
function exported(name: string): string[] {
  const { batch } = dried();
  const trays = batch.trays.map((tray, place) => (place === 0 ? { ...tray, name } : tray));
  const csv = weighingsCsv({ ...batch, trays }, 1, "0".repeat(64));
  const [header, ...rows] = parseTable(csv, ",");
  const column = header?.cells.indexOf("tray") ?? -1;
  return rows.map(({ cells }) => cells[column] ?? "");
}

// Characters with which a spreadsheet begins a formula: OWASP, "CSV Injection", and OWASP ASVS 5.0, 1.2.10.
test.each([
  "=1+1",
  "+1+1",
  "-1+1",
  "@SUM(A1)",
  "\t=1+1",
  "\r=1+1",
  "\n=1+1",
  "=cmd|' /C calc'!A0",
  '=HYPERLINK("http://x.test","y")',
  "tray;=1+1;x",
  "tray,=1+1",
  'tray"\n=1+1',
])("a tray called %j runs nothing in a spreadsheet, whatever separates its cells", (name) => {
  const names = exported(name);
  expect(names.length).toBeGreaterThan(1);
  expect(names).toContainEqual(expect.stringContaining("'"));
  for (const one of names)
    for (const cell of one.split(/[;,\t\r\n]/)) expect(cell, one).not.toMatch(/^[=+\-@]/);
});

test("a plain name comes out as it is, and numbers stay numbers", () => {
  expect(exported("Tray 1, upper")).toContain("Tray 1, upper");
  expect(weighingsCsv(dried().batch, 1, "0".repeat(64))).not.toMatch(/'\d|'-/);
});
