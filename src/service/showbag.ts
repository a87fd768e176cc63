/** Bags in the shapes of wire/. */
import { dampCaution } from "../bag/absorber.ts";
import { bagCode, type Bag, type BagPart, type BagWeighing } from "../bag/bag.ts";
import { freshEquivalent, toleranceOf, waterToRestore } from "../bag/divide.ts";
import { lotsOf } from "../bag/lots.ts";
import type { Recheck } from "../bag/recheck.ts";
import {
  filledOf,
  gainSinceVerdict,
  gainToAnswer,
  isFinal,
  netOf,
  recheckOf,
  sealedOf,
  shelfOf,
  stateOf,
  tareOf,
  targetOf,
  weighingsOf,
} from "../bag/state.ts";
import { foundWet, moistureIn, wetCautions } from "../bag/thickest.ts";
import { isoOf, isoOrNull } from "../clock.ts";
import type { ScaleComparison } from "../tray/offset.ts";
import { netMass } from "../tray/net.ts";
import { fraction, grams, type Fraction, type Grams, type UtcMs } from "../units/quantity.ts";
import { folded } from "../units/written.ts";
import type * as wire from "../wire/bag.ts";
import { toGoOn } from "./bagloads.ts";
import { packagesOf, type BagsDraft } from "./bagplan.ts";
import { planOf } from "./bags.ts";
import type { Unpacked } from "./unpacked.ts";
import type { Bench, ScaleOnBench } from "./bench.ts";

/** Guidance for food packed without oxygen asks for about 10 % moisture or less (wet basis). */
export const usualLimit = fraction(0.1);

function showRecheck(found: Recheck): wire.ShelfFinding {
  const { gainPerMonth, monthsLeft, weighAgain } = found;
  return {
    word: found.word,
    text: found.text,
    reasons: found.reasons.map(({ code, text, offset }) => ({
      code,
      text,
      ...(offset === undefined ? {} : { offsetGrams: offset.offset, uGrams: offset.u }),
    })),
    baselineGrams: found.baseline,
    gainGrams: found.gain,
    gainPct: found.gainShare * 100,
    teaspoons: found.teaspoons,
    provableGrams: found.provable,
    divisionGrams: found.division,
    buoyancyGrams: found.buoyancy,
    oxygenGrams: found.oxygen,
    gainPerMonthGrams: gainPerMonth === null ? null : { ...gainPerMonth },
    monthsLeft:
      monthsLeft === null
        ? null
        : {
            limitPct: monthsLeft.limit * 100,
            estimate: monthsLeft.estimate,
            low: monthsLeft.low,
            high: monthsLeft.high,
          },
    weighAgain:
      weighAgain === null
        ? null
        : { from: isoOf(weighAgain.from), to: isoOrNull(weighAgain.to), why: weighAgain.why },
  };
}

const showWeighing = (bag: Bag, row: BagWeighing): wire.BagWeighing => ({
  id: row.id,
  bag: row.bagId,
  kind: row.kind,
  grossGrams: row.gross,
  divisionGrams: row.division,
  scale: row.scale,
  source: row.source,
  at: isoOf(row.at),
  supersedes: row.supersedes,
  struck: row.struck,
  reason: row.reason,
  current: weighingsOf(bag).includes(row),
});

const divisionOf = (bag: Bag): Grams => bag.parts[0]?.division ?? grams(1);

function showGain(plan: readonly Bag[]): wire.Bag["gainSinceVerdict"] {
  const found = gainSinceVerdict(plan);
  if (found === null) return null;
  const { gain, provable } = found;
  return {
    grams: gain,
    provableGrams: provable,
    isAnswered: gainToAnswer(plan) === null,
    text: `The bags hold ${gain.toFixed(1)} g more than the trays weighed at the verdict: the food took up moisture on the bench. Dry it again, or seal it knowing that`,
  };
}

function showCore(bag: Bag, part: BagPart): Pick<wire.Bag["trays"][number], "coreDry" | "coreWet"> {
  const wet = foundWet(bag, part);
  return {
    coreDry: part.coreDry && wet === null,
    coreWet: wet === null ? null : { finding: wet.finding, at: isoOf(wet.at) },
  };
}

