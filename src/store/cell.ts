/** Cells of a row and values of the domain, both ways. SQLite has no booleans and keeps text as UTF-8. */

export const bit = (value: boolean): 0 | 1 => (value ? 1 : 0);
export const isSet = (cell: number): boolean => cell === 1;
export const bitOrNull = (value: boolean | null): 0 | 1 | null =>
  value === null ? null : bit(value);
export const isSetOrNull = (cell: number | null): boolean | null =>
  cell === null ? null : isSet(cell);

/** Half a surrogate pair cannot be written as UTF-8; what is kept must read back the same, digest included. */
export const text = (value: string): string => Buffer.from(value, "utf8").toString("utf8");
export const textOrNull = (value: string | null): string | null =>
  value === null ? null : text(value);

const listFrom = (cell: string): unknown[] => {
  const list: unknown = JSON.parse(cell);
  if (!Array.isArray(list)) throw new Error(`${cell} is not a list`);
  return list;
};
export const numbersFrom = (cell: string): number[] => listFrom(cell).map(Number);
export const textsFrom = (cell: string): string[] => listFrom(cell).map(String);

/** Figures and names by their name; anything else in the cell is left out. */
export function figuresFrom(cell: string): Record<string, number | string | string[]> {
  const kept: unknown = JSON.parse(cell);
  if (typeof kept !== "object" || kept === null) throw new Error(`${cell} is not a record`);
  const figures: Record<string, number | string | string[]> = {};
  for (const [name, value] of Object.entries<unknown>({ ...kept })) {
    if (typeof value === "number" || typeof value === "string") figures[name] = value;
    else if (Array.isArray(value)) figures[name] = value.map(String);
  }
  return figures;
}

/** A change that finds no row to change is a bug, and undoes the transaction that it is part of. */
export function oneRow(done: { readonly changes: number }, what: string): void {
  if (done.changes !== 1) throw new Error(`${what} is not there to be changed`);
}
