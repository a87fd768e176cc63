/**
 * Whether a sealed bag takes up moisture on the shelf. In: its gross masses since sealing. Out: a word, the gain, and
 * what this scale could prove at best. A weight does not show oxygen.
 *
 * An absorber draws a soft bag in; it then displaces less air and weighs more with no leak: 1.204 mg for every
 * millilitre of oxygen taken up. So the mass at sealing is not the one to compare with: the baseline is a weighing 2
 * to 7 days later, and only if the rise until then is no more than buoyancy and the scale explain.
 */
import { divisionUncertainty } from "../tray/net.ts";
import { bringing, type Brought, type ScaleComparison } from "../tray/offset.ts";
import { z95 } from "../units/normal.ts";
import {
  fraction,
  grams,
  utcMs,
  type Fraction,
  type Grams,
  type UtcMs,
} from "../units/quantity.ts";
import { oxygenIn } from "./absorber.ts";
import type { Bag, BagWeighing, Moisture } from "./bag.ts";

export type ShelfWord =
  "no-gain-seen" | "watch" | "gaining-moisture" | "cannot-tell" | "not-checked";
type ShelfReason =
  | "not-weighed"
  | "no-baseline-yet"
  | "baseline-missed"
  | "rose-before-baseline"
  | "drawn-in"
  | "confirmed"
  | "once-only"
  | "small-rise"
  | "within-error"
  | "too-coarse"
  | "lighter"
  | "other-scale"
  | "oxygen";

export type ShelfWeighing = Pick<BagWeighing, "gross" | "division" | "scale" | "at">;

export type Recheck = {
  readonly word: ShelfWord;
  readonly text: string;
  readonly reasons: readonly {
    readonly code: ShelfReason;
    readonly text: string;
    /** Of `other-scale`, where loads on both tell by how much the scales differ: what was taken off. */
    readonly offset?: Pick<Brought, "offset" | "u">;
  }[];
  readonly baseline: Grams | null;
  readonly gain: Grams;
  readonly gainShare: Fraction;
  readonly teaspoons: number;
  readonly provable: Grams;
  /** The coarser one of the weighings that the gain is from: it is told no finer. */
  readonly division: Grams;
  readonly buoyancy: Grams;
  readonly oxygen: Grams;
  readonly gainPerMonth: {
    readonly estimate: number;
    readonly low: number;
    readonly high: number;
  } | null;
  readonly monthsLeft: {
    readonly limit: Fraction;
    readonly estimate: number | null;
    readonly low: number;
    readonly high: number | null;
  } | null;
  readonly weighAgain: {
    readonly from: UtcMs;
    readonly to: UtcMs | null;
    readonly why: string;
  } | null;
};

const dayMs = 86_400_000;
/** A year has 365.2425 days. */
const monthMs = (365.2425 / 12) * dayMs;
const baselineFromMs = 2 * dayMs;
const baselineToMs = 7 * dayMs;
/** Standard uncertainties that a gain has to exceed. Our choice. */
const beyond = 3;
/** A gain smaller than this share of the dry mass is watched, not called. Our choice. */
const leastShare = 0.005;
/** A scale that cannot prove this share of the dry mass cannot tell. Our choice. */
const coarseShare = 0.01;
/** Dry air at 20 °C and 101.325 kPa, mg/mL: 28.9647 g/mol by the gas law. */
const airMgPerMl = 1.2041;
/** Oxygen at 20 °C and 101.325 kPa, mg/mL: 31.998 g/mol by the gas law. */
const oxygenMgPerMl = 1.33;
/** US teaspoon: a sixth of 29.5735295625 mL (NIST SP 811 table B.8). Water at 20 °C: 0.99821 g/mL (Mauer, Food Analysis). */
const gramsPerTeaspoon = 0.99821 * (29.5735295625 / 6);
export const teaspoonsOf = (water: Grams): number => water / gramsPerTeaspoon;

/** What a soft bag may seem to gain when its absorbers have taken the oxygen out of it. */
export function buoyancyOf(
  bag: Pick<Bag, "container" | "volumeMl" | "absorbers">,
  net: Grams,
): Grams {
  if (bag.container !== "soft" || bag.absorbers === null) return grams(0);
  const takenMl = Math.min(oxygenIn(bag.volumeMl, net), bag.absorbers.count * bag.absorbers.cc);
  return grams((takenMl * airMgPerMl) / 1000);
}

