/** The texts of dryers, own foods, check weights and yields, which are loaded when they are first opened. */
import { languageInForce } from "./device.ts";
import type { Language } from "./texts.ts";
import { deKitchen } from "./texts/de-kitchen.ts";
import { enKitchen } from "./texts/en-kitchen.ts";

export type KitchenTexts = typeof enKitchen;

export const kitchenLanguages = { en: enKitchen, de: deKitchen } satisfies Record<
  Language,
  KitchenTexts
>;

/** In the language in force. */
export const sayKitchen = (): KitchenTexts => kitchenLanguages[languageInForce()];
