/** A load at rest on a scale where a bag was chosen: taken for it, or why not. */
import { bagCode, type Bag, type BagWeighing, type BagWeighingKind } from "../bag/bag.ts";
import { toleranceOf } from "../bag/divide.ts";
import {
  filledOf,
  gainToAnswer,
  lastOf,
  netOf,
  sealedOf,
  stateOf,
  tareOf,
  targetOf,
  weighingsOf,
} from "../bag/state.ts";
import { Fault } from "../faults.ts";
import { divisionUncertainty } from "../tray/net.ts";
import { grams, type Grams } from "../units/quantity.ts";
import type { BagOnScale, Bench, Change, LoadOnScale, ScaleOnBench } from "./bench.ts";
import { bagOrFault, planOf } from "./bags.ts";
import {
  gainUnanswered,
  kindNow,
  refuseKind,
  refuseMass,
  weighBag,
  whyWet,
} from "./bagweighings.ts";

type Load = Pick<LoadOnScale, "id" | "weight">;
type Weight = Pick<Load["weight"], "mass" | "division" | "u">;

/** What closing a bag may add: absorbers, a label, a clip; a jar's lid. Our choice. */
const closingAdds = { soft: grams(60), jar: grams(200), can: grams(200) } as const;
/** Grams of iron that bind a millilitre of oxygen: 4 Fe + 3 O₂, molar masses, a gas at 25 °C and 101.325 kPa. */
const ironForMl = ((4 / 3) * 55.845) / 24_465;
/** Absorbers and labels of one kind differ by so many grams. Our choice. */
const closingVaries = 0.5;
/** A bag on the shelf cannot gain more than this share of its food: then it is another bag. Our choice. */
const mostChange = 0.25;
/** A closed bag loses nothing: what it may seem to, in grams and as a share of its food. Our choice. */
const leastLoss = 0.5;
const lossShare = 0.01;

/** A bag that is heavier than an empty one by this share of what goes into it may hold its food. Our choice. */
const loadedFrom = 0.5;
/** A fill that was typed and misses its target by this share of it may be a slip of the hand. Our choice. */
const fillSlips = 0.5;

const onScale = (bag: Bag, kind: BagWeighingKind): BagOnScale => ({
  bagId: bag.id,
  kind,
  needsLift: false,
  why: null,
});

/** A person says which bag comes onto a scale; null: the scale is for trays again. A load that nobody took is tried. */
export function chooseBag(
  bench: Bench,
  scale: ScaleOnBench,
  bagId: number | null,
  kind: BagWeighingKind | null,
): readonly Change[] {
  if (bagId === null) return [{ is: "bag-chosen", scaleId: scale.id, bag: null }];
  const bag = bagOrFault(bench, bagId);
  const chosen = kind ?? kindNow(bag);
  refuseKind(bag, chosen);
  const { load } = scale;
  const isTaken = load?.became === "taken";
  const on = { ...onScale(bag, chosen), needsLift: isTaken };
  const changes: Change[] = [{ is: "bag-chosen", scaleId: scale.id, bag: on }];
  if (load === null || isTaken) return changes;
  return [...changes, ...settleBagLoad(bench, { ...scale, bag: on }, on, load)];
}

/** A load that came to rest where a bag was chosen. */
export function settleBagLoad(
  bench: Bench,
  scale: ScaleOnBench,
  on: BagOnScale,
  load: Load,
): readonly Change[] {
  const bag = bagOrFault(bench, on.bagId);
  const why = whyNot(bench, bag, on, load);
  return why === null ? takes(bench, scale, bag, on.kind, load) : waits(scale, on, load, why);
}

const waits = (scale: ScaleOnBench, on: BagOnScale, load: Load, why: string): readonly Change[] => [
  {
    is: "load-changed",
    scaleId: scale.id,
    load: { ...load, became: "ignored", weighing: null, question: null },
  },
  { is: "bag-chosen", scaleId: scale.id, bag: { ...on, why } },
];

function whyNot(bench: Bench, bag: Bag, on: BagOnScale, { weight }: Load): string | null {
  if (on.needsLift) return "Take what lies on the scale off first";
  if (!weight.zeroSeen)
    return "The scale came back with a load on it and may have set its zero there";
  return whyNotAs[on.kind](bench, bag, weight);
}

const g = (mass: number): string => `${mass.toFixed(1)} g`;

/** Why a load is not taken as this weighing of a bag; null: it is. */
const whyNotAs: Readonly<
  Record<BagWeighingKind, (bench: Bench, bag: Bag, weight: Weight) => string | null>
