/**
 * A scanner that types: it sends the number of a label as quick key strokes and Enter, wherever the focus is. In: key
 * strokes. Out: what was scanned, or null.
 */
export type Stroke = {
  readonly key: string;
  /** Where the key sits: a scanner set to another country's keyboard still strikes the right places. */
  readonly code: string;
  readonly atMs: number;
};

export type Typed = { readonly text: string; readonly lastMs: number };
export const nothingTyped: Typed = { text: "", lastMs: 0 };

/** A person does not keep up such a pace: 12 strokes a second. Scanners send one in 5 to 50 ms. Our choice. */
const longestPauseMs = 80;
/** The shortest number is 1-1. */
const shortest = 3;

function charOf({ key, code }: Stroke): string | null {
  if (/^[0-9A-Za-z-]$/.test(key)) return key;
  const digit = /^(?:Digit|Numpad)(\d)$/.exec(code)?.[1];
  if (digit !== undefined) return digit;
  return code === "Minus" || code === "NumpadSubtract" ? "-" : null;
}

export function afterStroke(
  typed: Typed,
  stroke: Stroke,
): { readonly typed: Typed; readonly scanned: string | null } {
  const isQuick = stroke.atMs - typed.lastMs <= longestPauseMs;
  const before = isQuick ? typed.text : "";
  if (stroke.key === "Enter") {
    const isNumber = before.length >= shortest && isBagNumber(before);
    return { typed: nothingTyped, scanned: isNumber ? before : null };
  }
  // Shift and the like come between the letters of PRACTICE.
  if (stroke.key.length > 1) return { typed: { text: before, lastMs: stroke.atMs }, scanned: null };
  const char = charOf(stroke);
  const text = char === null ? "" : before + char;
  return { typed: { text, lastMs: stroke.atMs }, scanned: null };
}

/** As it stands on a label: 12-3, or PRACTICE-12-3. */
export const isBagNumber = (text: string): boolean =>
  /^(PRACTICE-)?\d{1,9}-\d{1,6}$/i.test(text.trim());
