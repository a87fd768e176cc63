/** A load at rest: which tray it is, and whether it may be taken without asking. */
import type { SettledWeight } from "../settle/settled.ts";
import {
  expectGross,
  followsAtFirst,
  mayHoldFood,
  whichTray,
  type Ranked,
  type TrayCandidate,
  type WhichTray,
} from "../tray/whichtray.ts";
import { Fault } from "../faults.ts";
import type { TrayId, TrayWeighing, WeighingKind } from "../tray/weighing.ts";
import { asKept, divisionAsKept } from "../units/mass.ts";
import { grams, plus, type Grams, type UtcMs } from "../units/quantity.ts";
import { settleBagLoad } from "./bagloads.ts";
import { isCompared, settleComparing } from "./comparing.ts";
import { settleCheck } from "./kitchen.ts";
import { grossOf, hiddenOf, judgePour, lastTakenFresh, pourFor } from "./pour.ts";
import type { Batch, Bench, Change, LoadQuestion, ScaleOnBench, Task, Tray } from "./bench.ts";
import {
  batchClockAt,
  trayClockOf,
  freshOf,
  loadedSoFar,
  netOf,
  isToLoad,
  lastTare,
  nextPortion,
  refuseNoPortion,
  phaseOf,
  roundOf,
  tareOf,
  weighingsOf,
} from "./look.ts";
import { orderSeen, type OrderSeen } from "./order.ts";
import { trayCalled } from "../tray/called.ts";

/** One thing that the next load could be. `ask`: never taken without a person's word. */
export type Expected = {
  readonly batch: Batch;
  readonly tray: Tray;
  readonly kind: WeighingKind;
  readonly portion: number | null;
  readonly ask: boolean;
};

/** What the batch waits for, in the order in which the page asks for it. */
function expectedOf(batch: Batch, at: UtcMs): readonly Expected[] {
  if (phaseOf(batch) === "loading")
    return batch.trays.flatMap((tray): Expected[] => {
      const one = { batch, tray, portion: null, ask: false };
      if (tareOf(batch, tray) === null) return [{ ...one, kind: "tare" }];
      if (freshOf(batch, tray) !== null) return [];
      return [{ ...one, kind: "fresh", portion: nextPortion(batch, tray)?.place ?? null }];
    });
  const round = roundOf(batch);
  // A tray on the scale while the clock says "in" is out, but a stranger's flour would look the same.
  const clockSaysIn = batchClockAt(batch, at).is === "in";
  const trays = batch.trays.filter((tray) => freshOf(batch, tray) !== null);
  const waiting = trays.filter(({ id }) => round?.waiting.includes(id));
  // A tray left out before is asked for by nobody, and may come all the same: while others are weighed, or after them.
  const left = trays.filter(
    ({ id }) => round?.left.includes(id) === true && !round.weighed.includes(id),
  );
  return (clockSaysIn ? trays : [...waiting, ...left]).map((tray) => ({
    batch,
    tray,
    kind: "dry",
    portion: null,
    ask: clockSaysIn || waiting.length === 0,
  }));
}

/** The batch that the scale was last busy with comes first: two half-loaded batches are not mixed. */
function expectedLoads(bench: Bench, scale: ScaleOnBench, at: UtcMs): readonly Expected[] {
  const busyUntil = (batch: Batch): number =>
    batch.weighings.findLast((weighing) => weighing.scale === scale.id)?.at ?? 0;
  const all = bench.batches
    .toSorted((a, b) => busyUntil(b) - busyUntil(a))
    .flatMap((batch) => expectedOf(batch, at));
  const certain = all.filter((one) => !one.ask);
  const standing = standingElsewhere(bench, scale);
  return (certain.length > 0 ? certain : all).filter(({ tray }) => !standing.has(tray.id));
}

/** Trays that were taken on another scale and lie there still. */
function standingElsewhere(bench: Bench, scale: ScaleOnBench): ReadonlySet<TrayId> {
  const others = bench.scales.filter(
    ({ id, link, load }) => id !== scale.id && link.link === "up" && load?.became === "taken",
  );
  const taken = new Set(others.map(({ lastTaken }) => lastTaken));
  const rows = others.length === 0 ? [] : bench.batches.flatMap(({ weighings }) => weighings);
  return new Set(rows.filter(({ id }) => taken.has(id)).map(({ trayId }) => trayId));
}

