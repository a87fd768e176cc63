/** What is asked of the service about the kitchen and about what batches gave. */
import type { Bench } from "../../src/wire/bench.ts";
import type * as Kitchen from "../../src/wire/kitchen.ts";
import type { NewBatch } from "../../src/wire/requests.ts";
import type { Yields } from "../../src/wire/yield.ts";
import { ask } from "./ask.ts";

export const kitchenService = {
  kitchen: () => ask<Kitchen.Kitchen>("GET", "kitchen"),
  setDryer: (asked: Kitchen.DryerSet) => ask<Kitchen.Kitchen>("POST", "kitchen/dryers", asked),
  addFood: (asked: Kitchen.OwnFoodSet) => ask<Kitchen.Kitchen>("POST", "kitchen/foods", asked),
  editFood: (food: number, asked: Kitchen.OwnFoodSet) =>
    ask<Kitchen.Kitchen>("PATCH", `kitchen/foods/${food}`, asked),
  dish: (asked: Kitchen.DishAsked) => ask<Kitchen.DishPreview>("POST", "kitchen/dish", asked),
  addWeight: (asked: Kitchen.CheckWeightSet) =>
    ask<Kitchen.Kitchen>("POST", "kitchen/weights", asked),
  editWeight: (weight: number, asked: Kitchen.CheckWeightSet) =>
    ask<Kitchen.Kitchen>("PATCH", `kitchen/weights/${weight}`, asked),
  compare: (scale: string, asked: Kitchen.CompareChoice) =>
    ask<Bench>("POST", `scales/${encodeURIComponent(scale)}/compare`, asked),
  takeBackComparison: (comparison: number) =>
    ask<Kitchen.Kitchen>("DELETE", `kitchen/comparisons/${comparison}`),
  look: (asked: NewBatch) => ask<Kitchen.LoadLook>("POST", "batches/look", asked),
  lookAt: (batch: number) => ask<Kitchen.LoadLook>("GET", `batches/${batch}/load`),
  yields: (batch: number) => ask<Yields>("GET", `batches/${batch}/yields`),
};