> = {
  tare: (bench, bag, { mass, division }) => {
    const heaviest = heaviestEmpty(bench, bag);
    if (heaviest === null) return null;
    const target = targetOf(bag, planOf(bench, bag), division);
    return mass > heaviest + loadedFrom * target
      ? `Others like it weighed at most ${g(heaviest)} empty: is food in it already?`
      : null;
  },
  filled: (bench, bag, { mass, division }) => {
    const tare = tareOf(bag);
    if (tare === null) return "The empty bag is weighed first";
    const target = targetOf(bag, planOf(bench, bag), division);
    const toGo = target - (mass - tare);
    if (Math.abs(toGo) <= toleranceOf(target, division)) return null;
    return toGo > 0 ? `${g(toGo)} to go` : `${g(-toGo)} too much`;
  },
  sealed: (bench, bag, weight) => {
    const tare = tareOf(bag);
    const before = weighingsOf(bag).findLast(({ kind }) => kind !== "tare");
    if (before === undefined || tare === null) return "The bag was not filled yet";
    if (gainToAnswer(planOf(bench, bag)) !== null) return gainUnanswered;
    const wet = whyWet(bag);
    if (wet !== null) return wet;
    const least = stateOf(bag) === "opened" ? tare : before.gross - 3 * weight.u;
    if (weight.mass < least) return `It is lighter than before it was sealed (${g(before.gross)})`;
    if (
      stateOf(bag) === "filled" &&
      weight.mass < before.gross + leastAbsorber(bag) - 3 * Math.SQRT2 * weight.u
    )
      return `It weighed ${g(before.gross)} without its absorber: is it in?`;
    const most = before.gross + closingAdds[bag.container];
    if (weight.mass > most) return `That is more than a closed bag ${bagCode(bag)} can weigh`;
    const likelier = likelierThan(bench, bag, weight);
    return likelier === null
      ? null
      : `It weighs as bag ${bagCode(likelier)} would when sealed: if it is that one, touch it in the list`;
  },
  shelf: (_bench, bag, { mass, division }) => {
    const sealed = sealedOf(bag);
    if (sealed === null) return "The bag was not sealed yet";
    const net = netOf(bag) ?? 0;
    const u = 3 * divisionUncertainty(division);
    const least = sealed.gross - Math.max(leastLoss, lossShare * net) - u;
    return mass < least || mass > sealed.gross + mostChange * net + u
      ? `Bag ${bagCode(bag)} weighed ${g(sealed.gross)} when it was sealed: is it another bag?`
      : null;
  },
};

/** Grams: an absorber holds at least the iron for its oxygen. */
const leastAbsorber = ({ absorbers }: Bag): number =>
  absorbers === null ? 0 : absorbers.count * absorbers.cc * ironForMl;

/** Throws weighing.impossible for a typed mass that may be a slip of the hand. A fill may miss its target, but not by far. */
export function refuseUnlikely(
  bench: Bench,
  bagId: number,
  { kind, gross, division }: Pick<BagWeighing, "kind" | "gross" | "division">,
): void {
  const bag = bagOrFault(bench, bagId);
  const target = targetOf(bag, planOf(bench, bag), division);
  const missedBy = Math.abs(gross - (tareOf(bag) ?? 0) - target);
  if (kind === "filled" && missedBy <= fillSlips * target) return;
  const weight = { mass: gross, division, u: divisionUncertainty(division) };
  const why = whyNotAs[kind](bench, bag, weight);
  if (why !== null) throw new Fault("weighing.impossible", why);
}

const filledGross = (bag: Bag): number | null => lastOf(bag, "filled")?.gross ?? null;

/** What closing added to packages like it that are in hand, the middle of them; null: none was closed yet. */
function closingAdded(bench: Bench, { container, volumeMl, absorbers }: Bag): number | null {
  const likeIt = JSON.stringify([container, volumeMl, absorbers]);
  const added = bench.bags
    .filter((one) => JSON.stringify([one.container, one.volumeMl, one.absorbers]) === likeIt)
    .flatMap((one) => {
      const filled = filledGross(one);
      const sealed = weighingsOf(one).find(({ kind }) => kind === "sealed");
      return filled === null || sealed === undefined ? [] : [sealed.gross - filled];
    })
    .toSorted((a, b) => a - b);
  return added[Math.floor(added.length / 2)] ?? null;
}

/** A bag of the plan that is still open and that the load fits better; alike ones only their numbers tell apart. */
function likelierThan(bench: Bench, bag: Bag, { mass, u }: Weight): Bag | null {
  const added = closingAdded(bench, bag);
  if (added === null || stateOf(bag) !== "filled") return null;
  const missedBy = (one: Bag): number => Math.abs(mass - (filledGross(one) ?? 0) - added);
  const within = Math.max(closingVaries, 3 * Math.SQRT2 * u);
  const nearest = planOf(bench, bag)
    .filter((one) => isToSeal(one, bag))
    .toSorted((a, b) => missedBy(a) - missedBy(b))[0];
  if (nearest === undefined || missedBy(bag) <= within) return null;
  return missedBy(nearest) + within < missedBy(bag) ? nearest : null;
}

/** What the bag itself weighed empty before, else the heaviest of those in hand of its kind and size; null: none. */
function heaviestEmpty(bench: Bench, bag: Bag): Grams | null {
  const own = tareOf(bag);
  if (own !== null) return own;
  const known = bench.bags
    .filter(({ container, volumeMl }) => container === bag.container && volumeMl === bag.volumeMl)
    .flatMap((one) => tareOf(one) ?? []);
  return known.length === 0 ? null : grams(Math.max(...known));
}

