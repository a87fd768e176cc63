/** Bags planned together: how much goes into each, of which tray, and what has to be said of it. */
import { absorberFor, type AbsorberNeed } from "../bag/absorber.ts";
import type { Absorbers, Bag, BagPart, Moisture } from "../bag/bag.ts";
import { bagsOfFresh, planEqualBags } from "../bag/divide.ts";
import { tareOf } from "../bag/state.ts";
import { Fault } from "../faults.ts";
import { toWetBasis } from "../food/basis.ts";
import { leftByDryer } from "../food/expected.ts";
import { moistureOf } from "../tray/yield.ts";
import { asKept, fromMilligrams, toMicrograms, toMilligrams } from "../units/mass.ts";
import { z95 } from "../units/normal.ts";
import { fraction, grams, type Grams, type UtcMs } from "../units/quantity.ts";
import { acknowledged } from "./acknowledged.ts";
import type { Alert, Batch, Bench, Change } from "./bench.ts";
import { coresToCheck } from "./look.ts";
import { sourceOf, type Source, type SourceAsked } from "./unpacked.ts";

export type BagsAsked = {
  readonly trays: readonly SourceAsked[];
  readonly divide: { readonly count: number } | { readonly fresh: Grams };
  readonly product: string | null;
  readonly supplier: string | null;
  readonly prepared: Bag["prepared"];
  readonly wentIn: Bag["wentIn"];
  readonly container: Bag["container"];
  readonly volumeMl: number;
  /** Which lot of packaging: to find out which leaks. */
  readonly lot: string | null;
  readonly tare: Grams | null;
  readonly absorbers: Absorbers | null;
  /** Of the scale at which the bags are to be filled; null: that which weighed the trays. */
  readonly division: Grams | null;
  readonly although: string | null;
};

export type NotDry = { readonly trayId: number; readonly name: string; readonly why: string };

export type BagsDraft = {
  readonly total: Grams;
  readonly masses: readonly Grams[];
  readonly freshPerDry: number;
  readonly notDry: readonly NotDry[];
  /** For the fullest of the bags; null: so much food cannot be in them. */
  readonly absorber: AbsorberNeed | null;
  readonly sources: readonly Source[];
  readonly division: Grams;
};

/** What a plan would give. `bagged`: every bag that the batch ever had. Throws Faults; changes nothing. */
export function draftBags(batch: Batch, bagged: readonly Bag[], asked: BagsAsked): BagsDraft {
  const isNamedTwice = asked.trays.some(({ trayId, portion }, index) =>
    asked.trays
      .slice(index + 1)
      .filter((one) => one.trayId === trayId)
      .some((one) => one.portion === null || portion === null || one.portion === portion),
  );
  if (isNamedTwice)
    throw new Fault("input.invalid", "a tray is named twice", {
      errors: [{ pointer: "#/trays", detail: "name each tray, or each of its foods, once" }],
    });
  const sources = asked.trays.map((one) => sourceOf(batch, bagged, one));
  const total = fromMilligrams(sources.reduce((sum, { takeMg }) => sum + takeMg, 0));
  const fresh = grams(
    sources.reduce((sum, one) => sum + one.freshPerDry * fromMilligrams(one.takeMg), 0),
  );
  const division = asked.division ?? grams(Math.max(...sources.map(({ dry }) => dry.division)));
  const count = countOf(asked.divide, { total, fresh, division });
  const masses = inMilligrams(planEqualBags(total, count, division));
  return {
    total,
    masses,
    freshPerDry: fresh / total,
    notDry: sources.flatMap(({ tray, whyNotDry }, index) =>
      whyNotDry === null || sources.findIndex((one) => one.tray === tray) < index
        ? []
        : [{ trayId: tray.id, name: tray.name, why: whyNotDry }],
    ),
    absorber: absorberFor(asked.volumeMl, grams(Math.max(...masses))),
    sources,
    division,
  };
}

/** Of one plan, also where a fresh mass for each says how many there are. */
const mostOfPlan = 200;

