/**
 * Which tray lies on the scale. In: a gross mass and what each tray that is waited for may weigh. Out: one tray, a
 * question, or none. Bayes' rule over the trays and over a stranger's load; priors and spreads are our choice.
 */
import { grams, minus, plus, type Grams } from "../units/quantity.ts";
import type { FoodOnTray, TrayId, WeighingKind } from "./weighing.ts";

/** Shares of its water that a tray held when it was last weighed, and that it holds now. */
export type Left = { readonly before: number; readonly now: number };

/** What a tray may weigh, and where within that it most likely does. */
export type Expectation = {
  readonly low: Grams;
  readonly high: Grams;
  readonly likely: { readonly mean: Grams; readonly sd: Grams } | null;
};

export type TrayCandidate = {
  readonly id: TrayId;
  readonly name: string;
  readonly expect: Expectation;
};

export type Ranked = readonly { readonly id: TrayId; readonly probability: number }[];

export type WhichTray =
  | { readonly is: "sure"; readonly id: TrayId; readonly probability: number }
  | { readonly is: "ask"; readonly ranked: Ranked; readonly why: string }
  | { readonly is: "none"; readonly ranked: Ranked; readonly why: string };

/** A tray with nothing on it: from a small dish to an oven tray. */
const anyTray = { low: grams(20), high: grams(5000) };
const mostFood = grams(10_000);
/** In so many rounds the trays come in the order that the page asks for, else in any. */
export const followsAtFirst = 0.975;
/** Who follows the order brings another tray so often. */
const slipShare = 0.02;
const strangerPrior = 0.02;
const strangerDensity = 1 / 20_000;
/**
 * Two doubts, each with a bound of its own: whether it is a tray at all, and if so, which. In one bound the stranger,
 * whom no order makes less likely, took up what the order leaves: from six trays on, who followed it was asked at the
 * first load. The second is below what the order alone says of however many trays, 0.975 · 0.98; in rounds it is as
 * strict as 0.95 of everything was, by `bench:whichtray`. Our choice.
 */
const isTrayAt = 0.95;
const sureAt = 0.951;
/** Trays of one batch lose their water alike, within this much of it (one standard deviation). */
const alikeWithin = 0.12;
/** Trays of one dryer weigh alike when empty, within this share (one standard deviation). */
const taresAlikeWithin = 0.1;
/** However well it is known where a tray should be, one time in ten it is anywhere in its range. */
const elsewhereShare = 0.1;
/** So many empty trays of ended batches are remembered: those of a few dryers. Our choice. */
export const mostEmptyTrays = 24;
/** Moisture taken up, a scale that drifted: a tray may weigh this share of its food more than before. */
const gainedShare = 0.05;

export function expectGross(tray: {
  readonly kind: WeighingKind;
  readonly tare: Grams | null;
  readonly freshNet: Grams | null;
  /** The last net mass, before or during drying. */
  readonly lastNet: Grams | null;
  readonly food: Pick<FoodOnTray, "water" | "waterSd"> | null;
  /** Of trays already weighed in this round. */
  readonly others: readonly Left[];
  /** What the batch's other trays weigh empty. */
  readonly taresOfOthers: readonly Grams[];
}): Expectation {
  const { kind, tare, freshNet, lastNet, food } = tray;
  if (kind === "tare" || tare === null)
    return { ...anyTray, likely: emptyAmong(tray.taresOfOthers) };
  if (kind === "fresh" || freshNet === null)
    return { low: plus(tare, grams(5)), high: plus(tare, mostFood), likely: null };
  const leastDry = food === null ? 0.01 : Math.max(0.01, 1 - food.water - 3 * food.waterSd);
  const low = plus(tare, grams(freshNet * leastDry * 0.9));
  const high = plus(tare, grams((lastNet ?? freshNet) + gainedShare * freshNet));
  return {
    low,
    high,
    likely: likelyAmong(tray.others, tare, { freshNet, lastNet: lastNet ?? freshNet }, food),
  };
}

/**
 * Whether food may lie on a tray that is put down as an empty one: it is heavier than every empty tray known, its own
 * earlier mass before those of others, by more than alike trays differ. With none known nobody can tell.
 */
export function mayHoldFood(gross: Grams, own: Grams | null, others: readonly Grams[]): boolean {
  const known = own === null ? others : [own];
  return known.length > 0 && gross > Math.max(...known) * (1 + 2 * taresAlikeWithin);
}