/** What is waited for on a scale, in the order in which the page asks for it, but for a person's choice. */
export const waitedForOn = (bench: Bench, scale: ScaleOnBench, at: UtcMs): readonly Expected[] =>
  expectedLoads(bench, scale, at).filter((one) => !one.ask);

/** What the page asks for next on a scale: a person's choice, else the first that is waited for. */
export function nextLoad(
  bench: Bench,
  scale: ScaleOnBench,
  at: UtcMs,
): (Expected & { readonly chosen: boolean }) | null {
  const { chosen } = scale;
  if (chosen !== null) {
    const found = findTray(bench, chosen.trayId);
    if (found !== null) {
      const kind = chosen.kind ?? kindFor(found.batch, found.tray);
      const portion = chosen.portion ?? portionFor(found.batch, found.tray, kind);
      return { ...found, kind, portion, ask: false, chosen: true };
    }
  }
  const waited = waitedForOn(bench, scale, at);
  const isPrompt = ({ tray }: Expected): boolean =>
    bench.scales.length > 1 && tray.id === scale.prompt;
  const first = waited.find(isPrompt) ?? waited[0];
  return first === undefined ? null : { ...first, chosen: false };
}

/** Another scale asks for the same tray, and a load lies there that may be it. */
function isContested(
  bench: Bench,
  scale: ScaleOnBench,
  next: ReturnType<typeof nextLoad>,
  at: UtcMs,
): boolean {
  if (next === null || next.chosen) return false;
  return bench.scales.some((other) => {
    const { pan, load, link } = other;
    if (other.id === scale.id || link.link !== "up" || other.bag !== null) return false;
    if (other.checking !== null || isCompared(bench, other.id)) return false;
    const isComing = !pan.settled && (pan.mass ?? 0) > 3 * (pan.division ?? 0);
    const mayBeIt = load === null ? isComing : load.became === "asked";
    return mayBeIt && nextLoad(bench, other, at)?.tray.id === next.tray.id;
  });
}

/** The portion that a fresh weighing of a tray would be; null: the tray as a whole. */
const portionFor = (batch: Batch, tray: Tray, kind: WeighingKind): number | null =>
  kind === "fresh" ? (nextPortion(batch, tray)?.place ?? null) : null;

function findTray(bench: Bench, trayId: TrayId): { batch: Batch; tray: Tray } | null {
  for (const batch of bench.batches) {
    const tray = batch.trays.find((one) => one.id === trayId);
    if (tray !== undefined) return { batch, tray };
  }
  return null;
}

export function trayOrFault(bench: Bench, trayId: TrayId): { batch: Batch; tray: Tray } {
  const found = findTray(bench, trayId);
  if (found !== null) return found;
  // No tray is ever removed.
  if (trayId < bench.next.tray)
    throw new Fault("batch.ended", `tray ${trayId} is of a batch that has ended`);
  throw new Fault("tray.not-found", `no open batch has a tray with the number ${trayId}`);
}

function candidateOf({ batch, tray, kind, portion }: Expected, order: OrderSeen): TrayCandidate {
  const { id, name } = tray;
  const tare = tareOf(batch, tray);
  if (kind === "dry" && portion !== null) {
    const last = weighingsOf(batch, id).at(-1);
    const most = plus(tare ?? grams(0), (last && netOf(batch, last)) ?? grams(0));
    return { id, name, expect: { low: tare ?? grams(0), high: most, likely: null } };
  }
  if (kind === "dry") return { id, name, expect: order.expect(tray) };
  const taresOfOthers = batch.trays.flatMap((one) =>
    one.id === id ? [] : (tareOf(batch, one) ?? []),
  );
  const unknown = { freshNet: null, lastNet: null, food: null, others: [] };
  return { id, name, expect: expectGross({ kind, tare, taresOfOthers, ...unknown }) };
}

type Load = { readonly id: number; readonly weight: SettledWeight };

