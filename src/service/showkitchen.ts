/** The kitchen in the shapes of wire/, and what was asked for in the shapes of the service. */
import { isFromMemory } from "../tray/checkweight.ts";
import { isoOf } from "../clock.ts";
import { Fault } from "../faults.ts";
import { asKept } from "../units/mass.ts";
import { fraction, grams, type Grams, type UtcMs } from "../units/quantity.ts";
import type * as wire from "../wire/kitchen.ts";
import type { NewBatch } from "../wire/requests.ts";
import type { Batch, Bench, ScaleOnBench } from "./bench.ts";
import { ownFigureSd, type FoodShelf, type Own } from "./foods.ts";
import {
  checkDue,
  dryerNamed,
  lastCheck,
  type CheckWeight,
  type Dryer,
  type FoodAsked,
  type OwnFood,
  type ScaleCheck,
} from "./kitchen.ts";
import { freshNetOf, portionsOf } from "./look.ts";
import { counted, type ScaleComparison, type ScaleOffset } from "../tray/offset.ts";
import { offsetsOf } from "./comparing.ts";
import { lessonsIn } from "./lessons.ts";
import { placementsOf } from "./repeats.ts";
import { lookAtLoad, type Load, type LoadWarning } from "./warnings.ts";

const mostChecks = 100;

export const ownOf = (bench: Bench): Own => ({
  foods: bench.kitchen.foods,
  lessons: lessonsIn(bench),
});

export const showKitchen = (bench: Bench, shelf: FoodShelf): wire.Kitchen => ({
  dryers: bench.kitchen.dryers.map(showDryer),
  foods: bench.kitchen.foods.map((food) => showFood(food, shelf, ownOf(bench))),
  checkWeights: bench.kitchen.checkWeights.map(showWeight),
  checks: bench.kitchen.checks.slice(-mostChecks).toReversed().map(showCheck),
  placements: placementsOf(bench).map(({ scale, division, u, repeats }) => ({
    scale,
    divisionGrams: division,
    uGrams: u,
    repeats,
  })),
  offsets: offsetsOf(bench.kitchen.comparisons).map(showOffset),
  comparisons: counted(bench.kitchen.comparisons)
    .slice(-mostChecks)
    .toReversed()
    .map(showComparison),
});

const showOffset = (one: ScaleOffset): wire.ScaleOffset => ({
  from: one.from,
  to: one.to,
  offsetGrams: one.offset,
  uGrams: one.u,
  atGrams: one.atLoad,
  count: one.count,
  spreadGrams: one.spread,
  lastAt: isoOf(one.lastAt),
});

const showComparison = (one: ScaleComparison): wire.ScaleComparison => ({
  id: one.id,
  one: one.one,
  other: one.other,
  oneGrams: one.oneShown,
  otherGrams: one.otherShown,
  at: isoOf(one.at),
});

const showDryer = (dryer: Dryer): wire.Dryer => ({
  name: dryer.name,
  mostWaterGrams: dryer.mostWater,
  mostTrayGrams: dryer.mostOnTray,
  watts: dryer.watts,
  pricePerKwh: dryer.pricePerKwh,
  currency: dryer.currency,
});

function showFood(food: OwnFood, shelf: FoodShelf, own: Own): wire.OwnFood {
  const found = shelf.find(food.name, 100, own).find(({ name }) => name === food.name);
  return {
    id: food.id,
    name: food.name,
    waterPct: food.water * 100,
    waterSdPct: food.waterSd * 100,
    solidsPct: (1 - food.water) * 100,
    cautions: [...food.cautions],
    recipe:
      food.recipe === null
        ? null
        : {
            ingredients: food.recipe.ingredients.map((one) => ({
              food: one.food,
              grams: one.mass,
            })),
            cookedGrams: food.recipe.cooked,
          },
    retired: food.retired,
    own: found?.own ?? null,
  };
}

const showWeight = (weight: CheckWeight): wire.CheckWeight => ({
  id: weight.id,
  name: weight.name,
  nominalGrams: weight.nominal,
  weightClass: weight.weightClass,
  errorGrams: weight.error,
  isErrorFromMemory:
    weight.weightClass !== null && isFromMemory(weight.weightClass, weight.nominal),
  everyDays: weight.everyDays,
  retired: weight.retired,
});

const showCheck = (check: ScaleCheck): wire.ScaleCheck => ({
  id: check.id,
  weight: check.weightId,
  scale: check.scale,
  nominalGrams: check.nominal,
  shownGrams: check.shown,
  offGrams: asKept(grams(check.shown - check.nominal)),
  divisionGrams: check.division,
  toleranceGrams: check.tolerance,
  good: check.isGood,
  at: isoOf(check.at),
});

/** How a scale stands to its check weights, and which of them it waits for. */
export function showChecking({ kitchen }: Bench, scale: ScaleOnBench, at: UtcMs) {
  const due = checkDue(kitchen, scale.id);
  const last = lastCheck(kitchen, scale.id);
  const waitsFor = kitchen.checkWeights.find(({ id }) => id === scale.checking);
  return {
    last: last === null ? null : showCheck(last),
    isDue: due === "now" || (due !== null && due <= at),
    waitsFor:
      waitsFor === undefined
        ? null
        : { weight: waitsFor.id, name: waitsFor.name, nominalGrams: waitsFor.nominal },
  };
}

const massOrNull = (mass: number | null | undefined): Grams | null =>
  mass === null || mass === undefined ? null : asKept(grams(mass));

