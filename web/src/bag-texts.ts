/** The texts of Pack, Shelf and Labels, in the language in force; the compiler finds one that is missing. */
import { partOf } from "./later-texts.ts";
import type { enBags } from "./texts/en-bags.ts";

export type BagTexts = typeof enBags;

export const sayBags = partOf<BagTexts>({
  en: () => import("./texts/en-bags.ts").then(({ enBags }) => enBags),
  de: () => import("./texts/de-bags.ts").then(({ deBags }) => deBags),
});
