/** Bags being planned: what was touched and typed so far, and what the service would be asked for. */
import { fromGrams, toGrams, type MassUnit } from "../../src/units/mass.ts";
import { grams } from "../../src/units/quantity.ts";
import type {
  Absorbers,
  Container,
  NewBags,
  Prepared,
  Unpacked,
  WentIn,
} from "../../src/wire/bag.ts";
import { readTyped } from "./show.ts";

type Row = Unpacked["trays"][number];

/** A tray of one food, or one of the foods of a tray. */
export const rowOf = ({ tray, portion }: Row): string =>
  portion === null ? String(tray) : `${tray}.${portion}`;

type TrayPart = { readonly isIn: boolean; readonly part: string };

export type PackDraft = {
  readonly trays: Readonly<Record<string, TrayPart>>;
  readonly by: "count" | "fresh";
  readonly count: number;
  readonly fresh: string;
  readonly container: Container;
  readonly volume: string;
  readonly lot: string;
  /** Empty: each bag is weighed empty. */
  readonly tare: string;
  readonly absorber: "proposed" | "none" | "own";
  readonly absorberCount: string;
  readonly absorberCc: string;
  readonly product: string;
  readonly supplier: string;
  readonly prepared: Prepared | "";
  readonly wentIn: WentIn | "";
};

export type PackFlaw =
  | { readonly is: "no-trays" | "bad-fresh" | "bad-volume" | "bad-tare" | "bad-absorber" }
  | { readonly is: "bad-part"; readonly name: string; readonly row: string };

/** US liquid measure in millilitres: the gallon is 231 cubic inches, exactly (NIST Handbook 44, appendix C). */
export const usualVolumes = {
  pint: 473.176473,
  quart: 946.352946,
  halfGallon: 1892.705892,
  gallon: 3785.411784,
} as const;
export type VolumeName = keyof typeof usualVolumes;

export const mostBags = 200;
/** A pound and half a kilogram: what people call a portion. */
const usualFresh: Readonly<Record<MassUnit, string>> = { g: "500", kg: "0.5", oz: "16", lb: "1" };

type Package = Unpacked["packages"][number];

/** A number for a field: no more digits than a person would type. */
const typed = (value: number, decimals = 3): string => String(Number(value.toFixed(decimals)));
/** Decimals of the unit that tell a tenth of a gram: a resting mass is a mean, finer than any scale shows. */
const tenthOfGram = (unit: MassUnit): number => Math.ceil(Math.log10(toGrams(10, unit)));

export const withPackage = (draft: PackDraft, one: Package, unit: MassUnit): PackDraft => ({
  ...draft,
  container: one.container,
  volume: typed(one.volumeMl),
  lot: one.lot ?? "",
  tare:
    one.tareGrams === null ? "" : typed(fromGrams(grams(one.tareGrams), unit), tenthOfGram(unit)),
  absorber: one.absorbers === null ? "none" : "proposed",
});

/** What is left of the first food, a bag for each of its trays, in the package that was used last. */
export function firstDraft(unpacked: Unpacked, unit: MassUnit): PackDraft {
  const left = unpacked.trays.filter(({ leftGrams }) => (leftGrams ?? 0) > 0);
  const food = left[0]?.food ?? null;
  const trays = unpacked.trays.map(
    (one) => [rowOf(one), { isIn: left.includes(one) && one.food === food, part: "" }] as const,
  );
  const draft: PackDraft = {
    trays: Object.fromEntries(trays),
    by: "count",
    count: Math.max(1, trays.filter(([, { isIn }]) => isIn).length),
    fresh: usualFresh[unit],
    container: "soft",
    volume: typed(usualVolumes.quart),
    lot: "",
    tare: "",
    absorber: "proposed",
    absorberCount: "1",
    absorberCc: "300",
    product: "",
    supplier: "",
    prepared: "",
    wentIn: "",
  };
  const [last] = unpacked.packages;
  return last === undefined ? draft : withPackage(draft, last, unit);
}

/** Foods that would be mixed in the bags. */
export const foodsIn = (draft: PackDraft, unpacked: Unpacked): readonly string[] => [
  ...new Set(
    unpacked.trays
      .filter((one) => draft.trays[rowOf(one)]?.isIn === true)
      .map(({ food, name }) => food ?? name),
  ),
];

