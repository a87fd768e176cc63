/** The parts of the catalogue that come with the pages that need them, in one language alone. */
import { effect, signal } from "@preact/signals";
import { languageInForce } from "./device.ts";
import type { Language } from "./texts.ts";

let arriving: Promise<unknown> = Promise.resolve();

/** What a page waits for between its own arrival and its first look. */
export const partsArrived = (): Promise<unknown> => arriving;

/**
 * Where another language is chosen and its part is no longer there, after an update of the program, the old one goes on.
 */
export function partOf<T>(parts: Readonly<Record<Language, () => Promise<T>>>): () => T {
  const spoken = signal<T | null>(null);
  const speak = async (language: Language): Promise<void> => {
    const part = await parts[language]();
    if (language === languageInForce()) spoken.value = part;
  };
  arriving = Promise.all([arriving, speak(languageInForce())]);
  effect(() => void speak(languageInForce()).catch(() => undefined));
  return () => {
    if (spoken.value === null) throw new Error("the texts were asked for before they arrived");
    return spoken.value;
  };
}