/** `plan`: every bag that was planned with it, itself included. */
export function showBag(
  bag: Bag,
  plan: readonly Bag[],
  at: {
    readonly limit: Fraction;
    readonly now: UtcMs;
    readonly comparisons: readonly ScaleComparison[];
  },
): wire.Bag {
  const target = targetOf(bag, plan, divisionOf(bag));
  const net = netOf(bag);
  const inIt = net ?? target;
  const sealed = sealedOf(bag);
  const found = recheckOf(bag, at.limit, at.now, at.comparisons);
  const moisture = moistureIn(bag);
  return {
    id: bag.id,
    code: bagCode(bag),
    batch: bag.batchId,
    batchNumber: bag.batchNumber,
    plan: bag.plan,
    practice: bag.practice,
    state: stateOf(bag),
    product: bag.product,
    supplier: bag.supplier,
    prepared: bag.prepared,
    wentIn: bag.wentIn,
    batchStartedAt: isoOf(bag.batchStartedAt),
    driedAt: isoOrNull(bag.driedAt),
    plannedAt: isoOf(bag.plannedAt),
    sealedAt: isoOrNull(sealed?.at ?? null),
    trays: bag.parts.map((part) => ({
      tray: part.trayId,
      name: part.name,
      portion: part.portion,
      grams: part.grams,
      verdict: part.verdict,
      ...showCore(bag, part),
    })),
    although: bag.although,
    container: bag.container,
    volumeMl: bag.volumeMl,
    lot: bag.lot,
    absorbers: bag.absorbers === null ? null : { ...bag.absorbers },
    tareGrams: tareOf(bag),
    targetGrams: target,
    toleranceGrams: toleranceOf(target, divisionOf(bag)),
    netGrams: net,
    freshGrams: freshEquivalent(inIt, bag.freshPerDry),
    waterToAddGrams: waterToRestore(inIt, bag.freshPerDry),
    sealedGrossGrams: sealed?.gross ?? null,
    moistureWetBasis: moisture === null ? null : { ...moisture },
    cautions: [...bag.cautions, ...wetCautions(bag)],
    gainSinceVerdict: showGain(plan),
    shelf: found === null ? null : showRecheck(found),
    weighings: bag.weighings.map((row) => showWeighing(bag, row)),
    gainsAccepted: bag.gainsAccepted.map((one) => ({
      grams: one.gain,
      provableGrams: one.provable,
      at: isoOf(one.at),
    })),
    fates: bag.fates.map(({ id, fate, at: when, note, takesBack }) => ({
      id,
      fate,
      at: isoOf(when),
      note,
      takesBack,
    })),
  };
}

/** When it is looked at, and how scales were found to differ by then. */
type Looked = { readonly now: UtcMs; readonly comparisons: readonly ScaleComparison[] };

function showBagLine(bag: Bag, { now, comparisons }: Looked): wire.BagLine {
  const state = stateOf(bag);
  const net = netOf(bag);
  const found = state === "sealed" ? recheckOf(bag, usualLimit, now, comparisons) : null;
  const again = found?.weighAgain ?? null;
  return {
    id: bag.id,
    code: bagCode(bag),
    batch: bag.batchId,
    batchNumber: bag.batchNumber,
    plan: bag.plan,
    practice: bag.practice,
    product: bag.product,
    trays: [...new Set(bag.parts.map(({ name }) => name))],
    state,
    netGrams: net,
    freshGrams: freshEquivalent(net ?? bag.target, bag.freshPerDry),
    sealedAt: isoOrNull(sealedOf(bag)?.at ?? null),
    weighedAt: isoOrNull(shelfOf(bag).at(-1)?.at ?? null),
    finding: found?.word ?? null,
    gainGrams: found?.gain ?? null,
    gainPct: found === null ? null : found.gainShare * 100,
    divisionGrams: found?.division ?? null,
    weighAgain: again !== null && again.from <= now && (again.to === null || now <= again.to),
    weighFrom: isoOrNull(again !== null && again.from > now ? again.from : null),
  };
}

const isInStore = (bag: Bag): boolean => {
  const state = stateOf(bag);
  return state === "sealed" || state === "opened";
};

/** Newest first. `q`: part of the code, the product or the supplier, case ignored. */
export function findBags(
  bags: readonly Bag[],
  asked: { readonly state: wire.BagState | "in-store" | "all"; readonly q: string },
  looked: Looked,
): wire.BagLine[] {
  const typed = folded(asked.q);
  const fits = (bag: Bag): boolean => {
    const { state } = asked;
    const inState =
      state === "all" || (state === "in-store" ? isInStore(bag) : stateOf(bag) === state);
    const texts = [bagCode(bag), bag.product, bag.supplier ?? ""];
    return inState && texts.some((text) => folded(text).includes(typed));
  };
  return bags
    .filter(fits)
    .toSorted((a, b) => b.id - a.id)
    .map((bag) => showBagLine(bag, looked));
}

/** What is in store by food, each food's oldest bag first; foods by name. */
export function showStock(bags: readonly Bag[], looked: Looked): wire.StockLine[] {
  const dated = bags
    .filter(isInStore)
    .map((bag) => ({ bag, at: sealedOf(bag)?.at ?? bag.plannedAt, net: netOf(bag) ?? 0 }))
    .toSorted((a, b) => a.at - b.at);
  const foods = new Map<string, typeof dated>();
  for (const one of dated) {
    const own = foods.get(one.bag.product);
    if (own === undefined) foods.set(one.bag.product, [one]);
    else own.push(one);
  }
  return [...foods]
    .toSorted(([a], [b]) => a.localeCompare(b, "en"))
    .map(([product, own]) => ({
      product,
      bags: own.map(({ bag }) => showBagLine(bag, looked)),
      netGrams: own.reduce((sum, { net }) => sum + net, 0),
      freshGrams: own.reduce((sum, { bag, net }) => sum + net * bag.freshPerDry, 0),
      oldestAt: isoOf(own[0]?.at ?? looked.now),
    }));
}