function takes(
  bench: Bench,
  scale: ScaleOnBench,
  bag: Bag,
  kind: BagWeighingKind,
  { id, weight }: Load,
  although: string | null = null,
): readonly Change[] {
  const weighed = weighBag(
    bench,
    bag.id,
    {
      kind,
      gross: weight.mass,
      division: weight.division,
      scale: scale.id,
      source: "scale",
      zeroSeen: weight.zeroSeen,
      at: weight.atUtcMs,
    },
    weight.atUtcMs,
    although,
  );
  const next = nextOn(bench, scale.id, bag, kind);
  return [
    ...weighed,
    {
      is: "load-changed",
      scaleId: scale.id,
      load: { id, weight, became: "taken", weighing: null, question: null },
    },
    { is: "taken-shown", scaleId: scale.id, weighing: null },
    {
      is: "bag-taken-shown",
      scaleId: scale.id,
      taken: { bagId: bag.id, weighing: bench.next.bagWeighing },
    },
    { is: "bag-chosen", scaleId: scale.id, bag: next },
  ];
}

/**
 * Empty, then filled without lifting it, then the plan's next empty bag. Sealing begins when all are filled: only then
 * is it known whether the food took up moisture on the bench, and a packet of absorbers is opened once. No two scales
 * are asked for one bag: where the last is at another scale, this one waits for none.
 */
function nextOn(bench: Bench, scaleId: string, bag: Bag, kind: BagWeighingKind): BagOnScale | null {
  if (kind === "tare") return onScale(bag, "filled");
  if (kind === "shelf") return null;
  const plan = planOf(bench, bag);
  const toFill = plan.filter((one) => one.id !== bag.id && stateOf(one) === "planned");
  const toSeal = plan.filter((one) => (kind === "filled" && one === bag) || isToSeal(one, bag));
  const isFilling = toFill.length > 0;
  const elsewhere = atOthers(bench, scaleId);
  const next = (isFilling ? toFill : toSeal).find(({ id }) => !elsewhere.has(id));
  if (next === undefined) return null;
  return { ...onScale(next, isFilling ? kindNow(next) : "sealed"), needsLift: true };
}

/** Bags that other scales are asked for. One whose link is lost is asked for nothing. */
const atOthers = (bench: Bench, scaleId: string): ReadonlySet<number> =>
  new Set(
    bench.scales
      .filter(({ id, link }) => id !== scaleId && link.link === "up")
      .flatMap(({ bag }) => bag?.bagId ?? []),
  );

/** A scale waits no longer for a weighing that came from elsewhere, typed or from another scale: it goes on as after its own. */
export function bagsMovedOn(before: Bench, after: Bench): readonly Change[] {
  const changes: Change[] = [];
  let bench = after;
  for (const { id, bag: on, load } of after.scales) {
    const was = before.bags.find((bag) => bag.id === on?.bagId);
    const now = after.bags.find((bag) => bag.id === on?.bagId);
    if (on === null || was === undefined || now === undefined) continue;
    if (kindNow(was) !== on.kind || kindNow(now) === on.kind) continue;
    const next = nextOn(bench, id, now, on.kind);
    const bag = next === null ? null : { ...next, needsLift: load !== null };
    changes.push({ is: "bag-chosen", scaleId: id, bag });
    // Another scale that moves on as well is asked for the one after that.
    const scales = bench.scales.map((scale) => (scale.id === id ? { ...scale, bag } : scale));
    bench = { ...bench, scales };
  }
  return changes;
}

const isToSeal = (one: Bag, but: Bag): boolean => one.id !== but.id && stateOf(one) === "filled";

/** A person takes the load on a scale for a bag as it is, whatever the program makes of it. */
export function takeForBag(
  bench: Bench,
  scale: ScaleOnBench,
  bagId: number,
  kind: BagWeighingKind,
  although: string | null = null,
): readonly Change[] {
  const { load } = scale;
  if (load === null || load.became === "taken")
    throw new Fault(
      "load.gone",
      `nothing lies at rest on scale ${scale.id} that was not taken yet`,
    );
  const bag = bagOrFault(bench, bagId);
  refuseKind(bag, kind);
  refuseMass(bag, kind, load.weight.mass);
  return takes(bench, scale, bag, kind, load, although);
}

/** Net grams still missing while a bag is being filled; null without a weight. */
export function toGoOn(bench: Bench, scale: ScaleOnBench): number | null {
  const on = scale.bag;
  if (on === null || on.kind !== "filled" || on.needsLift || scale.pan.mass === null) return null;
  const bag = bagOrFault(bench, on.bagId);
  const tare = tareOf(bag);
  if (tare === null || filledOf(bag) !== null) return null;
  const target = targetOf(bag, planOf(bench, bag), scale.pan.division ?? grams(1));
  return target - (scale.pan.mass - tare);
}
