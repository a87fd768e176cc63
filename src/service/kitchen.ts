/** What belongs to the kitchen and not to a batch: dryers, the person's own foods, check weights and their checks. */
import { Fault } from "../faults.ts";
import {
  checkTolerance,
  isWithin,
  permissibleError,
  type WeightClass,
} from "../tray/checkweight.ts";
import type { ScaleComparison } from "../tray/offset.ts";
import type { TrayWeighing } from "../tray/weighing.ts";
import { asKept } from "../units/mass.ts";
import { utcMs, type Fraction, type Grams, type UtcMs } from "../units/quantity.ts";
import { folded, inOneForm } from "../units/written.ts";
import type { Bench, Change, LoadOnScale, ScaleOnBench } from "./bench.ts";

export type Dryer = {
  /** As batches name it. */
  readonly name: string;
  /** As much water as a person lets it take up in one batch. */
  readonly mostWater: Grams | null;
  /** Fresh food that one of its trays may carry. */
  readonly mostOnTray: Grams | null;
  /** Mean power over a batch. */
  readonly watts: number | null;
  readonly pricePerKwh: number | null;
  readonly currency: string;
};

export type OwnFood = {
  readonly id: number;
  readonly name: string;
  readonly water: Fraction;
  readonly waterSd: Fraction;
  readonly fatPct: number | null;
  readonly sugarsPct: number | null;
  readonly cautions: readonly string[];
  /** null: the person's own figure. */
  readonly recipe: {
    readonly ingredients: readonly { readonly food: string; readonly mass: Grams }[];
    /** Of the finished dish; null: nothing was lost or taken up. */
    readonly cooked: Grams | null;
  } | null;
  /** Not offered any more; batches that name it keep their own figures. */
  readonly retired: boolean;
};

export type CheckWeight = {
  readonly id: number;
  readonly name: string;
  readonly nominal: Grams;
  /** null: the tolerance is the person's own, from the weight's certificate. */
  readonly weightClass: WeightClass | null;
  readonly error: Grams;
  readonly everyDays: number;
  readonly retired: boolean;
};

/** A check weight on a scale, with what it was judged by. */
export type ScaleCheck = {
  readonly id: number;
  readonly weightId: number;
  readonly scale: string;
  readonly nominal: Grams;
  readonly shown: Grams;
  readonly division: Grams;
  readonly tolerance: Grams;
  readonly isGood: boolean;
  readonly at: UtcMs;
};

export type Kitchen = {
  readonly dryers: readonly Dryer[];
  readonly foods: readonly OwnFood[];
  readonly checkWeights: readonly CheckWeight[];
  /** Oldest first. */
  readonly checks: readonly ScaleCheck[];
  /** Of two scales by one load, oldest first, with those that were taken back. */
  readonly comparisons: readonly ScaleComparison[];
};

export const nextId = (all: readonly { readonly id: number }[]): number =>
  Math.max(0, ...all.map(({ id }) => id)) + 1;

/** Puts one in the place of the one of the same key, or at the end. */
const put = <T>(all: readonly T[], one: T, isSame: (other: T) => boolean): readonly T[] =>
  all.some(isSame) ? all.map((other) => (isSame(other) ? one : other)) : [...all, one];

export const withDryer = (kitchen: Kitchen, dryer: Dryer): Kitchen => ({
  ...kitchen,
  dryers: put(kitchen.dryers, dryer, ({ name }) => name === dryer.name),
});
export const withFood = (kitchen: Kitchen, food: OwnFood): Kitchen => ({
  ...kitchen,
  foods: put(kitchen.foods, food, ({ id }) => id === food.id),
});
export const withCheckWeight = (kitchen: Kitchen, weight: CheckWeight): Kitchen => ({
  ...kitchen,
  checkWeights: put(kitchen.checkWeights, weight, ({ id }) => id === weight.id),
});

export const dryerNamed = (kitchen: Kitchen, name: string): Dryer | null =>
  kitchen.dryers.find((one) => inOneForm(one.name) === inOneForm(name)) ?? null;

export const setDryer = (dryer: Dryer, at: UtcMs): readonly Change[] => [
  { is: "dryer-set", dryer, at },
];

export type FoodAsked = Omit<OwnFood, "id">;

/** `id` null: a new one. A food's name is its own among those that are offered. */
export function setOwnFood(
  bench: Bench,
  id: number | null,
  asked: FoodAsked,
  at: UtcMs,
): readonly Change[] {
  const { foods } = bench.kitchen;
  if (id !== null && !foods.some((one) => one.id === id))
    throw new Fault("food.not-found", `none of your foods has the number ${id}`);
  const name = folded(asked.name);
  const same = foods.find((one) => one.id !== id && !one.retired && folded(one.name) === name);
  if (same !== undefined && !asked.retired)
    throw new Fault("input.invalid", `one of your foods is called ${same.name} already`, {
      errors: [{ pointer: "#/name", detail: "give it another name, or change that one" }],
    });
  return [{ is: "own-food-set", food: { ...asked, id: id ?? nextId(foods) }, at }];
}

