/** Which letters a font has, and what of a text can be printed with it. In: the font's bytes, a text. Out: a text. */

export type HasLetter = (codePoint: number) => boolean;

/**
 * Read from the font's own list: the table `cmap`, in the form for all of Unicode (OpenType 1.9, "cmap", format 12),
 * which the labels' fonts have.
 */
export function lettersOf(font: Uint8Array): HasLetter {
  const view = new DataView(font.buffer, font.byteOffset, font.byteLength);
  const tables = Array.from({ length: view.getUint16(4) }, (_, index) => 12 + 16 * index);
  const entry = tables.find((at) => view.getUint32(at) === tagOfCmap);
  const cmap = entry === undefined ? 0 : view.getUint32(entry + 8);
  const lists = Array.from({ length: view.getUint16(cmap + 2) }, (_, index) => {
    return cmap + view.getUint32(cmap + 4 + 8 * index + 4);
  });
  const list = lists.find((at) => view.getUint16(at) === 12);
  if (entry === undefined || list === undefined) throw new Error("the font lists no letters");
  const spans = Array.from({ length: view.getUint32(list + 12) }, (_, index) => ({
    first: view.getUint32(list + 16 + 12 * index),
    last: view.getUint32(list + 16 + 12 * index + 4),
  }));
  return (codePoint) => spans.some(({ first, last }) => first <= codePoint && codePoint <= last);
}

/** "cmap". */
const tagOfCmap = 0x636d6170;

/** Pictures, and what only changes how a letter beside it looks: no word is lost with them. */
const ornament =
  /[\p{Extended_Pictographic}\p{Emoji_Modifier}\p{Regional_Indicator}\p{Variation_Selector}\p{Me}]/u;

/** What says which way a text runs and what joins: it is obeyed, and has no form (Unicode, UAX #9; U+200C). */
const ordering = /[\u061C\u200C\u200E\u200F\u202A-\u202E\u2066-\u2069]/u;

/** `lacks`: letters were left out that a reader would miss. */
export function printable(
  text: string,
  has: HasLetter,
): { readonly text: string; readonly lacks: boolean } {
  let lacks = false;
  const kept = text
    .normalize("NFC")
    .replaceAll(/\p{Cc}+/gu, " ")
    .replaceAll(/\p{Cf}/gu, (control) => (ordering.test(control) ? control : ""))
    .replaceAll(/./gu, (letter) => {
      if (ordering.test(letter) || has(letter.codePointAt(0) ?? 0)) return letter;
      lacks ||= !ornament.test(letter);
      return "";
    });
  return { text: kept.replaceAll(/ {2,}/g, " ").trim(), lacks };
}
