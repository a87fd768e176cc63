/** The foods that the service knows, in the shapes of the page and of the judgment. */
import { cautionsOf } from "../food/caution.ts";
import { anyFood } from "../food/expected.ts";
import { waterLearned } from "../food/learned.ts";
import { findFoods, foodByNumberOrName } from "../food/find.ts";
import type { Food } from "../food/food.ts";
import type { FoodTable } from "../food/table.ts";
import type { Portion } from "../tray/portion.ts";
import { readLog, type ReadLog } from "../verdict/log.ts";
import type { FoodOnTray } from "../tray/weighing.ts";
import { fraction, grams } from "../units/quantity.ts";
import type { FoodFound, NewTray } from "../wire/requests.ts";
import type { Lesson, Tray } from "./bench.ts";
import { watersOf } from "./lessons.ts";
import { mixedFood, namesOf } from "./look.ts";

const tableSource = "USDA National Nutrient Database for Standard Reference, release 28";
/** A person's own figure without a spread: one point of water more or less. Our choice. */
const ownFigureSd = fraction(0.01);

export type FoodShelf = {
  /** A hand-kept log, its foods looked up. */
  readLog(csv: string): ReadLog;
  find(typed: string, most: number, lessons: readonly Lesson[]): FoodFound[];
  /** What the judgment may know of a food that a person named, and of its water where they gave it. */
  onTray(
    name: string | null,
    waterPct: number | null,
    lessons: readonly Lesson[],
  ): {
    readonly foodName: string | null;
    readonly food: FoodOnTray | null;
    readonly cautions: readonly string[];
  };
};

type OnTray = Pick<Tray, "foodName" | "food" | "cautions" | "portions">;

/** What a person plans for a tray: one food, or portions and what they make together. */
export function planned(
  shelf: FoodShelf,
  asked: Pick<NewTray, "food" | "waterPct" | "portions">,
  lessons: readonly Lesson[],
): OnTray {
  const portions = (asked.portions ?? []).map((one, index): Portion => ({
    place: index + 1,
    ...shelf.onTray(one.food ?? null, one.waterPct ?? null, lessons),
    target: typeof one.targetGrams === "number" ? grams(one.targetGrams) : null,
    fromBag: null,
  }));
  if (portions.length === 0)
    return { ...shelf.onTray(asked.food ?? null, asked.waterPct ?? null, lessons), portions };
  const name = namesOf(portions);
  return {
    foodName: name === "" ? null : name,
    food: mixedFood(portions),
    cautions: [...new Set(portions.flatMap(({ cautions }) => cautions))],
    portions,
  };
}

export function foodShelf(table: FoodTable): FoodShelf {
  return {
    readLog: (csv) => readLog(csv, table),
    find: (typed, most, lessons) =>
      findFoods(table, typed, most).map((food) => showFood(food, lessons)),
    onTray: (name, waterPct, lessons) => {
      const known = name === null ? null : foodByNumberOrName(table, name);
      const foodName = known?.name ?? name;
      const cautions = known === null ? [] : textsOf(known);
      if (waterPct !== null)
        return {
          foodName,
          food: {
            name: foodName ?? "food",
            water: fraction(waterPct / 100),
            waterSd: known?.waterSd ?? ownFigureSd,
            source: "your own figure",
          },
          cautions,
        };
      const own = foodName === null ? null : ownWater(known, foodName, lessons);
      if (own !== null) {
        const { water, waterSd, batches } = own;
        const source = known === null ? "" : ` and ${tableSource}, no. ${known.number}`;
        const from = batches === 1 ? "1 of your batches" : `${batches} of your batches`;
        const food = { name: foodName ?? "food", water, waterSd, source: `${from}${source}` };
        return { foodName, food, cautions };
      }
      if (known === null) return { foodName, food: null, cautions };
      const { water, waterSd } = known;
      const source = `${tableSource}, no. ${known.number}`;
      return { foodName, food: { name: known.name, water, waterSd, source }, cautions };
    },
  };
}

/** What one's own batches and the table say together; null where no batch says anything. */
function ownWater(known: Food | null, name: string, lessons: readonly Lesson[]) {
  const waters = watersOf(lessons, name);
  if (waters.length === 0) return null;
  const prior = known ?? { water: fraction(anyFood.water), waterSd: fraction(anyFood.waterSd) };
  return { ...waterLearned(prior, waters), batches: waters.length };
}

const textsOf = (food: Food): string[] => cautionsOf(food).map(({ text }) => text);

const showFood = (food: Food, lessons: readonly Lesson[]): FoodFound => ({
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

const showOwn = (own: ReturnType<typeof ownWater>): FoodFound["own"] =>
  own === null
    ? null
    : { batches: own.batches, waterPct: own.water * 100, waterSdPct: own.waterSd * 100 };
