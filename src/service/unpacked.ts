/** What of a tray, or of one of its foods, is not in bags yet, and what is known of it. */
import type { Bag, BagId, BagPart } from "../bag/bag.ts";
import { lastOf } from "../bag/state.ts";
import { takenBy } from "../bag/taken.ts";
import { Fault } from "../faults.ts";
import { trayCalled } from "../tray/called.ts";
import type { Portion } from "../tray/portion.ts";
import type { FoodOnTray, TrayWeighing } from "../tray/weighing.ts";
import { asKept, fromMilligrams, shareOut, toMilligrams } from "../units/mass.ts";
import { grams, utcMs, type Grams, type UtcMs } from "../units/quantity.ts";
import type { Batch, CoreCheck, Tray } from "./bench.ts";
import {
  dryRowsOf,
  foodOf,
  freshNetOf,
  netOf,
  portionsOf,
  refuseNoPortion,
  weighingsOf,
  type Weighed,
} from "./look.ts";

/** A tray, or one of its foods, of which so many grams are to go into bags; null: all that is left. */
export type SourceAsked = {
  readonly trayId: number;
  /** Which of its foods; null: all of them as they lie on it. */
  readonly portion: number | null;
  readonly grams: Grams | null;
};

/** What a tray, or one of its foods, can still give, and what is known of it. */
export type Source = {
  readonly tray: Tray;
  readonly portion: Portion | null;
  /** What goes into the bags: the tray's food, or that one of its foods. */
  readonly of: Pick<Portion, "foodName" | "cautions">;
  /** Shared out of what the tray weighed: the food was not weighed by itself. */
  readonly isEstimate: boolean;
  readonly food: FoodOnTray | null;
  readonly dry: TrayWeighing;
  readonly net: Grams;
  readonly fresh: Grams;
  readonly freshPerDry: number;
  /** In milligrams: what is to be taken, of what is not in bags yet. */
  readonly takeMg: number;
  readonly whole: boolean;
  readonly verdict: BagPart["verdict"];
  readonly coreDry: boolean;
  readonly whyNotDry: string | null;
};

/** What is asked for of a tray, as it can go into bags. Throws Faults. `bagged`: every bag that the batch ever had. */
export function sourceOf(batch: Batch, bagged: readonly Bag[], asked: SourceAsked): Source {
  const tray = trayOf(batch, asked.trayId);
  const unpacked = asUnpacked(batch, bagged, tray);
  const weighed = weighedOf(unpacked.batch, tray);
  refuseNoPortion(tray, asked.portion);
  const { leftMg, ...left } = leftOf(unpacked, tray, asked.portion, weighed);
  const takeMg = asked.grams === null ? leftMg : toMilligrams(asked.grams);
  if (takeMg > leftMg || takeMg <= 0) throw notSoMuch(tray, leftMg, takeMg);
  const { dry } = weighed;
  const verdict = batch.judged?.trays.find((one) => one.tray === tray.name)?.verdict ?? null;
  const check = batch.coreChecks.findLast((one) => one.trayId === tray.id && one.at >= dry.at);
  return {
    ...weighed,
    ...left,
    tray,
    of: left.portion ?? tray,
    food: foodOf(unpacked.batch, tray),
    takeMg,
    whole: takeMg === leftMg && !left.isEstimate,
    verdict,
    coreDry: check?.finding === "dry",
    whyNotDry: whyNotDry(verdict, check),
  };
}

function trayOf(batch: Batch, trayId: number): Tray {
  const tray = batch.trays.find((one) => one.id === trayId);
  if (tray === undefined)
    throw new Fault("tray.not-found", `batch ${batch.id} has no tray with the number ${trayId}`);
  return tray;
}

const notSoMuch = (tray: Tray, leftMg: number, askedMg: number): Fault =>
  new Fault(
    "bag.nothing-left",
    `${trayCalled(tray.name)} has ${fromMilligrams(leftMg).toFixed(1)} g that are not in bags yet, ${fromMilligrams(askedMg).toFixed(1)} g were asked for`,
  );

/** A cancelled bag, as it would be, is planned again: throws bag.nothing-left where others have its food by now. */
export function refuseMoreThanLeft(batch: Batch, bagged: readonly Bag[], again: Bag): void {
  const then = bagged.map((one) => (one.id === again.id ? again : one));
  for (const { trayId, portion } of again.parts) {
    const tray = trayOf(batch, trayId);
    const now = asUnpacked(batch, bagged, tray);
    const { leftMg } = leftOf(now, tray, portion, weighedOf(now.batch, tray));
    const askedMg =
      sumOf(asUnpacked(batch, then, tray).inBags, portion) - sumOf(now.inBags, portion);
    // Shares of what lay on a tray are whole milligrams.
    if (askedMg > leftMg + 1) throw notSoMuch(tray, leftMg, askedMg);
  }
}