type RecheckAsked = {
  readonly bag: Pick<Bag, "container" | "volumeMl" | "absorbers" | "moisture">;
  readonly net: Grams;
  readonly sealed: ShelfWeighing;
  /** Since sealing, oldest first. */
  readonly shelf: readonly ShelfWeighing[];
  /** Moisture that the food should not exceed, wet basis. */
  readonly limit: Fraction;
  readonly now: UtcMs;
  /** Of two scales by one load. */
  readonly comparisons: readonly ScaleComparison[];
};

export function judgeRecheck(asked: RecheckAsked): Recheck {
  const { bag, net, sealed, shelf, now, comparisons } = asked;
  const buoyancy = buoyancyOf(bag, net);
  const baseline = baselineOf(asked, buoyancy);
  const last = shelf.at(-1) ?? null;
  const reference = baseline.is === "confirmed" ? baseline.weighing : sealed;
  const allowed = baseline.is === "confirmed" ? 0 : buoyancy;
  const gainOf = (weighing: ShelfWeighing): number => {
    const rise = riseFrom(reference, weighing, comparisons);
    return rise - Math.min(allowed, Math.max(0, rise));
  };
  const u =
    last === null ? uBetween(sealed, sealed, comparisons) : uBetween(reference, last, comparisons);
  const provable = grams(Math.max(beyond * u, leastShare * net));
  const gain = last === null ? 0 : gainOf(last);
  const division = grams(Math.max(reference.division, last?.division ?? 0));
  const before = shelf.at(-2) ?? null;
  const found = wordOf({
    gain,
    rise: last === null ? 0 : riseFrom(reference, last, comparisons),
    provable,
    noise: beyond * u,
    division,
    net,
    weighed: last !== null,
    confirmed: before !== null && before !== reference && gainOf(before) > provable,
    buoyancy,
    baseline: baseline.is,
  });
  const reasons = [
    ...found.reasons,
    ...sideReasons(asked, { reference, last, gain, provable, division, baseline: baseline.is }),
  ];
  return {
    word: found.word,
    text: found.text,
    reasons,
    baseline: baseline.is === "confirmed" ? baseline.weighing.gross : null,
    gain: grams(gain),
    gainShare: fraction(gain / net),
    teaspoons: teaspoonsOf(grams(gain)),
    provable,
    division,
    buoyancy,
    oxygen: oxygenOf(bag, gain),
    ...course(asked, { reference, last, gain, u }),
    weighAgain: weighAgain(found, baseline.is, sealed, last, now),
  };
}

type Baseline =
  { readonly is: "confirmed"; readonly weighing: ShelfWeighing } | { readonly is: "rose" | "none" };

/**
 * The first weighing of the window that has not risen: a leak's mass is no baseline. A leak does not go back either, so
 * where a later one has not risen, the one before was of another bag, or something lay on the scale beside it.
 */
function baselineOf({ sealed, shelf, comparisons }: RecheckAsked, buoyancy: Grams): Baseline {
  const inWindow = shelf
    .filter(({ at }) => at - sealed.at >= baselineFromMs && at - sealed.at <= baselineToMs)
    .map((weighing) => ({
      weighing,
      rise: riseFrom(sealed, weighing, comparisons),
      noise: beyond * uBetween(sealed, weighing, comparisons),
    }));
  const first = inWindow.find(({ rise, noise }) => rise <= buoyancy + noise && rise >= -noise);
  if (first !== undefined) return { is: "confirmed", weighing: first.weighing };
  return { is: (inWindow[0]?.rise ?? 0) > 0 ? "rose" : "none" };
}

const isSameScale = (a: ShelfWeighing, b: ShelfWeighing): boolean =>
  a.scale === b.scale && Math.abs(a.division - b.division) < 1e-9;

/** What stands between two weighings on two scales; null: they are of one. A typed weight names no scale. */
function betweenScales(
  a: ShelfWeighing,
  b: ShelfWeighing,
  comparisons: readonly ScaleComparison[],
): Brought | null {
  if (isSameScale(a, b)) return null;
  const isNamed = a.scale !== null && b.scale !== null && a.scale !== b.scale;
  return bringing(isNamed ? comparisons : [], b.scale ?? "", a.scale ?? "", b.gross);
}

