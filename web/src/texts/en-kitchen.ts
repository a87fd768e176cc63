/** English, for what belongs to the kitchen and what a batch gave: loaded when it is first opened. */
import type { LoadWarning } from "../../../src/wire/kitchen.ts";

export const enKitchen = {
  dryers: {
    title: "Dryers",
    explain: "What a dryer holds is compared with the water of a load; its power gives the cost.",
    none: "No dryer yet: it comes with the first batch.",
    holds: (unit: string) => `Water it may take up in one batch, ${unit}`,
    holdsHint: "what it has dried well in one go; empty for no warning",
    tray: (unit: string) => `Fresh food that one tray may carry, ${unit}`,
    watts: "Mean power, W",
    wattsHint: "of a whole batch, as a meter at the plug shows it",
    price: "Price of a kilowatt-hour",
    currency: "Currency",
    keep: "Keep",
    kept: "Kept.",
    badNumber: "Type plain numbers above 0, or leave them empty.",
  },
  foods: {
    title: "Your own foods and recipes",
    explain: "They are found by a few letters when you plan, like those of the table.",
    none: "None yet.",
    line: (name: string, water: string, solids: string) =>
      `${name}: ${water} water, ${solids} solids`,
    measured: (water: string, batches: number) =>
      `with ${batches === 1 ? "1 of your batches" : `${batches} of your batches`}: ${water} water`,
    own: "your own figure",
    recipe: "from its ingredients",
    retire: "Do not offer any more",
    retireWhich: (name: string) => `Do not offer ${name} any more`,
    add: "Add a food",
    addRecipe: "Add a recipe",
    name: "Name",
    water: "Water, %",
    waterHint: "when it goes into the dryer",
    ingredients: "Ingredients",
    ingredient: "Ingredient",
    mass: (unit: string) => `Mass, ${unit}`,
    another: "Another ingredient",
    cooked: (unit: string) => `Finished dish, ${unit}`,
    cookedHint: "if water boiled off or was taken up; else empty",
    reckon: "What would it be?",
    would: (water: string, spread: string, solids: string) =>
      `${water} water, ± ${spread}; ${solids} of solids in all.`,
    unknown: (names: string) => `Nothing is known of ${names}: taken for any food at all.`,
    keep: "Keep it",
    kept: (name: string) => `Kept: ${name}`,
    needsName: "Give it a name.",
    needsWater: "Its water must lie between 0 and 100 %.",
    needsMass: "Every ingredient needs a name and a mass above 0.",
  },
  checks: {
    title: "Check weights",
    explain:
      "A weight of known mass shows whether the scale is still right. Out of tolerance, every weighing since the last good check is marked.",
    none: "None yet.",
    name: "Name",
    nameHint: "for example: the kilogram",
    nominal: "Mass, g",
    weightClass: "Class",
    noClass: "none: tolerance of its certificate",
    fromMemory:
      "The tolerance of this class was written down from memory and not held against the published table: compare it with the certificate.",
    fromMemoryAbove:
      "Above 200 g the tolerance of this class was written down from memory and not held against the published table: compare it with the certificate.",
    error: "Its tolerance, g",
    every: "Put it on every … days",
    keep: "Keep this weight",
    kept: "Kept.",
    bad: "Type plain numbers above 0.",
    line: (name: string, mass: string, error: string, days: string) =>
      `${name}: ${mass} ± ${error}, every ${days} days`,
    check: "Check the scale",
    checkWith: (name: string) => `Check the scale with ${name}`,
    retire: "Remove",
    retireWhich: (name: string) => `Remove ${name}`,
    history: "Checks so far",
    done: (at: string, shown: string, nominal: string, off: string) =>
      `${at}: ${shown} for ${nominal}, off by ${off}`,
    good: "good",
    bad2: "out of tolerance",
  },
  yields: {
    open: "What it gave",
    none: "It comes with the first weighing after some hours of drying.",
    whole: "all of it",
    columns: {
      what: "What",
      fresh: "Fresh",
      dry: "Dry",
      gone: "Water gone",
      yield: "Yield",
      ratio: "Fresh for 1 g dry",
      moisture: "Water in it",
      moistureDry: "… of dry mass",
      rehydrate: "To add, in all",
      perGram: "… for 1 g dry",
      energy: "Energy",
      cost: "Cost",
      perKg: "Cost of 1 kg dry",
    },
    litres: (grams: string, litres: string) => `${grams} (${litres} L)`,
    about: (text: string) => `about ${text}`,
    grams: (figure: string) => `${figure} g`,
    kwh: (figure: string) => `${figure} kWh`,
    caption: "What each tray gave",
    costNote: "Energy: the dryer's mean power times the drying hours, shared by the water removed.",
    noCost: "For energy and cost, give the dryer's power and price in Set up.",
  },
  look: {
    title: "Before you load",
    water: (mass: string) => `About ${mass} of water in all.`,
    waterSoFar: (mass: string) => `About ${mass} of water in the foods that have a goal.`,
    warnings: {
      "dryer-full": ({ water, most, dryer }: WarningParts) =>
        `About ${water} of water, and ${dryer} is set to hold ${most}: it will dry longer than usual, or not to the end.`,
      "tray-full": ({ trays, most }: WarningParts) =>
        `More than ${most} on ${trays}: a thick tray dries last.`,
      "dry-unlike": ({ slow, quick }: WarningParts) =>
        `${slow} may take much longer than ${quick}: the batch is done when its slowest tray is. (Common practice, no source.)`,
    } satisfies Record<LoadWarning["code"], (parts: WarningParts) => string>,
  },
};

export type WarningParts = {
  readonly water: string;
  readonly most: string;
  readonly dryer: string;
  readonly trays: string;
  readonly slow: string;
  readonly quick: string;
};