export function setCheckWeight(
  bench: Bench,
  id: number | null,
  asked: Omit<CheckWeight, "id" | "error"> & { readonly error: Grams | null },
  at: UtcMs,
): readonly Change[] {
  const { checkWeights } = bench.kitchen;
  if (id !== null && !checkWeights.some((one) => one.id === id))
    throw new Fault("weight.not-found", `no check weight has the number ${id}`);
  const { weightClass, nominal } = asked;
  const error = weightClass === null ? asked.error : permissibleError(weightClass, nominal);
  if (error === null)
    throw new Fault(
      "input.invalid",
      weightClass === null
        ? "a check weight without a class needs the tolerance of its certificate"
        : `class ${weightClass} has no weight of ${nominal} g: give the tolerance of its certificate`,
    );
  const weight = { ...asked, error, id: id ?? nextId(checkWeights) };
  return [{ is: "check-weight-set", weight, at }];
}

function checkWeightOrFault(bench: Bench, id: number): CheckWeight {
  const found = bench.kitchen.checkWeights.find((one) => one.id === id);
  if (found === undefined)
    throw new Fault("weight.not-found", `no check weight has the number ${id}`);
  return found;
}

/** A person puts a check weight on next; null: the scale is for weighing again. */
export function chooseCheck(
  bench: Bench,
  scaleId: string,
  weightId: number | null,
): readonly Change[] {
  if (!bench.scales.some(({ id }) => id === scaleId))
    throw new Fault("scale.not-found", `no scale is called ${scaleId}`);
  if (weightId !== null) checkWeightOrFault(bench, weightId);
  return [{ is: "check-chosen", scaleId, weightId }];
}

/** Of a load that is no weighing of a tray or bag. */
export const loadBecame = (
  scale: ScaleOnBench,
  load: Pick<LoadOnScale, "id" | "weight">,
  became: "taken" | "ignored",
): Change => ({
  is: "load-changed",
  scaleId: scale.id,
  load: { ...load, became, weighing: null, question: null },
});

/** A figure further off is another load than the check weight that was asked for, not a bad scale. Our choice. */
const mostOff = { share: 0.2, divisions: 10 } as const;

/**
 * A check weight that was asked for came to rest: the check is kept, good or bad. Another load, or one that lay there
 * before the empty pan was seen, says nothing of the scale: the weight is waited for still.
 */
export function settleCheck(
  bench: Bench,
  scale: ScaleOnBench,
  weightId: number,
  load: Pick<LoadOnScale, "id" | "weight">,
): readonly Change[] {
  const weight = checkWeightOrFault(bench, weightId);
  const { mass, division, atUtcMs, zeroSeen } = load.weight;
  const most = Math.max(mostOff.share * weight.nominal, mostOff.divisions * division);
  if (!zeroSeen || Math.abs(mass - weight.nominal) > most)
    return [loadBecame(scale, load, "ignored")];
  const tolerance = asKept(checkTolerance(weight.nominal, weight.error, division));
  const check: ScaleCheck = {
    id: nextId(bench.kitchen.checks),
    weightId,
    scale: scale.id,
    nominal: weight.nominal,
    shown: asKept(mass),
    division,
    tolerance,
    isGood: isWithin(mass, weight.nominal, tolerance),
    at: atUtcMs,
  };
  return [
    { is: "scale-checked", check },
    loadBecame(scale, load, "taken"),
    { is: "taken-shown", scaleId: scale.id, weighing: null },
    { is: "check-chosen", scaleId: scale.id, weightId: null },
  ];
}

const checksOf = (kitchen: Kitchen, scale: string): readonly ScaleCheck[] =>
  kitchen.checks.filter((one) => one.scale === scale);

export const lastCheck = (kitchen: Kitchen, scale: string): ScaleCheck | null =>
  checksOf(kitchen, scale).at(-1) ?? null;

/** When a scale is next to be checked: the soonest of its weights; null where no check weight is in use. */
export function checkDue(kitchen: Kitchen, scale: string): UtcMs | "now" | null {
  const inUse = kitchen.checkWeights.filter(({ retired }) => !retired);
  if (inUse.length === 0) return null;
  const everyMs = Math.min(...inUse.map(({ everyDays }) => everyDays)) * 86_400_000;
  const last = lastCheck(kitchen, scale);
  return last === null || !last.isGood ? "now" : utcMs(last.at + everyMs);
}

/**
 * The scale was found out of tolerance, and this weighing was taken on it after its last good check before that and
 * before the next good one: how far off it was then, nobody knows.
 */
export function isInDoubt(kitchen: Kitchen, weighing: Pick<TrayWeighing, "scale" | "at">): boolean {
  const { scale, at } = weighing;
  if (scale === null) return false;
  const checks = checksOf(kitchen, scale);
  return checks.some((bad) => {
    if (bad.isGood) return false;
    const goodBefore = checks.findLast((one) => one.isGood && one.at <= bad.at);
    const goodAfter = checks.find((one) => one.isGood && one.at > bad.at);
    return at > (goodBefore?.at ?? 0) && (goodAfter === undefined || at < goodAfter.at);
  });
}
