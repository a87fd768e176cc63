/** One simulated batch: what the person wrote down, and beside it the truth that nobody sees. */
import type { TrayLog } from "../../src/tray/weighing.ts";
import { fraction, grams, hours, minutes, utcMs } from "../../src/units/quantity.ts";
import { chanceFor, type Chance } from "./chance.ts";
import {
  dry,
  excessOf,
  hoursUntil,
  lieOpen,
  loadTray,
  massOf,
  standOnBench,
  takeFood,
  wettestExcessOf,
  type DryingFood,
  type PieceSize,
  type RoomAir,
  type Tray,
} from "./dryer.ts";
import * as faults from "./faults.ts";
import { foods, type TableFood } from "./foods.ts";
import { somePlan, type Plan } from "./plans.ts";
import { driftOfRound, shown, someWeigher, weigh, type Weigher } from "./weigher.ts";

/** A tray counts as dry at this much water above what a working dryer leaves, g per g of solids. */
export const dryLimit = 0.02;
export const divisions = [0.1, 1, 5] as const;

/** The state of the food when the tray reaches the bench, before its minutes there. */
export type Truth = {
  readonly hours: number;
  readonly excess: number;
  readonly wettestExcess: number;
  /** The true drying hours since which the tray has been dry; null while it is not. */
  readonly dryAt: number | null;
  readonly solidsGrams: number;
  /** Whether the written figure carries ordinary error only. */
  readonly clean: boolean;
};

export type SimulatedTray = {
  readonly log: TrayLog;
  readonly truth: readonly Truth[];
  readonly fault: faults.FaultKind;
  /** How far the fault moved a figure or the food at most, in grams. */
  readonly faultGrams: number;
};

export type SimulatedBatch = {
  readonly seed: number;
  readonly division: number;
  readonly plan: Plan;
  readonly fault: faults.Fault;
  readonly faultShownAt: number;
  readonly trays: readonly SimulatedTray[];
};

/** Student's t with 5 degrees of freedom, scaled to a standard deviation of 1: lots stray further than a table says. */
function heavyTailed(chance: Chance): number {
  const squares = Array.from({ length: 5 }, () => chance.normal() ** 2);
  const spread = squares.reduce((sum, square) => sum + square, 0) / 5;
  return (chance.normal() / Math.sqrt(spread)) * Math.sqrt(3 / 5);
}

const within = (low: number, value: number, high: number) => Math.min(high, Math.max(low, value));

type Lot = {
  readonly table: TableFood;
  readonly known: boolean;
  readonly deviation: number;
} & Pick<DryingFood, "bound" | "left" | "resistance" | "boundRate">;

const someLot = (known: boolean, chance: Chance): Lot => ({
  table: chance.pick(foods),
  known,
  deviation: heavyTailed(chance),
  bound: chance.between(0.1, 0.25),
  left: chance.between(0.01, 0.03),
  resistance: chance.between(0.5, 4),
  boundRate: chance.between(0.15, 0.6),
});

/** Six classes of thickness; with `thick`, a seventh of 1–6 % of the mass and 1.5–2.2 times the thickness. */
function somePieces(thick: boolean, chance: Chance): readonly PieceSize[] {
  const spread = chance.between(0.05, 0.2);
  const even = Array.from({ length: 6 }, () => ({
    share: chance.between(0.5, 1.5),
    thickness: Math.exp(spread * chance.normal()),
  }));
  const total = even.reduce((sum, { share }) => sum + share, 0);
  const thickShare = thick ? chance.between(0.01, 0.06) : 0;
  const sizes = even.map((size) => ({ ...size, share: (size.share / total) * (1 - thickShare) }));
  return thick ? [...sizes, { share: thickShare, thickness: chance.between(1.5, 2.2) }] : sizes;
}

type Loaded = {
  readonly tray: Tray;
  readonly lot: Lot;
  readonly freshGrams: number;
  readonly tareGrams: number;
};

