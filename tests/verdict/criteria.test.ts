import { expect, test } from "vitest";
import {
  allowedChange,
  byCriterion,
  criteria,
  type CriterionName,
} from "../../src/verdict/criteria.ts";
import { provableBefore, shortestProof } from "../../src/verdict/provable.ts";
import { uOfScale } from "../../src/verdict/load.ts";
import { kitchenGrams } from "../../src/verdict/rules.ts";
import { fraction, grams, hours } from "../../src/units/quantity.ts";

const named = (name: CriterionName) => criteria.find((one) => one.name === name)!;
const answer = (
  name: CriterionName,
  before: number,
  after: number,
  apart: number,
  division: number,
) => byCriterion(named(name), grams(before), grams(after), hours(apart), grams(division)).is;

// On 250.0 g of dry mass: USP 0.125 g, AOAC 935.29 0.25 g, RILEM 0.5 g.
test.each([
  ["usp-constant-weight", 0.125],
  ["aoac-935.29", 0.25],
  ["rilem-concrete", 0.5],
] as const)("%s allows %d g on 250 g", (name, allowed) => {
  expect(allowedChange(named(name), grams(250))).toBeCloseTo(allowed, 12);
});

test.each([
  ["usp-constant-weight", 1.0004, 1, 1, 0.0001, "met"],
  ["usp-constant-weight", 1.0006, 1, 1, 0.0001, "not-met"],
  ["ph-eur-constant-mass", 5.0005, 5, 1, 0.0001, "met"],
  ["ph-eur-constant-mass", 5.0006, 5, 1, 0.0001, "not-met"],
  ["who-constant-mass", 2.0004, 2, 0.4, 0.0001, "too-soon"],
  ["who-constant-mass", 2.0004, 2, 0.5, 0.0001, "met"],
  ["chinese-pharmacopoeia", 1.0003, 1, 1, 0.0001, "met"],
  ["chinese-pharmacopoeia", 1.0004, 1, 1, 0.0001, "not-met"],
  ["aoac-935.29", 250.2, 250, 1, 0.1, "met"],
  ["aoac-935.29", 250.3, 250, 1, 0.1, "not-met"],
  ["aoac-935.29", 250.2, 250, 0.5, 0.1, "too-soon"],
  ["rilem-concrete", 250.5, 250, 4, 0.1, "met"],
  ["rilem-concrete", 250.6, 250, 4, 0.1, "not-met"],
] as const)(
  "%s: %d g, then %d g after %d h on a scale of %d g is %s",
  (name, before, after, apart, division, is) => {
    expect(answer(name, before, after, apart, division)).toBe(is);
  },
);

test("a kitchen scale of 1 g can apply none of them to 250 g, and each says what it would take", () => {
  for (const criterion of criteria) {
    const said = byCriterion(criterion, grams(250), grams(250), hours(5), grams(1));
    if (said.is !== "too-coarse") return expect(said.is).toBe("too-coarse");
    expect(said.divisionNeededGrams).toBeLessThanOrEqual(0.5);
  }
  const aoac = byCriterion(named("aoac-935.29"), grams(250), grams(250), hours(1), grams(1));
  expect(aoac).toMatchObject({ massNeededGrams: 1000 });
});

test("the uncertainty of a weighing on scales of 0.1, 1 and 5 g", () => {
  // Division d/√12 (GUM F.2.2.1), repeatability 0.4 d, drift 0.3 d and 0.1 g for the bench, worked by hand.
  expect([0.1, 1, 5].map((division) => uOfScale(division, kitchenGrams))).toEqual([
    expect.closeTo(0.11547, 5),
    expect.closeTo(0.58595, 5),
    expect.closeTo(2.88848, 5),
  ]);
});

// Worked from Δ = z·√2·u/(ρ·S): 100 g on 1 g: 1.645·0.829/(0.0025·100) = 5.5 h.
test.each([
  [30, 0.1, 3.6],
  [30, 1, 18],
  [30, 5, 90],
  [100, 0.1, 1.1],
  [100, 1, 5.5],
  [100, 5, 27],
  [300, 0.1, 1],
  [300, 1, 1.8],
  [300, 5, 9],
])("%d g of dry mass on a scale of %d g needs %d h", (dry, division, wanted) => {
  const uPair = Math.SQRT2 * uOfScale(division, kitchenGrams);
  expect(Math.abs(shortestProof(dry, uPair) / wanted - 1)).toBeLessThan(0.025);
});

const tray = (dry: number) => ({
  fresh: grams(10 * dry),
  food: {
    name: "nine tenths water",
    water: fraction(0.9),
    waterSd: fraction(0.01),
    source: "own figure",
  },
});

test.each([
  [0.1, 1],
  [1, 2.4],
  [5, 12],
])("five trays of 100 g dry as one load on a scale of %d g need %d h", (division, wanted) => {
  const { hoursTogether } = provableBefore(
    [1, 2, 3, 4, 5].map(() => tray(100)),
    grams(division),
  );
  expect(Math.abs(hoursTogether / wanted - 1)).toBeLessThan(0.03);
});

test("the sentence names what would do when the scale cannot", () => {
  const trays = [tray(100), tray(60)];
  expect(provableBefore(trays, grams(0.1)).text).toContain("tray by tray");
  const coarse = provableBefore(trays, grams(5));
  expect(coarse.text).toContain("cannot prove this load dry");
  expect(coarse.divisionNeeded).toBeLessThan(1);
});
