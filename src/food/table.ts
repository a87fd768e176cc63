/**
 * The composition table: water in foods and how far lots of one food differ. Text in, foods out; whoever calls
 * reads the file.
 */
import { fraction } from "../units/quantity.ts";
import { parseTable } from "../units/csv.ts";
import type { Food } from "./food.ts";

export type FoodTable = readonly Food[];

const wantedColumns = [
  "ndb",
  "food_group",
  "description",
  "water_g_per_100g",
  "water_n",
  "water_se",
  "fat_g_per_100g",
  "sugars_g_per_100g",
];

/** @throws RangeError naming the line, when the table is not what it should be. */
export function parseFoodTable(text: string): FoodTable {
  const [header, ...records] = parseTable(text, ",");
  const columns = wantedColumns.map((name) => header?.cells.indexOf(name) ?? -1);
  if (columns.includes(-1))
    throw new RangeError(`the food table has no column ${wantedColumns[columns.indexOf(-1)]}`);
  const rows = records.map(({ line, cells }) => {
    const [number, group, name, water, n, error, fat, sugars] = columns.map(
      (column) => cells[column] ?? "",
    );
    const waterShare = Number((Number(water) / 100).toPrecision(6));
    if (water === "" || !(waterShare > 0 && waterShare < 1))
      throw new RangeError(`line ${line} of the food table: water ${water}`);
    return {
      number: number!,
      group: group!,
      name: name!,
      water: waterShare,
      sd: spreadOf(n!, error!),
      fatPct: numberOrNull(fat!),
      sugarsPct: numberOrNull(sugars!),
    };
  });
  const widest = new Map<string, number>();
  for (const { group, sd } of rows)
    if (sd !== null) widest.set(group, Math.max(sd, widest.get(group) ?? 0));
  const widestOfAll = Math.max(...widest.values());
  return rows.map(({ number, group, name, water, sd, fatPct, sugarsPct }) => ({
    number,
    name,
    group,
    water: fraction(water),
    waterSd: fraction(sd ?? widest.get(group) ?? widestOfAll),
    sdIsOfGroup: sd === null,
    fatPct,
    sugarsPct,
  }));
}

const numberOrNull = (cell: string): number | null =>
  cell.trim() === "" || !Number.isFinite(Number(cell)) ? null : Number(cell);

/** Between lots: the standard error of n data points times √n, as a share; null where the table gives none. */
function spreadOf(n: string, standardError: string): number | null {
  const sd = (Number(standardError) / 100) * Math.sqrt(Number(n));
  return standardError !== "" && Number(n) > 1 && sd > 0 ? sd : null;
}
