/**
 * The practice dryer: what a tray truly weighs after some hours of drying. Practice scenario, not food anyone
 * made: every figure in this file is our own invention, chosen so that a batch takes about a day and its
 * thickest tray is the last.
 *
 * The shape of the curve is the usual one of freeze-drying: ice leaves from a front whose resistance grows with
 * the dried layer above it, and water that was never frozen leaves each dried layer at a rate in proportion to
 * what is still there.
 */
import { grams, type Grams, type Hours } from "../units/quantity.ts";

/** Ratios of water are in g per g of dry matter. */
type PracticeLoad = {
  readonly food: string;
  readonly tareGrams: number;
  readonly freshGrams: number;
  /** As a person would type it for the food; the load itself differs by `waterOffPct`. */
  readonly waterPct: number;
  readonly waterOffPct: number;
  /** Hours until the ice is gone. */
  readonly frontHours: number;
  /** By how much the resistance grows from the first ice to the last, as a multiple of the first. */
  readonly resistance: number;
  /** Water that was never frozen, when the front passes. */
  readonly boundRatio: number;
  /** How fast that water leaves, per hour. */
  readonly boundRate: number;
};

/** Water that a working dryer leaves, g per g of dry matter. */
const leftRatio = 0.02;

/** Foods and dryer carry the word in their names, as what is exported or printed of them has to. */
export const practiceDryer = "Practice dryer";

/** Practice scenario, not food anyone made. The last is cut thicker, so that one tray is behind. */
export const practiceLoads: readonly PracticeLoad[] = [
  {
    food: "Practice apple slices",
    tareGrams: 412.6,
    freshGrams: 614.2,
    waterPct: 85.6,
    waterOffPct: 0.2,
    frontHours: 12,
    resistance: 1.4,
    boundRatio: 0.16,
    boundRate: 0.42,
  },
  {
    food: "Practice strawberry slices",
    tareGrams: 409.1,
    freshGrams: 701.8,
    waterPct: 90.8,
    waterOffPct: -0.2,
    frontHours: 13.5,
    resistance: 1.2,
    boundRatio: 0.15,
    boundRate: 0.4,
  },
  {
    food: "Practice sweet corn",
    tareGrams: 415.3,
    freshGrams: 538.5,
    waterPct: 76.0,
    waterOffPct: 0.1,
    frontHours: 12.5,
    resistance: 1.6,
    boundRatio: 0.14,
    boundRate: 0.38,
  },
  {
    food: "Practice pineapple, thick pieces",
    tareGrams: 406.9,
    freshGrams: 655.0,
    waterPct: 86.0,
    waterOffPct: -0.1,
    frontHours: 18,
    resistance: 1.8,
    boundRatio: 0.17,
    boundRate: 0.24,
  },
];

/** The load of the tray at this place in a batch; a larger batch goes through them again. */
export const loadAt = (place: number): PracticeLoad =>
  practiceLoads[place % practiceLoads.length] as PracticeLoad;

/** The share of the ice that is gone after `elapsed` of the hours that all of it takes; 0 to 1. */
function iceGone(elapsed: number, resistance: number): number {
  if (elapsed >= 1) return 1;
  const grown = 2 * resistance * (1 + resistance / 2) * Math.max(elapsed, 0);
  return (Math.sqrt(1 + grown) - 1) / resistance;
}

/** The moment, as a share of the front's hours, at which the front passes this depth; the inverse of `iceGone`. */
const passesAt = (depth: number, resistance: number): number =>
  (depth + (resistance / 2) * depth * depth) / (1 + resistance / 2);

/** Layers in which the water that was never frozen is followed; 40 are within 0.01 % of 4000 at any hour. */
const layers = 40;

/** Water in g per g of dry matter after these hours in the dryer. */
function waterRatio(load: PracticeLoad, freshRatio: number, dryingHours: number): number {
  const ice =
    (freshRatio - load.boundRatio) * (1 - iceGone(dryingHours / load.frontHours, load.resistance));
  let bound = 0;
  for (let layer = 0; layer < layers; layer++) {
    const passed = load.frontHours * passesAt((layer + 0.5) / layers, load.resistance);
    const hoursDry = Math.max(dryingHours - passed, 0);
    bound += leftRatio + (load.boundRatio - leftRatio) * Math.exp(-load.boundRate * hoursDry);
  }
  return ice + bound / layers;
}

/** A load, with the water that a person typed for the tray where that differs from the scenario's. */
function truth(
  load: PracticeLoad,
  typedWaterPct: number | null,
): { dryMatter: number; fresh: number } {
  const water = ((typedWaterPct ?? load.waterPct) + load.waterOffPct) / 100;
  // Below a quarter of water the scenario has no ice to speak of; a person in practice may type anything.
  const share = Math.min(Math.max(water, 0.25), 0.98);
  return { dryMatter: load.freshGrams * (1 - share), fresh: share / (1 - share) };
}

/** Net mass on the tray after these hours in the dryer. */
export function netAfter(
  load: PracticeLoad,
  typedWaterPct: number | null,
  dryingHours: Hours,
): Grams {
  const { dryMatter, fresh } = truth(load, typedWaterPct);
  return grams(dryMatter * (1 + waterRatio(load, fresh, dryingHours)));
}

/** Net mass towards which the tray dries: the dry matter and what a working dryer leaves in it. */
export function dryMass(load: PracticeLoad, typedWaterPct: number | null): Grams {
  return grams(truth(load, typedWaterPct).dryMatter * (1 + leftRatio));
}