/** `gross`: what the scale would show had its own tare key been left alone. */
const takes = (
  bench: Bench,
  scale: ScaleOnBench,
  load: Load,
  as: Expected,
  gross: Grams = load.weight.mass,
): readonly Change[] => {
  const { weight } = load;
  if (!canWeigh(as, gross))
    throw new Fault(
      "weighing.impossible",
      `${gross.toFixed(1)} g is not more than ${trayCalled(as.tray.name)} weighed before`,
    );
  const weighing: TrayWeighing = {
    id: bench.next.weighing,
    batchId: as.batch.id,
    trayId: as.tray.id,
    kind: as.kind,
    portion: as.portion,
    gross: asKept(gross),
    division: divisionAsKept(weight.division),
    scale: scale.id,
    source: "scale",
    zeroSeen: weight.zeroSeen,
    at: weight.atUtcMs,
    supersedes: null,
    struck: false,
    reason: null,
  };
  return [
    ...impliedOut(bench, as, weighing.at),
    { is: "weighing-taken", weighing },
    {
      is: "load-changed",
      scaleId: scale.id,
      load: { ...load, became: "taken", weighing: weighing.id, question: null },
    },
    { is: "taken-shown", scaleId: scale.id, weighing: weighing.id },
    { is: "task-chosen", scaleId: scale.id, chosen: chosenAfter(scale, as) },
  ];
};

/** Who chose a tray goes on with it: from empty to its food, and from portion to portion. */
function chosenAfter(
  { chosen }: ScaleOnBench,
  { batch, tray, kind, portion }: Expected,
): Task | null {
  if (chosen === null) return null;
  if (kind === "tare") return { trayId: tray.id, kind: null, portion: null };
  const next =
    portion === null ? null : (tray.portions.find(({ place }) => place > portion)?.place ?? null);
  if (next === null || (kind === "fresh" && freshOf(batch, tray) !== null)) return null;
  return { trayId: tray.id, kind: chosen.kind, portion: chosen.kind === null ? null : next };
}

/** A tray that is weighed after drying is out of the dryer, whatever the clock was told. */
export function impliedOut(bench: Bench, as: Expected, at: UtcMs): readonly Change[] {
  if (as.kind !== "dry") return [];
  const areIn = batchClockAt(as.batch, at).is === "in";
  // Of trays that come out one by one the others are not known to have.
  if (!areIn && trayClockOf(as.batch, as.tray.id).stateAt(at).is !== "in") return [];
  return [
    {
      is: "moment-set",
      moment: {
        id: bench.next.moment,
        batchId: as.batch.id,
        is: "out",
        at,
        trays: areIn ? null : [as.tray.id],
        implied: true,
        supersedes: null,
        struck: false,
        reason: null,
      },
    },
  ];
}

/**
 * What becomes of a load that came to rest: taken, asked about, or left alone when nothing waits for it.
 * `load.id` keeps a question's answer from being applied to the load after it.
 */
export function settleLoad(bench: Bench, scale: ScaleOnBench, load: Load): readonly Change[] {
  const { comparing } = bench;
  if (comparing !== null && isCompared(bench, scale.id))
    return settleComparing(bench, scale, comparing, load);
  if (scale.checking !== null) return settleCheck(bench, scale, scale.checking, load);
  if (scale.bag !== null) return settleBagLoad(bench, scale, scale.bag, load);
  const { atUtcMs } = load.weight;
  const next = nextLoad(bench, scale, atUtcMs);
  const isPrompted = !isContested(bench, scale, next, atUtcMs);
  const settling = { bench, scale, load, next, isPrompted };
  return settlePouring(settling) ?? settleTray(settling);
}

/** A load at rest where trays are weighed, and what the page asks for there. */
type Settling = {
  readonly bench: Bench;
  readonly scale: ScaleOnBench;
  readonly load: Load;
  readonly next: ReturnType<typeof nextLoad>;
  /** Whether it is likely that just this tray was put there, because the page asks for it. */
  readonly isPrompted: boolean;
};

