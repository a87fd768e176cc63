import { expect, test } from "vitest";
import { chanceFor, type Chance } from "../../bench/decision/chance.ts";
import {
  copyOf,
  dry,
  hoursUntil,
  loadTray,
  massOf,
  type Tray,
} from "../../bench/decision/dryer.ts";
import type { TrayLog } from "../../src/tray/weighing.ts";
import { fraction, grams, hours } from "../../src/units/quantity.ts";
import { judgeTray } from "../verdict/logs.ts";

const settings = { limit: fraction(0.01) };
type Row = readonly [hour: number, netGrams: number];

/** A simulated tray of a working dryer with what a person knows of it. */
function someTray(chance: Chance) {
  const water = chance.between(0.72, 0.92);
  const spread = chance.between(0.05, 0.2);
  const sizes = Array.from({ length: 6 }, () => ({
    share: 1 / 6,
    thickness: Math.exp(spread * chance.normal()),
  }));
  const food = {
    water,
    bound: chance.between(0.1, 0.25),
    left: chance.between(0.01, 0.03),
    resistance: chance.between(0.5, 4),
    frontHours: chance.between(8, 24),
    boundRate: chance.between(0.15, 0.6),
  };
  const fresh = chance.between(400, 1200);
  const tray = loadTray(fresh, food, sizes);
  const told = fraction(Math.min(Math.max(water + 0.015 * chance.normal(), 0.5), 0.95));
  return { tray, fresh, told, division: chance.pick([0.1, 1]) };
}

/** Weighs it at these hours of drying, as a display of that division shows it. */
function weighed(tray: Tray, at: readonly number[], division: number, chance: Chance): Row[] {
  const drying = copyOf(tray);
  let now = 0;
  return at.map((hour) => {
    dry(drying, hour - now, 1);
    now = hour;
    const shown = massOf(drying) + 0.4 * division * chance.normal();
    return [hour, Math.max(Math.round(shown / division), 1) * division];
  });
}

/** Drying hours after the last of `at` until `stable`, with a weighing half way; null beyond `most`. */
function hoursToStable(
  at: readonly number[],
  most: number,
  wordAt: (hours: readonly number[]) => string,
): number | null {
  const last = at.at(-1)!;
  const stable = (more: number): boolean =>
    wordAt([...at, last + more / 2, last + more]) === "stable";
  if (!stable(most)) return null;
  // Two weighings closer than an hour prove nothing.
  if (stable(1)) return 1;
  let [low, high] = [1, most];
  while (high - low > 0.5) {
    const middle = (low + high) / 2;
    if (stable(middle)) high = middle;
    else low = middle;
  }
  return high;
}

test("the interval of the hours to go covers when dryness could be proved, as often as an interval should", () => {
  const chance = chanceFor(20261125, "hours to go");
  let covered = 0;
  const widths: number[] = [];
  for (let i = 0; i < 30; i++) {
    const { tray, fresh, told: water, division } = someTray(chance);
    const first = hoursUntil(tray, 0.02, 300, 1)! * chance.between(0.7, 1.1);
    const at = [first, first + 3, first + 6];
    const seen = String(i);
    const verdictAt = (when: readonly number[]) => {
      const food = { name: "made up", water, waterSd: fraction(0.015), source: "made up" };
      const log: TrayLog = {
        tray: "a",
        tare: null,
        fresh: { net: grams(Math.round(fresh)), division: grams(division), ref: 0 },
        food,
        coreChecks: [],
        weighings: weighed(tray, when, division, chanceFor(20261125, seen)).map(
          ([hour, net], row) => ({
            dryingHours: hours(hour),
            net: grams(net),
            division: grams(division),
            minutesOut: null,
            stretch: 0,
            at: null,
            ref: row + 1,
          }),
        ),
      };
      return judgeTray(log, settings);
    };
    const verdict = verdictAt(at);
    if (verdict.moreHours === null || verdict.verdict === "stable") continue;
    const truth = hoursToStable(at, 60, (when) => verdictAt(when).verdict);
    widths.push(verdict.moreHours.high - verdict.moreHours.low);
    const { low, high } = verdict.moreHours;
    // Half an hour is the finest that is told.
    if (truth !== null && truth >= low - 0.5 && truth <= high + 0.5) covered++;
  }
  const told = widths.length;
  console.log(`hours to go: 5 % to 95 % covered ${covered} of ${told}`);
  expect(told).toBeGreaterThan(15);
  // 0.9 in the long run; of some 23 trays rarely fewer than 0.75.
  expect(covered / told).toBeGreaterThanOrEqual(0.75);
  // Nor is it won by width: half of the intervals are shorter than a day.
  expect(widths.toSorted((a, b) => a - b)[Math.floor(told / 2)]).toBeLessThan(24);
});
