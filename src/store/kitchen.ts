import type Database from "better-sqlite3";
import type { CheckWeight, Dryer, Kitchen, OwnFood, ScaleCheck } from "../service/kitchen.ts";
import type { WeightClass } from "../tray/checkweight.ts";
import type { ScaleComparison } from "../tray/offset.ts";
import { fromMicrograms, fromMilligrams, toMicrograms, toMilligrams } from "../units/mass.ts";
import { fraction, utcMs, type UtcMs } from "../units/quantity.ts";
import { bit, isSet, text, textsFrom } from "./cell.ts";
import { divisionUg } from "./weighing.ts";

type DryerRow = {
  readonly at_utc_ms: number;
  readonly name: string;
  readonly most_water_mg: number | null;
  readonly most_tray_mg: number | null;
  readonly watts: number | null;
  readonly price_per_kwh: number | null;
  readonly currency: string;
};
type FoodRow = {
  readonly at_utc_ms: number;
  readonly food_id: number;
  readonly name: string;
  readonly water_fraction: number;
  readonly water_sd_fraction: number;
  readonly fat_pct: number | null;
  readonly sugars_pct: number | null;
  readonly cautions: string;
  readonly recipe: string | null;
  readonly retired: number;
};
type WeightRow = {
  readonly at_utc_ms: number;
  readonly weight_id: number;
  readonly name: string;
  readonly nominal_mg: number;
  readonly class: WeightClass | null;
  readonly error_ug: number;
  readonly every_days: number;
  readonly retired: number;
};
type CheckRow = {
  readonly id: number;
  readonly weight_id: number;
  readonly scale: string;
  readonly nominal_mg: number;
  readonly shown_mg: number;
  readonly division_ug: number;
  readonly tolerance_mg: number;
  readonly is_good: number;
  readonly at_utc_ms: number;
};
type ComparisonRow = {
  readonly id: number;
  readonly one: string;
  readonly other: string;
  readonly one_mg: number;
  readonly other_mg: number;
  readonly one_division_ug: number;
  readonly other_division_ug: number;
  readonly at_utc_ms: number;
  readonly takes_back: number | null;
};
type KeptRecipe = {
  readonly ingredients: readonly { readonly food: string; readonly mass_mg: number }[];
  readonly cooked_mg: number | null;
};

function recipeFrom(cell: string | null): OwnFood["recipe"] {
  if (cell === null) return null;
  const kept = JSON.parse(cell) as KeptRecipe;
  return {
    ingredients: kept.ingredients.map(({ food, mass_mg }) => ({
      food,
      mass: fromMilligrams(mass_mg),
    })),
    cooked: kept.cooked_mg === null ? null : fromMilligrams(kept.cooked_mg),
  };
}

function recipeText(recipe: OwnFood["recipe"]): string | null {
  if (recipe === null) return null;
  const kept: KeptRecipe = {
    ingredients: recipe.ingredients.map(({ food, mass }) => ({
      food: text(food),
      mass_mg: toMilligrams(mass),
    })),
    cooked_mg: recipe.cooked === null ? null : toMilligrams(recipe.cooked),
  };
  return JSON.stringify(kept);
}

const dryerFrom = (row: DryerRow): Dryer => ({
  name: row.name,
  mostWater: row.most_water_mg === null ? null : fromMilligrams(row.most_water_mg),
  mostOnTray: row.most_tray_mg === null ? null : fromMilligrams(row.most_tray_mg),
  watts: row.watts,
  pricePerKwh: row.price_per_kwh,
  currency: row.currency,
});
const foodFrom = (row: FoodRow): OwnFood => ({
  id: row.food_id,
  name: row.name,
  water: fraction(row.water_fraction),
  waterSd: fraction(row.water_sd_fraction),
  fatPct: row.fat_pct,
  sugarsPct: row.sugars_pct,
  cautions: textsFrom(row.cautions),
  recipe: recipeFrom(row.recipe),
  retired: isSet(row.retired),
});
const weightFrom = (row: WeightRow): CheckWeight => ({
  id: row.weight_id,
  name: row.name,
  nominal: fromMilligrams(row.nominal_mg),
  weightClass: row.class,
  error: fromMicrograms(row.error_ug),
  everyDays: row.every_days,
  retired: isSet(row.retired),
});
const checkFrom = (row: CheckRow): ScaleCheck => ({
  id: row.id,
  weightId: row.weight_id,
  scale: row.scale,
  nominal: fromMilligrams(row.nominal_mg),
  shown: fromMilligrams(row.shown_mg),
  division: fromMicrograms(row.division_ug),
  tolerance: fromMilligrams(row.tolerance_mg),
  isGood: isSet(row.is_good),
  at: utcMs(row.at_utc_ms),
});

const comparisonFrom = (row: ComparisonRow): ScaleComparison => ({
  id: row.id,
  one: row.one,
  other: row.other,
  oneShown: fromMilligrams(row.one_mg),
  otherShown: fromMilligrams(row.other_mg),
  oneDivision: fromMicrograms(row.one_division_ug),
  otherDivision: fromMicrograms(row.other_division_ug),
  at: utcMs(row.at_utc_ms),
  takesBack: row.takes_back,
});

