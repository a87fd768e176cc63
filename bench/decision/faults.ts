import type { Chance } from "./chance.ts";
import type { Plan } from "./plans.ts";
import { shown } from "./weigher.ts";

/** What goes wrong in a batch. Weighings count from 0, the first pull. */
export type Fault =
  | { readonly is: "none" }
  | {
      readonly is: "stalled-first" | "stalled-later";
      /** True drying hours at which the dryer stops, and what is left of its pace. */
      readonly atHours: number;
      readonly pace: number;
    }
  | {
      readonly is: "swapped-trays";
      readonly weighing: number;
      readonly trays: readonly [number, number];
    }
  | {
      readonly is: "wrong-tare";
      readonly tray: number;
      readonly grams: number;
      /** Of this weighing alone, from it on, or of every weighing and the fresh mass too. */
      readonly spell: "once" | "from" | "throughout";
      readonly weighing: number;
    }
  | {
      readonly is: "food-removed";
      readonly tray: number;
      /** Taken just before this weighing. */
      readonly weighing: number;
      readonly share: number;
    }
  | {
      readonly is: "ounces-as-grams";
      readonly tray: number;
      readonly weighing: number;
      readonly spell: "once" | "from";
    }
  | {
      readonly is: "night-open";
      /** The night is before this weighing, or after it and before the trays go back. */
      readonly weighing: number;
      readonly when: "before" | "after";
      readonly hours: number;
    };

export type FaultKind = Fault["is"];
export const faultKinds = [
  "stalled-first",
  "stalled-later",
  "swapped-trays",
  "wrong-tare",
  "food-removed",
  "ounces-as-grams",
  "night-open",
] as const satisfies readonly FaultKind[];

/** Shares of batches. Assumed; faults are far more frequent here than in a kitchen, so that they count. */
const shares: Readonly<Record<FaultKind, number>> = {
  none: 55,
  "stalled-first": 7,
  "stalled-later": 7,
  "swapped-trays": 7,
  "wrong-tare": 8,
  "food-removed": 6,
  "ounces-as-grams": 5,
  "night-open": 5,
};

export function someFault(
  { trays, plan, frontHours }: { trays: number; plan: Plan; frontHours: number },
  chance: Chance,
): Fault {
  const kind = chance.weighted({
    ...shares,
    "swapped-trays": trays > 1 ? shares["swapped-trays"] : 0,
  });
  const last = Math.min(plan.notedHours.length - 1, 5);
  const tray = chance.whole(0, trays - 1);
  const weighing = chance.whole(0, last);
  const later = chance.whole(1, last);
  const firstPull = plan.notedHours[0]!;
  switch (kind) {
    case "none":
      return { is: kind };
    case "stalled-first": {
      const wished = frontHours * chance.between(0.3, 0.85);
      const atHours = wished < firstPull ? wished : firstPull * chance.between(0.3, 0.9);
      return { is: kind, atHours, pace: chance.between(0, 0.08) };
    }
    case "stalled-later": {
      const interval = chance.whole(1, Math.min(last, 3));
      const [from, to] = [plan.notedHours[interval - 1]!, plan.notedHours[interval]!];
      return { is: kind, atHours: chance.between(from, to), pace: chance.between(0, 0.08) };
    }
    case "swapped-trays": {
      const other = (tray + chance.whole(1, trays - 1)) % trays;
      return { is: kind, weighing, trays: [tray, other] };
    }
    case "wrong-tare": {
      const size = Math.exp(chance.between(Math.log(5), Math.log(100)));
      return {
        is: kind,
        tray,
        grams: chance.happens(0.5) ? size : -size,
        spell: chance.pick(["once", "from", "throughout"] as const),
        weighing,
      };
    }
    case "food-removed":
      return { is: kind, tray, weighing: later, share: chance.between(0.08, 0.4) };
    case "ounces-as-grams":
      return { is: kind, tray, weighing, spell: chance.pick(["once", "from"] as const) };
    case "night-open":
      return {
        is: kind,
        weighing: chance.pick([weighing, later]),
        when: chance.pick(["before", "after"] as const),
        hours: chance.between(7, 12),
      };
  }
}

const hasBegun = (spell: "once" | "from", at: number, weighing: number) =>
  spell === "once" ? weighing === at : weighing >= at;

/** How a wrong tare moves the net mass of one weighing (or of the fresh mass, "fresh"). */
export function tareError(
  fault: Fault,
  tray: number,
  weighing: number | "fresh",
  division: number,
): number {
  if (fault.is !== "wrong-tare" || fault.tray !== tray) return 0;
  const moved = shown(fault.grams, division);
  if (fault.spell === "throughout") return moved;
  if (weighing === "fresh") return 0;
  return hasBegun(fault.spell, fault.weighing, weighing) ? moved : 0;
}

/** Whether this weighing of the tray was read in ounces, to a tenth, and typed as grams. */
export const inOunces = (fault: Fault, tray: number, weighing: number): boolean =>
  fault.is === "ounces-as-grams" &&
  fault.tray === tray &&
  hasBegun(fault.spell, fault.weighing, weighing);

/** The tray whose gross mass is written down for `tray`. */
export function weighedFor(fault: Fault, tray: number, weighing: number): number {
  if (fault.is !== "swapped-trays" || fault.weighing !== weighing) return tray;
  const [a, b] = fault.trays;
  if (tray === a) return b;
  return tray === b ? a : tray;
}

/** The fault that this tray itself suffers. */
export function faultOfTray(fault: Fault, tray: number): FaultKind {
  switch (fault.is) {
    case "none":
    case "stalled-first":
    case "stalled-later":
    case "night-open":
      return fault.is;
    case "swapped-trays":
      return fault.trays.includes(tray) ? fault.is : "none";
    case "wrong-tare":
    case "food-removed":
    case "ounces-as-grams":
      return fault.tray === tray ? fault.is : "none";
  }
}

/**
 * Whether the written figure is what the food on this tray weighs, but for ordinary error. After food was
 * removed the fresh mass on record is that of another load, so nothing after it is clean.
 */
export function isClean(fault: Fault, tray: number, weighing: number, division: number): boolean {
  if (tareError(fault, tray, weighing, division) !== 0) return false;
  if (inOunces(fault, tray, weighing)) return false;
  if (weighedFor(fault, tray, weighing) !== tray) return false;
  return !(fault.is === "food-removed" && fault.tray === tray && weighing >= fault.weighing);
}

/** The first weighing at which the fault can show in the figures. */
export function firstShownAt(fault: Fault, plan: Plan): number {
  switch (fault.is) {
    case "none":
      return Number.POSITIVE_INFINITY;
    case "stalled-first":
    case "stalled-later":
      return plan.notedHours.findIndex((hours) => hours > fault.atHours);
    case "night-open":
      return fault.when === "before" ? fault.weighing : fault.weighing + 1;
    case "wrong-tare":
      return fault.spell === "throughout" ? 0 : fault.weighing;
    case "swapped-trays":
    case "food-removed":
    case "ounces-as-grams":
      return fault.weighing;
  }
}
