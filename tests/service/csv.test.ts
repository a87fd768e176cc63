import { expect, test } from "vitest";
import * as acts from "../../src/service/acts.ts";
import { weighingsCsv } from "../../src/service/csv.ts";
import { logOf } from "../../src/service/look.ts";
import { loadFoodTable } from "../../src/foodtable.ts";
import { readLog } from "../../src/verdict/log.ts";
import { parseTable } from "../../src/units/csv.ts";
import { dried, drying, round, stoodStill } from "./given.ts";

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

test.each(["=1+1", "'=1+1", "''-2", "-3; +4", "it's", "'", 'a "b"; c', "\n=x"])(
  "a name that was made harmless is read back as it was: %j",
  (name) => {
    const { batch } = dried();
    const called = { ...batch, trays: batch.trays.map((tray) => ({ ...tray, name })) };
    for (const mark of ["point", "comma"] as const) {
      const csv = weighingsCsv(called, 1, "0".repeat(64), mark);
      const { batches, problems } = readLog(csv, loadFoodTable());
      expect(problems).toEqual([]);
      expect(batches[0]?.logs.map(({ tray }) => tray)).toEqual([name]);
    }
  },
);

test("with decimal commas semicolons stand between the cells, and no figure has a point", () => {
  const csv = weighingsCsv(dried().batch, 1, "0".repeat(64), "comma");
  const [header, ...rows] = parseTable(csv, ";");
  const numbers = ["hours", "grams", "tare_g", "resolution_g", "fresh_g", "water_pct"];
  const figures = rows.flatMap(({ cells }) =>
    numbers.map((name) => cells[header?.cells.indexOf(name) ?? -1]),
  );
  expect(figures).toContain("1307,2");
  for (const one of figures) expect(one).toMatch(/^\d+(,\d+)?$/);
});

test("a plain name comes out as it is, and numbers stay numbers", () => {
  expect(exported("Tray 1, upper")).toContain("Tray 1, upper");
  expect(weighingsCsv(dried().batch, 1, "0".repeat(64))).not.toMatch(/'\d|'-/);
});

test("what was answered of the thickest piece stands beside the weighing before it, and judge reads the rest as before", () => {
  const played = drying();
  const [one, other] = played.batch.trays;
  const answer = (tray: number, finding: "soft" | "cold" | "dry") =>
    played.act((bench) => acts.checkCore(bench, tray, finding, played.at()));
  round(played, 600, 640);
  answer(one!.id, "soft");
  answer(other!.id, "dry");
  played.clock("in");
  played.hour += 8;
  round(played, 480);
  answer(one!.id, "cold");
  answer(one!.id, "dry");
  const csv = weighingsCsv(played.batch, 1, "0".repeat(64));
  const [header, ...rows] = parseTable(csv, ",");
  const cell = (cells: readonly string[], name: string) => cells[header!.cells.indexOf(name)];
  const said = (tray: string) =>
    rows
      .filter(({ cells }) => cell(cells, "tray") === tray)
      .map(({ cells }) => cell(cells, "thickest_piece"));
  const before = said(one!.name);
  expect(before.slice(-2)).toEqual(["soft", "cold, dry"]);
  expect(before.slice(0, -2).join("")).toBe("");
  expect(said(other!.name).at(-1)).toBe("dry");
  const without = csv.replaceAll(/"cold, dry"|soft|(?<=,)dry(?=,)/g, "");
  expect(readLog(csv, loadFoodTable())).toEqual(readLog(without, loadFoodTable()));
  expect(readLog(csv, loadFoodTable()).notes).toEqual([]);
});

test("a dryer that stood still is told in the export, so that judge compares no weighings across it", () => {
  const { batch } = stoodStill();
  const kept = batch.trays.map((tray) => logOf(batch, tray, 1).weighings.map((one) => one.stretch));
  expect(kept).toEqual([
    [0, 1],
    [0, 1],
  ]);
  const [read] = readLog(weighingsCsv(batch, 1, "0".repeat(64)), loadFoodTable()).batches;
  const dry = read?.logs.map(({ weighings }) => weighings.filter((one) => one.dryingHours > 0));
  expect(dry?.map((weighings) => weighings.map((one) => one.stretch))).toEqual(kept);
});
