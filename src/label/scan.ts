/**
 * What the code on a label says to a scanner: the bag's number, or, where the household gave a lasting name, the
 * address under which the page opens that bag. In: a code and a name. Out: text, and a number found in it again.
 */

/** `origin`: https://scale.example; null: the number alone, for other addresses change. */
export const scanOf = (code: string, origin: string | null): string =>
  origin === null ? code : `${origin}/#/shelf/${code}`;

/** Either form; null: neither. */
export function numberScanned(scanned: string): string | null {
  const found = /^(?:https?:\/\/[^\s/]+\/#\/shelf\/)?((?:PRACTICE-)?\d{1,9}-\d{1,6})$/i.exec(
    scanned.trim(),
  );
  return found?.[1] ?? null;
}
