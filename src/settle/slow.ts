/**
 * Rest on a scale that sends seldom: a line every 1.2 to 10 s, as one that is set to print every few seconds. In: looks
 * at the pan in the order of time, one a line. Out: the mass and what it rests on, or null.
 *
 * Four looks, as few as at any rate, that a creep which still counts as rest explains to within what rounding and
 * noise leave: one division on most scales. So the wait is three pauses, 9 s at one line in 3 s.
 *
 * No motion is held against that. Of a drift that must not pass, two looks lie further apart than any rest. A swing
 * with a period of a second or less is met at another phase by each look, or at the same by all where a pause holds a
 * whole number of its periods, which no rule can tell from rest: of loads that go on swinging for 90 s, 9 to 15 % were
 * told at 20 divisions from top to bottom and 24 to 26 % at 8 (2,000 made-up loads each, a line every 3 or 8 s, periods
 * of 0.25 to 1 s). To ask for nine looks after looks that went up and down took 2 to 4 points off that. A load that is
 * put down comes to rest within a pause or two.
 */
import { grams, type Grams } from "../units/quantity.ts";
import { leastLooks, mostApart, type Look, type Rest } from "./rest.ts";

/** A rest may creep so fast. */
export const creepDivisionsPerSecond = 0.1;

const leastGapMs = 1200;
const mostGapMs = 10_000;
/** Divisions a second. Those that explain the looks are as likely one as the other, so the mass is their mean. */
const creeps = Array.from({ length: 21 }, (_, i) => ((i - 10) / 10) * creepDivisionsPerSecond);

/**
 * The usual pause of a scale that sends seldom, in milliseconds; null where it does not, or not known yet. `gaps`: the
 * last pauses, of which one may be a line left out.
 */
export function slowGapOf(gaps: readonly number[]): number | null {
  if (gaps.length < 2) return null;
  const usual = gaps.toSorted((a, b) => a - b)[(gaps.length - 1) >> 1]!;
  return usual > leastGapMs && usual <= mostGapMs ? usual : null;
}

/** `noise`: standard deviation of one reading before rounding, in divisions. */
export function slowRestOf(looks: readonly Look[], division: Grams, noise: number): Rest | null {
  if (looks.length < leastLooks) return null;
  const last = looks.slice(-leastLooks);
  const most = mostApart(division, noise);
  const fits = creeps
    .map((creep) => withoutCreep(last, creep * division))
    .filter((away) => Math.max(...away) - Math.min(...away) <= most);
  if (fits.length === 0) return null;
  const mass = grams(last.at(-1)!.mass + meanOf(fits.map(meanOf)));
  return { mass, looks: leastLooks, fromMonoMs: last[0]!.atMonoMs };
}

/** How far above the newest look each would lie had the load all along weighed what it weighs now. */
function withoutCreep(looks: readonly Look[], gramsPerSecond: number): readonly number[] {
  const newest = looks.at(-1)!;
  return looks.map(
    ({ mass, atMonoMs }) =>
      mass - newest.mass + (gramsPerSecond * (newest.atMonoMs - atMonoMs)) / 1000,
  );
}

const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, one) => sum + one, 0) / values.length;
