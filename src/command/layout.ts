/** Text on a terminal, whose letters may be two columns wide: tables and sentences that fit into its width. */
import stringWidth from "string-width";
import wrapAnsi from "wrap-ansi";

/** Columns of the terminal; null where there is none, so that a line stays a line for the program that reads it. */
export type Columns = number | null;

/** What follows the first line of a sentence stands this far in. */
const hanging = "    ";
/** Narrower than this, the first column of a table is no longer folded. */
const leastFirst = 8;
const between = "  ";

/** `text` with a line's end, broken at blanks where it would be too wide. */
export function folded(text: string, columns: Columns): string {
  if (columns === null || stringWidth(text) <= columns) return `${text}\n`;
  const indent = /^ */.exec(text)![0];
  const width = Math.max(1, columns - indent.length - hanging.length);
  const lines = wrapAnsi(text.slice(indent.length), width).split("\n");
  return lines.map((line, i) => `${indent}${i === 0 ? "" : hanging}${line}\n`).join("");
}

/** A table whose first column, of names, is folded where the others leave it too little room. */
export function aligned(rows: readonly (readonly string[])[], columns: Columns): string {
  const widest = (i: number) => Math.max(...rows.map((row) => stringWidth(row[i]!)));
  const [names, ...others] = rows[0]!.map((_, i) => widest(i));
  const left = (columns ?? Infinity) - others.reduce((sum, one) => sum + between.length + one, 0);
  const first = Math.min(names!, Math.max(leastFirst, left));
  const line = (cells: readonly string[]): string =>
    `${cells
      .map((cell, i) => cell + " ".repeat((i === 0 ? first : others[i - 1]!) - stringWidth(cell)))
      .join(between)
      .trimEnd()}\n`;
  return rows
    .map(([name, ...cells]) => {
      const [top, ...below] = wrapAnsi(name!, first, { hard: true }).split("\n");
      return [line([top!, ...cells]), ...below.map((more) => line([more]))].join("");
    })
    .join("");
}
