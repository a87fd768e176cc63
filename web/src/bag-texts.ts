/** The texts of the pages that are loaded when they are first opened; the compiler finds one that is missing. */
import { languageInForce } from "./device.ts";
import type { Language } from "./texts.ts";
import { deBags } from "./texts/de-bags.ts";
import { enBags } from "./texts/en-bags.ts";

export type BagTexts = typeof enBags;

export const bagLanguages = { en: enBags, de: deBags } satisfies Record<Language, BagTexts>;

/** In the language in force. */
export const sayBags = (): BagTexts => bagLanguages[languageInForce()];
