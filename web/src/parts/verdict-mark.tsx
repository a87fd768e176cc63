import type { VerdictWord } from "../../../src/wire/words.ts";

/** Told apart by shape alone: a falling stroke, two level ones, a rising one, a broken one, an open circle. */
const strokes: Readonly<Record<VerdictWord, string>> = {
  losing: "M7 11 41 37",
  stable: "M6 17H42M6 31H42",
  gaining: "M7 37 41 11",
  stalled: "M5 24H16M32 24H43",
  unsure: "M24 8a16 16 0 1 0 .01 0Z",
};

/** Always beside the word: the mark says nothing to those who do not see it. */
export function VerdictMark({ verdict }: { readonly verdict: VerdictWord }) {
  return (
    <svg class={`mark mark-${verdict}`} viewBox="0 0 48 48" aria-hidden="true">
      <path d={strokes[verdict]} />
    </svg>
  );
}
