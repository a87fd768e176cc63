import { expect, test } from "vitest";
import { judgeBatch } from "../../src/verdict/judge.ts";
import {
  leastPlacement,
  leastRepeats,
  placementFrom,
  placementsFrom,
  priorRepeats,
  seriesIn,
  seriesInLogs,
  withPlacementsIn,
  type Put,
  type Series,
} from "../../src/verdict/placement.ts";
import { repeatabilityDivisions } from "../../src/verdict/rules.ts";
import { fraction, grams, hours, minutes } from "../../src/units/quantity.ts";
import type { NetWeighing, TrayLog } from "../../src/tray/weighing.ts";

const one = grams(1);
const put = (shown: number, at = 0, more: Partial<Put> = {}): Put => ({
  scale: "scale-1",
  shown: grams(shown),
  division: one,
  minutes: at,
  ...more,
});
/** Pairs of one empty tray with these differences, an hour between the pairs. */
const pairs = (differences: readonly number[]): readonly Series[] =>
  differences.flatMap((by) => seriesIn([put(400), put(400 + by, 1)], null));

/** Chance that can be repeated (mulberry32) and Gaussians of it (Box and Muller). */
function chanceFrom(seed: number): () => number {
  let state = seed;
  const uniform = (): number => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296;
  };
  return () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
}

test("pooled over cells as ISO 5725-2 does it: from duplicates, the sum of squared differences over 2p", () => {
  // Differences of ten duplicates; s² = Σ d²/2p = (4·1 + 2·4 + 1·9)/20 = 1.05 by hand.
  const series = pairs([1, -1, 2, 0, 1, 3, 0, -1, -2, 0]);
  const squares = series.reduce((sum, { squares: s }) => sum + s, 0);
  const repeats = series.reduce((sum, { repeats: n }) => sum + n, 0);
  expect(squares / repeats).toBeCloseTo(1.05, 12);
});

test("of three in a row the squares about their mean count, with two degrees of freedom", () => {
  // 400, 401, 403: mean 401.333, squares 1.7778 + 0.1111 + 2.7778 = 4.6667 by hand.
  const [series] = seriesIn([put(400), put(401, 1), put(403, 2)], null);
  expect(series?.repeats).toBe(2);
  expect(series?.squares).toBeCloseTo(14 / 3, 12);
});

test("the posterior is that of Bayes on a grid of variances", () => {
  const differences = [1, -1, 2, 0, 1, 3, 0, -1, -2, 0, 1, 1];
  // Nothing of the closed form: prior density times the likelihood of each difference, over 40,000 variances.
  const priorVariance = 0.4 ** 2 + 1 / 12;
  const logAt = (v: number): number =>
    -(priorRepeats / 2 + 1) * Math.log(v) -
    (priorRepeats * priorVariance) / (2 * v) +
    differences.reduce((sum, d) => sum - 0.5 * Math.log(2 * v) - d ** 2 / (4 * v), 0);
  const grid = Array.from({ length: 40_000 }, (_, i) => Math.exp(-5 + (10 * i) / 40_000));
  const top = Math.max(...grid.map(logAt));
  // Even steps of log v: each weight is times v.
  const weights = grid.map((v) => Math.exp(logAt(v) - top) * v);
  const total = weights.reduce((sum, w) => sum + w, 0);
  const precision = grid.reduce((sum, v, i) => sum + weights[i]! / v, 0) / total;
  const expected = Math.sqrt(1 / precision - 1 / 12);
  expect(expected).toBeGreaterThan(0.6);
  expect(placementFrom(pairs(differences), one)).toBeCloseTo(expected, 6);
});

test("without repeats it is the constant, and a scale is never better for few of them", () => {
  expect(placementFrom([], one)).toBe(repeatabilityDivisions);
  const equal = (count: number): number => placementFrom(pairs(Array(count).fill(0)), one);
  for (let count = 1; count < leastRepeats; count++)
    expect(equal(count)).toBe(repeatabilityDivisions);
  expect(equal(leastRepeats)).toBe(leastPlacement);
  expect(equal(10_000)).toBe(leastPlacement);
  expect(placementFrom(pairs([3, -3]), one)).toBeGreaterThan(repeatabilityDivisions);
});

