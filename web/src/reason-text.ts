/** A reason of the judgment in the person's language, units and figures. Pure. */
import { decimalsMeant, figuresOfMass } from "../../src/verdict/phrase.ts";
import { isSentence, shownBy, type Figures } from "../../src/verdict/sentences.ts";
import { scaleName, showDuration, showMass, showPercent, trayName, type Speech } from "./show.ts";

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
    mass: (grams) => showMass(speech, grams, 10 ** -decimalsMeant(grams, figuresOfMass(grams))),
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

const showShare = (speech: Speech, share: number): string =>
  showPercent(speech, share, decimalsMeant(share * 100, 2));
