/** What a person may do with bags: plan them, keep and correct their weighings, say what became of them. */
import { absorberFor, type AbsorberNeed } from "../bag/absorber.ts";
import {
  bagCode,
  type Absorbers,
  type Bag,
  type BagPart,
  type BagWeighing,
  type BagWeighingKind,
  type Fate,
  type Moisture,
} from "../bag/bag.ts";
import { bagsOfFresh, planEqualBags } from "../bag/divide.ts";
import {
  fateOf,
  filledOf,
  gainToAnswer,
  isFinal,
  stateOf,
  tareOf,
  weighingsOf,
} from "../bag/state.ts";
import { toWetBasis } from "../food/basis.ts";
import { leftByDryer } from "../food/expected.ts";
import { Fault } from "../faults.ts";
import { moistureOf } from "../tray/yield.ts";
import type { Portion } from "../tray/portion.ts";
import type { FoodOnTray, TrayWeighing } from "../tray/weighing.ts";
import { asKept, divisionAsKept, fromMilligrams, toMilligrams } from "../units/mass.ts";
import { fraction, grams, type Grams, type UtcMs } from "../units/quantity.ts";
import { acknowledged } from "./acknowledged.ts";
import type { Alert, Batch, Bench, Change, ScaleOnBench, Tray } from "./bench.ts";
import {
  coresToCheck,
  foodOf,
  freshOf,
  netOf,
  portionsOf,
  refuseNoPortion,
  weighingsOf as trayWeighingsOf,
} from "./look.ts";
import { trayCalled } from "../tray/called.ts";