/** Throws input.invalid for more bags than are planned at once, or than there are divisions of the scale to share out. */
function countOf(
  divide: BagsAsked["divide"],
  all: { readonly total: Grams; readonly fresh: Grams; readonly division: Grams },
): number {
  const count = "count" in divide ? divide.count : bagsOfFresh(all.fresh, divide.fresh);
  const hold = (bags: number): boolean =>
    inMilligrams(planEqualBags(all.total, bags, all.division)).every((mass) => mass > 0);
  if (count <= mostOfPlan && hold(count)) return count;
  const divisions = Math.ceil(toMicrograms(all.total) / toMicrograms(all.division));
  let most = Math.max(1, Math.min(mostOfPlan, count - 1, divisions));
  while (most > 1 && !hold(most)) most -= 1;
  const least = (Math.ceil((10 * all.fresh) / most) / 10).toFixed(1);
  const [part, detail] =
    "count" in divide
      ? ["count", `must be <= ${most} (got ${divide.count})`]
      : ["freshGrams", `must be >= ${least} (got ${divide.fresh})`];
  throw new Fault("input.invalid", "one part is not as asked for", {
    errors: [{ pointer: `#/divide/${part}`, detail: `divide/${part} ${detail}` }],
  });
}

/** As the store keeps them, with the same sum. */
function inMilligrams(masses: readonly Grams[]): readonly Grams[] {
  let sum = 0;
  let before = 0;
  return masses.map((mass) => {
    sum += toMicrograms(mass);
    const upTo = Math.round(sum / 1000);
    const mg = upTo - before;
    before = upTo;
    return fromMilligrams(mg);
  });
}

/** Plans bags of a batch, open or ended. Throws Faults, tray.not-dry among them where a reason is missing. */
export function planBags(
  bench: Bench,
  batch: Batch,
  bagged: readonly Bag[],
  asked: BagsAsked,
  at: UtcMs,
): readonly Change[] {
  const draft = draftBags(batch, bagged, asked);
  if (draft.notDry.length > 0 && asked.although === null)
    throw new Fault(
      "tray.not-dry",
      draft.notDry.map(({ name, why }) => `${name}: ${why}`).join("; "),
    );
  if (draft.absorber === null)
    throw new Fault(
      "bag.too-small",
      `${Math.max(...draft.masses).toFixed(1)} g of dry food do not go into ${asked.volumeMl.toFixed(0)} mL`,
    );
  const used = Math.max(0, ...bagged.map(({ sequence }) => sequence));
  const parts = partsOf(draft);
  const isNotDry = ({ trayId }: BagPart): boolean =>
    draft.notDry.some((one) => one.trayId === trayId);
  const planned = draft.masses.map((target, index): Change => ({
    is: "bag-planned",
    bag: {
      id: bench.next.bag + index,
      batchId: batch.id,
      batchNumber: batch.number,
      sequence: used + index + 1,
      plan: bench.next.bagPlan,
      practice: batch.practice,
      product: asked.product ?? productOf(draft.sources),
      supplier: asked.supplier,
      prepared: asked.prepared,
      wentIn: asked.wentIn,
      batchStartedAt: batch.startedAt,
      driedAt: draft.sources.map(({ dry }) => dry.at).toSorted((a, b) => b - a)[0] ?? null,
      plannedAt: at,
      parts: parts[index] ?? [],
      although: (parts[index] ?? []).some(isNotDry) ? asked.although : null,
      container: asked.container,
      volumeMl: asked.volumeMl,
      lot: asked.lot,
      absorbers: asked.absorbers,
      typedTare: asked.tare === null ? null : asKept(asked.tare),
      target,
      freshPerDry: draft.freshPerDry,
      moisture: moistureNow(draft.sources),
      cautions: [...new Set(draft.sources.flatMap(({ of }) => of.cautions))],
      weighings: [],
      fates: [],
      gainsAccepted: [],
      coresSince: [],
    },
  }));
  // Who packs a tray for a reason breaks none of its pieces any more.
  const packed = new Set(draft.sources.map(({ tray }) => tray.id));
  for (const { parts: earlier } of bagged) for (const { trayId } of earlier) packed.add(trayId);
  const isDone = ({ batchId, code }: Alert): boolean =>
    batchId === batch.id && code === "stable" && coresToCheck(batch).every((id) => packed.has(id));
  return [...planned, ...acknowledged(bench, at, isDone)];
}