/** Trays of one batch share the dryer and mostly the food; each shelf is up to 15 % faster or slower. */
function loadBatch(seed: number, thickPieces: boolean): { loaded: Loaded[]; frontHours: number } {
  const chance = chanceFor(seed, "load");
  const count = chance.pick([1, 3, 4, 4, 5, 6]);
  const frontHours = chance.between(8, 24);
  const known = chance.happens(0.9);
  const shared = someLot(known, chance);
  const mixed = chance.happens(0.3);
  const usual = Math.exp(chance.between(Math.log(200), Math.log(1500)));
  const thick = thickPieces && chance.happens(0.35);
  const tareGrams = chance.between(250, 900);
  const loaded = Array.from({ length: count }, () => {
    const lot = mixed ? someLot(known, chance) : shared;
    const { table, bound, left, resistance } = lot;
    const strayed = lot.deviation * 0.95 + chance.normal() * 0.3;
    const water = within(0.3, table.water + table.waterSd * strayed, 0.97);
    const freshGrams = within(200, usual * Math.exp(0.12 * chance.normal()), 1500);
    const slower = chance.between(0.85, 1.15);
    const food: DryingFood = {
      water,
      bound,
      left,
      resistance,
      frontHours: frontHours * slower * (freshGrams / usual) ** 0.4,
      boundRate: lot.boundRate / slower,
    };
    const tray = loadTray(freshGrams, food, somePieces(thick, chance));
    return { tray, lot, freshGrams, tareGrams: tareGrams + 4 * chance.normal() };
  });
  return { loaded, frontHours };
}

const longest = 400;
/** Of the mean tray: what "a batch of this usually takes" is worth as a guess. */
const hoursToDry = (loaded: readonly Loaded[]) =>
  loaded.reduce((sum, { tray }) => sum + (hoursUntil(tray, dryLimit, longest, 1) ?? longest), 0) /
  loaded.length;

/** Pace of the dryer over a stretch of true drying hours, cut at the moment it stops. */
function* stretches(from: number, to: number, lost: number, fault: faults.Fault) {
  const stops = "atHours" in fault ? fault.atHours : Number.POSITIVE_INFINITY;
  const pumped = Math.min(to, from + lost);
  yield { from, to: pumped, pace: 0 };
  if (stops > pumped) yield { from: pumped, to: Math.min(to, stops), pace: 1 };
  if (stops < to)
    yield { from: Math.max(pumped, stops), to, pace: "pace" in fault ? fault.pace : 1 };
}

type Notes = "nothing" | "minutes" | "minutes and clock";

/** The bench of one batch: everything that does not belong to a tray. */
type Bench = {
  readonly weigher: Weigher;
  readonly air: RoomAir;
  readonly plan: Plan;
  readonly fault: faults.Fault;
  readonly notes: Notes;
  readonly chance: Chance;
};

/** Tares and fresh masses, as read on this scale. Frost on a cold tray may be weighed with the food. */
function firstFigures({ weigher, fault, chance }: Bench, loaded: readonly Loaded[]) {
  const frosty = chance.happens(0.2);
  const cold = { drift: driftOfRound(weigher, chance), warm: false };
  return loaded.map(({ freshGrams, tareGrams }, index) => {
    const trueTare = weigh(weigher, tareGrams, cold, chance);
    const frost = frosty ? chance.between(0, 3) : 0;
    const gross = weigh(weigher, tareGrams + freshGrams + frost, cold, chance);
    const off = faults.tareError(fault, index, "fresh", weigher.division);
    return { trueTare, tare: trueTare - off, fresh: gross - trueTare + off };
  });
}

type Row = TrayLog["weighings"][number];
const gramsPerOunce = 28.349523125;
const startOfDrying = Date.UTC(2026, 0, 10, 18);

