/** The catalogue of everything that the page says, one file a language; the compiler finds a text that is missing. */
import { en } from "./texts/en.ts";
import type { Pair } from "./translate.ts";

export type Texts = typeof en;

/** As each calls itself. */
export const languageNames = { en: "English", de: "Deutsch" } as const;
export type Language = keyof typeof languageNames;

/** English comes with the page, any other over the line when somebody reads it. */
const catalogues: Readonly<Record<Language, () => Promise<Texts>>> = {
  en: () => Promise.resolve(en),
  de: () => import("./texts/de.ts").then(({ de }) => de),
};
/** What the service says in English, in that language; English needs no table. Comes after the page is shown. */
const sentences: Readonly<Record<Language, (() => Promise<readonly Pair[]>) | null>> = {
  en: null,
  de: () => import("./texts/sentences-de.ts").then(({ sentencesDe }) => sentencesDe),
};
export const sentencesOf = async (language: Language): Promise<readonly Pair[]> =>
  (await sentences[language]?.()) ?? [];

/** What the program itself named is called in that language: foods of the table, and what is there for practice. */
type Naming = (name: string) => string;
const names: Readonly<Record<Language, (() => Promise<Naming>) | null>> = {
  en: null,
  de: () => import("./texts/names-de.ts").then(({ nameInGerman }) => nameInGerman),
};
export const namesOf = async (language: Language): Promise<Naming> =>
  (await names[language]?.()) ?? ((name) => name);

export const textsOf = (language: Language): Promise<Texts> => catalogues[language]();

export const isLanguage = (tag: string): tag is Language => Object.hasOwn(languageNames, tag);

const languageOf = (tag: string): string => tag.toLowerCase().split("-")[0] ?? "";

/** The first language that the person reads and that is here; English otherwise. */
export const languageFor = (wanted: readonly string[]): Language =>
  wanted.map(languageOf).find(isLanguage) ?? "en";

/** Figures and dates as the person's own country writes them, where the browser names one for this language. */
export const localeFor = (language: Language, wanted: readonly string[]): string =>
  wanted.find((tag) => languageOf(tag) === language) ?? language;