/** Every bag that was ever sealed counts, whatever became of it. */
export const showLots = (bags: readonly Bag[], { now, comparisons }: Looked): wire.LotLine[] =>
  lotsOf(
    bags.flatMap((bag) => {
      const found = recheckOf(bag, usualLimit, now, comparisons);
      const { container, volumeMl, lot } = bag;
      return found === null ? [] : [{ container, volumeMl, lot, word: found.word }];
    }),
  ).map((one) => ({ ...one, share: one.share === null ? null : { ...one.share } }));

export function showPreview(draft: BagsDraft, volumeMl: number): wire.BagsPreview {
  const { absorber } = draft;
  const cautions = draft.sources.flatMap(({ of }) => of.cautions);
  return {
    totalGrams: draft.total,
    bags: draft.masses.map((net) => ({
      netGrams: net,
      freshGrams: freshEquivalent(net, draft.freshPerDry),
    })),
    absorber:
      absorber === null
        ? null
        : {
            headspaceMl: absorber.headspaceMl,
            oxygenMl: absorber.oxygenMl,
            neededMl: absorber.neededMl,
            absorbers: { ...absorber.absorbers },
            arithmetic: absorber.arithmetic.map((line) => ({ ...line })),
          },
    absorberWhyNot:
      absorber === null
        ? `${Math.max(...draft.masses).toFixed(1)} g of dry food do not go into ${volumeMl.toFixed(0)} mL`
        : null,
    notDry: draft.notDry.map(({ trayId, name, why }) => ({ tray: trayId, name, why })),
    cautions: [...new Set([...cautions, dampCaution])],
  };
}

export const showUnpacked = (
  trays: readonly Unpacked[],
  everyBag: readonly Bag[],
): wire.Unpacked => ({
  trays: trays.map(({ tray, portion, isEstimate, left, fresh, verdict, whyNotDry }) => ({
    tray: tray.id,
    name: tray.name,
    portion: portion?.place ?? null,
    food: portion === null ? tray.foodName : portion.foodName,
    isEstimate,
    leftGrams: left,
    freshGrams: fresh,
    verdict,
    whyNotDry,
  })),
  packages: packagesOf(everyBag).map(({ container, volumeMl, lot, typedTare, absorbers }) => ({
    container,
    volumeMl,
    lot,
    tareGrams: typedTare,
    absorbers: absorbers === null ? null : { ...absorbers },
  })),
});

/** Asked of every bag with each change of the bench: those where nothing was struck out need no closer look. */
const isClosed = (bag: Bag): boolean =>
  bag.weighings.some(({ kind }) => kind === "sealed") &&
  (bag.weighings.every(({ struck }) => !struck) || sealedOf(bag) !== null);

/** Bags that are planned or filled and not yet closed. */
export const showPacking = (bench: Bench, now: UtcMs): wire.Bag[] =>
  bench.bags
    .filter((bag) => !isClosed(bag) && !isFinal(stateOf(bag)))
    .map((bag) =>
      showBag(bag, planOf(bench, bag), {
        limit: usualLimit,
        now,
        comparisons: bench.kitchen.comparisons,
      }),
    );

export function showBagTask(bench: Bench, scale: ScaleOnBench): wire.BagTask | null {
  const on = scale.bag;
  const bag = bench.bags.find((one) => one.id === on?.bagId);
  if (on === null || bag === undefined) return null;
  const filling = on.kind === "filled" && filledOf(bag) === null;
  const division = scale.pan.division ?? divisionOf(bag);
  const target = filling ? targetOf(bag, planOf(bench, bag), division) : null;
  return {
    bag: bag.id,
    code: bagCode(bag),
    product: bag.product,
    kind: on.kind,
    tareGrams: tareOf(bag),
    targetGrams: target,
    toleranceGrams: target === null ? null : toleranceOf(target, division),
    toGoGrams: toGoOn(bench, scale),
    needsLift: on.needsLift,
    why: on.why,
  };
}

export function showBagTaken(bench: Bench, scale: ScaleOnBench, now: UtcMs): wire.BagTaken | null {
  const taken = scale.lastTakenBag;
  const bag = bench.bags.find((one) => one.id === taken?.bagId);
  const weighing = bag?.weighings.find((one) => one.id === taken?.weighing);
  if (bag === undefined || weighing === undefined) return null;
  const tare = tareOf(bag);
  const { comparisons } = bench.kitchen;
  const found = weighing.kind === "shelf" ? recheckOf(bag, usualLimit, now, comparisons) : null;
  return {
    weighing: weighing.id,
    bag: bag.id,
    code: bagCode(bag),
    product: bag.product,
    kind: weighing.kind,
    grossGrams: weighing.gross,
    netGrams:
      weighing.kind !== "filled" || tare === null ? netOf(bag) : netMass(weighing.gross, tare),
    at: isoOf(weighing.at),
    finding: found === null ? null : showRecheck(found),
  };
}