/** The food of a tray fresh and as it was weighed last; refused where it cannot be told. */
function weighedOf(batch: Weighed, tray: Tray): Pick<Source, "dry" | "net" | "fresh"> {
  const dry = weighingsOf(batch, tray.id).findLast((one) => one.kind === "dry");
  const net = dry === undefined ? null : netOf(batch, dry);
  const fresh = freshNetOf(batch, tray);
  if (dry === undefined || net === null || fresh === null)
    throw new Fault(
      "batch.wrong-phase",
      `${trayCalled(tray.name)} was not weighed before and after drying`,
    );
  // An empty tray put right later may turn out as heavy as the tray was with its fresh food.
  if (fresh <= 0)
    throw new Fault(
      "weighing.impossible",
      `${trayCalled(tray.name)} held ${fresh.toFixed(1)} g fresh by its weighings: put its fresh or its empty mass right first`,
    );
  return { dry, net, fresh };
}

const notStable = {
  losing: "it is still losing weight",
  gaining: "it has taken up moisture",
  stalled: "its weight stands above what this food can weigh when dry",
  unsure: "its weighings do not tell yet whether it is dry",
  "not-judged": "it was not judged",
} as const;

/** `check`: of its thickest piece, since it was last weighed. */
function whyNotDry(verdict: Source["verdict"], check: CoreCheck | undefined): string | null {
  if (verdict !== "stable") return notStable[verdict ?? "not-judged"];
  if (check === undefined) return "its thickest piece was not broken since it was last weighed";
  return check.finding === "dry" ? null : `its thickest piece was ${check.finding} inside`;
}

type Left = Pick<Source, "portion" | "isEstimate" | "freshPerDry"> & { readonly leftMg: number };

/**
 * What is not in bags yet of a tray, or of one of its foods, and the fresh mass that a gram of it stands for. Bags of
 * the tray as it lay there took of each food its share.
 */
function leftOf(
  { batch, inBags }: AsUnpacked,
  tray: Tray,
  place: number | null,
  { net, fresh }: { readonly net: Grams; readonly fresh: Grams },
): Left {
  const onTray = portionsOf(batch, tray);
  const leftMgOf = leftAfter(
    new Map(
      onTray.map(({ portion, dry }) => [portion.place, toMilligrams(dry?.grams ?? grams(0))]),
    ),
    inBags,
  );
  const each = onTray.map(({ portion, fresh: poured, dry }) => {
    const leftMg = leftMgOf.get(portion.place) ?? 0;
    const freshPerDry = dry === null || poured === null ? 0 : poured / dry.grams;
    return { portion, isEstimate: dry?.isEstimate ?? false, freshPerDry, leftMg };
  });
  const only = each.length > 1 ? each.find(({ portion }) => portion.place === place) : undefined;
  if (only !== undefined) return only;
  const apart = each.some(({ portion }) => sumOf(inBags, portion.place) > 0);
  const whole = { portion: null, isEstimate: false, freshPerDry: fresh / net };
  if (!apart) return { ...whole, leftMg: Math.max(0, toMilligrams(net) - sumOf(inBags, null)) };
  const leftMg = each.reduce((sum, one) => sum + one.leftMg, 0);
  const stays = each.filter((one) => one.leftMg > 0);
  const left = stays.reduce((sum, one) => sum + one.freshPerDry * one.leftMg, 0);
  return {
    ...whole,
    isEstimate: each.some((one) => one.isEstimate),
    freshPerDry: leftMg > 0 ? left / leftMg : 0,
    leftMg,
  };
}

/** Milligrams of each food after bags took of them one after the other: of that one, or of each by what was left of it. */
function leftAfter(
  foods: ReadonlyMap<number, number>,
  inBags: readonly Taken[],
): ReadonlyMap<number, number> {
  const left = new Map(foods);
  for (const { portion, mg } of inBags) {
    const from = [...left].filter(([place]) => portion === null || place === portion);
    const had = from.reduce((sum, [, one]) => sum + one, 0);
    const stays = shareOut(
      Math.max(0, had - mg),
      from.map(([, one]) => one),
    );
    for (const [index, [place]] of from.entries()) left.set(place, stays[index] ?? 0);
  }
  return left;
}

/** The fresh mass that a gram of a tray, or of one of its foods, stands for; null where it cannot be told. */
export function freshPerDryOn(
  batch: Weighed,
  bagged: readonly Bag[],
  tray: Tray,
  place: number | null,
): number | null {
  try {
    const unpacked = asUnpacked(batch, bagged, tray);
    const { freshPerDry } = leftOf(unpacked, tray, place, weighedOf(unpacked.batch, tray));
    return freshPerDry > 0 && Number.isFinite(freshPerDry) ? freshPerDry : null;
  } catch (refused) {
    if (!(refused instanceof Fault)) throw refused;
    return null;
  }
}

