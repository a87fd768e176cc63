/**
 * A hand-kept log in CSV, as the public contract describes it, made into tray logs. Nothing is dropped in silence:
 * a row that cannot be read is a problem with its line, a figure that was filled in is a note.
 */
import { foodByNumberOrName, findFoods } from "../food/find.ts";
import type { Food } from "../food/food.ts";
import type { FoodTable } from "../food/table.ts";
import type { FoodOnTray, NetWeighing, TrayLog } from "../tray/weighing.ts";
import { asWritten, parseTable, separatorOf, type Record, type Separator } from "../units/csv.ts";
import { inOneForm } from "../units/written.ts";
import { gramsPer, isMassUnit, toGrams, type MassUnit } from "../units/mass.ts";
import { fraction, grams, hours, minutes, utcMs, type Grams } from "../units/quantity.ts";
import { distance } from "../units/nearest.ts";
import { disagreements, tareNotes } from "./disagree.ts";
import { inferredDivision, numberIn, utcIn } from "./figures.ts";

export type LogProblem = { readonly line: number; readonly text: string };
/** `foodName`: as it was written, also where the table does not have it; null where none was. */
export type LoggedTray = TrayLog & { readonly foodName: string | null };
export type BatchLog = { readonly batch: string; readonly logs: readonly LoggedTray[] };
export type ReadLog = {
  readonly batches: readonly BatchLog[];
  readonly problems: readonly LogProblem[];
  readonly notes: readonly string[];
};

const columns = [
  "hours",
  "grams",
  "unit",
  "tray",
  "batch",
  "tare_g",
  "resolution_g",
  "fresh_g",
  "food",
  "water_pct",
  "water_sd_pct",
  "thickness_mm",
  "minutes_out",
  "stretch",
  "food_taken",
  "at",
] as const;
type Column = (typeof columns)[number];

const figures = [
  "hours",
  "grams",
  "tare_g",
  "resolution_g",
  "fresh_g",
  "water_pct",
  "water_sd_pct",
  "thickness_mm",
  "minutes_out",
] as const satisfies readonly Column[];

/** Spread of the user's own figure for the water in a food where none is given, g per g. Our choice. */
const ownFigureSd = 0.01;

/** One row, understood. */
type Row = {
  readonly line: number;
  readonly tray: string;
  readonly batch: string;
  readonly hours: number;
  readonly net: Grams;
  /** The figure as written and its unit, for the division. */
  readonly written: string;
  readonly unit: MassUnit;
  readonly tare: number | null;
  readonly division: number | null;
  readonly fresh: number | null;
  readonly food: string;
  readonly water: number | null;
  readonly waterSd: number | null;
  readonly thickness: number | null;
  readonly minutesOut: number | null;
  readonly stretch: number;
  readonly foodTaken: boolean;
  readonly atUtcMs: number | null;
};