export function simulateBatch(
  seed: number,
  { thickPieces = false, told = false }: { thickPieces?: boolean; told?: boolean } = {},
): SimulatedBatch {
  const { loaded, frontHours } = loadBatch(seed, thickPieces);
  const plan = somePlan(hoursToDry(loaded), chanceFor(seed, "plan"));
  const chance = chanceFor(seed, "bench");
  const division = chanceFor(seed, "division").pick(divisions);
  const bench: Bench = {
    weigher: someWeigher(division, chance),
    air: { holds: chance.between(0.05, 0.15), uptakeRate: chance.between(0.1, 0.6) },
    plan,
    fault: faults.someFault({ trays: loaded.length, plan, frontHours }, chanceFor(seed, "fault")),
    notes: chance.pick(["nothing", "minutes", "minutes and clock"] as const),
    chance,
  };
  const figures = firstFigures(bench, loaded);
  const rounds = weighRounds(bench, loaded, figures);
  const known = (lot: Lot) => ({
    name: lot.table.name,
    water: fraction(lot.table.water),
    waterSd: fraction(lot.table.waterSd),
    source: "USDA SR28",
  });
  const ownRecords = chanceFor(seed, "told");
  const trays = loaded.map(({ lot, tray: { food } }, index): SimulatedTray => {
    const { tare, fresh } = figures[index]!;
    const own = rounds.map((round) => round[index]!);
    return {
      log: {
        tray: `tray ${index + 1}`,
        tare: grams(shown(tare, 0.1)),
        fresh: { net: grams(shown(fresh, 0.1)), division: grams(division), ref: 0 },
        ...(told ? toldOf(food, lot, ownRecords) : { food: lot.known ? known(lot) : null }),
        weighings: own.map(({ row }) => row),
        coreChecks: [],
      },
      truth: own.map(({ truth }) => truth),
      fault: faults.faultOfTray(bench.fault, index),
      faultGrams: Math.max(...own.map(({ faultGrams }) => faultGrams)),
    };
  });
  const faultShownAt = faults.firstShownAt(bench.fault, plan);
  return { seed, division, plan, fault: bench.fault, faultShownAt, trays };
}

/** What somebody knows who has dried this food many times: its water to half a point, its thickness to a tenth. */
function toldOf(
  { water, boundRate }: DryingFood,
  { table }: Lot,
  chance: Chance,
): Pick<TrayLog, "food" | "thicknessMm"> {
  const sd = 0.005;
  return {
    food: {
      name: table.name,
      water: fraction(within(0.3, water + sd * chance.normal(), 0.98)),
      waterSd: fraction(sd),
      source: "own records",
    },
    thicknessMm: 2000 * halfThickness(boundRate) * Math.exp(0.1 * chance.normal()),
  };
}

/** In m, of a slab that loses its bound water at this rate, by the k = π²D/4L² of the dryer's anchors. */
const halfThickness = (boundRate: number) =>
  Math.sqrt((Math.PI ** 2 * 1e-9 * 3600) / (4 * boundRate));

type Weighed = { readonly row: Row; readonly truth: Truth; readonly faultGrams: number };

/** What goes on between the pulls: true drying hours, hours on the wall, and since when each tray is dry. */
type Course = { hours: number; wallHours: number; readonly dryAt: (number | null)[] };

/** Dries and weighs all trays, pull after pull. */
function weighRounds(
  bench: Bench,
  loaded: readonly Loaded[],
  figures: readonly { readonly trueTare: number }[],
): Weighed[][] {
  const { plan, fault, chance } = bench;
  const course: Course = { hours: 0, wallHours: 0, dryAt: loaded.map(() => null) };
  return plan.notedHours.map((noted, weighing) => {
    dryOn(bench, loaded, course, Math.max(course.hours, noted + chance.between(-0.1, 0.1)));
    const night = fault.is === "night-open" && fault.weighing === weighing ? fault : null;
    const before = loaded.map(({ tray }) => massOf(tray));
    if (night?.when === "before") spendNight(bench, loaded, course, night.hours);
    if (fault.is === "food-removed" && fault.weighing === weighing)
      takeFood(loaded[fault.tray]!.tray, fault.share);
    const moved = loaded.map(({ tray }, index) => Math.abs(massOf(tray) - before[index]!));
    const truth = loaded.map(({ tray }, index): Truth => ({
      hours: course.hours,
      excess: excessOf(tray),
      wettestExcess: wettestExcessOf(tray),
      dryAt: course.dryAt[index]!,
      solidsGrams: tray.solids,
      clean: faults.isClean(fault, index, weighing, bench.weigher.division),
    }));
    const nightHours = night?.when === "before" ? night.hours : 0;
    const rows = weighAll(bench, loaded, figures, { weighing, noted, nightHours, course });
    course.wallHours += 10 / 60;
    if (night?.when === "after") spendNight(bench, loaded, course, night.hours);
    return rows.map(({ row, off }, index) => {
      return { row, truth: truth[index]!, faultGrams: Math.max(off, moved[index]!) };
    });
  });
}

