/** The foods that the service knows, in the shapes of the page and of the judgment. */
import { cautionsOf } from "../food/caution.ts";
import { findFoods, foodByNumberOrName } from "../food/find.ts";
import type { Food } from "../food/food.ts";
import type { FoodTable } from "../food/table.ts";
import type { FoodOnTray } from "../tray/weighing.ts";
import { fraction } from "../units/quantity.ts";
import type { FoodFound } from "../wire/requests.ts";

const tableSource = "USDA National Nutrient Database for Standard Reference, release 28";
/** A person's own figure without a spread: one point of water more or less. Our choice. */
const ownFigureSd = fraction(0.01);

export type FoodShelf = {
  find(typed: string, most: number): FoodFound[];
  /** What the judgment may know of a food that a person named, and of its water where they gave it. */
  onTray(
    name: string | null,
    waterPct: number | null,
  ): {
    readonly foodName: string | null;
    readonly food: FoodOnTray | null;
    readonly cautions: readonly string[];
  };
};

export function foodShelf(table: FoodTable): FoodShelf {
  return {
    find: (typed, most) => findFoods(table, typed, most).map(showFood),
    onTray: (name, waterPct) => {
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
      if (known === null) return { foodName, food: null, cautions };
      const { water, waterSd } = known;
      const source = `${tableSource}, no. ${known.number}`;
      return { foodName, food: { name: known.name, water, waterSd, source }, cautions };
    },
  };
}

const textsOf = (food: Food): string[] => cautionsOf(food).map(({ text }) => text);

const showFood = (food: Food): FoodFound => ({
  number: food.number,
  name: food.name,
  group: food.group,
  waterPct: food.water * 100,
  waterSdPct: food.waterSd * 100,
  sdIsOfGroup: food.sdIsOfGroup,
  source: tableSource,
  cautions: textsOf(food),
});
