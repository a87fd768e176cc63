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

/** `isTorn`: it was interrupted in the middle, so that its tail would be the number of another bag. */
type Typed = { readonly text: string; readonly lastMs: number; readonly isTorn: boolean };
export const nothingTyped: Typed = { text: "", lastMs: 0, isTorn: false };

/** Scanners send a stroke in 5 to 50 ms; a page that is at work sees them later. Our choice. */
const longestPauseMs = 500;
/** After so long a silence a new number begins. Our choice. */
const forgottenMs = 3000;

function charOf({ key, code }: Stroke): string | null {
  // "/" sits on the place of a digit on some keyboards: it is itself first.
  if (/^[0-9A-Za-z/-]$/.test(key)) return key;
  const digit = /^(?:Digit|Numpad)(\d)$/.exec(code)?.[1];
  if (digit !== undefined) return digit;
  return code === "Minus" || code === "NumpadSubtract" ? "-" : null;
}

export function afterStroke(
  typed: Typed,
  stroke: Stroke,
): { readonly typed: Typed; readonly scanned: string | null } {
  const pauseMs = stroke.atMs - typed.lastMs;
  const isNew = pauseMs > forgottenMs || (typed.text === "" && !typed.isTorn);
  const isTorn = !isNew && (typed.isTorn || pauseMs > longestPauseMs);
  const before = isNew ? "" : typed.text;
  if (stroke.key === "Enter") {
    return { typed: nothingTyped, scanned: isTorn ? null : numberStruck(before) };
  }
  const goOn = (text: string) => ({
    typed: { text, lastMs: stroke.atMs, isTorn },
    scanned: null,
  });
  // Shift and the like come between the letters of PRACTICE.
  if (stroke.key.length > 1) return goOn(before);
  const char = charOf(stroke);
  return goOn(char === null ? "" : before + char);
}

/** As it stands on a label, 12-3 or PRACTICE-12-3, or at the end of the address in its code; null: neither. */
export function bagNumberIn(text: string): string | null {
  const address = /^https?:\/\/[^\s/]+\/#\/shelf\//i;
  const number = text.trim().replace(address, "");
  return /^(PRACTICE-)?\d{1,9}-\d{1,6}$/i.test(number) ? number : null;
}

/** Of an address, what was struck after its last strange sign; between keyboards "/" may come out as "-". */
const numberStruck = (struck: string): string | null =>
  bagNumberIn(struck.replace(/^.*[/-]shelf[/-]/i, ""));
