/** The foods that the service knows, in the shapes of the page and of the judgment. */
import { byComposition, cautionsOf } from "../food/caution.ts";
import { dishOf, type Dish } from "../food/dish.ts";
import { anyFood } from "../food/expected.ts";
import { waterLearned } from "../food/learned.ts";
import { findFoods, foodByNumberOrName, fitsTyped } from "../food/find.ts";
import type { Food } from "../food/food.ts";
import type { FoodTable } from "../food/table.ts";
import { thickestOf, type Portion } from "../tray/portion.ts";
import { readLog, type ReadLog } from "../verdict/log.ts";
import type { FoodOnTray } from "../tray/weighing.ts";
import { fraction, grams, type Fraction, type Grams } from "../units/quantity.ts";
import { folded } from "../units/written.ts";
import type { FoodFound, NewTray } from "../wire/requests.ts";
import type { Lesson, Tray } from "./bench.ts";
import type { OwnFood } from "./kitchen.ts";
import { watersOf } from "./lessons.ts";
import { mixedFood, namesOf } from "./look.ts";

const tableSource = "USDA National Nutrient Database for Standard Reference, release 28";
/** A person's own figure without a spread: one point of water more or less. Our choice. */
export const ownFigureSd = fraction(0.01);

/** What a person brought along: foods and recipes of their own, and what their batches taught. */
export type Own = { readonly foods: readonly OwnFood[]; readonly lessons: readonly Lesson[] };

/** How thick its pieces were, only the record knows. */
type FoodOfShelf = Omit<FoodFound, "thicknessMm">;

export type FoodShelf = {
  /** A hand-kept log, its foods looked up. */
  readLog(csv: string, mostRows: number): ReadLog;
  find(typed: string, most: number, own: Own): FoodOfShelf[];
  /** What the judgment may know of a food that a person named, and of its water where they gave it. */
  onTray(
    name: string | null,
    waterPct: number | null,
    own: Own,
  ): {
    readonly foodName: string | null;
    readonly food: FoodOnTray | null;
    readonly cautions: readonly string[];
  };
  /** g per 100 g; null where nobody says. */
  composition(
    name: string | null,
    own: Own,
  ): { readonly fatPct: number | null; readonly sugarsPct: number | null };
  /** null: the dish would hold no water, or less than its own solids. */
  dish(
    ingredients: readonly { readonly food: string; readonly mass: Grams }[],
    cooked: Grams | null,
    own: Own,
  ): (Dish & { readonly cautions: readonly string[]; readonly unknown: readonly string[] }) | null;
};

type OnTray = Pick<Tray, "foodName" | "food" | "cautions" | "thicknessMm" | "portions">;

/** What a person plans for a tray: one food, or portions and what they make together. */
export function planned(
  shelf: FoodShelf,
  asked: Pick<NewTray, "food" | "waterPct" | "thicknessMm" | "portions">,
  own: Own,
): OnTray {
  const portions = (asked.portions ?? []).map((one, index): Portion => ({
    place: index + 1,
    ...shelf.onTray(one.food ?? null, one.waterPct ?? null, own),
    thicknessMm: one.thicknessMm ?? null,
    target: typeof one.targetGrams === "number" ? grams(one.targetGrams) : null,
    fromBag: null,
  }));
  if (portions.length === 0) {
    const food = shelf.onTray(asked.food ?? null, asked.waterPct ?? null, own);
    return { ...food, thicknessMm: asked.thicknessMm ?? null, portions };
  }
  return ofPortions(portions);
}

export function ofPortions(portions: readonly Portion[]): OnTray {
  const name = namesOf(portions);
  return {
    foodName: name === "" ? null : name,
    food: mixedFood(portions),
    cautions: [...new Set(portions.flatMap(({ cautions }) => cautions))],
    thicknessMm: thickestOf(portions),
    portions,
  };
}

/** A food as the table, the person or their recipe has it. */
type Known = {
  readonly name: string;
  readonly water: Fraction;
  readonly waterSd: Fraction;
  readonly source: string;
  readonly cautions: readonly string[];
  readonly fatPct: number | null;
  readonly sugarsPct: number | null;
};