const riseFrom = (
  a: ShelfWeighing,
  b: ShelfWeighing,
  comparisons: readonly ScaleComparison[],
): number => b.gross - a.gross - (betweenScales(a, b, comparisons)?.offset ?? 0);

/** Of the difference of two weighings. A load read twice rounds the same way twice: more readings do not help. */
function uBetween(
  a: ShelfWeighing,
  b: ShelfWeighing,
  comparisons: readonly ScaleComparison[],
): number {
  const scales = betweenScales(a, b, comparisons)?.u ?? 0;
  return Math.hypot(divisionUncertainty(a.division), divisionUncertainty(b.division), scales);
}

type Found = {
  readonly word: ShelfWord;
  readonly text: string;
  readonly reasons: Recheck["reasons"];
};

/** No finer than the scale: "0.3 g" in steps of 0.1 g. */
function inSteps(mass: number, division: Grams): string {
  const decimals = Math.max(0, Math.ceil(-Math.log10(division) - 1e-9));
  return `${mass.toFixed(decimals)} g`;
}

/** A bound is rounded up, so that it stays one. */
const atMost = (mass: number, division: Grams): string =>
  inSteps(Math.ceil(mass / division - 1e-9) * division, division);

function wordOf(seen: {
  readonly gain: number;
  readonly rise: number;
  readonly provable: number;
  readonly noise: number;
  readonly division: Grams;
  readonly net: number;
  readonly weighed: boolean;
  readonly confirmed: boolean;
  readonly buoyancy: number;
  readonly baseline: Baseline["is"];
}): Found {
  const { gain, rise, provable, noise, net, buoyancy } = seen;
  const g = (value: number): string => inSteps(value, seen.division);
  const percent = `${((gain / net) * 100).toFixed(1)} % of the dry mass`;
  const found = (word: ShelfWord, code: ShelfReason, text: string): Found => ({
    word,
    text,
    reasons: [{ code, text }],
  });
  if (!seen.weighed)
    return found("not-checked", "not-weighed", "The bag was not weighed since it was sealed");
  if (gain > provable && seen.confirmed)
    return found(
      "gaining-moisture",
      "confirmed",
      `It gained ${g(gain)}, ${percent}; a second weighing confirms it`,
    );
  if (gain > provable)
    return found(
      "watch",
      "once-only",
      `It gained ${g(gain)}, ${percent}, seen once: put it on the scale a second time`,
    );
  if (rise < -noise)
    return found(
      "cannot-tell",
      "lighter",
      `It is ${g(-rise)} lighter than before: a bag that was opened, another bag, or another zero`,
    );
  if (noise > coarseShare * net)
    return found(
      "cannot-tell",
      "too-coarse",
      `This scale can prove a gain of ${atMost(provable, seen.division)} on this bag, ${((provable / net) * 100).toFixed(1)} % of its dry mass, and none smaller`,
    );
  if (gain > noise)
    return found(
      "watch",
      "small-rise",
      `It gained ${g(gain)}, ${percent}: more than the scale's error, less than ${atMost(provable, seen.division)}`,
    );
  if (seen.baseline !== "confirmed" && buoyancy > 0 && rise > noise)
    return found(
      "cannot-tell",
      "drawn-in",
      `It rose by ${g(rise)}; up to ${g(buoyancy)} of it comes from being drawn in by its absorbers, with no leak`,
    );
  return found(
    "no-gain-seen",
    "within-error",
    `No gain of ${g(provable)} or more, the smallest that this scale can prove`,
  );
}

