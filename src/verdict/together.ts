import { z95 } from "../units/normal.ts";
import type { LateRow } from "../drying/evidence.ts";
import { drynessOf, type Dryness } from "./dryness.ts";
import type { Load } from "./load.ts";
import { tellingBand, thresholds } from "./rules.ts";
import { isTooHeavy, type Word } from "./word.ts";

/** Trays weighed within so many hours of drying count as weighed at once. */
const atOnceHours = 0.25;
/** One tray may hold so much more than the mean of all, each counted by its dry mass. Our choice. A tray that on its
 * own seems to hold more than that lags behind: the others prove nothing of it. */
const unevenness = 1.5;
/** A tray that on its own looks wetter than this is not carried by the others. */
const leastOwn = 0.5;

/**
 * A coarse scale sees the sum of all trays better than any one: dry masses and losses add, errors only as their
 * squares. The probability that every tray is dry, where weighing all as one proves it; else null.
 */
export function provedTogether(
  all: readonly Dryness[],
  words: readonly Word[],
  limit: number,
): number | null {
  const open = words.some(({ verdict }) => verdict === "unsure");
  const quiet = words.every(({ verdict }) => verdict === "unsure" || verdict === "stable");
  if (all.length < 2 || !open || !quiet) return null;
  // An error in how two scales differ is that of all trays alike: it adds up as the losses do.
  if (all.some(({ load }) => isOfTwoScales(load))) return null;
  if (all.some((one) => one.pDry < leastOwn || isTooHeavy(one))) return null;
  if (all.some((one, i) => words[i]!.verdict === "unsure" && lagsBehind(one, all))) return null;
  const sum = sumOf(all.map(({ load }) => load));
  if (sum === null) return null;
  const [together] = drynessOf([sum], limit / unevenness, { detailed: false });
  return together!.pDry >= thresholds.stable ? together!.pDry : null;
}

function lagsBehind(one: Dryness, all: readonly Dryness[]): boolean {
  const excess = total(all.map(excessOf)) / total(all.map(({ load }) => load.end.dryGrams));
  return excessOf(one) / one.load.end.dryGrams > unevenness * excess;
}

/** Mean of what is believed to be left, in grams. */
const excessOf = ({ evidence: { cases }, hypotheses }: Dryness): number =>
  total(
    cases.map(({ hypothesis, share, excessMean }) => {
      return hypotheses[hypothesis]! * share * Math.max(excessMean, 0);
    }),
  );

const isOfTwoScales = ({ weighings }: Load): boolean =>
  weighings.some(({ otherScale }) => otherScale !== undefined);

/** The trays as one load, over the hours at which all of them were weighed; null when there are fewer than two. */
function sumOf(loads: readonly Load[]): Load | null {
  const [first] = loads;
  if (first === undefined) return null;
  const rows = first.rows.flatMap((row): LateRow[] => {
    const same = loads.map(({ rows: theirs }) =>
      theirs.find(({ hour }) => Math.abs(hour - row.hour) <= atOnceHours),
    );
    const found = same.filter((one) => one !== undefined);
    if (found.length < loads.length) return [];
    return [
      {
        hour: row.hour,
        netGrams: total(found.map(({ netGrams }) => netGrams)),
        uGrams: Math.hypot(...found.map(({ uGrams }) => uGrams)),
      },
    ];
  });
  const lastHours = loads.map((load) => load.rows.at(-1)!.hour);
  if (rows.length < 2 || Math.max(...lastHours) - Math.min(...lastHours) > atOnceHours) return null;
  const ends = loads.map(({ end }) => end);
  const names = new Set(loads.map(({ log }) => log.food?.name ?? ""));
  const sds = ends.map(({ endSdGrams }) => endSdGrams);
  // Of one food the error of its water content is shared, of several each has its own.
  const endSdGrams = names.size === 1 ? total(sds) : Math.hypot(...sds);
  const dryGrams = total(ends.map((end) => end.dryGrams));
  const fresh = loads.map(({ freshGrams }) => freshGrams);
  return {
    ...first,
    rows,
    end: {
      dryGrams,
      endGrams: total(ends.map(({ endGrams }) => endGrams)),
      endSdGrams,
      telling: ends.every(({ telling }) => telling) && z95 * endSdGrams <= tellingBand * dryGrams,
      blind: ends.some(({ blind }) => blind),
    },
    // The thickest decides when all are dry.
    thicknessMm: loads.some(({ thicknessMm }) => thicknessMm === null)
      ? null
      : Math.max(...loads.map(({ thicknessMm }) => thicknessMm ?? 0)),
    // Foods and thicknesses may differ: what was learned of one says little of the whole.
    ratesSeen: [],
    freshGrams: fresh.includes(null) ? null : total(fresh.map((one) => one ?? 0)),
    since: Math.max(...loads.map(({ since }) => since)),
  };
}

const total = (values: readonly number[]): number => values.reduce((sum, one) => sum + one, 0);
