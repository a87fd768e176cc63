/** What a batch gave: for each portion, each tray and all of it, from the masses before and after drying. */
import { energyOf } from "../tray/energy.ts";
import { litresOfWater, moistureOf, waterRemoved, yieldOf } from "../tray/yield.ts";
import type { FoodOnTray } from "../tray/weighing.ts";
import { asKept } from "../units/mass.ts";
import { grams, hours, type Grams, type UtcMs } from "../units/quantity.ts";
import type * as wire from "../wire/yield.ts";
import { spanToDryBasis } from "../food/basis.ts";
import type { Batch } from "./bench.ts";
import type { Dryer } from "./kitchen.ts";
import {
  batchHoursAt,
  foodOf,
  freshNetOf,
  isLeftEmpty,
  netOf,
  portionsOf,
  weighingsOf,
} from "./look.ts";

type Part = {
  readonly fresh: Grams;
  readonly dry: Grams;
  readonly isEstimate: boolean;
  readonly food: Pick<FoodOnTray, "water" | "waterSd"> | null;
};

/** Money and electricity of all that was dried; shared by the water that each part lost. */
type Cost = {
  readonly kwh: number;
  readonly cost: number | null;
  readonly currency: string;
  readonly water: number;
};

export function showYields(batch: Batch, dryer: Dryer | null, at: UtcMs): wire.Yields {
  const trays = batch.trays.map((tray) => {
    const dry = weighingsOf(batch, tray.id).findLast(({ kind }) => kind === "dry");
    const freshNet = freshNetOf(batch, tray);
    const net = dry === undefined ? null : netOf(batch, dry);
    const whole: Part | null =
      freshNet === null || net === null || freshNet <= 0 || net <= 0
        ? null
        : { fresh: freshNet, dry: net, isEstimate: false, food: foodOf(batch, tray) };
    const portions = portionsOf(batch, tray).map(({ portion, fresh: mass, dry: share }) => ({
      portion,
      part:
        mass === null || share === null || mass <= 0 || share.grams <= 0
          ? null
          : { fresh: mass, dry: share.grams, isEstimate: share.isEstimate, food: portion.food },
    }));
    return { tray, whole, portions };
  });
  const parts = trays.flatMap(({ whole }) => whole ?? []);
  const isAll = trays.every(({ tray, whole }) => whole !== null || isLeftEmpty(batch, tray));
  const energy = energyOf(dryer, hours(batchHoursAt(batch, batch.endedAt ?? at)));
  const water = parts.reduce((sum, one) => sum + (one.fresh - one.dry), 0);
  // Of trays that are still to be weighed nobody knows the part.
  const cost: Cost | null =
    energy === null || dryer === null || water <= 0 || !isAll
      ? null
      : { ...energy, currency: dryer.currency, water };
  const show = (part: Part | null) => (part === null ? null : showYield(part, cost));
  return {
    batch: show(isAll ? together(parts) : null),
    trays: trays.map(({ tray, whole, portions }) => ({
      tray: tray.id,
      name: tray.name,
      food: tray.foodName,
      yield: show(whole),
      portions: portions.map(({ portion, part }) => ({
        place: portion.place,
        food: portion.foodName,
        yield: show(part),
      })),
    })),
  };
}

/** Moisture of different foods is not added up. */
function together(parts: readonly Part[]): Part | null {
  if (parts.length === 0) return null;
  const [only, second] = parts;
  if (only !== undefined && second === undefined) return only;
  const sum = (of: (part: Part) => number): Grams =>
    asKept(grams(parts.reduce((total, part) => total + of(part), 0)));
  return {
    fresh: sum(({ fresh }) => fresh),
    dry: sum(({ dry }) => dry),
    isEstimate: false,
    food: null,
  };
}

function showYield({ fresh, dry, isEstimate, food }: Part, all: Cost | null): wire.Yield {
  const removed = asKept(waterRemoved(fresh, dry));
  const moisture = food === null ? null : moistureOf({ freshNet: fresh, net: dry, food });
  const share = all === null ? 0 : removed / all.water;
  const cost = all === null || all.cost === null ? null : all.cost * share;
  return {
    freshGrams: fresh,
    dryGrams: asKept(dry),
    isEstimate,
    waterRemovedGrams: removed,
    waterRemovedLitres: litresOfWater(removed),
    yieldFraction: yieldOf(fresh, dry),
    freshPerDry: fresh / dry,
    moistureWetBasis: moisture === null ? null : { ...moisture },
    moistureDryBasis: spanToDryBasis(moisture),
    waterToRehydrateGrams: Math.max(0, removed),
    waterPerDryGram: Math.max(0, fresh / dry - 1),
    energyKwh: all === null ? null : all.kwh * share,
    cost,
    currency: all?.currency ?? "",
    costPerKgFresh: cost === null ? null : (cost / fresh) * 1000,
    costPerKgDry: cost === null ? null : (cost / dry) * 1000,
  };
}
