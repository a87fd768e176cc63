/** Dryers, foods of one's own, check weights, and what a load deserves to be told. */
import { asKept } from "../units/mass.ts";
import { grams } from "../units/quantity.ts";
import { inOneForm } from "../units/written.ts";
import type { Bench as WireBench } from "../wire/bench.ts";
import type * as wireKitchen from "../wire/kitchen.ts";
import type * as ask from "../wire/requests.ts";
import { chooseComparing, takeBackComparison } from "./comparing.ts";
import { refuseChosenMeanwhile, refuseCrossed } from "./crossed.ts";
import { chooseCheck, dryerNamed, setCheckWeight, setDryer, setOwnFood } from "./kitchen.ts";
import type { Service } from "./service.ts";
import {
  dryerFrom,
  lookAtBatch,
  lookAtPlan,
  ownFoodFrom,
  showDish,
  showKitchen,
} from "./showkitchen.ts";
import type { Work } from "./work.ts";

type KitchenDesk = Pick<
  Service,
  | "foods"
  | "kitchen"
  | "setDryer"
  | "setOwnFood"
  | "dish"
  | "setCheckWeight"
  | "chooseCheck"
  | "compareScales"
  | "takeBackComparison"
  | "lookAtPlan"
  | "lookAtBatch"
>;

export function kitchenDesk(work: Work): KitchenDesk {
  const desk: KitchenDesk = {
    foods(typed: string, most: number): ask.FoodFound[] {
      return work.set.foods
        .find(inOneForm(typed), most, work.own())
        .map((food) => ({ ...food, thicknessMm: work.set.store.thicknessOf(food.name) }));
    },

    kitchen(): wireKitchen.Kitchen {
      return showKitchen(work.engine.present, work.set.foods);
    },

    setDryer(asked: wireKitchen.DryerSet): wireKitchen.Kitchen {
      const before = dryerNamed(work.engine.present.kitchen, asked.name);
      const shown = desk.kitchen().dryers.find(({ name }) => name === before?.name);
      refuseCrossed(`dryer ${asked.name}`, asked.seen, shown ?? {});
      const at = work.set.clock.utc();
      work.engine.act(() => setDryer(dryerFrom(asked, before), at));
      return desk.kitchen();
    },

    setOwnFood(food: number | null, asked: wireKitchen.OwnFoodSet): wireKitchen.Kitchen {
      const shown = desk.kitchen().foods.find(({ id }) => id === food);
      if (shown !== undefined) refuseCrossed(`food ${shown.name}`, asked.seen, shown);
      const own = ownFoodFrom(asked, work.set.foods, work.own());
      work.engine.act((bench) => setOwnFood(bench, food, own, work.set.clock.utc()));
      return desk.kitchen();
    },

    dish(asked: wireKitchen.DishAsked): wireKitchen.DishPreview {
      return showDish(asked, work.set.foods, work.own());
    },

    setCheckWeight(weight: number | null, asked: wireKitchen.CheckWeightSet): wireKitchen.Kitchen {
      const shown = desk.kitchen().checkWeights.find(({ id }) => id === weight);
      if (shown !== undefined) refuseCrossed(`check weight ${shown.name}`, asked.seen, shown);
      const { errorGrams = null } = asked;
      const set = {
        name: asked.name,
        nominal: asKept(grams(asked.nominalGrams)),
        weightClass: asked.weightClass ?? null,
        error: errorGrams === null ? null : grams(errorGrams),
        everyDays: asked.everyDays,
        retired: asked.retired ?? false,
      };
      work.engine.act((bench) => setCheckWeight(bench, weight, set, work.set.clock.utc()));
      return desk.kitchen();
    },

    chooseCheck(scaleId: string, asked: wireKitchen.CheckChoice): WireBench {
      refuseChosenMeanwhile(work.engine.present, scaleId, asked.seen, work.set.clock.utc());
      work.engine.act((bench) => chooseCheck(bench, scaleId, asked.weight));
      return work.bench();
    },

    compareScales(scaleId: string, asked: wireKitchen.CompareChoice): WireBench {
      const pair = asked.with === null ? null : ([scaleId, asked.with] as const);
      work.engine.act((bench) => chooseComparing(bench, pair));
      return work.bench();
    },

    takeBackComparison(comparison: number): wireKitchen.Kitchen {
      work.engine.act((bench) => takeBackComparison(bench, comparison, work.set.clock.utc()));
      return desk.kitchen();
    },

    lookAtPlan(asked: ask.NewBatch): wireKitchen.LoadLook {
      return lookAtPlan(asked, work.engine.present, work.set.foods);
    },

    lookAtBatch(batchId: number): wireKitchen.LoadLook {
      return lookAtBatch(work.openOrEnded(batchId), work.engine.present, work.set.foods);
    },
  };
  return desk;
}
