/**
 * Names and rows that came from elsewhere may hold what a terminal obeys (ECMA-48: escape sequences, controls of C0 and
 * C1). Out: the same text with these written out. A return to the line's beginning stays where it leads or ends the
 * text: what says how far a command is goes over itself.
 */
export const plain = (text: string): string =>
  text.replaceAll(
    // eslint-disable-next-line no-control-regex
    /[\0-\x08\v\f\x0E-\x1F\x7F-\x9F]|(?<!^)\r(?!$|\n)/g,
    (control) => `\\u${control.charCodeAt(0).toString(16).padStart(4, "0")}`,
  );