/** `mostRows`: a longer log is refused before anything is made of it. */
export function readLog(text: string, foods: FoodTable, mostRows = Infinity): ReadLog {
  const separator = separatorOf(text);
  const [header, ...records] = parseTable(text, separator);
  if (header === undefined)
    return refused(1, "the file is empty; its first line names the columns");
  // What was read as UTF-8 and is not has this letter in place of each that was lost: names would become one.
  const garbled = [header, ...records].find(({ cells }) => cells.join("").includes("\uFFFD"));
  if (garbled !== undefined)
    return refused(garbled.line, "letters here are not in UTF-8: save the file again as UTF-8");
  const names = header.cells.map((name) => name.trim().toLowerCase());
  const missing = ["hours", "grams"].filter((name) => !names.includes(name));
  if (missing.length > 0)
    return refused(
      header.line,
      `no column ${missing.join(" and no column ")}; found ${names.join(", ")}`,
    );
  const twice = columns.find((name) => names.indexOf(name) !== names.lastIndexOf(name));
  if (twice !== undefined) return refused(header.line, `the column ${twice} is there twice`);
  if (records.length === 0) return refused(header.line, "no rows below the header");
  if (records.length > mostRows)
    return refused(header.line, `${records.length} rows: bring in at most ${mostRows} at once`);

  const problems: LogProblem[] = [];
  const rows: Row[] = [];
  const places = new Map<Column, number>(columns.map((name) => [name, names.indexOf(name)]));
  const marks = decimalMarks(separator);
  for (const record of records) {
    const { line, cells } = record;
    const cell = (name: Column): string => (cells[places.get(name) ?? -1] ?? "").trim();
    const badlyCut = badCut(record, names, cell, separator);
    const row = badlyCut === null ? readRow(line, cell, separator) : { problem: badlyCut };
    const otherMark = marks(line, cell);
    if ("problem" in row) problems.push({ line, text: row.problem });
    else if (otherMark !== null) problems.push({ line, text: otherMark });
    else rows.push(row);
  }
  if (problems.length > 0) return { batches: [], problems, notes: [] };

  const notes: string[] = [...unreadColumns(names)];
  const known = foodsIn(foods, notes);
  const batches = groupsBy(rows, ({ batch }) => inOneForm(batch)).map(([, ofBatch]) => {
    const inferred = divisionsIn(ofBatch);
    return {
      batch: ofBatch[0]!.batch,
      logs: groupsBy(ofBatch, ({ tray }) => inOneForm(tray)).map(([, ofTray]) => {
        const given = ofTray.map((row) => ({ ...row, foodKey: known.keyOf(row.food) }));
        problems.push(...disagreements(given));
        notes.push(...tareNotes(given));
        return logOf(ofTray[0]!.tray, ofTray, inferred, known.foodFor, notes);
      }),
    };
  });
  if (problems.length > 0)
    return { batches: [], problems: problems.toSorted((a, b) => a.line - b.line), notes: [] };
  return { batches, problems: [], notes: [...new Set(notes)] };
}

/** What of a record may stand under another column than it was meant for; null: nothing. */
function badCut(
  { cells, isTorn }: Record,
  names: readonly string[],
  cell: (name: Column) => string,
  separator: Separator,
): string | null {
  // A quotation mark that lacks its partner takes in the rows below, to the next one.
  const tookRows = (["tray", "batch", "food"] as const).some(
    (name) => /[\r\n]/.test(cell(name)) && cell(name).includes(separator),
  );
  if (isTorn || tookRows) return "the quotation marks do not pair up: one is missing or too many";
  const stray = cells.find((one, at) => one.trim() !== "" && (names[at] ?? "") === "");
  return stray === undefined
    ? null
    : `"${stray.trim()}" stands under no column: write figures with a point, or name the column`;
}

/** Where a comma does not separate cells, it and the point are both decimal marks, but not in one file: there one of them groups thousands. */
function decimalMarks(separator: Separator) {
  let first: { readonly figure: string; readonly mark: string; readonly line: number } | null =
    null;
  return (line: number, cell: (name: Column) => string): string | null => {
    if (separator === ",") return null;
    for (const name of figures) {
      const figure = cell(name);
      const mark = /[.,]/.exec(figure)?.[0];
      if (mark === undefined) continue;
      first ??= { figure, mark, line };
      if (mark !== first.mark)
        return `"${figure}" has another decimal mark than "${first.figure}" in line ${first.line}: write one in all rows, and none between thousands`;
    }
    return null;
  };
}

/** Slips of the pen in a column's name that are still taken for it. */
const mostSlips = 2;

/** A column that is not known, with a name that begins like one that is not there or is nearly the same. */
function unreadColumns(names: readonly string[]): readonly string[] {
  const there = new Set(names);
  const missing = columns.filter((column) => !there.has(column));
  const known = new Set<string>(columns);
  return [...there].flatMap((name) => {
    if (known.has(name)) return [];
    const [stem] = /^[a-z]*/.exec(name) ?? [];
    const meant = missing.find(
      (column) =>
        column.split("_")[0] === stem || (name.length > 4 && distance(name, column) <= mostSlips),
    );
    return meant === undefined ? [] : [`the column "${name}" was not read; was ${meant} meant?`];
  });
}

const refused = (line: number, text: string): ReadLog => ({
  batches: [],
  problems: [{ line, text }],
  notes: [],
});

/** Far above any mass, time or division; beyond it figures overflow ("1e400"). */
const mostInLog = 1e9;

