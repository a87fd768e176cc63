/** A batch being planned: what was typed so far, and what the service would be asked for. */
import { fromGrams, toGrams, type MassUnit } from "../../src/units/mass.ts";
import { grams } from "../../src/units/quantity.ts";
import type { Batch, Tray } from "../../src/wire/batch.ts";
import type { NewBatch, NewPortion, NewTray } from "../../src/wire/requests.ts";
import { isNoThickness, readTyped } from "./show.ts";

export type FoodDraft = {
  readonly key: number;
  readonly food: string;
  /** The food's number in the table, while its name is as it was found. */
  readonly foodNumber: string | null;
  readonly water: string;
  /** A person typed the water; otherwise it only shows the table's. */
  readonly isOwnWater: boolean;
  /** Of the pieces, mm; may stay empty. */
  readonly thickness: string;
  /** Net; empty: as much as comes. */
  readonly target: string;
};

export type TrayDraft = {
  readonly key: number;
  readonly name: string;
  readonly tare: string;
  /** In the order in which they are poured; one at least. */
  readonly foods: readonly FoodDraft[];
};

export type Draft = {
  readonly dryer: string;
  readonly name: string;
  /** Of the batch; empty: one more than the last. */
  readonly number: string;
  readonly trays: readonly TrayDraft[];
};

export type Flaw =
  | { readonly is: "no-dryer" | "no-trays" | "bad-number" }
  | {
      readonly is: "same-name" | "bad-tare" | "bad-water" | "bad-thickness" | "bad-target";
      readonly name: string;
    };

export const emptyFood = (key: number): FoodDraft => ({
  key,
  food: "",
  foodNumber: null,
  water: "",
  isOwnWater: false,
  thickness: "",
  target: "",
});

export const emptyTray = (key: number, name: string): TrayDraft => ({
  key,
  name,
  tare: "",
  foods: [emptyFood(1)],
});

export const emptyDraft = (dryer: string): Draft => ({
  dryer,
  name: "",
  number: "",
  trays: [1, 2, 3].map((number) => emptyTray(number, String(number))),
});

const nextKey = (all: readonly { readonly key: number }[]): number =>
  Math.max(0, ...all.map(({ key }) => key)) + 1;

/** The smallest number that no tray is called by yet. */
export function withTrayAdded(draft: Draft): Draft {
  const taken = new Set(draft.trays.map((tray) => tray.name.trim()));
  let number = 1;
  while (taken.has(String(number))) number++;
  return { ...draft, trays: [...draft.trays, emptyTray(nextKey(draft.trays), String(number))] };
}

export const withTray = (draft: Draft, key: number, change: Partial<TrayDraft>): Draft => ({
  ...draft,
  trays: draft.trays.map((tray) => (tray.key === key ? { ...tray, ...change } : tray)),
});

export const withoutTray = (draft: Draft, key: number): Draft => ({
  ...draft,
  trays: draft.trays.filter((tray) => tray.key !== key),
});

export const withFood = (tray: TrayDraft, key: number, change: Partial<FoodDraft>): TrayDraft => ({
  ...tray,
  foods: tray.foods.map((food) => (food.key === key ? { ...food, ...change } : food)),
});

export const withFoodAdded = (tray: TrayDraft): TrayDraft => ({
  ...tray,
  foods: [...tray.foods, emptyFood(nextKey(tray.foods))],
});

export const withoutFood = (tray: TrayDraft, key: number): TrayDraft => ({
  ...tray,
  foods: tray.foods.filter((food) => food.key !== key),
});

export const holds = (draft: Draft, code: string): boolean =>
  draft.trays.some(({ foods }) => foods.some(({ food }) => food === code));

/** A bag's food onto the first tray that has none yet, or onto one more. */
export function withBag(draft: Draft, code: string): Draft {
  const free = draft.trays.find(({ foods }) => foods.every(({ food }) => food.trim() === ""));
  if (free === undefined) return withBag(withTrayAdded(draft), code);
  return withTray(draft, free.key, { foods: [{ ...emptyFood(1), food: code }] });
}

/** The same trays with the same empty masses; foods and targets too, for a batch is often made again. */
export const copyOf = (batch: Batch, draft: Draft, unit: MassUnit): Draft => ({
  ...draft,
  dryer: batch.dryer,
  trays: batch.trays.map((tray, index) => ({
    ...emptyTray(index + 1, tray.name),
    tare: typedMass(tray.tareGrams, unit),
    foods: foodsOf(tray, unit),
  })),
});

