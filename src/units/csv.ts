/** One record of a table in text: its cells, and the line of the text on which it begins, the first being 1. */
export type Record = { readonly line: number; readonly cells: readonly string[] };

export type Separator = "," | ";" | "\t";

/** A table as RFC 4180 writes it, with any of three separators; lone line feeds and a byte order mark are taken too. */
export function parseTable(text: string, separator: Separator): readonly Record[] {
  const records: Record[] = [];
  let line = 1;
  let startLine = 1;
  let cells: string[] = [];
  let cell = "";
  let quoted = false;
  let begun = false;
  const endCell = (): void => {
    cells.push(cell);
    cell = "";
    begun = false;
  };
  const endRecord = (): void => {
    endCell();
    if (cells.some((one) => one.trim() !== "")) records.push({ line: startLine, cells });
    cells = [];
    startLine = line;
  };
  for (let i = text.startsWith("\uFEFF") ? 1 : 0; i < text.length; i++) {
    const char = text[i]!;
    if (char === "\n") line++;
    if (quoted) {
      if (char !== '"') cell += char;
      else if (text[i + 1] === '"') {
        cell += '"';
        i++;
      } else quoted = false;
    } else if (char === '"' && !begun) {
      quoted = true;
      begun = true;
    } else if (char === separator) endCell();
    else if (char === "\n") endRecord();
    else if (char !== "\r") {
      cell += char;
      if (char.trim() !== "") begun = true;
    }
  }
  if (cell !== "" || cells.length > 0) endRecord();
  return records;
}

/** The separator that cuts the first line into the most cells; a comma where none cuts it. */
export function separatorOf(text: string): Separator {
  const firstLine = /^\uFEFF?(.*)/.exec(text)?.[1] ?? "";
  const cells = (one: Separator): number => parseTable(firstLine, one)[0]?.cells.length ?? 0;
  const candidates: readonly Separator[] = [",", ";", "\t"];
  return candidates.reduce((best, one) => (cells(one) > cells(best) ? one : best));
}