const above = (text: string, most: number): number | null => {
  const value = readTyped(text);
  return value !== null && value > 0 && value <= most ? value : null;
};

export function readPack(
  draft: PackDraft,
  unpacked: Unpacked,
  unit: MassUnit,
  divisionGrams: number | null,
):
  | { readonly is: "whole"; readonly bags: NewBags }
  | { readonly is: "flawed"; readonly flaw: PackFlaw } {
  const flawed = (flaw: PackFlaw) => ({ is: "flawed", flaw }) as const;
  const partOf = (one: Row): TrayPart | undefined => draft.trays[rowOf(one)];
  const chosen = unpacked.trays.filter((one) => partOf(one)?.isIn === true);
  /** All foods of a tray: they stay as they lay on it. */
  const isWhole = ({ tray }: Row): boolean =>
    unpacked.trays.every(
      (one) => one.tray !== tray || (chosen.includes(one) && partOf(one)?.part.trim() === ""),
    );
  if (chosen.length === 0) return flawed({ is: "no-trays" });
  const trays: NewBags["trays"] = [];
  for (const one of chosen) {
    const { tray, portion, name } = one;
    const part = partOf(one)?.part.trim() ?? "";
    const value = part === "" ? null : above(part, 1_000_000);
    if (part !== "" && value === null) return flawed({ is: "bad-part", name, row: rowOf(one) });
    if (!isWhole(one))
      trays.push({
        tray,
        ...(portion === null ? {} : { portion }),
        ...(value === null ? {} : { grams: toGrams(value, unit) }),
      });
    else if (!trays.some((before) => before.tray === tray)) trays.push({ tray });
  }
  const fresh = above(draft.fresh, 1_000_000);
  if (draft.by === "fresh" && fresh === null) return flawed({ is: "bad-fresh" });
  const volumeMl = above(draft.volume, 100_000);
  if (volumeMl === null) return flawed({ is: "bad-volume" });
  const tare = draft.tare.trim() === "" ? null : above(draft.tare, 100_000);
  if (draft.tare.trim() !== "" && tare === null) return flawed({ is: "bad-tare" });
  const absorbers = draft.absorber === "own" ? ownAbsorbers(draft) : null;
  if (draft.absorber === "own" && absorbers === null) return flawed({ is: "bad-absorber" });
  const text = (said: string): string | null => (said.trim() === "" ? null : said.trim());
  return {
    is: "whole",
    bags: {
      trays,
      divide:
        draft.by === "count" ? { count: draft.count } : { freshGrams: toGrams(fresh ?? 0, unit) },
      product: text(draft.product),
      supplier: text(draft.supplier),
      prepared: draft.prepared === "" ? null : draft.prepared,
      wentIn: draft.wentIn === "" ? null : draft.wentIn,
      container: draft.container,
      volumeMl,
      lot: text(draft.lot),
      tareGrams: tare === null ? null : toGrams(tare, unit),
      absorbers,
      ...(divisionGrams === null ? {} : { divisionGrams }),
    },
  };
}

function ownAbsorbers(draft: PackDraft): Absorbers | null {
  const count = above(draft.absorberCount, 100);
  const cc = above(draft.absorberCc, 10_000);
  return count === null || cc === null || !Number.isInteger(count) ? null : { count, cc };
}

/** How a fill stands: the word follows the service's own tolerance. */
export type Fill = {
  readonly is: "short" | "enough" | "over";
  readonly netGrams: number;
  /** Negative: too much. */
  readonly toGoGrams: number;
};

export function fillOf(bag: {
  readonly grossGrams: number;
  readonly tareGrams: number;
  readonly targetGrams: number;
  readonly toleranceGrams: number;
}): Fill {
  const netGrams = bag.grossGrams - bag.tareGrams;
  const toGoGrams = bag.targetGrams - netGrams;
  // A reading and a target are decimal fractions: their difference is not exact.
  const isWithin = Math.abs(toGoGrams) <= bag.toleranceGrams + 1e-6;
  return { is: isWithin ? "enough" : toGoGrams > 0 ? "short" : "over", netGrams, toGoGrams };
}
