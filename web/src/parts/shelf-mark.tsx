import type { ShelfWord } from "../../../src/wire/bag.ts";

const openCircle = { path: "M24 8a16 16 0 1 0 .01 0Z", look: "mark-unsure" };

/** Told apart by shape alone: two level strokes, a level that begins to rise, a rising one, an open circle. */
const marks: Readonly<Record<ShelfWord, { readonly path: string; readonly look: string }>> = {
  "no-gain-seen": { path: "M6 17H42M6 31H42", look: "mark-stable" },
  watch: { path: "M5 34H22L30 24M36 17 42 10", look: "mark-stalled" },
  "gaining-moisture": { path: "M7 37 41 11", look: "mark-gaining" },
  "cannot-tell": openCircle,
  "not-checked": openCircle,
};

/** Always beside the word. */
export function ShelfMark({ word }: { readonly word: ShelfWord }) {
  const { path, look } = marks[word];
  return (
    <svg class={`mark ${look}`} viewBox="0 0 48 48" aria-hidden="true">
      <path d={path} />
    </svg>
  );
}