const productOf = (sources: readonly Source[]): string =>
  [...new Set(sources.map(({ tray, of }) => of.foodName ?? tray.name))].join(" + ");

/**
 * Bag after bag from tray after tray, so that each bag says where its food comes from; of foods that are mixed, each
 * bag has its share. In whole milligrams.
 */
function partsOf({ masses, sources }: BagsDraft): readonly (readonly BagPart[])[] {
  const isMixed = new Set(sources.map(({ of }) => of.foodName)).size > 1;
  const totalMg = sources.reduce((sum, { takeMg }) => sum + takeMg, 0);
  const left = sources.map(({ takeMg }) => takeMg);
  let doneMg = 0;
  return masses.map((mass, index) => {
    // Shares of mixed foods are rounded: the last bag has what is there.
    const isLast = index === masses.length - 1;
    let needMg = isLast ? left.reduce((sum, one) => sum + one, 0) : toMilligrams(mass);
    doneMg += needMg;
    return sources.flatMap((source, from): BagPart[] => {
      const has = left[from] ?? 0;
      const stays = isMixed && !isLast ? 1 - doneMg / totalMg : 0;
      const staysMg = Math.round(source.takeMg * stays);
      const mg = Math.min(needMg, has - staysMg);
      if (mg <= 0) return [];
      needMg -= mg;
      left[from] = has - mg;
      return [
        {
          trayId: source.tray.id,
          portion: source.portion?.place ?? null,
          name: source.tray.name,
          grams: fromMilligrams(mg),
          whole: source.whole,
          division: source.dry.division,
          verdict: source.verdict,
          coreDry: source.coreDry,
        },
      ];
    });
  });
}

/**
 * A stable tray holds what a working dryer leaves; of any other, the composition of its food is all there is to go
 * by. Several trays: the widest.
 */
function moistureNow(sources: readonly Source[]): Moisture | null {
  const each = sources.map((one): Moisture | null => {
    if (one.verdict === "stable") {
      const { mean, sd } = leftByDryer;
      const wet = (dry: number) => toWetBasis(fraction(Math.max(0, dry)));
      return { estimate: wet(mean), low: wet(mean - z95 * sd), high: wet(mean + z95 * sd) };
    }
    const { food } = one;
    return food === null ? null : moistureOf({ freshNet: one.fresh, net: one.net, food });
  });
  if (each.includes(null)) return null;
  const known = each.filter((one) => one !== null);
  const pick = (of: (one: Moisture) => number, choose: (...all: number[]) => number) =>
    fraction(choose(...known.map(of)));
  return {
    estimate: pick(({ estimate }) => estimate, Math.max),
    low: pick(({ low }) => low, Math.min),
    high: pick(({ high }) => high, Math.max),
  };
}

/** Packages as they were used before, newest first, each once, with the empty bag's mass and the absorbers. */
export function packagesOf(
  bags: readonly Bag[],
): readonly Pick<Bag, "container" | "volumeMl" | "lot" | "typedTare" | "absorbers">[] {
  const seen = new Map<string, Bag>();
  for (const bag of bags.toSorted((a, b) => b.id - a.id)) {
    const key = JSON.stringify([bag.container, bag.volumeMl, bag.lot]);
    if (!seen.has(key)) seen.set(key, bag);
  }
  return [...seen.values()]
    .slice(0, mostPackages)
    .map((bag) => ({ ...bag, typedTare: tareOf(bag) }));
}

const mostPackages = 6;