export type BagsAsked = {
  readonly trays: readonly {
    readonly trayId: number;
    /** Which of its foods; null: all of them as they lie on it. */
    readonly portion: number | null;
    readonly grams: Grams | null;
  }[];
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

/** What a tray, or one of its foods, can still give, and what is known of it. */
type Source = {
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
  const count =
    "count" in asked.divide ? asked.divide.count : bagsOfFresh(fresh, asked.divide.fresh);
  const division = asked.division ?? grams(Math.max(...sources.map(({ dry }) => dry.division)));
  const masses = planEqualBags(total, count, division);
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

function sourceOf(batch: Batch, bagged: readonly Bag[], asked: BagsAsked["trays"][number]): Source {
  const tray = batch.trays.find((one) => one.id === asked.trayId);
  if (tray === undefined)
    throw new Fault(
      "tray.not-found",
      `batch ${batch.id} has no tray with the number ${asked.trayId}`,
    );
  const dry = trayWeighingsOf(batch, tray.id).findLast((one) => one.kind === "dry");
  const freshWeighing = freshOf(batch, tray);
  const net = dry === undefined ? null : netOf(batch, dry);
  const fresh = freshWeighing === null ? null : netOf(batch, freshWeighing);
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
  refuseNoPortion(tray, asked.portion);
  const { portion, leftMg, freshPerDry, isEstimate } = leftOf(batch, bagged, tray, asked.portion, {
    net,
    fresh,
  });
  const takeMg = asked.grams === null ? leftMg : toMilligrams(asked.grams);
  if (takeMg > leftMg || takeMg <= 0)
    throw new Fault(
      "bag.nothing-left",
      `${trayCalled(tray.name)} has ${fromMilligrams(Math.max(0, leftMg)).toFixed(1)} g that are not in bags yet, ${fromMilligrams(takeMg).toFixed(1)} g were asked for`,
    );
  const verdict = batch.judged?.trays.find((one) => one.tray === tray.name)?.verdict ?? null;
  const check = batch.coreChecks.findLast((one) => one.trayId === tray.id && one.at >= dry.at);
  const coreDry = check?.finding === "dry";
  const whyNotDry =
    verdict !== "stable"
      ? notStable[verdict ?? "not-judged"]
      : coreDry
        ? null
        : check === undefined
          ? "its thickest piece was not broken since it was last weighed"
          : `its thickest piece was ${check.finding} inside`;
  return {
    tray,
    portion,
    of: portion ?? tray,
    isEstimate,
    food: foodOf(batch, tray),
    dry,
    net,
    fresh,
    freshPerDry,
    takeMg,
    whole: takeMg === leftMg && !isEstimate,
    verdict,
    coreDry,
    whyNotDry,
  };
}

type Left = Pick<Source, "portion" | "isEstimate" | "freshPerDry"> & { readonly leftMg: number };

/**
 * What is not in bags yet of a tray, or of one of its foods, and the fresh mass that a gram of it stands for. Bags of
 * the tray as it lay there took of each food its share.
 */
function leftOf(
  batch: Batch,
  bagged: readonly Bag[],
  tray: Tray,
  place: number | null,
  { net, fresh }: { readonly net: Grams; readonly fresh: Grams },
): Left {
  const netMg = toMilligrams(net);
  const mixedMg = inBagsMg(bagged, tray.id, null);
  const each = portionsOf(batch, tray).map(({ portion, fresh: poured, dry }) => {
    const dryMg = dry === null ? 0 : toMilligrams(dry.grams);
    const mixed = netMg > 0 ? Math.round((mixedMg * dryMg) / netMg) : 0;
    const leftMg = Math.max(0, dryMg - mixed - inBagsMg(bagged, tray.id, portion.place));
    const freshPerDry = dry === null || poured === null ? 0 : poured / dry.grams;
    return { portion, isEstimate: dry?.isEstimate ?? false, freshPerDry, leftMg };
  });
  const only = each.length > 1 ? each.find(({ portion }) => portion.place === place) : undefined;
  if (only !== undefined) return only;
  const apart = each.some(({ portion }) => inBagsMg(bagged, tray.id, portion.place) > 0);
  const whole = { portion: null, isEstimate: false, freshPerDry: fresh / net };
  if (!apart) return { ...whole, leftMg: netMg - mixedMg };
  const leftMg = each.reduce((sum, one) => sum + one.leftMg, 0);
  const left = each.reduce((sum, one) => sum + one.freshPerDry * one.leftMg, 0);
  return {
    ...whole,
    isEstimate: each.some((one) => one.isEstimate),
    freshPerDry: left / leftMg,
    leftMg,
  };
}

const notStable = {
  losing: "it is still losing weight",
  gaining: "it has taken up moisture",
  stalled: "its weight stands above what this food can weigh when dry",
  unsure: "its weighings do not tell yet whether it is dry",
  "not-judged": "it was not judged",
} as const;

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

const inBagsMg = (bagged: readonly Bag[], trayId: number, portion: number | null): number =>
  bagged
    .filter((bag) => stateOf(bag) !== "cancelled")
    .flatMap((bag) => bag.parts)
    .filter((part) => part.trayId === trayId && part.portion === portion)
    .reduce((sum, part) => sum + toMilligrams(part.grams), 0);

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
      although: draft.notDry.length > 0 ? asked.although : null,
      container: asked.container,
      volumeMl: asked.volumeMl,
      lot: asked.lot,
      absorbers: asked.absorbers,
      typedTare: asked.tare === null ? null : asKept(asked.tare),
      target: asKept(target),
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
    // Divisions finer than a milligram leave fractions: the last bag has what is there.
    const isLast = index === masses.length - 1;
    let needMg = isLast ? left.reduce((sum, one) => sum + one, 0) : toMilligrams(mass);
    doneMg += needMg;
    return sources.flatMap((source, from): BagPart[] => {
      const has = left[from] ?? 0;
      const staysMg = isMixed ? Math.round(source.takeMg * (1 - doneMg / totalMg)) : 0;
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

const z95 = 1.6448536269514722;

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

export function bagOrFault(bench: Bench, bagId: number): Bag {
  const bag = bench.bags.find((one) => one.id === bagId);
  if (bag === undefined)
    throw new Fault("bag.not-found", `no bag in store has the number ${bagId}`);
  return bag;
}

/** The next weighing that a bag waits for. */
export function kindNow(bag: Bag): BagWeighingKind {
  const state = stateOf(bag);
  if (state === "sealed") return "shelf";
  if (state === "filled" || state === "opened") return "sealed";
  return tareOf(bag) === null ? "tare" : "filled";
}

/** Throws bag.wrong-state when a bag is not at the point for this kind of weighing. */
export function refuseKind(bag: Bag, kind: BagWeighingKind): void {
  const state = stateOf(bag);
  const say = (why: string): Fault =>
    new Fault("bag.wrong-state", `bag ${bagCode(bag)} is ${state}: ${why}`);
  if (isFinal(state)) throw say("nothing of it is weighed any more");
  if (kind === "tare" && state !== "planned")
    throw say("the empty bag is weighed before it is filled");
  if (kind === "filled" && state !== "planned") throw say("it was filled already");
  if (kind === "filled" && tareOf(bag) === null) throw say("the empty bag is weighed first");
  if (kind === "sealed" && state !== "filled" && state !== "opened")
    throw say("it is sealed after it was filled or opened");
  if (kind === "shelf" && state !== "sealed")
    throw say("only a sealed bag is weighed on the shelf");
}

/** With food in it, a bag weighs more than empty. */
export function refuseMass(bag: Bag, kind: BagWeighingKind, gross: Grams): void {
  const tare = tareOf(bag);
  if (gross <= 0 || (kind !== "tare" && tare !== null && gross <= tare))
    throw new Fault(
      "weighing.impossible",
      `${gross.toFixed(1)} g is not more than the empty bag (${(tare ?? 0).toFixed(1)} g)`,
    );
}

/** Keeps a weighing as a person read it, or took it from the scale by saying so. */
export function weighBag(
  bench: Bench,
  bagId: number,
  asked: Pick<BagWeighing, "kind" | "gross" | "division" | "scale" | "source" | "zeroSeen" | "at">,
  now: UtcMs,
): readonly Change[] {
  const bag = bagOrFault(bench, bagId);
  refuseKind(bag, asked.kind);
  refuseMass(bag, asked.kind, asked.gross);
  if (asked.at > now)
    throw new Fault("clock.out-of-order", "that moment is still to come: give a time before now");
  return [
    {
      is: "bag-weighed",
      weighing: {
        ...asked,
        id: bench.next.bagWeighing,
        bagId,
        gross: asKept(asked.gross),
        division: divisionAsKept(asked.division),
        supersedes: null,
        struck: false,
        reason: null,
      },
    },
  ];
}

const order: readonly BagWeighingKind[] = ["tare", "filled", "sealed", "shelf"];

/** Puts a bag's weighing right or strikes it out; the old row stays on the record. */
export function editBagWeighing(
  bench: Bench,
  bagId: number,
  weighingId: number,
  edit: { readonly gross: Grams | null; readonly struck: boolean; readonly reason: string },
): readonly Change[] {
  const bag = bagOrFault(bench, bagId);
  if (!bag.weighings.some(({ id }) => id === weighingId))
    throw new Fault("weighing.not-found", `bag ${bagCode(bag)} has no weighing ${weighingId}`);
  const counted = weighingsOf(bag);
  const old = counted.find(({ id }) => id === weighingId);
  if (old === undefined) {
    const after = bag.weighings.find(({ supersedes }) => supersedes === weighingId);
    const became =
      after === undefined || after.struck ? "struck out" : `replaced by ${after.gross} g`;
    throw new Fault(
      "weighing.edited-meanwhile",
      `weighing ${weighingId} was ${became} (${after?.reason ?? "no reason"}) since`,
    );
  }
  const later = counted.find(({ kind }) => order.indexOf(kind) > order.indexOf(old.kind));
  if (edit.struck && later !== undefined)
    throw new Fault(
      "bag.wrong-state",
      `bag ${bagCode(bag)} was weighed ${later.kind} after that: strike that out first, or give the right mass`,
    );
  const gross = asKept(edit.gross ?? old.gross);
  if (!edit.struck) refuseMass(bag, old.kind, gross);
  const weighing: BagWeighing = {
    ...old,
    id: bench.next.bagWeighing,
    gross,
    supersedes: old.id,
    struck: edit.struck,
    reason: edit.reason,
  };
  const shown = bench.scales.filter((scale) => scale.lastTakenBag?.weighing === old.id);
  return [
    { is: "bag-weighed", weighing },
    ...shown.flatMap((scale) => [
      {
        is: "bag-taken-shown",
        scaleId: scale.id,
        taken: edit.struck ? null : { bagId, weighing: weighing.id },
      } as const,
      ...(edit.struck ? backTo(scale, old) : []),
    ]),
  ];
}

const takenBack = "It was taken back: change it, lift it, or take it as it is";

/** What was taken back is waited for again; what still lies there may be changed or taken by a person's word. */
const backTo = ({ id, load }: ScaleOnBench, { bagId, kind }: BagWeighing): readonly Change[] => [
  ...(load === null
    ? []
    : [
        {
          is: "load-changed",
          scaleId: id,
          load: { ...load, became: "ignored", weighing: null, question: null },
        } as const,
      ]),
  {
    is: "bag-chosen",
    scaleId: id,
    bag: { bagId, kind, needsLift: false, why: load === null ? null : takenBack },
  },
];

export function setFate(
  bench: Bench,
  bagId: number,
  fate: Fate,
  note: string | null,
  at: UtcMs,
): readonly Change[] {
  const bag = bagOrFault(bench, bagId);
  const state = stateOf(bag);
  const may =
    fate === "cancelled"
      ? state === "planned"
      : fate === "opened"
        ? state === "sealed"
        : filledOf(bag) !== null && !isFinal(state);
  if (!may)
    throw new Fault("bag.wrong-state", `bag ${bagCode(bag)} is ${state}: it cannot become ${fate}`);
  return [
    { is: "bag-fate", fate: { id: bench.next.bagFate, bagId, fate, at, note, takesBack: null } },
  ];
}

/**
 * Takes back what was said to have become of a bag: it is again what it was before. `plan`: every bag that was
 * planned with it. `redriedIn`: where its food is dried again.
 */
export function takeFateBack(
  bench: Bench,
  bag: Bag,
  {
    plan,
    redriedIn,
    note,
    at,
  }: {
    readonly plan: readonly Bag[];
    readonly redriedIn: { readonly batchNumber: number; readonly tray: string } | null;
    readonly note: string | null;
    readonly at: UtcMs;
  },
): readonly Change[] {
  const last = fateOf(bag);
  const state = stateOf(bag);
  const refuse = (why: string): Fault =>
    new Fault("bag.wrong-state", `bag ${bagCode(bag)} is ${state}: ${why}`);
  if (last === null || last.fate !== state) throw refuse("there is nothing to take back");
  if (last.fate === "re-dry" && redriedIn !== null)
    throw refuse(`its food lies on ${redriedIn.tray} of batch ${redriedIn.batchNumber}`);
  const { fate } = last;
  const isGone = !bench.bags.includes(bag);
  return [
    ...(isGone ? [{ is: "bags-returned", bags: plan } as const] : []),
    {
      is: "bag-fate",
      fate: { id: bench.next.bagFate, bagId: bag.id, fate, at, note, takesBack: last.id },
    },
  ];
}

/** The bags of a plan that are filled are sealed although their food took up moisture on the bench. */
export function acceptGain(bench: Bench, bagId: number, at: UtcMs): readonly Change[] {
  const plan = planOf(bench, bagOrFault(bench, bagId));
  const found = gainToAnswer(plan);
  if (found === null)
    throw new Fault(
      "bag.wrong-state",
      "its food weighs no more than when it was dry, or the answer to that is known: go on and seal it",
    );
  return plan
    .filter((bag) => stateOf(bag) === "filled")
    .map((bag, index): Change => ({
      is: "bag-gain-accepted",
      accepted: {
        id: bench.next.bagGain + index,
        bagId: bag.id,
        gain: asKept(found.gain),
        provable: asKept(found.provable),
        at,
      },
    }));
}

export const planOf = (bench: Bench, bag: Bag): readonly Bag[] =>
  bench.bags.filter((one) => one.plan === bag.plan);