/** Food that goes onto its tray, or was changed on it; null: this is another load. */
function settlePouring({
  bench,
  scale,
  load,
  next,
  isPrompted,
}: Settling): readonly Change[] | null {
  const { weight } = load;
  if (!weight.zeroSeen) return null;
  const changed = afterChange(bench, scale, load, next);
  if (changed !== null) return changed;
  const pour = isPrompted ? pourFor(scale, next) : null;
  if (pour === null) return null;
  const verdict = judgePour(scale, pour, weight);
  if (verdict === "take")
    return takes(bench, scale, load, pour.as, grossOf(scale, pour, weight.mass));
  return verdict === "wait" ? leaves(scale, load, "ignored", null) : null;
}

function settleTray(settling: Settling): readonly Change[] {
  const { bench, scale, load, next } = settling;
  const expected =
    next !== null && isStillOn(scale, next)
      ? [next]
      : withNext(expectedLoads(bench, scale, load.weight.atUtcMs), next);
  if (expected.length === 0) return leaves(scale, load, "ignored", null);
  const guess = guessOf(expected, settling);
  if (guess.is === "none" && expected.every((one) => one.ask))
    return leaves(scale, load, "ignored", null);
  const doubt = doubtOf(expected, guess, settling);
  if (doubt !== null) {
    const candidates = [
      ...emptyAgain(next, load.weight),
      ...candidatesOf(expected, guess, load.weight.mass),
    ];
    return leaves(scale, load, "asked", { ...doubt, candidates });
  }
  const sure = expected.find((one) => guess.is === "sure" && one.tray.id === guess.id);
  return sure === undefined
    ? leaves(scale, load, "ignored", null)
    : takes(bench, scale, load, sure);
}

/** An empty tray that was taken and not lifted since is the one that food was put onto. */
function isStillOn(scale: ScaleOnBench, { batch, tray, kind }: Expected): boolean {
  const tare = lastTare(batch, tray);
  if (kind !== "fresh" || scale.load?.became !== "taken" || tare?.id !== scale.lastTaken)
    return false;
  return tare !== null && !wasLighter(scale, grams(tare.gross - 3 * tare.division));
}

/** Since a load was taken, the pan bore less for a moment: another was put there faster than it could be seen empty. */
const wasLighter = ({ load, pan }: ScaleOnBench, than: Grams): boolean =>
  pan.memory.looks.some(
    ({ mass, atMonoMs }) => load !== null && atMonoMs > load.weight.atMonoMs && mass < than,
  );

function guessOf(expected: readonly Expected[], { load, next, isPrompted }: Settling): WhichTray {
  const { weight } = load;
  const orders = new Map<Batch, OrderSeen>();
  const orderIn = (batch: Batch): OrderSeen => {
    const order = orders.get(batch) ?? orderSeen(batch, weight.atUtcMs);
    orders.set(batch, order);
    return order;
  };
  // Who touched a tray on the page means that one, in whatever order the others came.
  const isOfRound = next?.chosen === false && next.kind === "dry";
  return whichTray(
    {
      gross: weight.mass,
      u: weight.u,
      candidates: expected.map((one) => candidateOf(one, orderIn(one.batch))),
      prompted: isPrompted ? (next?.tray.id ?? null) : null,
    },
    isOfRound ? orderIn(next.batch).follows : followsAtFirst,
  );
}

/** Why a person is asked; null: the load is taken without. */
function doubtOf(
  expected: readonly Expected[],
  guess: WhichTray,
  { bench, load: { weight }, next }: Settling,
): Pick<LoadQuestion, "is" | "why"> | null {
  const ofTray = (why: string) => ({ is: "which-tray", why }) as const;
  if (guess.is === "none") return ofTray((next && asEmpty(next, weight)) ?? guess.why);
  const likeliest = rankedOf(guess)[0]?.id;
  if (expected.some((one) => one.tray.id === likeliest && isLoaded(bench, one, weight.mass)))
    return ofTray("It is much heavier than the empty trays known so far: is food on it already?");
  if (guess.is === "ask") return ofTray(guess.why);
  if (!weight.zeroSeen)
    return {
      is: "zero-not-seen",
      why: "The scale came back with a load on it and may have set its zero there",
    };
  const sure = expected.find((one) => one.tray.id === guess.id);
  if (sure?.ask === true)
    return ofTray(`The drying clock says that ${trayCalled(sure.tray.name)} is in the dryer`);
  if (sure !== undefined && !canWeigh(sure, weight.mass))
    return ofTray(`It weighs no more than the empty ${trayCalled(sure.tray.name)}`);
  return null;
}