/** What of a tray is not in bags yet; the rest is null for a tray that was not weighed before and after drying. */
export type Unpacked = {
  readonly tray: Tray;
  /** Of a tray with several foods each stands for itself. */
  readonly portion: Portion | null;
  readonly isEstimate: boolean;
  readonly left: Grams | null;
  readonly fresh: Grams | null;
  readonly verdict: BagPart["verdict"];
  readonly whyNotDry: string | null;
};

export const unpackedOf = (batch: Batch, bagged: readonly Bag[]): readonly Unpacked[] =>
  batch.trays.flatMap((tray) =>
    (tray.portions.length > 1 ? tray.portions : [null]).map((portion): Unpacked => {
      const of = { tray, portion };
      try {
        const asked = { trayId: tray.id, portion: portion?.place ?? null, grams: null };
        const { takeMg, freshPerDry, ...one } = sourceOf(batch, bagged, asked);
        const left = fromMilligrams(takeMg);
        const fresh = grams(freshPerDry * left);
        const { isEstimate, verdict, whyNotDry } = one;
        return { ...of, isEstimate, left, fresh, verdict, whyNotDry };
      } catch (refused) {
        if (!(refused instanceof Fault)) throw refused;
        const left = refused.code === "bag.nothing-left" ? grams(0) : null;
        return { ...of, isEstimate: false, left, fresh: null, verdict: null, whyNotDry: null };
      }
    }),
  );

/** What a bag holds or is to hold of a tray. */
type Taken = {
  readonly bagId: BagId;
  readonly portion: number | null;
  readonly mg: number;
  /** When it went into the bag; null: it is still on the tray. */
  readonly at: UtcMs | null;
};

const takenOf = (bagged: readonly Bag[], trayId: number): readonly Taken[] =>
  takenBy(bagged)
    .filter(({ part }) => part.trayId === trayId)
    .map(({ bag, part, mg }) => ({ bagId: bag.id, portion: part.portion, mg, at: filledAt(bag) }));

/** A plan shares out what was weighed before it: what it took was on the tray then, whatever moment is typed. */
function filledAt(bag: Bag): UtcMs | null {
  const filled = lastOf(bag, "filled");
  return filled === null ? null : utcMs(Math.max(filled.at, bag.plannedAt));
}

type AsUnpacked = {
  /** With the tray's weighings as they would be had none of its food gone into bags before. */
  readonly batch: Weighed;
  /** In the order in which it was planned, each as heavy as it would be at the last weighing. */
  readonly inBags: readonly Taken[];
};

/**
 * A tray that is weighed again after bags were filled from it weighs without what they hold. That is put back, as dry
 * as the rest is by then, so that what all of the food weighed fresh and dry can be told and shared.
 */
function asUnpacked(batch: Weighed, bagged: readonly Bag[], tray: Tray): AsUnpacked {
  const taken = takenOf(bagged, tray.id);
  const rows = new Map<number, TrayWeighing>();
  let inBags: readonly Taken[] = [];
  let last: { readonly at: UtcMs; readonly netMg: number } | null = null;
  for (const row of dryRowsOf(batch, tray.id)) {
    const net = netOf(batch, row);
    if (net === null) continue;
    const from = last?.at ?? Number.NEGATIVE_INFINITY;
    const filled = taken.filter(({ at }) => at !== null && at >= from && at < row.at);
    const netMg = toMilligrams(net);
    if (row.portion !== null) {
      const all = [...inBags, ...filled];
      const share = sumOf(all, null) / Math.max(1, (last?.netMg ?? 0) + sumOf(inBags));
      const wholeMg = (netMg + sumOf(all, row.portion)) / (1 - Math.min(0.99, share));
      rows.set(row.id, heavier(row, wholeMg - netMg));
      continue;
    }
    const stayedMg = (last?.netMg ?? 0) - sumOf(filled);
    const drier = last === null || stayedMg <= 0 ? 1 : Math.min(1, Math.max(0, netMg / stayedMg));
    inBags = [...inBags, ...filled].map((one) => ({ ...one, mg: Math.round(one.mg * drier) }));
    rows.set(row.id, heavier(row, sumOf(inBags)));
    last = { at: row.at, netMg };
  }
  const since = taken.filter(({ at }) => at === null || at >= (last?.at ?? 0));
  return {
    batch: { ...batch, weighings: batch.weighings.map((row) => rows.get(row.id) ?? row) },
    inBags: [...inBags, ...since].toSorted((a, b) => a.bagId - b.bagId),
  };
}

const heavier = (row: TrayWeighing, byMg: number): TrayWeighing =>
  byMg === 0 ? row : { ...row, gross: asKept(grams(row.gross + byMg / 1000)) };

/** Of all foods unless one is named. */
const sumOf = (taken: readonly Taken[], portion?: number | null): number =>
  taken
    .filter((one) => portion === undefined || one.portion === portion)
    .reduce((sum, { mg }) => sum + mg, 0);
