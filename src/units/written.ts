/** Words that a person typed, among words and figures of ours. In: any text. Out: text. */

/**
 * Unicode's ranges for letters that run from right to left (DerivedBidiClass, whose defaults for letters yet to come
 * are R and AL), and what turns text around by itself (UAX #9).
 */
const mayTurn =
  /[\u0590-\u08FF\uFB1D-\uFDFF\uFE70-\uFEFF\u{10800}-\u{10FFF}\u{1E800}-\u{1EFFF}\u200F\u202A-\u202E\u2066-\u2069]/u;

/** Kept from turning what stands beside it ("name · 250 g"), by marks that are not seen; others stay as they are. */
export const isolated = (name: string): string =>
  mayTurn.test(name) ? `\u2068${name}\u2069` : name;
