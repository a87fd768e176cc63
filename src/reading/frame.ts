/**
 * Finds frames in a run of bytes: a start byte, a fixed length, and what the form itself checks. A false start
 * moves the window on by one byte, so that a frame is found again right after any rubbish.
 */
import { noFacts, type Form } from "./form.ts";
import { said } from "./piece.ts";

export type Framed =
  | { readonly is: "frame"; readonly raw: string; readonly end: number }
  /** Bytes between frames. One or two are a checksum or a line end; more belong to no frame. */
  | { readonly is: "skipped"; readonly raw: string; readonly end: number };

/** `rest`: what may still become a frame; shorter than one. `end`: offset behind the piece in `text`. */
export function framesIn(
  form: Form,
  text: string,
): { readonly found: readonly Framed[]; readonly rest: string } {
  if (form.cut === "line") throw new RangeError(`${form.name} comes in lines, not in frames`);
  const { start, length } = form.cut;
  const found: Framed[] = [];
  let from = 0;
  let at = 0;
  const skip = (): void => {
    if (at > from) found.push({ is: "skipped", raw: text.slice(from, at), end: at });
  };
  while (at < text.length) {
    if (text.charCodeAt(at) !== start) {
      at += 1;
      continue;
    }
    if (at + length > text.length) break;
    const raw = text.slice(at, at + length);
    if (said(form, noFacts, raw) === null) {
      at += 1;
      continue;
    }
    skip();
    at += length;
    from = at;
    found.push({ is: "frame", raw, end: at });
  }
  skip();
  return { found, rest: text.slice(at) };
}