function sideReasons(
  { bag, sealed, now, comparisons }: RecheckAsked,
  seen: {
    readonly reference: ShelfWeighing;
    readonly last: ShelfWeighing | null;
    readonly gain: number;
    readonly provable: number;
    readonly division: Grams;
    readonly baseline: Baseline["is"];
  },
): Recheck["reasons"] {
  const reasons: Recheck["reasons"][number][] = [];
  if (seen.baseline === "rose")
    reasons.push({
      code: "rose-before-baseline",
      text: "It rose between sealing and the first check by more than buoyancy and the scale explain: no baseline is taken from that",
    });
  if (seen.baseline === "none" && seen.last !== null)
    reasons.push(
      now - sealed.at > baselineToMs
        ? {
            code: "baseline-missed",
            text: "It was not weighed 2 to 7 days after sealing, so that it is compared with the mass at sealing",
          }
        : { code: "no-baseline-yet", text: "The baseline is not confirmed yet" },
    );
  const between = seen.last === null ? null : betweenScales(seen.reference, seen.last, comparisons);
  if (between !== null) reasons.push(otherScale(between));
  if (seen.gain > seen.provable && bag.absorbers !== null)
    reasons.push({
      code: "oxygen",
      text: `Up to ${atMost(oxygenOf(bag, seen.gain), seen.division)} of it can be oxygen taken up by the absorbers: a leak all the same`,
    });
  return reasons;
}

function otherScale({ isKnown, offset, u }: Brought): Recheck["reasons"][number] {
  const code = "other-scale";
  const before = "It was weighed on another scale than before";
  if (!isKnown)
    return {
      code,
      text: `${before}, and how the two differ is not known: put one load on both to find it`,
    };
  const [taken, within] = [offset, u].map((mass) => mass.toFixed(2));
  return {
    code,
    text: `${before}: ${taken} ± ${within} g, found by one load on both, was taken off`,
    offset: { offset, u },
  };
}

/** A leak feeds the absorbers too: at most what they can hold. */
function oxygenOf(bag: Pick<Bag, "absorbers">, gain: number): Grams {
  const capacityMl = bag.absorbers === null ? 0 : bag.absorbers.count * bag.absorbers.cc;
  return grams(Math.max(0, Math.min(gain, (capacityMl * oxygenMgPerMl) / 1000)));
}

/**
 * The gain carried on at its pace. In truth it slows down as the food nears the room's dampness. Until the baseline is
 * confirmed, what is put down to being drawn in may as well be moisture: the upper ends hold the whole rise.
 */
function course(
  { bag, net, limit, comparisons }: RecheckAsked,
  seen: {
    readonly reference: ShelfWeighing;
    readonly last: ShelfWeighing | null;
    readonly gain: number;
    readonly u: number;
  },
): Pick<Recheck, "gainPerMonth" | "monthsLeft"> {
  const { reference, last, gain, u } = seen;
  const months = last === null ? 0 : (last.at - reference.at) / monthMs;
  if (last === null || last.at - reference.at < dayMs)
    return { gainPerMonth: null, monthsLeft: null };
  const most = Math.max(gain, riseFrom(reference, last, comparisons));
  const perMonth = {
    estimate: gain / months,
    low: (gain - z95 * u) / months,
    high: (most + z95 * u) / months,
  };
  if (bag.moisture === null || perMonth.high <= 0)
    return { gainPerMonth: perMonth, monthsLeft: null };
  const left = (moisture: Fraction, pace: number, gained = gain): number =>
    Math.max(0, roomUntil(net, moisture, limit) - gained) / pace;
  const { moisture } = bag;
  return {
    gainPerMonth: perMonth,
    monthsLeft: {
      limit,
      estimate: gain > beyond * u ? left(moisture.estimate, perMonth.estimate) : null,
      low: left(moisture.high, perMonth.high, most),
      high: perMonth.low > 0 ? left(moisture.low, perMonth.low) : null,
    },
  };
}

/** Water that food of one moisture takes up until it has another (wet basis; USDA MP919 note N2.1). */
const roomUntil = (net: Grams, moisture: Moisture["estimate"], limit: Fraction): number =>
  (net * (1 - moisture)) / (1 - limit) - net;

function weighAgain(
  found: Found,
  baseline: Baseline["is"],
  sealed: ShelfWeighing,
  last: ShelfWeighing | null,
  now: UtcMs,
): Recheck["weighAgain"] {
  if (last !== null && found.reasons.some(({ code }) => code === "once-only"))
    return { from: last.at, to: null, why: "A second weighing confirms the gain, or clears it" };
  if (baseline !== "none" || now - sealed.at > baselineToMs) return null;
  return {
    from: utcMs(sealed.at + baselineFromMs),
    to: utcMs(sealed.at + baselineToMs),
    why: "It becomes the baseline that later weighings are compared with",
  };
}