export function foodShelf(table: FoodTable): FoodShelf {
  const known = (name: string, own: Own): Known | null => {
    const ofPerson = ownNamed(name, own.foods);
    if (ofPerson !== null) return { ...ofPerson, source: sourceOf(ofPerson) };
    const inTable = foodByNumberOrName(table, name);
    if (inTable === null) return null;
    const source = `${tableSource}, no. ${inTable.number}`;
    return { ...inTable, source, cautions: textsOf(inTable) };
  };
  const shelf: FoodShelf = {
    readLog: (csv, mostRows) => readLog(csv, table, mostRows),
    find: (typed, most, own) =>
      [
        ...own.foods
          .filter((food) => !food.retired && fitsTyped(food.name, typed))
          .map((food) => showOwnFood(food, own.lessons)),
        ...findFoods(table, typed, most).map((food) => showFood(food, own.lessons)),
      ].slice(0, most),
    onTray: (name, waterPct, own) => {
      const found = name === null ? null : known(name, own);
      const foodName = found?.name ?? name;
      const cautions = found?.cautions ?? [];
      if (waterPct !== null)
        return {
          foodName,
          food: {
            name: foodName ?? "food",
            water: fraction(waterPct / 100),
            waterSd: found?.waterSd ?? ownFigureSd,
            source: "your own figure",
          },
          cautions,
        };
      const learned = foodName === null ? null : ownWater(found, foodName, own.lessons);
      if (learned !== null) {
        const { water, waterSd, batches } = learned;
        const source = found === null ? "" : ` and ${found.source}`;
        const from = batches === 1 ? "1 of your batches" : `${batches} of your batches`;
        const food = { name: foodName ?? "food", water, waterSd, source: `${from}${source}` };
        return { foodName, food, cautions };
      }
      if (found === null) return { foodName, food: null, cautions };
      const { water, waterSd, source } = found;
      return { foodName, food: { name: found.name, water, waterSd, source }, cautions };
    },
    composition: (name, own) => {
      const found = name === null ? null : known(name, own);
      return { fatPct: found?.fatPct ?? null, sugarsPct: found?.sugarsPct ?? null };
    },
    dish: (ingredients, cooked, own) => {
      const parts = ingredients.map(({ food, mass }) => {
        const { food: onTray, cautions } = shelf.onTray(food, null, own);
        const { fatPct, sugarsPct } = shelf.composition(food, own);
        const water = onTray?.water ?? null;
        return {
          food,
          mass,
          cautions,
          water,
          waterSd: onTray?.waterSd ?? null,
          // Water itself, and what the table does not have, brings neither.
          fatPct: fatPct ?? 0,
          sugarsPct: sugarsPct ?? 0,
        };
      });
      const dish = dishOf(parts, cooked);
      if (dish === null) return null;
      const ofParts = parts.flatMap(({ cautions }) => cautions).filter((text) => !ofShare(text));
      const ofDish = byComposition(dish).map(({ text }) => text);
      const unknown = parts.filter(({ water }) => water === null).map(({ food }) => food);
      return { ...dish, cautions: [...new Set([...ofParts, ...ofDish])], unknown };
    },
  };
  return shelf;
}

/** A caution that a share of fat or sugar brought holds for the ingredient, not for what it was stirred into. */
const ofShare = (text: string): boolean => /^\d+ % (fat|sugar):/.test(text);

const ownNamed = (name: string, foods: readonly OwnFood[]): OwnFood | null =>
  foods.find((food) => !food.retired && folded(food.name) === folded(name)) ?? null;

const sourceOf = ({ recipe }: OwnFood): string =>
  recipe === null ? "your own figure" : "your own recipe";

/** What one's own batches and the table say together; null where no batch says anything. */
function ownWater(
  known: Pick<Food, "water" | "waterSd"> | null,
  name: string,
  lessons: readonly Lesson[],
) {
  const waters = watersOf(lessons, name);
  if (waters.length === 0) return null;
  const prior = known ?? { water: fraction(anyFood.water), waterSd: fraction(anyFood.waterSd) };
  return { ...waterLearned(prior, waters), batches: waters.length };
}

const textsOf = (food: Food): string[] => cautionsOf(food).map(({ text }) => text);

const showFood = (food: Food, lessons: readonly Lesson[]): FoodOfShelf => ({
  number: food.number,
  name: food.name,
  group: food.group,
  waterPct: food.water * 100,
  waterSdPct: food.waterSd * 100,
  sdIsOfGroup: food.sdIsOfGroup,
  source: tableSource,
  cautions: textsOf(food),
  own: showOwn(ownWater(food, food.name, lessons)),
});

/** Asked for by its name, for it has no number in the table. */
const showOwnFood = (food: OwnFood, lessons: readonly Lesson[]): FoodOfShelf => ({
  number: food.name,
  name: food.name,
  group: "",
  waterPct: food.water * 100,
  waterSdPct: food.waterSd * 100,
  sdIsOfGroup: false,
  source: sourceOf(food),
  cautions: [...food.cautions],
  own: showOwn(ownWater(food, food.name, lessons)),
});

const showOwn = (own: ReturnType<typeof ownWater>): FoodFound["own"] =>
  own === null
    ? null
    : { batches: own.batches, waterPct: own.water * 100, waterSdPct: own.waterSd * 100 };