const typedMass = (mass: number | null, unit: MassUnit): string =>
  mass === null ? "" : String(Number(fromGrams(grams(mass), unit).toFixed(4)));

function foodsOf(tray: Tray, unit: MassUnit): readonly FoodDraft[] {
  // What was dried before is not there a second time.
  const portions = tray.portions.filter(({ fromBag }) => fromBag === null);
  const all = portions.length === 0 ? [{ ...tray, targetGrams: null }] : portions;
  return all.map(({ food, waterPct, thicknessMm, targetGrams }, index) => ({
    ...emptyFood(index + 1),
    food: food ?? "",
    water: waterPct === null ? "" : String(waterPct),
    isOwnWater: waterPct !== null,
    thickness: thicknessMm === null ? "" : String(thicknessMm),
    target: typedMass(targetGrams, unit),
  }));
}

export function readDraft(
  draft: Draft,
  unit: MassUnit,
):
  | { readonly is: "whole"; readonly batch: NewBatch }
  | { readonly is: "flawed"; readonly flaw: Flaw } {
  const flaw = flawIn(draft);
  if (flaw !== null) return { is: "flawed", flaw };
  const name = draft.name.trim();
  const number = readTyped(draft.number);
  return {
    is: "whole",
    batch: {
      dryer: draft.dryer.trim(),
      ...(name === "" ? {} : { name }),
      ...(number === null ? {} : { number }),
      trays: draft.trays.map((tray) => newTray(tray, unit)),
    },
  };
}

function flawIn(draft: Draft): Flaw | null {
  if (draft.dryer.trim() === "") return { is: "no-dryer" };
  if (draft.trays.length === 0) return { is: "no-trays" };
  const number = readTyped(draft.number);
  const isCounting = number !== null && Number.isInteger(number) && number > 0;
  if (draft.number.trim() !== "" && !isCounting) return { is: "bad-number" };
  const seen = new Set<string>();
  for (const tray of draft.trays) {
    const name = tray.name.trim();
    if (seen.has(name.toLowerCase())) return { is: "same-name", name };
    seen.add(name.toLowerCase());
    if (isNoMass(tray.tare)) return { is: "bad-tare", name };
    for (const { water, thickness, target } of tray.foods) {
      const share = readTyped(water);
      const isWaterBad = share === null || share <= 0 || share >= 100;
      if (water.trim() !== "" && isWaterBad) return { is: "bad-water", name };
      if (isNoThickness(thickness)) return { is: "bad-thickness", name };
      if (isNoMass(target)) return { is: "bad-target", name };
    }
  }
  return null;
}

function isNoMass(typed: string): boolean {
  const mass = readTyped(typed);
  return typed.trim() !== "" && (mass === null || mass <= 0);
}

/** One food without a target needs no portion; the service is then asked as for any tray. */
function newTray(tray: TrayDraft, unit: MassUnit): NewTray {
  const tare = readTyped(tray.tare);
  const said = tray.foods.map((food) => newFood(food, unit));
  const [only, second] = said;
  const isPlain =
    second === undefined && only?.targetGrams === undefined && only?.bag === undefined;
  return {
    name: tray.name.trim(),
    ...(tare === null ? {} : { tareGrams: toGrams(tare, unit) }),
    ...(isPlain ? only : { portions: said }),
  };
}

/** What a label says, typed or scanned: that bag's food is dried again. */
const bagLabel = /^(PRACTICE-)?\d{1,9}-\d{1,6}$/i;

/** The table's own figure comes with its spread, so that it is asked for by number and not by its water. */
function newFood(draft: FoodDraft, unit: MassUnit): NewPortion {
  const water = readTyped(draft.water);
  const thickness = readTyped(draft.thickness);
  const target = readTyped(draft.target);
  const more = {
    ...(thickness === null ? {} : { thicknessMm: thickness }),
    ...(target === null ? {} : { targetGrams: toGrams(target, unit) }),
  };
  const food = draft.foodNumber ?? draft.food.trim();
  if (bagLabel.test(food)) return { bag: food, ...more };
  return {
    ...(food === "" ? {} : { food }),
    ...(water !== null && draft.isOwnWater ? { waterPct: water } : {}),
    ...more,
  };
}
