/** The texts of dryers, own foods, check weights and yields, in the language in force. */
import { partOf } from "./later-texts.ts";
import type { enKitchen } from "./texts/en-kitchen.ts";

export type KitchenTexts = typeof enKitchen;

export const sayKitchen = partOf<KitchenTexts>({
  en: () => import("./texts/en-kitchen.ts").then(({ enKitchen }) => enKitchen),
  de: () => import("./texts/de-kitchen.ts").then(({ deKitchen }) => deKitchen),
});
