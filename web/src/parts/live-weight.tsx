/** The largest thing on the page: what the scale says now, and whether it has come to rest. */
import { computed, type ReadonlySignal } from "@preact/signals";
import { useMemo } from "preact/hooks";
import { localNow, say, speech, state } from "../page.ts";
import { massParts, showAge, showMass } from "../show.ts";
import { lookAt, type Look } from "../state.ts";
import { Weight } from "./figures.tsx";

const lookOf = (scale: string | null): ReadonlySignal<Look> =>
  computed(() => lookAt(state.value, scale, localNow.value));

export function LiveWeight({ scale }: { readonly scale: string | null }) {
  const look = useMemo(() => lookOf(scale), [scale]).value;
  switch (look.is) {
    case "empty":
    case "moving":
    case "settled":
    case "below":
      return (
        <Weight parts={massParts(speech.value, look.grams, look.divisionGrams, true)}>
          <Rest rest={look.is === "below" ? "settled" : look.is} word={say().look[look.is]} />
          {look.is === "below" && <p class="no-fix">{say().look.underFix}</p>}
        </Weight>
      );
    case "which-form":
    case "no-scale":
      return null;
    case "trouble":
      return <NoWeight word={say().look.links[look.scale.link]} />;
    case "over":
      return <NoWeight word={say().look.over} fix={say().look.overFix} />;
    case "under":
      return <NoWeight word={say().look.under} fix={say().look.underFix} />;
    case "silent":
      return (
        <NoWeight
          word={say().look.silentFor(showAge(speech.value, look.silentMs))}
          fix={say().look.silentFix}
        />
      );
    case "connecting":
      return <NoWeight word={say().look.connecting} />;
    case "page-lost":
      return <NoWeight word={say().look.lost} fix={lastSeen(look)} />;
  }
}

/** An old figure is told in words: at the place of the live one it would be taken for it. */
function lastSeen(look: Extract<Look, { is: "page-lost" }>): string | undefined {
  if (look.grams === null) return undefined;
  const mass = showMass(speech.value, look.grams, null);
  return say().look.lastSeen(mass, showAge(speech.value, look.ageMs));
}

/** At rest: a full line with the word at its left end. Not yet: a broken line with the word at its right end. */
function Rest({
  rest,
  word,
}: {
  readonly rest: "empty" | "moving" | "settled";
  readonly word: string;
}) {
  return (
    <div class={`rest rest-${rest}`}>
      <span class="rest-line" aria-hidden="true" />
      <span class="rest-word">
        <span class="rest-shape" aria-hidden="true" />
        {word}
      </span>
    </div>
  );
}

function NoWeight({ word, fix }: { readonly word: string; readonly fix?: string | undefined }) {
  return (
    <div class="weight no-weight">
      <p class="figures">
        <span class="digits">{say().none}</span>
      </p>
      <p class="no-word">{word}</p>
      {fix !== undefined && <p class="no-fix">{fix}</p>}
    </div>
  );
}