/** Parts that are left out stay. */
export function dryerFrom(asked: wire.DryerSet, before: Dryer | null): Dryer {
  const { mostWaterGrams, mostTrayGrams, watts, pricePerKwh, currency } = asked;
  return {
    name: before?.name ?? asked.name,
    mostWater:
      mostWaterGrams === undefined ? (before?.mostWater ?? null) : massOrNull(mostWaterGrams),
    mostOnTray:
      mostTrayGrams === undefined ? (before?.mostOnTray ?? null) : massOrNull(mostTrayGrams),
    watts: watts === undefined ? (before?.watts ?? null) : watts,
    pricePerKwh: pricePerKwh === undefined ? (before?.pricePerKwh ?? null) : pricePerKwh,
    currency: currency ?? before?.currency ?? "",
  };
}

function previewDish(asked: wire.DishAsked, shelf: FoodShelf, own: Own) {
  const ingredients = asked.ingredients.map((one) => ({
    food: one.food,
    mass: asKept(grams(one.grams)),
  }));
  const cooked = massOrNull(asked.cookedGrams);
  const dish = shelf.dish(ingredients, cooked, own);
  if (dish === null)
    throw new Fault(
      "input.invalid",
      "the finished dish weighs no more than what its ingredients hold without any water",
      { errors: [{ pointer: "#/cookedGrams", detail: "weigh it again, or leave it out" }] },
    );
  return { dish, recipe: { ingredients, cooked } };
}

export function showDish(asked: wire.DishAsked, shelf: FoodShelf, own: Own): wire.DishPreview {
  const { dish } = previewDish(asked, shelf, own);
  return {
    waterPct: dish.water * 100,
    waterSdPct: dish.waterSd * 100,
    solidsGrams: asKept(dish.solids),
    massGrams: asKept(dish.mass),
    cautions: [...dish.cautions],
    unknown: [...dish.unknown],
  };
}

export function ownFoodFrom(asked: wire.OwnFoodSet, shelf: FoodShelf, own: Own): FoodAsked {
  const { name } = asked;
  const retired = asked.retired ?? false;
  if (asked.recipe !== undefined && asked.recipe !== null) {
    const { dish, recipe } = previewDish(asked.recipe, shelf, own);
    const { water, waterSd, fatPct, sugarsPct, cautions } = dish;
    return { name, water, waterSd, fatPct, sugarsPct, cautions, recipe, retired };
  }
  if (asked.waterPct === undefined)
    throw new Fault("input.invalid", "a food of your own needs its water, or its recipe");
  return {
    name,
    water: fraction(asked.waterPct / 100),
    waterSd: asked.waterSdPct === undefined ? ownFigureSd : fraction(asked.waterSdPct / 100),
    fatPct: null,
    sugarsPct: null,
    cautions: [],
    recipe: null,
    retired,
  };
}

/** What a planned load makes worth saying. */
export function lookAtPlan(asked: NewBatch, bench: Bench, shelf: FoodShelf): wire.LoadLook {
  const own = ownOf(bench);
  const foods = asked.trays.flatMap((tray) => {
    const said = tray.portions ?? [{ food: tray.food, waterPct: tray.waterPct }];
    return said.map((one) => {
      const { foodName, food, cautions } = shelf.onTray(
        one.food ?? null,
        one.waterPct ?? null,
        own,
      );
      const mass = "targetGrams" in one ? massOrNull(one.targetGrams) : null;
      const load: Load = {
        tray: tray.name,
        food: foodName,
        water: food?.water ?? null,
        mass,
        ...shelf.composition(one.food ?? null, own),
      };
      return { load, cautions };
    });
  });
  return showLook(foods, dryerNamed(bench.kitchen, asked.dryer));
}

/** The same for a batch that is there: by what was weighed, else by what was planned. */
export function lookAtBatch(batch: Batch, bench: Bench, shelf: FoodShelf): wire.LoadLook {
  const own = ownOf(bench);
  const foods = batch.trays.flatMap((tray) => {
    const all =
      tray.portions.length === 0
        ? [{ ...tray, mass: freshNetOf(batch, tray) }]
        : portionsOf(batch, tray).map((one) => ({
            ...one.portion,
            mass: one.fresh ?? one.portion.target,
          }));
    return all.map(({ foodName, food, cautions, mass }) => ({
      load: {
        tray: tray.name,
        food: foodName,
        water: food?.water ?? null,
        mass,
        ...shelf.composition(foodName, own),
      },
      cautions,
    }));
  });
  return showLook(foods, dryerNamed(bench.kitchen, batch.dryer));
}

function showLook(
  foods: readonly { readonly load: Load; readonly cautions: readonly string[] }[],
  dryer: Dryer | null,
): wire.LoadLook {
  const { water, isWhole, warnings } = lookAtLoad(
    foods.map(({ load }) => load),
    dryer,
  );
  return {
    waterGrams: water,
    whole: isWhole,
    warnings: warnings.map(showWarning),
    cautions: foods.flatMap(({ load, cautions }) =>
      cautions.map((text) => ({ tray: load.tray, text })),
    ),
  };
}

const showWarning = (warning: LoadWarning): wire.LoadWarning => ({
  code: warning.code,
  text: warning.text,
  waterGrams: "waterGrams" in warning ? warning.waterGrams : null,
  mostGrams: "mostGrams" in warning ? warning.mostGrams : null,
  trays: "trays" in warning ? [...warning.trays] : [],
  slow: "slow" in warning ? [...warning.slow] : [],
  quick: "quick" in warning ? [...warning.quick] : [],
});