/** What a person may answer, the likeliest first. */
const candidatesOf = (
  expected: readonly Expected[],
  guess: WhichTray,
  gross: Grams,
): LoadQuestion["candidates"] =>
  rankedOf(guess).flatMap(({ id, probability }) => {
    const one = expected.find((other) => other.tray.id === id);
    if (one === undefined || !canWeigh(one, gross)) return [];
    const { batch, kind, portion } = one;
    return [{ batchId: batch.id, trayId: id, kind, portion, probability }];
  });

/** A tray stands there once: as what a person chose to weigh of it, where that is not what is waited for. */
function withNext(waited: readonly Expected[], next: Expected | null): readonly Expected[] {
  const isNext = ({ tray, kind, portion }: Expected): boolean =>
    tray.id === next?.tray.id && kind === next.kind && portion === next.portion;
  return next === null || waited.some(isNext)
    ? waited
    : [next, ...waited.filter(({ tray }) => tray.id !== next.tray.id)];
}

/** An empty tray that weighs less than it was taken with: something lay on it. Its mass can be taken anew. */
function emptyAgain(next: Expected | null, { mass }: SettledWeight): LoadQuestion["candidates"] {
  if (next?.kind !== "fresh") return [];
  const { batch, tray } = next;
  const tare = lastTare(batch, tray)?.gross ?? 0;
  if (mass >= tare || mass < leastLeft * tare) return [];
  return [{ batchId: batch.id, trayId: tray.id, kind: "tare", portion: null, probability: 0 }];
}

/** A tray that was weighed with its food as the empty one is met again here, when one touch undoes it no more. */
function asEmpty({ batch, tray, kind }: Expected, { mass, u }: SettledWeight): string | null {
  const tare = tareOf(batch, tray);
  if (kind !== "fresh" || tare === null || mass > plus(tare, grams(3 * u))) return null;
  return `It weighs no more than the empty ${trayCalled(tray.name)}; if food lay on that, strike its weighing out under Batch`;
}

const leaves = (
  scale: ScaleOnBench,
  load: Load,
  became: "asked" | "ignored",
  question: LoadQuestion | null,
): readonly Change[] => [
  {
    is: "load-changed",
    scaleId: scale.id,
    load: { ...load, became, weighing: null, question },
  },
  // A pause in pouring is no reason to forget what was taken before.
  ...(became === "ignored" && scale.load?.became === "taken"
    ? []
    : [{ is: "taken-shown", scaleId: scale.id, weighing: null } as const]),
];

/** A tray that is put down with its food when its empty mass is asked for. */
function isLoaded(bench: Bench, { batch, tray, kind }: Expected, gross: Grams): boolean {
  if (kind !== "tare") return false;
  const others = bench.batches
    .flatMap((one) => one.trays.map((other) => ({ batch: one, other })))
    .filter(({ other }) => other.id !== tray.id)
    .flatMap(({ batch: of, other }) => tareOf(of, other) ?? []);
  return mayHoldFood(gross, tareOf(batch, tray), [...bench.emptyTrays, ...others]);
}

/** With food on it, a tray weighs more than empty, and more with every portion. */
function canWeigh({ batch, tray, kind, portion }: Expected, gross: Grams): boolean {
  if (kind === "tare") return true;
  const before = kind === "fresh" && portion !== null ? loadedSoFar(batch, tray) : null;
  return gross > (before ?? tareOf(batch, tray) ?? 0);
}

/**
 * Food that was put on or taken off a tray after it was taken, and before it was lifted: the weighing is put right.
 */
