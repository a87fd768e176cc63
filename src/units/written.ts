/** Words that a person typed, among words and figures of ours. In: any text. Out: text. */

/**
 * Unicode's ranges for letters that run from right to left (DerivedBidiClass; letters yet to come are R and AL there),
 * with what little lies between them, which it does no harm to keep apart. From U+10800 on by their first halves.
 */
const fromRight = /[\u0590-\u08FF\uFB1D-\uFEFC\uD802-\uD83B]/;

/** Kept from turning what stands beside it ("name · 250 g"), by marks that are not seen; others stay as they are. */
export const isolated = (name: string): string =>
  fromRight.test(name) ? `\u2068${name}\u2069` : name;

/** Not seen at all, so that two texts with and without it read the same; what joins letters or pictures is kept. */
const unseen = /[\u00AD\u200B\u2060\uFEFF\u202A-\u202E\u2066-\u2069\p{Noncharacter_Code_Point}]/gu;

/**
 * One form for what reads the same: letters put together (Unicode NFC), no controls, nothing unseen, one space where
 * there are several and none around.
 */
export const inOneForm = (text: string): string =>
  text
    .replaceAll(unseen, "")
    .replaceAll(/[\p{Cc}\p{Z}]+/gu, " ")
    .normalize("NFC")
    .trim();

/** By which names are compared: case and spelling make no difference. */
export const folded = (text: string): string => inOneForm(text).toLowerCase();

/**
 * Of one letter with all its marks, or of one picture. Unicode's text for streams (UAX #15, stream-safe) has up to 30
 * marks on a letter, its longest pictures some 15 units (from memory): twice of either is no name.
 */
const mostInLetter = 64;
export const isLegible = (text: string): boolean =>
  text.length <= mostInLetter ||
  Array.from(new Intl.Segmenter().segment(text)).every(
    ({ segment }) => segment.length <= mostInLetter,
  );

/** What is said of a name that has more letters than are kept; the sentence has its German by these words. */
export const tooLong = (name: string, most: number): string =>
  `the name "${name.slice(0, 20)}…" is longer than ${most} letters`;
