/** The catalogue of everything that the page says, one file a language; the compiler finds a text that is missing. */
import { de } from "./texts/de.ts";
import { en } from "./texts/en.ts";

export type Texts = typeof en;

export const languages = { en, de } as const satisfies Record<string, Texts>;
export type Language = keyof typeof languages;

export const isLanguage = (tag: string): tag is Language => Object.hasOwn(languages, tag);

const languageOf = (tag: string): string => tag.toLowerCase().split("-")[0] ?? "";

/** The first language that the person reads and that is here; English otherwise. */
export const languageFor = (wanted: readonly string[]): Language =>
  wanted.map(languageOf).find(isLanguage) ?? "en";

/** Figures and dates as the person's own country writes them, where the browser names one for this language. */
export const localeFor = (language: Language, wanted: readonly string[]): string =>
  wanted.find((tag) => languageOf(tag) === language) ?? language;
