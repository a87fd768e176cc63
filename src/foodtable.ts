import { readFileSync } from "node:fs";
import { parseFoodTable, type FoodTable } from "./food/table.ts";

let table: FoodTable | null = null;

/** The composition table that comes with the program, read once. */
export function loadFoodTable(): FoodTable {
  table ??= parseFoodTable(
    readFileSync(new URL("./food/table/usda-sr28.csv", import.meta.url), "utf8"),
  );
  return table;
}
