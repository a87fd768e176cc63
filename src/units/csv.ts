/**
 * One record of a table in text: its cells, and the line of the text on which it begins, the first being 1. `isTorn`:
 * its quotation marks do not pair up, so that its cells may be cut wrongly.
 */
export type Record = {
  readonly line: number;
  readonly cells: readonly string[];
  readonly isTorn: boolean;
};

export type Separator = "," | ";" | "\t";

/**
 * A text that a spreadsheet would run as a formula gets an apostrophe in front, also where a spreadsheet of another
 * country would begin a new cell in the middle of the text; one that had an apostrophe there already gets a second.
 */
export const harmless = (text: string): string =>
  text.replace(/^(?='*[=+\-@\t\r\n\0])/, "'").replaceAll(/(?<=[;,\t\r\n])(?='*[=+\-@])/g, "'");

/** The text as it was before `harmless`. */
export const asWritten = (text: string): string =>
  text.replace(/^'(?='*[=+\-@\t\r\n\0])/, "").replaceAll(/(?<=[;,\t\r\n])'(?='*[=+\-@])/g, "");

/**
 * A table as RFC 4180 writes it, with any of three separators; lone line feeds, lone carriage returns and a byte order
 * mark are taken too.
 */
export function parseTable(text: string, separator: Separator): readonly Record[] {
  const records: Record[] = [];
  let line = 1;
  let startLine = 1;
  let cells: string[] = [];
  let cell = "";
  let quoted = false;
  let begun = false;
  let closed = false;
  let isTorn = false;
  const endCell = (): void => {
    cells.push(cell);
    cell = "";
    begun = false;
    closed = false;
  };
  const endRecord = (): void => {
    endCell();
    if (cells.some((one) => one.trim() !== "")) records.push({ line: startLine, cells, isTorn });
    cells = [];
    isTorn = false;
    startLine = line;
  };
  for (let i = text.startsWith("\uFEFF") ? 1 : 0; i < text.length; i++) {
    const char = text[i]!;
    const endsLine = char === "\n" || (char === "\r" && text[i + 1] !== "\n");
    if (endsLine) line++;
    if (quoted) {
      if (char !== '"') cell += char;
      else if (text[i + 1] === '"') {
        cell += '"';
        i++;
      } else {
        quoted = false;
        closed = true;
      }
    } else if (char === '"' && !begun) {
      quoted = true;
      begun = true;
    } else if (char === separator) endCell();
    else if (endsLine) endRecord();
    else if (char !== "\r") {
      cell += char;
      if (char.trim() === "") continue;
      begun = true;
      isTorn ||= closed;
    }
  }
  isTorn ||= quoted;
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
