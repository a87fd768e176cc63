/** What follows from a bag's rows: its masses, its state, and what its shelf weighings say. */
import { netMass, netUncertainty } from "../tray/net.ts";
import type { ScaleComparison } from "../tray/offset.ts";
import { asKept } from "../units/mass.ts";
import { grams, type Fraction, type Grams, type UtcMs } from "../units/quantity.ts";
import type { Bag, BagFate, BagPart, BagState, BagWeighing, BagWeighingKind } from "./bag.ts";
import { openTargets } from "./divide.ts";
import { foundWet, moistureIn, wetCautions } from "./thickest.ts";
import { judgeRecheck, type Recheck } from "./recheck.ts";

/** The rows that count, in the order of their times: neither struck nor replaced by a later row. */
export function weighingsOf(bag: Bag): readonly BagWeighing[] {
  const replaced = new Set(bag.weighings.map((row) => row.supersedes));
  return bag.weighings
    .filter((row) => !row.struck && !replaced.has(row.id))
    .toSorted((a, b) => a.at - b.at || a.id - b.id);
}

/** Of the rows that count. */
export const lastOf = (bag: Bag, kind: BagWeighingKind): BagWeighing | null =>
  weighingsOf(bag).findLast((row) => row.kind === kind) ?? null;

/** The empty bag: weighed if it was, else as a person typed it. */
export const tareOf = (bag: Bag): Grams | null => lastOf(bag, "tare")?.gross ?? bag.typedTare;

/** The sealing that counts now: a bag that was opened may be sealed again. */
export const sealedOf = (bag: Bag): BagWeighing | null => lastOf(bag, "sealed");

/** What was filled in, by the scale. */
export function filledOf(bag: Bag): Grams | null {
  const filled = lastOf(bag, "filled");
  const tare = tareOf(bag);
  return filled === null || tare === null ? null : asKept(netMass(filled.gross, tare));
}

/** Dry food in the bag now: what was filled in, less what it was lighter when it was sealed again. */
export function netOf(bag: Bag): Grams | null {
  const filled = filledOf(bag);
  const first = weighingsOf(bag).find((row) => row.kind === "sealed");
  const last = sealedOf(bag);
  if (filled === null || first === undefined || last === null || first === last) return filled;
  const takenOut = Math.max(0, first.gross - last.gross);
  return asKept(grams(Math.max(0, filled - takenOut)));
}

export const isFinal = (state: BagState): boolean =>
  state !== "planned" && state !== "filled" && state !== "sealed" && state !== "opened";

/** What became of it and was not taken back. */
export function fateOf(bag: Bag): BagFate | null {
  const takenBack = new Set(bag.fates.map((row) => row.takesBack));
  return bag.fates.findLast((row) => row.takesBack === null && !takenBack.has(row.id)) ?? null;
}

export function stateOf(bag: Bag): BagState {
  const fate = fateOf(bag);
  const sealed = sealedOf(bag);
  if (fate !== null && (isFinal(fate.fate) || sealed === null || sealed.at <= fate.at))
    return fate.fate;
  if (sealed !== null) return "sealed";
  return filledOf(bag) === null ? "planned" : "filled";
}

/** Since it was last sealed, oldest first. */
export function shelfOf(bag: Bag): readonly BagWeighing[] {
  const sealed = sealedOf(bag);
  if (sealed === null) return [];
  return weighingsOf(bag).filter((row) => row.kind === "shelf" && row.at >= sealed.at);
}

/** null until it was filled and sealed. */
export function recheckOf(
  bag: Bag,
  limit: Fraction,
  now: UtcMs,
  comparisons: readonly ScaleComparison[],
): Recheck | null {
  const sealed = sealedOf(bag);
  const net = netOf(bag);
  if (sealed === null || net === null || net <= 0) return null;
  const known = { ...bag, moisture: moistureIn(bag) };
  return judgeRecheck({ bag: known, net, sealed, shelf: shelfOf(bag), limit, now, comparisons });
}

/** What a bag should take now: the plan's mass that is not filled yet, spread over the bags that are still open. */
export function targetOf(bag: Bag, plan: readonly Bag[], division: Grams): Grams {
  const counted = plan.filter((one) => stateOf(one) !== "cancelled");
  const open = counted.filter((one) => filledOf(one) === null);
  const place = open.findIndex((one) => one.id === bag.id);
  if (place === -1) return bag.target;
  const filled = counted.flatMap((one) => filledOf(one) ?? []);
  const targets = openTargets({ total: totalOf(counted), filled, open: open.length }, division);
  return targets[place] ?? bag.target;
}

const totalOf = (plan: readonly Bag[]): Grams =>
  grams(plan.reduce((sum, one) => sum + one.target, 0));

type GainSinceVerdict = { readonly gain: Grams; readonly provable: Grams };

/**
 * Moisture taken up on the bench: what went into the bags of a plan, less what their trays weighed at the verdict.
 * null until every bag is filled, where only a part of a tray was to be packed, and when the gain is within twice its standard uncertainty.
 */
export function gainSinceVerdict(plan: readonly Bag[]): GainSinceVerdict | null {
  const counted = plan.filter((one) => stateOf(one) !== "cancelled");
  const filled = counted.map(filledOf);
  const whole = counted.every(({ parts }) => parts.every((part) => part.whole));
  if (counted.length === 0 || filled.includes(null) || !whole) return null;
  const gain = filled.reduce<number>((sum, one) => sum + (one ?? 0), 0) - totalOf(counted);
  const trays = new Map(
    counted.flatMap(({ parts }) => parts.map(({ trayId, division }) => [trayId, division])),
  );
  const divisions = [
    ...trays.values(),
    ...counted.flatMap((one) => lastOf(one, "filled")?.division ?? []),
  ];
  const provable = grams(2 * Math.hypot(...divisions.map(netUncertainty)));
  return gain > provable ? { gain: grams(gain), provable } : null;
}

/** A gain that nobody has said of these bags to seal them all the same; more of it than was said counts anew. */
export function gainToAnswer(plan: readonly Bag[]): GainSinceVerdict | null {
  const found = gainSinceVerdict(plan);
  if (found === null) return null;
  const isAnswered = plan
    .filter((bag) => stateOf(bag) === "filled")
    .every(({ gainsAccepted }) =>
      gainsAccepted.some(({ gain }) => found.gain <= gain + found.provable),
    );
  return isAnswered ? null : found;
}

/** What was found since the bag was last sealed, if ever: whoever seals it now has to know. */
export function wetToAnswer(bag: Bag): readonly string[] {
  const sealedAt = sealedOf(bag)?.at ?? null;
  const isNew = (part: BagPart): boolean => {
    const found = foundWet(bag, part);
    return found !== null && (sealedAt === null || found.at > sealedAt);
  };
  return wetCautions({ ...bag, parts: bag.parts.filter(isNew) });
}