export function kitchenIn(db: Database.Database) {
  const addDryer = db.prepare<[DryerRow]>(`
    INSERT INTO dryer_version (at_utc_ms, name, most_water_mg, most_tray_mg, watts, price_per_kwh, currency)
    VALUES (@at_utc_ms, @name, @most_water_mg, @most_tray_mg, @watts, @price_per_kwh, @currency)`);
  const addFood = db.prepare<[FoodRow]>(`
    INSERT INTO own_food_version (at_utc_ms, food_id, name, water_fraction, water_sd_fraction, fat_pct, sugars_pct,
      cautions, recipe, retired)
    VALUES (@at_utc_ms, @food_id, @name, @water_fraction, @water_sd_fraction, @fat_pct, @sugars_pct, @cautions,
      @recipe, @retired)`);
  const addWeight = db.prepare<[WeightRow]>(`
    INSERT INTO check_weight_version (at_utc_ms, weight_id, name, nominal_mg, class, error_ug, every_days, retired)
    VALUES (@at_utc_ms, @weight_id, @name, @nominal_mg, @class, @error_ug, @every_days, @retired)`);
  const addCheck = db.prepare<[CheckRow]>(`
    INSERT INTO scale_check (id, weight_id, scale, nominal_mg, shown_mg, division_ug, tolerance_mg, is_good, at_utc_ms)
    VALUES (@id, @weight_id, @scale, @nominal_mg, @shown_mg, @division_ug, @tolerance_mg, @is_good, @at_utc_ms)`);
  const addComparison = db.prepare<[ComparisonRow]>(`
    INSERT INTO scale_comparison (id, one, other, one_mg, other_mg, one_division_ug, other_division_ug, at_utc_ms,
      takes_back)
    VALUES (@id, @one, @other, @one_mg, @other_mg, @one_division_ug, @other_division_ug, @at_utc_ms, @takes_back)`);
  const newest = <Row>(table: string, key: string) =>
    db.prepare<[], Row>(`
      SELECT * FROM ${table} AS one
      WHERE version = (SELECT max(version) FROM ${table} WHERE ${key} = one.${key}) ORDER BY version`);
  const dryers = newest<DryerRow>("dryer_version", "name");
  const foods = newest<FoodRow>("own_food_version", "food_id");
  const weights = newest<WeightRow>("check_weight_version", "weight_id");
  const checks = db.prepare<[], CheckRow>("SELECT * FROM scale_check ORDER BY id");
  const compared = db.prepare<[], ComparisonRow>("SELECT * FROM scale_comparison ORDER BY id");
  const comparisons = (): ScaleComparison[] => compared.all().map(comparisonFrom);

  return {
    setDryer: (dryer: Dryer, at: UtcMs): void =>
      void addDryer.run({
        at_utc_ms: at,
        name: text(dryer.name),
        most_water_mg: dryer.mostWater === null ? null : toMilligrams(dryer.mostWater),
        most_tray_mg: dryer.mostOnTray === null ? null : toMilligrams(dryer.mostOnTray),
        watts: dryer.watts,
        price_per_kwh: dryer.pricePerKwh,
        currency: text(dryer.currency),
      }),
    setFood: (food: OwnFood, at: UtcMs): void =>
      void addFood.run({
        at_utc_ms: at,
        food_id: food.id,
        name: text(food.name),
        water_fraction: food.water,
        water_sd_fraction: food.waterSd,
        fat_pct: food.fatPct,
        sugars_pct: food.sugarsPct,
        cautions: JSON.stringify(food.cautions.map(text)),
        recipe: recipeText(food.recipe),
        retired: bit(food.retired),
      }),
    setWeight: (weight: CheckWeight, at: UtcMs): void =>
      void addWeight.run({
        at_utc_ms: at,
        weight_id: weight.id,
        name: text(weight.name),
        nominal_mg: toMilligrams(weight.nominal),
        class: weight.weightClass,
        error_ug: toMicrograms(weight.error),
        every_days: weight.everyDays,
        retired: bit(weight.retired),
      }),
    addCheck: (check: ScaleCheck): void =>
      void addCheck.run({
        id: check.id,
        weight_id: check.weightId,
        scale: text(check.scale),
        nominal_mg: toMilligrams(check.nominal),
        shown_mg: toMilligrams(check.shown),
        division_ug: divisionUg(check.division),
        tolerance_mg: toMilligrams(check.tolerance),
        is_good: bit(check.isGood),
        at_utc_ms: check.at,
      }),
    addComparison: (one: ScaleComparison): void =>
      void addComparison.run({
        id: one.id,
        one: text(one.one),
        other: text(one.other),
        one_mg: toMilligrams(one.oneShown),
        other_mg: toMilligrams(one.otherShown),
        one_division_ug: divisionUg(one.oneDivision),
        other_division_ug: divisionUg(one.otherDivision),
        at_utc_ms: one.at,
        takes_back: one.takesBack,
      }),
    comparisons,
    /** As it is now, in the order in which it was said last; checks in the order of their ids. */
    now: (): Kitchen => ({
      dryers: dryers.all().map(dryerFrom),
      foods: foods.all().map(foodFrom),
      checkWeights: weights.all().map(weightFrom),
      checks: checks.all().map(checkFrom),
      comparisons: comparisons(),
    }),
  };
}