/** Back into the dryer until `pulledAt`, true drying hours. */
function dryOn(bench: Bench, loaded: readonly Loaded[], course: Course, pulledAt: number): void {
  // The pump needs 10 to 15 minutes; the drying clock of the person runs already.
  const lost = bench.chance.between(10, 15) / 60;
  for (const { from, to, pace } of stretches(course.hours, pulledAt, lost, bench.fault))
    loaded.forEach(({ tray }, index) => {
      if (course.dryAt[index] === null) {
        const after = hoursUntil(tray, dryLimit, to - from, pace);
        course.dryAt[index] = after === null ? null : from + after;
      }
      dry(tray, to - from, pace);
      // What a tray took up on the bench may outlast a short stay in the dryer.
      if (excessOf(tray) > dryLimit) course.dryAt[index] = null;
    });
  course.wallHours += pulledAt - course.hours;
  course.hours = pulledAt;
}

function spendNight(bench: Bench, loaded: readonly Loaded[], course: Course, length: number): void {
  loaded.forEach(({ tray }, index) => {
    lieOpen(tray, length, bench.air);
    if (excessOf(tray) > dryLimit) course.dryAt[index] = null;
  });
  course.wallHours += length;
}

type Pull = {
  readonly weighing: number;
  readonly noted: number;
  readonly nightHours: number;
  readonly course: Course;
};

/** The rows as written down, and by how much a fault put each of them off. */
function weighAll(
  { weigher, air, fault, notes, chance }: Bench,
  loaded: readonly Loaded[],
  figures: readonly { readonly trueTare: number }[],
  { weighing, noted, nightHours, course }: Pull,
): { row: Row; off: number }[] {
  const first = chance.between(1, 2);
  const benchMinutes = loaded.map((_, index) => Math.min(5, first + 0.6 * index));
  const round = { drift: driftOfRound(weigher, chance), warm: nightHours === 0 };
  const grosses = loaded.map(({ tray, tareGrams }, index) => {
    standOnBench(tray, benchMinutes[index]!, air);
    return weigh(weigher, massOf(tray) + tareGrams, round, chance);
  });
  return loaded.map((_, index) => {
    const netOf = (tray: number) => grosses[tray]! - figures[index]!.trueTare;
    const written =
      netOf(faults.weighedFor(fault, index, weighing)) +
      faults.tareError(fault, index, weighing, weigher.division);
    const inOunces = faults.inOunces(fault, index, weighing);
    const net = shown(inOunces ? written / gramsPerOunce : written, 0.1);
    const minutesOut = benchMinutes[index]! + nightHours * 60;
    const wallHours = course.wallHours + benchMinutes[index]! / 60;
    const row: Row = {
      dryingHours: hours(noted),
      net: grams(net),
      division: grams(weigher.division),
      minutesOut: notes === "nothing" ? null : minutes(Math.round(minutesOut)),
      stretch: 0,
      at:
        notes === "minutes and clock"
          ? utcMs(Math.round(startOfDrying + wallHours * 3_600_000))
          : null,
      ref: weighing + 1,
    };
    return { row, off: Math.abs(net - netOf(index)) };
  });
}
