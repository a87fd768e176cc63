import { expect, test } from "vitest";
import { loadFoodTable } from "../../src/foodtable.ts";
import * as acts from "../../src/service/acts.ts";
import { foodShelf } from "../../src/service/foods.ts";
import {
  checkDue,
  chooseCheck,
  dryerNamed,
  isInDoubt,
  lastCheck,
  setCheckWeight,
  setDryer,
  setOwnFood,
} from "../../src/service/kitchen.ts";
import { refuseCrossed } from "../../src/service/crossed.ts";
import { sameFood } from "../../src/service/lessons.ts";
import { dryerFrom, ownFoodFrom, ownOf } from "../../src/service/showkitchen.ts";
import { lookAtLoad, type Load } from "../../src/service/warnings.ts";
import { showSummary } from "../../src/service/showbatch.ts";
import { showYields } from "../../src/service/yields.ts";
import { fraction, grams } from "../../src/units/quantity.ts";
import { Played } from "./given.ts";

const shelf = foodShelf(loadFoodTable());

function withWeight(): Played {
  const played = new Played();
  const weight = {
    name: "the kilogram",
    nominal: grams(1000),
    weightClass: "M1",
    error: null,
    everyDays: 30,
    retired: false,
  } as const;
  played.act((bench) => setCheckWeight(bench, null, weight, played.at()));
  return played;
}

function check(played: Played, shown: number): void {
  played.act((bench) => chooseCheck(bench, "scale-1", 1));
  played.put(shown, { division: grams(1) });
  played.lift();
}

test("a check weight is taken for itself and for no tray, and the scale is for weighing again", () => {
  const played = withWeight();
  played.startBatch(["A"]);
  expect(checkDue(played.bench.kitchen, "scale-1")).toBe("now");
  check(played, 1001);
  expect(played.batch.weighings).toEqual([]);
  expect(lastCheck(played.bench.kitchen, "scale-1")).toMatchObject({ isGood: true, shown: 1001 });
  expect(checkDue(played.bench.kitchen, "scale-1")).toBe(played.at(30 * 24));
  played.put(1000);
  expect(played.batch.weighings).toHaveLength(1);
});

test("another load, or one that lay there unseen, is no check: the weight is waited for still", () => {
  const played = withWeight();
  played.startBatch(["A"]);
  played.act((bench) => chooseCheck(bench, "scale-1", 1));
  for (const [shown, zeroSeen] of [
    [1412.6, true],
    [1000, false],
  ] as const) {
    played.put(shown, { division: grams(1), zeroSeen });
    expect(played.scale.load).toMatchObject({ became: "ignored" });
    played.lift();
  }
  expect(lastCheck(played.bench.kitchen, "scale-1")).toBeNull();
  expect(played.scale.checking).toBe(1);
  expect(played.batch.weighings).toEqual([]);
  // A scale may be as bad as that.
  played.put(1180, { division: grams(1) });
  expect(lastCheck(played.bench.kitchen, "scale-1")).toMatchObject({ isGood: false, shown: 1180 });
});

test("out of tolerance: every weighing since the last good check is in doubt, until a good one", () => {
  const played = withWeight();
  played.startBatch(["A", "B", "C"]);
  played.put(1000);
  played.lift();
  played.hour = 1;
  check(played, 1000);
  played.hour = 2;
  played.put(1100);
  played.lift();
  played.hour = 3;
  check(played, 1004);
  expect(lastCheck(played.bench.kitchen, "scale-1")?.isGood).toBe(false);
  expect(checkDue(played.bench.kitchen, "scale-1")).toBe("now");
  played.hour = 4;
  played.put(1200);
  played.lift();
  const doubted = () => played.batch.weighings.map((one) => isInDoubt(played.bench.kitchen, one));
  expect(doubted()).toEqual([false, true, true]);
  played.hour = 5;
  check(played, 1000);
  expect(doubted()).toEqual([false, true, true]);
  expect(isInDoubt(played.bench.kitchen, { scale: "scale-1", at: played.at(6) })).toBe(false);
  expect(isInDoubt(played.bench.kitchen, { scale: null, at: played.at(2) })).toBe(false);
});

test("a weight that its class does not have needs the tolerance of its certificate", () => {
  const played = new Played();
  const pound = {
    name: "a pound",
    nominal: grams(453.592),
    weightClass: "M1",
    everyDays: 30,
    retired: false,
  } as const;
  const set = (error: number | null, weightClass: "M1" | null) =>
    played.act((bench) =>
      setCheckWeight(
        bench,
        null,
        { ...pound, weightClass, error: error === null ? null : grams(error) },
        played.at(),
      ),
    );
  expect(() => set(null, "M1")).toThrow(/class M1 has no weight/);
  expect(() => set(null, null)).toThrow(/tolerance of its certificate/);
  set(0.02, null);
  expect(played.bench.kitchen.checkWeights).toHaveLength(1);
});

