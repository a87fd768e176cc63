/** What is worth saying of a load before it goes into the dryer: too much water for it, foods that dry unlike. */
import { muchFatPct, muchSugarPct } from "../food/caution.ts";
import { anyFood } from "../food/expected.ts";
import type { Fraction, Grams } from "../units/quantity.ts";
import { grams } from "../units/quantity.ts";
import type { Dryer } from "./kitchen.ts";

/** One food of the load; `mass` null: as much as comes. */
export type Load = {
  readonly tray: string;
  readonly food: string | null;
  readonly water: Fraction | null;
  readonly mass: Grams | null;
  readonly fatPct: number | null;
  readonly sugarsPct: number | null;
};

export type LoadWarning =
  | {
      readonly code: "dryer-full";
      readonly waterGrams: Grams;
      readonly mostGrams: Grams;
      readonly text: string;
    }
  | {
      readonly code: "tray-full";
      readonly trays: readonly string[];
      readonly mostGrams: Grams;
      readonly text: string;
    }
  | {
      readonly code: "dry-unlike";
      readonly slow: readonly string[];
      readonly quick: readonly string[];
      readonly text: string;
    };

type LoadLook = {
  /** Of what has a mass; more where some of the load has none yet. */
  readonly water: Grams;
  readonly isWhole: boolean;
  readonly warnings: readonly LoadWarning[];
};

/** Foods whose water differs by more than this, g per g, dry for very different times. Our choice. */
const waterApart = 0.25;

export function lookAtLoad(loads: readonly Load[], dryer: Dryer | null): LoadLook {
  const water = grams(
    loads.reduce((sum, one) => sum + (one.mass ?? 0) * (one.water ?? anyFood.water), 0),
  );
  const most = dryer?.mostWater ?? null;
  const full: LoadWarning[] =
    most === null || water <= most
      ? []
      : [
          {
            code: "dryer-full",
            waterGrams: water,
            mostGrams: most,
            text: `About ${(water / 1000).toFixed(1)} kg of water, and ${dryer?.name} is set to hold ${(most / 1000).toFixed(1)} kg: it will dry longer than usual, or not to the end`,
          },
        ];
  const isWhole = loads.length > 0 && loads.every(({ mass }) => mass !== null);
  return { water, isWhole, warnings: [...full, ...heavy(loads, dryer), ...unlike(loads)] };
}

/** Trays with more on them than the dryer's may carry. */
function heavy(loads: readonly Load[], dryer: Dryer | null): readonly LoadWarning[] {
  const most = dryer?.mostOnTray ?? null;
  if (most === null) return [];
  const massOf = (tray: string): number =>
    loads.reduce((sum, one) => sum + (one.tray === tray ? (one.mass ?? 0) : 0), 0);
  const trays = [...new Set(loads.map(({ tray }) => tray))].filter((tray) => massOf(tray) > most);
  if (trays.length === 0) return [];
  return [
    {
      code: "tray-full",
      trays,
      mostGrams: most,
      text: `More than ${(most / 1000).toFixed(2)} kg on ${trays.join(", ")}: a thick tray dries last`,
    },
  ];
}

/**
 * Foods that hold much sugar or fat dry slowly, and so does food with less water in it than its neighbours' for the
 * time that its dense pieces take; beside quick ones they are the trays that stay behind. The rule: one food with more
 * than 12 g of sugar or 10 g of fat in 100 g beside one with less, or water contents more than 25 points apart.
 * Common practice, no source.
 */
function unlike(loads: readonly Load[]): readonly LoadWarning[] {
  const named = loads.filter((one) => one.food !== null);
  const slow = named.filter(isSlow);
  const quick = named.filter((one) => !isSlow(one));
  if (slow.length > 0 && quick.length > 0) return [warn(slow, quick)];
  const waters = named.flatMap(({ water }) => water ?? []);
  const wettest = Math.max(...waters);
  const driest = Math.min(...waters);
  if (waters.length < 2 || wettest - driest <= waterApart) return [];
  return [
    warn(
      named.filter(({ water }) => water === driest),
      named.filter(({ water }) => water === wettest),
    ),
  ];
}

const isSlow = ({ fatPct, sugarsPct }: Load): boolean =>
  (fatPct ?? 0) > muchFatPct || (sugarsPct ?? 0) > muchSugarPct;

function warn(slow: readonly Load[], quick: readonly Load[]): LoadWarning {
  const names = (all: readonly Load[]) => [...new Set(all.flatMap(({ food }) => food ?? []))];
  const [behind, ahead] = [names(slow), names(quick)];
  return {
    code: "dry-unlike",
    slow: behind,
    quick: ahead,
    text: `${behind.join(", ")} may take much longer than ${ahead.join(", ")}: the batch is done when the slowest tray is (common practice, no source)`,
  };
}