function readRow(
  line: number,
  cell: (name: Column) => string,
  separator: Separator,
): Row | { readonly problem: string } {
  const problems: string[] = [];
  const numberOf = (name: Column, isRight: (value: number) => boolean, wanted: string) => {
    const text = cell(name);
    if (text === "") return null;
    const value = numberIn(text, separator !== ",");
    if (value !== null && isRight(value) && value <= mostInLog) return value;
    const isTooMuch = value !== null && value > mostInLog;
    problems.push(`${name} is "${text}", ${isTooMuch ? "far too much" : `wanted ${wanted}`}`);
    return null;
  };
  const positive = (value: number): boolean => value > 0;
  const notNegative = (value: number): boolean => value >= 0;
  for (const name of ["hours", "grams"] as const)
    if (cell(name) === "") problems.push(`${name} is empty`);
  const dryingHours = numberOf("hours", notNegative, "drying hours, 0 or more");
  const mass = numberOf("grams", positive, "a mass above 0");
  const tare = numberOf("tare_g", notNegative, "grams, 0 or more");
  const division = numberOf("resolution_g", positive, "grams above 0");
  const fresh = numberOf("fresh_g", positive, "grams above 0");
  const water = numberOf("water_pct", (value) => value > 0 && value < 100, "between 0 and 100");
  const waterSd = numberOf("water_sd_pct", (value) => value > 0 && value < 50, "between 0 and 50");
  const thickness = numberOf("thickness_mm", positive, "millimetres above 0");
  const minutesOut = numberOf("minutes_out", notNegative, "minutes, 0 or more");
  const isCount = (value: number): boolean => Number.isInteger(value) && value >= 0;
  const stretch = numberOf("stretch", isCount, "a whole number, 0 or more");
  const taken = numberOf("food_taken", isCount, "a whole number, 0 or more");
  const unit = cell("unit") === "" ? "g" : cell("unit").toLowerCase();
  if (!isMassUnit(unit))
    problems.push(`unit is "${cell("unit")}", wanted ${Object.keys(gramsPer).join(", ")}`);
  const atUtcMs = cell("at") === "" ? null : utcIn(cell("at"));
  if (cell("at") !== "" && atUtcMs === null)
    problems.push(`at is "${cell("at")}", wanted ISO 8601 such as 2026-01-31T18:05:00+01:00`);
  if (problems.length > 0 || dryingHours === null || mass === null || !isMassUnit(unit))
    return { problem: problems.join("; ") };
  const net = grams(toGrams(mass, unit) - (tare ?? 0));
  if (net <= 0)
    return { problem: `grams is ${cell("grams")} ${unit}, no more than the tare of ${tare} g` };
  return {
    line,
    tray: asWritten(cell("tray")),
    batch: asWritten(cell("batch")),
    hours: dryingHours,
    net,
    written: cell("grams"),
    unit,
    tare,
    division,
    fresh,
    food: inOneForm(asWritten(cell("food"))),
    water: water === null ? null : water / 100,
    waterSd: waterSd === null ? null : waterSd / 100,
    thickness,
    minutesOut,
    stretch: stretch ?? 0,
    foodTaken: taken !== null && taken > 0,
    atUtcMs,
  };
}

/** The division that the figures of a batch show, by unit. */
const divisionsIn = (rows: readonly Row[]): ReadonlyMap<MassUnit, number> =>
  new Map(
    groupsBy(rows, ({ unit }) => unit).map(([unit, inUnit]) => [
      unit,
      inferredDivision(inUnit.map(({ written }) => written)),
    ]),
  );

