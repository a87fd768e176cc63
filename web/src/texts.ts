/** The catalogue of everything that the page says, one file a language; the compiler finds a text that is missing. */
import { en } from "./texts/en.ts";

export type Texts = typeof en;

export const languages = { en } as const satisfies Record<string, Texts>;
export type Language = keyof typeof languages;

const isLanguage = (tag: string): tag is Language => Object.hasOwn(languages, tag);

/** The first language that the person reads and that is here; English otherwise. */
export function languageFor(wanted: readonly string[]): Language {
  const tags = wanted.map((tag) => tag.toLowerCase().split("-")[0] ?? "");
  return tags.find(isLanguage) ?? "en";
}