test.each([0.3, 0.5, 1, 2])("placements of %s divisions are found through the rounding", (u) => {
  const chance = chanceFrom(20_261_126);
  const series = Array.from({ length: 4000 }, (_, i) => {
    const load = 400 + ((i * 0.618_034) % 1);
    const shown = (): number => Math.round(load + u * chance());
    return seriesIn([put(shown()), put(shown(), 1)], null);
  }).flat();
  // Of 2 divisions, two in ten thousand pairs lie further apart than one load is believed to.
  expect(series.length).toBeGreaterThan(3990);
  expect(Math.abs(placementFrom(series, one) / u - 1)).toBeLessThan(0.05);
});

test("what food takes up on the bench is no fault of placement", () => {
  // 500 g take up 4e-4 · 500 = 0.2 g a minute; in one minute the spread of that, 0.15 g, stays below rounding.
  const [series] = seriesIn([put(500), put(500.2, 1)], 500);
  expect(series?.squares).toBeCloseTo(-(0.15 ** 2) / 2, 9);
  expect(seriesIn([put(500), put(501, 5)], 500)).toEqual([]);
});

test.each([
  ["on another scale", put(400, 1, { scale: "scale-2" })],
  ["in another division", put(400, 1, { division: grams(2) })],
  ["after a quarter of an hour", put(400, 15)],
  ["another tray", put(420, 1)],
])("no repeat: %s", (_, second) => {
  expect(seriesIn([put(400), second], null)).toEqual([]);
});

test("scales and divisions are learned apart", () => {
  const fine = seriesIn(
    [put(400, 0, { division: grams(0.1) }), put(400.3, 1, { division: grams(0.1) })],
    null,
  );
  const found = placementsFrom([...pairs([1, 0]), ...fine]);
  expect(found.map(({ division, repeats }) => [division, repeats])).toEqual([
    [1, 2],
    [0.1, 1],
  ]);
  expect(found[1]?.u).toBeCloseTo(0.1 * (found[1]?.inDivisions ?? 0), 12);
});

const row = (at: number, net: number, ref: number): NetWeighing => ({
  dryingHours: hours(at),
  net: grams(net),
  division: one,
  minutesOut: minutes(5),
  stretch: 0,
  at: null,
  ref,
});
const food = {
  name: "Strawberries, raw",
  water: fraction(0.9095),
  waterSd: fraction(0.01),
  source: "USDA SR28 9316",
};
const log = (rows: readonly NetWeighing[]): TrayLog => ({
  tray: "A",
  tare: null,
  fresh: { net: grams(3000), division: one, ref: 1 },
  food,
  weighings: rows,
  coreChecks: [],
});

test("a tray weighed twice at one hour is a repeat, unless the two contradict each other", () => {
  const [series] = seriesInLogs([log([row(24, 300, 2), row(24, 301, 3)])]);
  expect(series).toMatchObject({ repeats: 1, squares: 0.5 });
  const wrong = log([row(24, 300, 2), row(24, 340, 3)]);
  expect(seriesInLogs([wrong])).toEqual([]);
  const settings = { limit: fraction(0.01) };
  expect(judgeBatch([wrong], settings).trays[0]?.contradiction?.code).toBe("weighed-twice");
});

test("a scale that repeats itself well proves more, one that does not less, and none changes nothing", () => {
  const rows = [row(20, 310, 2), row(26, 292, 3), row(32, 290, 4), row(38, 290, 5)];
  const settings = { limit: fraction(0.01) };
  const plain = judgeBatch([log(rows)], settings).trays[0]!;
  const with_ = (differences: readonly number[]) => {
    const placements = placementsFrom(
      pairs(differences).map((series) => ({ ...series, scale: "" })),
    );
    return judgeBatch([withPlacementsIn(log(rows), placements)], settings).trays[0]!;
  };
  expect(with_([])).toEqual(plain);
  const good = with_(Array(20).fill(0));
  const bad = with_([4, -3, 4, 5, -4]);
  expect(good.provable!).toBeLessThan(plain.provable!);
  expect(bad.provable!).toBeGreaterThan(plain.provable!);
  expect(good.pDry).toBeGreaterThan(bad.pDry);
});