function emptyAmong(tares: readonly Grams[]): Expectation["likely"] {
  if (tares.length === 0) return null;
  const mean = tares.reduce((sum, one) => sum + one, 0) / tares.length;
  return { mean: grams(mean), sd: grams(taresAlikeWithin * mean) };
}

/** Of what it held before, a tray keeps about the share that the others kept of theirs. */
function likelyAmong(
  others: readonly Left[],
  tare: Grams,
  { freshNet, lastNet }: { readonly freshNet: Grams; readonly lastNet: Grams },
  food: Pick<FoodOnTray, "water"> | null,
): Expectation["likely"] {
  if (others.length === 0 || food === null) return null;
  const total = (of: (one: Left) => number): number =>
    others.reduce((sum, one) => sum + Math.max(of(one), 0), 0);
  const kept = Math.min(1, total(({ now }) => now) / total(({ before }) => before) || 0);
  const water = freshNet * food.water;
  const dry = freshNet - water;
  const held = Math.max(0, (lastNet - dry) / water);
  return {
    mean: plus(tare, grams(dry + held * kept * water)),
    sd: grams(alikeWithin * water),
  };
}

type Load = {
  readonly gross: Grams;
  readonly u: Grams;
  readonly candidates: readonly TrayCandidate[];
  /** The tray that the page asks for. */
  readonly prompted: TrayId | null;
};

/**
 * Probability that a person follows the order asked for, once a load was seen: Bayes' rule between who does and who
 * brings the trays in any order. Where all that wait may weigh as much, nothing is learned.
 */
export function followsAfter(follows: number, { gross, u, candidates, prompted }: Load): number {
  const densities = candidates.map(({ expect }) => density(gross, u, expect));
  const all = densities.reduce((sum, one) => sum + one, 0);
  const asked = densities[candidates.findIndex(({ id }) => id === prompted)];
  if (asked === undefined || all === 0 || candidates.length < 2) return follows;
  const other = (all - asked) / (candidates.length - 1);
  const inOrder = follows * ((1 - slipShare) * asked + slipShare * other);
  return inOrder / (inOrder + ((1 - follows) * all) / candidates.length);
}

/** `follows`: how likely the person brings the trays in the order asked for; otherwise each comes as likely. */
export function whichTray(
  { gross, u, candidates, prompted }: Load,
  follows: number = followsAtFirst,
): WhichTray {
  const others = candidates.length - 1;
  const isPrompted = candidates.some(({ id }) => id === prompted);
  const inOrder = isPrompted ? follows : 0;
  const priorOf = (id: TrayId): number => {
    const asked = id === prompted ? (others === 0 ? 1 : 1 - slipShare) : slipShare / others;
    return (1 - inOrder) / candidates.length + inOrder * asked;
  };
  const weights = candidates.map(({ id, expect }) => ({
    id,
    weight: (1 - strangerPrior) * priorOf(id) * density(gross, u, expect),
  }));
  const stranger = strangerPrior * strangerDensity;
  const all = stranger + weights.reduce((sum, { weight }) => sum + weight, 0);
  const ranked = weights
    .map(({ id, weight }) => ({ id, probability: weight / all }))
    .toSorted((a, b) => b.probability - a.probability);
  const [best] = ranked;
  if (best === undefined || stranger / all > 0.5)
    return { is: "none", ranked, why: "no tray that is waited for can weigh this" };
  const isTray = 1 - stranger / all;
  if (isTray >= isTrayAt && best.probability >= sureAt * isTray) return { is: "sure", ...best };
  return { is: "ask", ranked, why: "more than one tray can weigh this" };
}

/** Probability per gram of a gross mass; falls off over three standard uncertainties beyond the range. */
function density(gross: Grams, u: Grams, { low, high, likely }: Expectation): number {
  const width = Math.max(minus(high, low), u);
  const outside = Math.max(low - gross, gross - high, 0) / u;
  const flat = Math.exp(-(outside ** 2) / 2) / width;
  if (likely === null) return flat;
  const z = (gross - likely.mean) / likely.sd;
  const bell = Math.exp(-(z ** 2) / 2) / (likely.sd * Math.sqrt(2 * Math.PI));
  return elsewhereShare * flat + (1 - elsewhereShare) * bell * (outside > 6 ? 0 : 1);
}
