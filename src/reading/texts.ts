/** The last bytes of a stream whose form is not known yet, chunk by chunk, each with its time. */
import type { MonoMs, UtcMs } from "../units/quantity.ts";

export type Stamp = { readonly atMonoMs: MonoMs; readonly atUtcMs: UtcMs };
export type Text = Stamp & { readonly text: string };

const bytesKept = 4096;

export function remember(texts: readonly Text[], text: Text): readonly Text[] {
  const kept = [...texts, text];
  let bytes = kept.reduce((sum, one) => sum + one.text.length, 0);
  while (kept.length > 1 && bytes - (kept[0]?.text.length ?? 0) >= bytesKept) {
    bytes -= kept.shift()?.text.length ?? 0;
  }
  return kept;
}

export const joined = (texts: readonly Text[]): string => texts.map((one) => one.text).join("");

/** When the byte before `end` came. */
export function stampAt(texts: readonly Text[], end: number): Stamp | undefined {
  let length = 0;
  return texts.find((one) => (length += one.text.length) >= end);
}