function logOf(
  tray: string,
  rows: readonly Row[],
  divisions: ReadonlyMap<MassUnit, number>,
  foodFor: FoodFor,
  notes: string[],
): LoggedTray {
  const anyStated = rows.find(({ division }) => division !== null)?.division ?? null;
  const divisionFor = (row: Row): Grams => {
    const stated = row.division ?? anyStated;
    if (stated !== null) return grams(stated);
    const inferred = divisions.get(row.unit) ?? 1;
    notes.push(
      `no resolution_g${row.batch === "" ? "" : ` in batch ${row.batch}`}: taken as ${inferred} ${row.unit} from the figures`,
    );
    return toGrams(inferred, row.unit);
  };
  const weighings = rows.map((row): NetWeighing => weighingOf(row, row.net, divisionFor(row)));
  const stated = rows.filter(({ fresh }) => fresh !== null);
  const [first] = stated;
  // Of several rows at hour 0 the first stands for the fresh mass, so that a conflict with the others is seen.
  const [unloaded, again] = weighings.filter(({ dryingHours }) => dryingHours === 0);
  const tare = rows.find((row) => row.tare !== null)?.tare ?? null;
  const thickness = rows.find((row) => row.thickness !== null)?.thickness ?? null;
  // A second, other figure for the fresh mass counts as a weighing at hour 0, so that the conflict is seen.
  const others = stated
    .filter(({ fresh }) => fresh !== first?.fresh)
    .map((row) => weighingOf({ ...row, hours: 0 }, grams(row.fresh!), divisionFor(row)));
  return {
    tray,
    tare: tare === null ? null : grams(tare),
    fresh:
      first !== undefined
        ? { net: grams(first.fresh!), division: divisionFor(first), ref: first.line }
        : unloaded !== undefined && again !== undefined
          ? { net: unloaded.net, division: unloaded.division, ref: unloaded.ref }
          : null,
    food: foodFor(rows),
    foodName: rows.find(({ food }) => food !== "")?.food ?? null,
    ...(thickness === null ? {} : { thicknessMm: thickness }),
    weighings: [...weighings, ...others],
    coreChecks: [],
  };
}

const weighingOf = (row: Row, net: Grams, division: Grams): NetWeighing => ({
  dryingHours: hours(row.hours),
  net,
  division,
  minutesOut: row.minutesOut === null ? null : minutes(row.minutesOut),
  stretch: row.stretch,
  at: row.atUtcMs === null ? null : utcMs(row.atUtcMs),
  ref: row.line,
  ...(row.foodTaken ? { foodTaken: true } : {}),
});

type FoodFor = (rows: readonly Row[]) => FoodOnTray | null;

/** To search the table for what a name may have meant takes milliseconds; a whole log may hold thousands of names. */
const mostHints = 20;

/** A name is looked up once, on however many trays it lies. `keyOf`: one for all ways to write the food, null for none. */
function foodsIn(
  foods: FoodTable,
  notes: string[],
): { readonly foodFor: FoodFor; keyOf(name: string): string | null } {
  const known = new Map<string, Food | null>();
  const hints = new Map<string, string>();
  const find = (name: string): Food | null => {
    const found = known.get(name);
    if (found !== undefined) return found;
    const looked = foodByNumberOrName(foods, name);
    known.set(name, looked);
    return looked;
  };
  const hintFor = (name: string): string => {
    const made = hints.get(name);
    if (made !== undefined || hints.size >= mostHints) return made ?? "";
    const [near] = findFoods(foods, name, 1);
    const hint = near === undefined ? "" : `; perhaps ${near.number} "${near.name}"`;
    hints.set(name, hint);
    return hint;
  };
  return {
    foodFor: (rows) => foodOf(rows, { find, hintFor }, notes),
    keyOf: (name) => (name === "" ? null : (find(name)?.number ?? name.toLowerCase())),
  };
}

function foodOf(
  rows: readonly Row[],
  foods: { find(name: string): Food | null; hintFor(name: string): string },
  notes: string[],
): FoodOnTray | null {
  const name = rows.find(({ food }) => food !== "")?.food ?? "";
  const { water = null, waterSd = null } = rows.find((row) => row.water !== null) ?? {};
  const known = foods.find(name);
  if (water !== null)
    return {
      name: known?.name ?? (name || "own food"),
      water: fraction(water),
      waterSd: fraction(waterSd ?? ownFigureSd),
      source: "own figure",
    };
  if (known !== null)
    return {
      name: known.name,
      water: known.water,
      waterSd: known.waterSd,
      source: `USDA SR28 ${known.number}`,
    };
  if (name !== "") {
    notes.push(
      `the food "${name}" is not in the table and has no water_pct: taken as any food${foods.hintFor(name)}`,
    );
  }
  return null;
}

function groupsBy<T, Key extends string>(
  items: readonly T[],
  keyOf: (item: T) => Key,
): [Key, readonly T[]][] {
  const groups = new Map<Key, T[]>();
  for (const item of items) {
    const group = groups.get(keyOf(item));
    if (group === undefined) groups.set(keyOf(item), [item]);
    else group.push(item);
  }
  return [...groups];
}
