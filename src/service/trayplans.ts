/** What is planned for the trays of a batch, as a page asks for it: foods found, food of bags taken from their bags. */
import { Fault } from "../faults.ts";
import { trayCalled } from "../tray/called.ts";
import { grams } from "../units/quantity.ts";
import type * as ask from "../wire/requests.ts";
import type { TrayAsked } from "./acts.ts";
import type { Bench, Change, Tray } from "./bench.ts";
import { ofPortions, planned } from "./foods.ts";
import { sameFood } from "./lessons.ts";
import { fromBag, redried, refuseForTray, type FromBag } from "./redry.ts";
import type { Work } from "./work.ts";

export function trayPlans(work: Work) {
  function trayAsked(asked: ask.NewTray): TrayAsked {
    const tare = asked.tareGrams ?? null;
    return {
      name: asked.name,
      tare: tare === null ? null : grams(tare),
      ...plannedOn(asked),
    };
  }

  /** What is planned for a tray; food of a bag stands there as what the bag is known to hold. */
  function plannedOn(asked: Pick<ask.NewTray, "food" | "waterPct" | "thicknessMm" | "portions">) {
    const all = planned(work.set.foods, asked, work.own());
    const bags = (asked.portions ?? []).map(({ bag }) => bag ?? null);
    if (bags.every((bag) => bag === null)) return all;
    return ofPortions(
      all.portions.map((portion, index) => {
        const bag = bags[index] ?? null;
        return bag === null ? portion : { ...portion, ...takenFrom(bag) };
      }),
    );
  }

  function takenFrom(named: number | string): FromBag {
    const bag = work.anyBag(typeof named === "string" ? work.bagOfLabel(named) : named);
    refuseForTray(bag, work.set.store.redriedIn(bag.id) !== null);
    const { settings, kitchen } = work.engine.present;
    return fromBag(bag, settings.limit, work.set.clock.utc(), kitchen.comparisons);
  }

  /** The bags of a tray's portions leave the store in the same act in which the tray is kept. */
  function redrying(
    bench: Bench,
    trays: readonly TrayAsked[],
    batchNumber: number,
  ): readonly Change[] {
    const portions = trays.flatMap((tray) =>
      tray.portions.flatMap(({ fromBag: bagId }) =>
        bagId === null ? [] : [{ tray: tray.name, bagId }],
      ),
    );
    refuseTwice(portions.map(({ bagId }) => bagId));
    return redried(bench, portions, batchNumber, work.set.clock.utc());
  }

  /**
   * A bag's food stays what it was when it went onto the tray; another bag is another tray or batch. A food that is said
   * as it is shown stays too, with where its water is from: what was learned since, the tray was not planned with.
   */
  function portionsEdited(
    tray: Tray,
    asked: NonNullable<ask.TrayEdit["portions"]>,
  ): Partial<TrayAsked> {
    const all = planned(work.set.foods, { portions: asked }, work.own());
    return ofPortions(
      all.portions.map((portion, index) => {
        const { bag = null, food, waterPct } = asked[index] ?? {};
        const old = tray.portions.find(({ place }) => place === portion.place);
        const isAsShown =
          bag === null &&
          old?.fromBag === null &&
          old.food !== null &&
          food === old.foodName &&
          waterPct === old.food.water * 100;
        if (bag === null && !isAsShown) return portion;
        if (old === undefined || old.fromBag !== bag)
          throw new Fault(
            "input.invalid",
            "the food of a bag goes onto a tray of its own: add one",
          );
        return { ...old, target: portion.target, thicknessMm: portion.thicknessMm };
      }),
    );
  }

  function foodEdited(tray: Tray, asked: ask.TrayEdit): Partial<TrayAsked> {
    const { foods } = work.set;
    if (asked.portions !== undefined) return portionsEdited(tray, asked.portions);
    const { food: foodName, waterPct, thicknessMm } = asked;
    if (foodName === undefined && waterPct === undefined && thicknessMm === undefined) return {};
    const [only, second] = tray.portions;
    if (second !== undefined)
      throw new Fault(
        "input.invalid",
        `${trayCalled(tray.name)} has several foods: give its portions`,
      );
    const isSameFood = foodName === undefined && waterPct === undefined;
    const said = isSameFood
      ? { foodName: tray.foodName, food: tray.food, cautions: tray.cautions }
      : foods.onTray(
          foodName === undefined ? tray.foodName : foodName,
          waterPct ?? null,
          work.own(),
        );
    // Nobody said how thick the pieces of another food are.
    const isOther = tray.foodName !== null && !sameFood(said.foodName ?? "", tray.foodName);
    const kept = isOther ? null : tray.thicknessMm;
    const food = { ...said, thicknessMm: thicknessMm === undefined ? kept : thicknessMm };
    return { ...food, portions: only === undefined ? [] : [{ ...only, ...food }] };
  }

  return { trayAsked, redrying, foodEdited };
}

function refuseTwice(bags: readonly number[]): void {
  if (new Set(bags).size < bags.length)
    throw new Fault("input.invalid", "the food of one bag stands on two places of the plan");
}