function afterChange(
  bench: Bench,
  scale: ScaleOnBench,
  load: Load,
  next: ReturnType<typeof nextLoad>,
): readonly Change[] | null {
  const old = lastTakenFresh(bench, scale);
  if (scale.load?.became !== "taken" || old === null) return null;
  const { batch, tray, weighing, before } = old;
  const wasOff = wasLighter(scale, grams(before - hiddenOf(scale, tray)));
  const isNextOnTray = next?.kind === "fresh" && next.tray.id === tray.id;
  if (wasOff || isNextOnTray || next?.chosen === true || !isToLoad(batch, tray)) return null;
  const gross = asKept(grams(load.weight.mass + hiddenOf(scale, tray)));
  const [net, netBefore] = [gross - before, weighing.gross - before];
  const isTaken = (id: number): Change => ({
    is: "load-changed",
    scaleId: scale.id,
    load: { ...load, became: "taken", weighing: id, question: null },
  });
  // The same once more, as a display between two steps shows it.
  if (Math.abs(net - netBefore) <= 3 * load.weight.u) return [isTaken(weighing.id)];
  if (net < leastLeft * netBefore) return null;
  const id = bench.next.weighing;
  const reason = "the food on it was changed before it was lifted";
  return [
    { is: "weighing-taken", weighing: { ...weighing, id, gross, supersedes: weighing.id, reason } },
    isTaken(id),
    { is: "taken-shown", scaleId: scale.id, weighing: id },
  ];
}

/** A person takes off what is too much, but not more than half. Our choice. */
const leastLeft = 0.5;

/** A person says whether the scale's own tare key was pressed with the tray on it. */
export function sayTared(
  bench: Bench,
  scaleId: string,
  tared: boolean,
  at: UtcMs,
): readonly Change[] {
  const scale = scaleOrFault(bench, scaleId);
  const pour = pourFor(scale, nextLoad(bench, scale, at));
  if (tared && pour === null)
    throw new Fault("batch.wrong-phase", "no tray is being loaded on that scale");
  const hidden = tared && pour !== null ? { trayId: pour.as.tray.id, gross: pour.before } : null;
  const changes: Change[] = [{ is: "hidden-noticed", scaleId, hidden }];
  const { load } = scale;
  if (load === null || load.became === "taken") return changes;
  return [...changes, ...settleLoad(bench, { ...scale, hidden }, load)];
}

function rankedOf(guess: WhichTray): Ranked {
  if (guess.is !== "sure") return guess.ranked;
  const { id, probability } = guess;
  return [{ id, probability }];
}

/** A person says which tray the load is, or that it is none of them. */
export function answerLoad(
  bench: Bench,
  scaleId: string,
  answer: {
    readonly load: number;
    readonly trayId: TrayId | null;
    readonly kind: WeighingKind | null;
    readonly portion: number | null;
  },
): readonly Change[] {
  const scale = scaleOrFault(bench, scaleId);
  const { load } = scale;
  if (load === null || load.id !== answer.load || load.became === "taken")
    throw new Fault(
      "load.gone",
      `load ${answer.load} is no longer on scale ${scaleId}, or was taken`,
    );
  if (answer.trayId === null)
    return [{ is: "load-changed", scaleId, load: { ...load, became: "ignored", question: null } }];
  const { batch, tray } = trayOrFault(bench, answer.trayId);
  const kind = answer.kind ?? kindFor(batch, tray);
  const portion = answer.portion ?? portionFor(batch, tray, kind);
  refuseNoPortion(tray, portion);
  const gross = grams(load.weight.mass + (kind === "fresh" ? hiddenOf(scale, tray) : 0));
  return takes(bench, scale, load, { batch, tray, kind, portion, ask: false }, gross);
}

/** The kind of weighing that a tray is at: empty, fresh, or after hours of drying. */
function kindFor(batch: Batch, tray: Tray): WeighingKind {
  if (!isToLoad(batch, tray)) return "dry";
  return tareOf(batch, tray) === null ? "tare" : "fresh";
}

export function scaleOrFault(bench: Bench, scaleId: string): ScaleOnBench {
  const scale = bench.scales.find((one) => one.id === scaleId);
  if (scale === undefined) throw new Fault("scale.not-found", `no scale is called ${scaleId}`);
  return scale;
}
