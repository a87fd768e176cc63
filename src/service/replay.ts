/**
 * Judges announced verdicts anew from the weighings, clock moments and priors that are kept, as they stood when each was
 * given, and says where what was announced does not follow from them. Those of another version of the judgment are
 * counted and left unchecked: their rules are gone.
 */
import type { ScaleComparison } from "../tray/offset.ts";
import { fraction, type UtcMs } from "../units/quantity.ts";
import { leastPlacement, type Placement } from "../verdict/placement.ts";
import { judgmentVersion } from "../verdict/verdict.ts";
import type { Batch, GivenVerdict, Tray } from "./bench.ts";
import type { FoodRate } from "./lessons.ts";
import {
  asItStood,
  judgedAs,
  toldAmong,
  verdictsGiven,
  type Judging,
  type Standing,
} from "./given.ts";
import { momentsOf, outsOf, roundOf } from "./look.ts";

export type Replayed = {
  /** Announced verdicts that were judged anew. */
  readonly checked: number;
  /** Of another version of the judgment, or kept by a program that did not say what they rested on. */
  readonly older: number;
  /** Sentences; empty when all that were checked follow. */
  readonly problems: readonly string[];
};

/**
 * Two builds of the mathematical library may differ in a last bit, which the judgment's sums carry on; a figure that was
 * altered by less than this share of it changes nothing that anybody is told.
 */
const sameWithin = 1e-6;

/** `traysAt`: the versions that the batch's trays had at a moment. `comparisons`: all that were ever made. */
export function replay(
  batch: Batch,
  traysAt: (at: UtcMs) => readonly Tray[],
  comparisons: readonly ScaleComparison[],
): Replayed {
  const done = givenTogether(batch.verdicts).map((given) =>
    replayOne(batch, given, traysAt, comparisons),
  );
  return {
    checked: done.reduce((sum, { checked }) => sum + checked, 0),
    older: done.reduce((sum, { older }) => sum + older, 0),
    problems: done.flatMap(({ problems }) => problems),
  };
}

/** Those of one announcement follow each other, the batch's own first. */
function givenTogether(verdicts: readonly GivenVerdict[]): readonly (readonly GivenVerdict[])[] {
  const groups: GivenVerdict[][] = [];
  for (const verdict of verdicts) {
    const group = groups.at(-1);
    if (group === undefined || group[0]!.at !== verdict.at || group[0]!.round !== verdict.round)
      groups.push([verdict]);
    else group.push(verdict);
  }
  return groups;
}

function replayOne(
  batch: Batch,
  given: readonly GivenVerdict[],
  traysAt: (at: UtcMs) => readonly Tray[],
  comparisons: readonly ScaleComparison[],
): Replayed {
  const [first] = given;
  const basis = first?.trayId === null ? parsed(first.basis) : null;
  const isOlder =
    given.every((one) => one.judgmentVersion !== judgmentVersion) ||
    (isObject(basis) && basis["standing"] === undefined);
  if (isOlder) return { checked: 0, older: given.length, problems: [] };
  const rested = restedOn(basis);
  if (first === undefined || rested === null)
    return {
      checked: given.length,
      older: 0,
      problems: given.map((one) => `${named(one, batch)} does not say what it rests on`),
    };
  const { at } = first;
  const { standing, ...settings } = rested;
  const then = asItStood(batch, traysAt(at), standing);
  const judging = { ...settings, comparisons: comparisonsThen(comparisons, standing) };
  const judged = judgedAs(then, judging);
  const round = roundThen(then, standing);
  const expected = judged === null ? [] : verdictsGiven(then, judged, { ...judging, round, at });
  const told = toldAmong({ ...then, judged }, expected);
  return { checked: given.length, older: 0, problems: compared(batch, given, { told, expected }) };
}

/** The number of its round, as the program of the time counted. */
function roundThen(then: Batch, { clock }: Standing): number {
  if (clock === 3) return roundOf(then)?.number ?? 0;
  if (clock === 2) return outsOf(then).length;
  return momentsOf(then).filter(({ is }) => is === "out").length;
}

/** null: the verdict was given by a program that did not tell scales apart. */
const comparisonsThen = (
  all: readonly ScaleComparison[],
  { comparison: last }: Standing,
): Judging["comparisons"] => (last === undefined ? null : all.filter(({ id }) => id <= last));

type Expected = readonly Omit<GivenVerdict, "id">[];

function compared(
  batch: Batch,
  given: readonly GivenVerdict[],
  { told, expected }: { readonly told: Expected; readonly expected: Expected },
): readonly string[] {
  const missing = told
    .filter((one) => !given.some(({ trayId }) => trayId === one.trayId))
    .map((one) => `${named(one, batch)} was given and is not there`);
  const wrong = given.flatMap((one) => {
    const right = expected.find(({ trayId }) => trayId === one.trayId);
    if (right === undefined)
      return [
        `${named(one, batch)} does not follow from the weighings kept: nothing was to be judged`,
      ];
    const difference = differenceIn(tellingOf(one), tellingOf(right), "");
    return difference === null
      ? []
      : [`${named(one, batch)} does not follow from the weighings kept: ${difference}`];
  });
  return [...missing, ...wrong];
}

