/** A batch being planned: what was typed so far, and what the service would be asked for. */
import { toGrams, type MassUnit } from "../../src/units/mass.ts";
import type { Batch } from "../../src/wire/batch.ts";
import type { NewBatch, NewTray } from "../../src/wire/requests.ts";
import { readTyped } from "./show.ts";

export type TrayDraft = {
  readonly key: number;
  readonly name: string;
  readonly food: string;
  /** The food's number in the table, while its name is as it was found. */
  readonly foodNumber: string | null;
  readonly water: string;
  /** A person typed the water; otherwise it only shows the table's. */
  readonly isOwnWater: boolean;
  readonly tare: string;
};

export type Draft = {
  readonly dryer: string;
  readonly name: string;
  readonly trays: readonly TrayDraft[];
};

export type Flaw =
  | { readonly is: "no-dryer" | "no-trays" }
  | { readonly is: "same-name" | "bad-tare" | "bad-water"; readonly name: string };

export const emptyTray = (key: number, name: string): TrayDraft => ({
  key,
  name,
  food: "",
  foodNumber: null,
  water: "",
  isOwnWater: false,
  tare: "",
});

export const emptyDraft = (dryer: string): Draft => ({
  dryer,
  name: "",
  trays: [1, 2, 3].map((number) => emptyTray(number, String(number))),
});

const nextKey = (draft: Draft): number => Math.max(0, ...draft.trays.map((tray) => tray.key)) + 1;

/** The smallest number that no tray is called by yet. */
export function withTrayAdded(draft: Draft): Draft {
  const taken = new Set(draft.trays.map((tray) => tray.name.trim()));
  let number = 1;
  while (taken.has(String(number))) number++;
  return { ...draft, trays: [...draft.trays, emptyTray(nextKey(draft), String(number))] };
}

export const withTray = (draft: Draft, key: number, change: Partial<TrayDraft>): Draft => ({
  ...draft,
  trays: draft.trays.map((tray) => (tray.key === key ? { ...tray, ...change } : tray)),
});

export const withoutTray = (draft: Draft, key: number): Draft => ({
  ...draft,
  trays: draft.trays.filter((tray) => tray.key !== key),
});

/** The same trays with the same empty masses; foods too, for a batch is often made again. */
export const copyOf = (batch: Batch, draft: Draft, unit: MassUnit): Draft => ({
  ...draft,
  dryer: batch.dryer,
  trays: batch.trays.map((tray, index) => ({
    ...emptyTray(index + 1, tray.name),
    food: tray.food ?? "",
    water: tray.waterPct === null ? "" : String(tray.waterPct),
    isOwnWater: tray.waterPct !== null,
    tare:
      tray.tareGrams === null ? "" : String(Number((tray.tareGrams / toGrams(1, unit)).toFixed(4))),
  })),
});

export function readDraft(
  draft: Draft,
  unit: MassUnit,
):
  | { readonly is: "whole"; readonly batch: NewBatch }
  | { readonly is: "flawed"; readonly flaw: Flaw } {
  const flaw = flawIn(draft);
  if (flaw !== null) return { is: "flawed", flaw };
  const name = draft.name.trim();
  return {
    is: "whole",
    batch: {
      dryer: draft.dryer.trim(),
      ...(name === "" ? {} : { name }),
      trays: draft.trays.map((tray) => newTray(tray, unit)),
    },
  };
}

function flawIn(draft: Draft): Flaw | null {
  if (draft.dryer.trim() === "") return { is: "no-dryer" };
  if (draft.trays.length === 0) return { is: "no-trays" };
  const seen = new Set<string>();
  for (const tray of draft.trays) {
    const name = tray.name.trim();
    if (seen.has(name.toLowerCase())) return { is: "same-name", name };
    seen.add(name.toLowerCase());
    const tare = readTyped(tray.tare);
    if (tray.tare.trim() !== "" && (tare === null || tare <= 0)) return { is: "bad-tare", name };
    const water = readTyped(tray.water);
    const isWaterBad = water === null || water <= 0 || water >= 100;
    if (tray.water.trim() !== "" && isWaterBad) return { is: "bad-water", name };
  }
  return null;
}

/** The table's own figure comes with its spread, so that it is asked for by number and not by its water. */
function newTray(tray: TrayDraft, unit: MassUnit): NewTray {
  const tare = readTyped(tray.tare);
  const water = readTyped(tray.water);
  const food = tray.foodNumber ?? tray.food.trim();
  return {
    name: tray.name.trim(),
    ...(tare === null ? {} : { tareGrams: toGrams(tare, unit) }),
    ...(food === "" ? {} : { food }),
    ...(water !== null && tray.isOwnWater ? { waterPct: water } : {}),
  };
}
