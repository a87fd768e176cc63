import { expect, test } from "vitest";
import { isFault } from "../../src/faults.ts";
import { draftBags, planBags, type BagsAsked } from "../../src/service/bagplan.ts";
import { unpackedOf } from "../../src/service/unpacked.ts";
import * as weighings from "../../src/service/weighings.ts";
import { toMilligrams } from "../../src/units/mass.ts";
import { grams } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";
import { dried, plainBags, Played, trayAsked } from "./given.ts";

const asked = (more: Partial<BagsAsked>): BagsAsked => ({
  ...plainBags(1),
  although: "a test",
  ...more,
});
const some = (mass: number) => [{ trayId: 1, portion: null, grams: grams(mass) }];

/** What the refusal of a draft, and of a plan, says of which part. */
function wrongIn(more: Partial<BagsAsked>): string[] {
  const played = dried();
  const said = [
    () => draftBags(played.batch, [], asked(more)),
    () => planBags(played.bench, played.batch, [], asked(more), played.at()),
  ].map((ask) => {
    try {
      ask();
    } catch (error) {
      if (!isFault(error, "input.invalid")) throw error;
      return error.errors.map(({ pointer, detail }) => `${pointer}: ${detail}`);
    }
    throw new Error("nothing was refused");
  });
  expect(said[0]).toEqual(said[1]);
  return said[0] ?? [];
}

test("a fresh mass that makes more than 200 bags is refused at once, with the least that does not", () => {
  for (const [fresh, got] of [
    [0.5, "0.5"],
    [0.001, "0.001"],
    [4.5, "4.5"],
  ] as const)
    expect(wrongIn({ divide: { fresh: grams(fresh) } })).toEqual([
      `#/divide/freshGrams: divide/freshGrams must be >= 4.6 (got ${got})`,
    ]);
  const played = dried();
  const { masses } = draftBags(played.batch, [], asked({ divide: { fresh: grams(4.6) } }));
  expect(masses).toHaveLength(197);
  expect(Math.min(...masses)).toBeGreaterThanOrEqual(0.5);
});

test("no bag is planned that would get nothing, and the refusal says how many can be", () => {
  const by5 = { trays: some(12), division: grams(5) };
  expect(wrongIn({ ...by5, divide: { count: 5 } })).toEqual([
    "#/divide/count: divide/count must be <= 3 (got 5)",
  ]);
  expect(wrongIn({ ...by5, divide: { fresh: grams(20) } })).toEqual([
    "#/divide/freshGrams: divide/freshGrams must be >= 35.6 (got 20)",
  ]);
  const played = dried();
  const draft = draftBags(played.batch, [], asked({ ...by5, divide: { count: 3 } }));
  expect(draft.masses).toEqual([5, 5, 2]);
  const least = draftBags(played.batch, [], asked({ ...by5, divide: { fresh: grams(35.6) } }));
  expect(least.masses.every((mass) => mass > 0)).toBe(true);
  // Less than a division of the scale is one bag.
  const little = asked({ trays: some(3), division: grams(5), divide: { count: 1 } });
  expect(draftBags(played.batch, [], little).masses).toEqual([3]);
});

test("targets are whole milligrams that add up to what was taken, whatever the scale's division", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 20, max: 1_000 }).map((one) => one / 10),
      fc.integer({ min: 1, max: 12 }),
      fc.constantFrom(0.01, 0.1, 0.5, 1, 2.8349523125, 0.28349523125),
      fc.boolean(),
      (dry, count, division, mixed) => {
        const played = new Played();
        const foods = mixed ? ["x", "y"] : ["x"];
        played.begin(
          foods.map((foodName) => trayAsked(foodName, { tare: grams(400), foodName, food: null })),
        );
        const weigh = (kind: "fresh" | "dry", net: number): void => {
          for (const trayId of foods.keys())
            played.act((bench) =>
              weighings.typeWeighing(bench, {
                trayId: trayId + 1,
                kind,
                portion: null,
                gross: grams(400 + net),
                division: grams(0.1),
                at: played.at(),
                now: played.at(),
              }),
            );
        };
        weigh("fresh", 500);
        played.clock("in");
        played.hour = 1;
        played.clock("out");
        weigh("dry", dry);
        fc.pre(dry * foods.length >= count * division);
        const trays = foods.map((_, index) => ({ trayId: index + 1, portion: null, grams: null }));
        const more = { trays, divide: { count }, division: grams(division), volumeMl: 50_000 };
        played.act((bench) => planBags(bench, played.batch, [], asked(more), played.at()));
        const mgOf = (all: readonly number[]): number =>
          all.reduce((sum, mass) => sum + toMilligrams(grams(mass)), 0);
        const { bags } = played.bench;
        expect(mgOf(bags.map(({ target }) => target))).toBe(mgOf(foods.map(() => dry)));
        for (const { target } of bags) expect(target).toBe(toMilligrams(target) / 1000);
        expect(mgOf(bags.flatMap(({ parts }) => parts.map((part) => part.grams)))).toBe(
          mgOf(foods.map(() => dry)),
        );
        expect(unpackedOf(played.batch, bags).every(({ left }) => left === 0)).toBe(true);
      },
    ),
    { numRuns: 60 },
  );
});