/** The figures that were told first, so that a difference is named by what a person knows. */
const tellingOf = ({ basis, ...told }: Omit<GivenVerdict, "id">) => ({
  word: told.word,
  verdict: told.trayId === null ? null : (parsed(basis) as { verdict?: unknown } | null)?.verdict,
  judgment: told.judgmentVersion,
  text: told.text,
  round: told.round,
  basis: parsed(basis),
});

const named = (one: Omit<GivenVerdict, "id"> & { readonly id?: number }, batch: Batch): string => {
  const tray = batch.trays.find(({ id }) => id === one.trayId)?.name;
  const number = one.id === undefined ? "a verdict" : `verdict ${one.id}`;
  return `${number} (batch ${batch.number}, ${tray === undefined ? "as a whole" : `tray ${tray}`}, round ${one.round})`;
};

/** What says a reason in another way than its text; verdicts were kept before it was there. */
const addedLater: ReadonlySet<string> = new Set(["sentence", "figures"]);

/** Where two values of JSON first differ; null: nowhere, but for the last bits of a figure. */
function differenceIn(kept: unknown, right: unknown, path: string): string | null {
  if (isObject(kept) && isObject(right)) {
    for (const key of new Set([...Object.keys(right), ...Object.keys(kept)])) {
      if (kept[key] === undefined && addedLater.has(key)) continue;
      const found = differenceIn(kept[key], right[key], path === "" ? key : `${path}.${key}`);
      if (found !== null) return found;
    }
    return null;
  }
  const isSame =
    typeof kept === "number" && typeof right === "number"
      ? Math.abs(kept - right) <= sameWithin * Math.max(Math.abs(kept), Math.abs(right))
      : kept === right;
  return isSame ? null : `${path} is ${inShort(kept)} and has to be ${inShort(right)}`;
}

function inShort(value: unknown): string {
  const text = JSON.stringify(value) ?? "missing";
  return text.length <= 80 ? text : `${text.slice(0, 79)}…`;
}

const isObject = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === "object" && value !== null;

function parsed(json: string): unknown {
  try {
    return JSON.parse(json);
  } catch {
    return null;
  }
}

const isNumber = (value: unknown): value is number => typeof value === "number";

/** What the batch's own verdict says that the judgment was given; null: it does not say it whole. */
function restedOn(
  basis: unknown,
): (Omit<Judging, "comparisons"> & { readonly standing: Standing }) | null {
  if (!isObject(basis) || !isStanding(basis["standing"])) return null;
  const { limit, timeFactor, standing } = basis;
  if (!isNumber(limit) || !isNumber(timeFactor) || timeFactor <= 0) return null;
  const { placements, rates, clock, stepsFound = false } = standing;
  return {
    limit: fraction(limit),
    timeFactor,
    standing,
    joining: clock !== undefined,
    stepsFound,
    ...(clock === undefined ? {} : { clock }),
    ...(placements === undefined ? {} : { placements }),
    ...(rates === undefined ? {} : { rates }),
  };
}

function isStanding(value: unknown): value is Standing {
  if (!isObject(value)) return false;
  const { interruptions, gaps, comparison, placements, rates, clock, stepsFound } = value;
  return (
    (comparison === undefined || isNumber(comparison)) &&
    (clock === undefined || clock === 2 || clock === 3) &&
    (stepsFound === undefined || stepsFound === true) &&
    (placements === undefined || (Array.isArray(placements) && placements.every(isPlacement))) &&
    (rates === undefined || (Array.isArray(rates) && rates.every(isRate))) &&
    ["tray", "weighing", "moment", "coreCheck"].every((key) => isNumber(value[key])) &&
    Array.isArray(interruptions) &&
    interruptions.every((one) => isObject(one) && isNumber(one["id"])) &&
    Array.isArray(gaps) &&
    gaps.every((one) => isObject(one) && isNumber(one["id"]))
  );
}

function isRate(value: unknown): value is FoodRate {
  if (!isObject(value) || typeof value["food"] !== "string") return false;
  const { lnRate, u, thicknessMm } = value;
  const isThickness = thicknessMm === null || (isNumber(thicknessMm) && thicknessMm > 0);
  return isNumber(lnRate) && isNumber(u) && u > 0 && isThickness;
}

function isPlacement(value: unknown): value is Placement {
  if (!isObject(value) || typeof value["scale"] !== "string") return false;
  const { inDivisions } = value;
  const isFigure = ["division", "u", "repeats"].every((key) => isNumber(value[key]));
  return isFigure && isNumber(inDivisions) && inDivisions >= leastPlacement;
}
