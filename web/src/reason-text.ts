/** A reason of the judgment in the person's language, units and figures. Pure. */
import { isSentence, shownBy, type Figures } from "../../src/verdict/sentences.ts";
import { scaleName, showDuration, showMass, showNumber, trayName, type Speech } from "./show.ts";

export type Told = {
  readonly sentence: string;
  readonly figures: Readonly<Record<string, unknown>>;
  readonly text: string;
};

/** A sentence that this page does not know comes from a newer program: told as it came, in English. */
export function reasonText(speech: Speech, { sentence, figures, text }: Told): string {
  if (!isSentence(sentence)) return text;
  const { texts } = speech;
  const { findings } = texts.batch.core;
  const isFinding = (word: string): word is keyof typeof findings => Object.hasOwn(findings, word);
  const shown = shownBy(figuresIn(figures), {
    mass: (grams) => showMass(speech, grams, meantStep(grams)),
    duration: (hours) => showDuration(speech, hours),
    share: (share) => showShare(speech, share),
    name: (name, value) => {
      if (name === "otherTray") return trayName(speech, value);
      if (name === "otherScale") return scaleName(speech, value);
      return name === "finding" && isFinding(value) ? findings[value].toLowerCase() : value;
    },
  });
  return texts.batch.sentences[sentence](shown).replaceAll(" %", "\u00a0%");
}

const figuresIn = (figures: Told["figures"]): Figures =>
  Object.fromEntries(
    Object.entries(figures).filter(
      ([, value]) => typeof value === "number" || typeof value === "string",
    ),
  );

/** Two figures, of a hundred grams and more three: no finer than a kitchen scale can mean them. */
function meantStep(grams: number): number {
  const size = Math.abs(grams);
  if (size === 0) return 1;
  const step = 10 ** (Math.floor(Math.log10(size)) - (size >= 100 ? 2 : 1));
  return Math.min(1, Math.max(0.01, step));
}

function showShare(speech: Speech, share: number): string {
  const percent = Math.abs(share * 100);
  const decimals = percent === 0 ? 0 : Math.max(0, 1 - Math.floor(Math.log10(percent)));
  return `${showNumber(speech, share * 100, Math.min(2, decimals))}\u00a0%`;
}