test("a recipe is found by a few letters, stands on a tray with its own water, and is not offered once retired", () => {
  const played = new Played();
  const recipe = {
    ingredients: [
      { food: "11124", grams: 500 },
      { food: "11352", grams: 300 },
      { food: "11282", grams: 200 },
    ],
    cookedGrams: 800,
  };
  const own = () => ownOf(played.bench);
  const keep = (id: number | null, retired: boolean) =>
    played.act((bench) =>
      setOwnFood(
        bench,
        id,
        ownFoodFrom({ name: "Aunt's soup", recipe, retired }, shelf, own()),
        played.at(),
      ),
    );
  keep(null, false);
  const [found] = shelf.find("aunt so", 5, own());
  expect(found).toMatchObject({ name: "Aunt's soup", source: "your own recipe" });
  expect(found?.waterPct).toBeCloseTo(82.1775, 3);
  expect(shelf.onTray("AUNT'S SOUP", null, own()).food).toMatchObject({
    source: "your own recipe",
  });
  expect(() => keep(null, false)).toThrow(/is called Aunt's soup already/);
  keep(1, true);
  expect(shelf.find("aunt", 5, own())).toEqual([]);
  expect(shelf.onTray("aunt's soup", null, own()).food).toBeNull();
});

test("a dish brings the cautions of raw ingredients, and those of its own fat and sugar only", () => {
  const own = ownOf(new Played().bench);
  const dish = (salmon: number) =>
    shelf.dish(
      [
        { food: "09037", mass: grams(500 - salmon) },
        { food: "15076", mass: grams(salmon) },
      ],
      null,
      own,
    );
  // USDA SR28: avocado 14.66 g of fat per 100 g, wild salmon 6.34 g.
  expect(dish(50)?.cautions.join(" ")).toMatch(/Raw stays raw.*14 % fat/);
  expect(dish(450)?.cautions.join(" ")).not.toMatch(/% fat/);
});

const load = (food: string, change: Partial<Load> = {}): Load => ({
  tray: "1",
  food,
  water: fraction(0.9),
  mass: grams(1000),
  fatPct: 0.3,
  sugarsPct: 5,
  ...change,
});

test("more water than the dryer was set to hold is said, and only then", () => {
  const dryer = {
    name: "kitchen",
    mostWater: grams(1700),
    mostOnTray: null,
    watts: null,
    pricePerKwh: null,
    currency: "",
  };
  const two = [load("peas"), load("beans")];
  expect(lookAtLoad(two, dryer)).toMatchObject({
    water: 1800,
    isWhole: true,
    warnings: [{ code: "dryer-full" }],
  });
  expect(lookAtLoad(two.slice(1), dryer).warnings).toEqual([]);
  expect(lookAtLoad(two, null).warnings).toEqual([]);
  // Two foods on one tray weigh on it together.
  const onOne = [load("peas", { tray: "1" }), load("carrots", { tray: "1" })];
  const mass = onOne.reduce((sum, one) => sum + (one.mass ?? 0), 0);
  const carries = (most: number) =>
    lookAtLoad(onOne, { ...dryer, mostWater: null, mostOnTray: grams(most) }).warnings;
  expect(carries(mass)).toEqual([]);
  expect(carries(mass - 1)).toMatchObject([{ code: "tray-full", trays: ["1"] }]);
  expect(lookAtLoad([load("peas", { mass: null })], dryer).isWhole).toBe(false);
});

test("sugary, fat or much drier food beside quick food is said", () => {
  const codes = (...loads: Load[]) => lookAtLoad(loads, null).warnings.map(({ code }) => code);
  expect(codes(load("peas"), load("grapes", { sugarsPct: 15.5 }))).toEqual(["dry-unlike"]);
  expect(codes(load("peas"), load("avocado", { fatPct: 14.7 }))).toEqual(["dry-unlike"]);
  expect(codes(load("peas"), load("cheese", { water: fraction(0.4) }))).toEqual(["dry-unlike"]);
  expect(codes(load("grapes", { sugarsPct: 15 }), load("mango", { sugarsPct: 14 }))).toEqual([]);
  expect(codes(load("peas"), load("carrots", { water: fraction(0.88) }))).toEqual([]);
});

test("a batch's number is set once, rises, and carries on from a notebook", () => {
  const played = new Played();
  const start = (number?: number) =>
    played.act((bench) =>
      acts.startBatch(bench, {
        name: "",
        dryer: "D",
        ...(number === undefined ? {} : { number }),
        trays: [],
        at: played.at(),
      }),
    );
  start(218);
  start();
  expect(() => start(219)).toThrow(/219 was passed already, the next is 220/);
  start(300);
  expect(played.bench.batches.map(({ number }) => number)).toEqual([218, 219, 300]);
});

// Common practice, no source: 32 oz of strawberries, fresh, gave 102 g dry, which is 3.6 oz.
test("32 oz fresh and 102 g dry: 3.6 oz, 805 g of water gone, 8.9 g fresh for a gram dry", () => {
  const played = new Played();
  played.startBatch(["A"]);
  played.act((bench) =>
    setDryer(
      {
        name: played.batch.dryer,
        mostWater: null,
        mostOnTray: null,
        watts: 1000,
        pricePerKwh: 0.3,
        currency: "€",
      },
      bench.batches[0]!.startedAt,
    ),
  );
  played.put(400 + 907.185);
  played.lift();
  played.clock("in");
  played.hour = 24;
  played.clock("out");
  played.put(502);
  const [dryer] = played.bench.kitchen.dryers;
  const { batch, trays } = showYields(played.batch, dryer!, played.at());
  expect(batch).toMatchObject({ freshGrams: 907.185, dryGrams: 102, waterRemovedGrams: 805.185 });
  expect((batch?.dryGrams ?? 0) / 28.349523125).toBeCloseTo(3.6, 1);
  expect(batch?.waterRemovedLitres).toBeCloseTo(805.185 / 998.21, 9);
  expect(batch?.yieldFraction).toBeCloseTo(0.11244, 5);
  expect(batch?.freshPerDry).toBeCloseTo(8.894, 3);
  expect(batch?.waterToRehydrateGrams).toBeCloseTo(805.185, 6);
  expect(batch?.energyKwh).toBeCloseTo(24, 6);
  expect(batch?.cost).toBeCloseTo(7.2, 6);
  expect(batch?.costPerKgDry).toBeCloseTo(7.2 / 0.102, 4);
  expect(trays[0]?.yield).toMatchObject({
    moistureWetBasis: { low: expect.any(Number) as number },
  });
});

test("a planned tray that stayed empty hides no total, and nobody's electricity is told before all were weighed", () => {
  const played = new Played();
  played.startBatch(["A", "B", "C"]);
  for (const gross of [1000, 1000]) {
    played.put(gross);
    played.lift();
  }
  const dryer = dryerFrom({ name: "Dryer", watts: 1000 }, null);
  const told = () => showYields(played.batch, dryer, played.at());
  const asked = { is: "in", at: played.at(), trays: [1, 2] } as const;
  played.act((bench) => acts.setClock(bench, 1, asked, played.at()));
  played.hour = 24;
  played.clock("out");
  played.put(500);
  played.lift();
  expect(told()).toMatchObject({
    batch: null,
    trays: [{ yield: { dryGrams: 100, energyKwh: null } }, { yield: null }, { yield: null }],
  });
  expect(showSummary(played.batch, null)).toMatchObject({ freshGrams: 1200, netGrams: null });
  played.put(520);
  played.lift();
  const { batch, trays } = told();
  expect(batch).toMatchObject({ freshGrams: 1200, dryGrams: 220 });
  expect(batch?.energyKwh).toBeCloseTo(24, 9);
  expect(trays.map((tray) => tray.yield?.energyKwh ?? null)).toEqual([
    expect.closeTo((24 * 500) / 980, 9),
    expect.closeTo((24 * 480) / 980, 9),
    null,
  ]);
  expect(showSummary(played.batch, null)).toMatchObject({ freshGrams: 1200, netGrams: 220 });
});

test("what was kept before names had one form is found by it, goes on under its old spelling, and is not there twice", () => {
  const played = new Played();
  const set = (name: string, mostWaterGrams: number) => {
    const before = dryerNamed(played.bench.kitchen, name);
    const dryer = dryerFrom({ name, mostWaterGrams }, before);
    played.act(() => setDryer(dryer, played.at()));
  };
  set("Ku\u0308che ", 9000);
  set("Küche", 8000);
  expect(played.bench.kitchen.dryers).toMatchObject([{ name: "Ku\u0308che ", mostWater: 8000 }]);
  const shown = { name: "Ku\u0308che ", portions: [{ food: "Cre\u0300me" }] };
  const seen = { name: "Küche", portions: [{ food: "Crème" }] };
  expect(() => refuseCrossed("tray", seen, shown)).not.toThrow();
  expect(() => refuseCrossed("tray", { ...seen, name: "Kuche" }, shown)).toThrow(/somebody else/);
  expect(sameFood("Cre\u0300me ", "crème")).toBe(true);
});
