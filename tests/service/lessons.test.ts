import { expect, test } from "vitest";
import type { Bench } from "../../src/service/bench.ts";
import * as acts from "../../src/service/acts.ts";
import { planBags } from "../../src/service/bagplan.ts";
import { setFate } from "../../src/service/bags.ts";
import { weighBag } from "../../src/service/bagweighings.ts";
import type { BagWeighingKind } from "../../src/bag/bag.ts";
import { foodShelf } from "../../src/service/foods.ts";
import { logsOf } from "../../src/service/given.ts";
import { editLesson, ratesIn } from "../../src/service/lessons.ts";
import { loadFoodTable } from "../../src/foodtable.ts";
import { grams } from "../../src/units/quantity.ts";
import { rateSeenIn } from "../../src/verdict/rate.ts";
import { dried, plainBags, trayAsked, type Played } from "./given.ts";

const strawberries = "Strawberries, raw";
const shelf = foodShelf(loadFoodTable());

const coreFound = (played: Played, finding: "dry" | "soft") =>
  played.act((bench) => acts.checkCore(bench, 1, finding, played.at()));
const end = (played: Played) =>
  played.act((bench) => acts.endBatch(bench, played.batch.id, played.at()));

const oneBag = plainBags(1);

function taught(): Played {
  const played = dried();
  coreFound(played, "dry");
  end(played);
  return played;
}

test("a batch proved dry with its core found dry teaches the water of its food", () => {
  const [lesson, ...more] = taught().bench.lessons;
  expect(more).toEqual([]);
  expect(lesson).toMatchObject({ batchId: 1, food: strawberries, counts: true, why: null });
  expect(lesson?.fresh).toBeCloseTo(907.2, 9);
  expect(lesson?.end).toBeCloseTo(102, 9);
});

test("a tray that was planned and stayed empty keeps no batch from teaching", () => {
  const played = dried();
  played.act((bench) => acts.addTray(bench, played.batch.id, trayAsked("B", { tare: grams(400) })));
  coreFound(played, "dry");
  end(played);
  expect(played.bench.lessons).toMatchObject([{ food: strawberries, counts: true }]);
});

test("the next lot of the food is expected between the table and the batch, and says from where", () => {
  const own = { foods: [], lessons: taught().bench.lessons };
  const table = shelf.onTray(strawberries, null, { foods: [], lessons: [] }).food!;
  const learned = shelf.onTray("strawberries, RAW", null, own).food!;
  expect(learned.water).toBeLessThan(table.water);
  expect(learned.water).toBeGreaterThan(1 - 102 / 907.2);
  expect(learned.source).toContain("1 of your batches");
  const [found] = shelf.find(strawberries, 1, own);
  expect(found?.own).toMatchObject({ batches: 1 });
  expect(found?.own?.waterPct).toBeCloseTo(learned.water * 100, 9);
  expect(shelf.find("Peas, green, raw", 1, own)[0]?.own).toBeNull();
  expect(shelf.onTray(strawberries, 91, own).food?.source).toBe("your own figure");
});

test.each([
  ["the core was not looked at", (played: Played) => end(played)],
  [
    "the core was soft",
    (played: Played) => {
      coreFound(played, "soft");
      end(played);
    },
  ],
])("a batch teaches nothing when %s", (_why, finish) => {
  const played = dried();
  finish(played);
  expect(played.bench.batches).toEqual([]);
  expect(played.bench.lessons).toEqual([]);
});

test("practice teaches nothing", () => {
  const played = dried();
  coreFound(played, "dry");
  const { bench } = played;
  const batches = bench.batches.map((batch) => ({ ...batch, practice: true }));
  played.bench = { ...bench, batches };
  end(played);
  expect(played.bench.lessons).toEqual([]);
});

test("a lesson that a person leaves out no longer counts, and can be let count again", () => {
  const played = taught();
  const say = (counts: boolean, reason: string) =>
    played.act((bench) => editLesson(bench, 1, { counts, reason }, played.at()));
  say(false, "weighed with a wet tray");
  expect(played.bench.lessons[0]).toMatchObject({ counts: false, why: "weighed with a wet tray" });
  expect(
    shelf.onTray(strawberries, null, { foods: [], lessons: played.bench.lessons }).food?.source,
  ).toContain("USDA");
  say(true, "it was another tray");
  expect(played.bench.lessons[0]).toMatchObject({ counts: true });
});

test("a bag that has to be dried again withdraws what its batch taught", () => {
  const played = dried();
  coreFound(played, "dry");
  played.act((bench) => planBags(bench, played.batch, bench.bags, oneBag, played.at()));
  end(played);
  const by = { at: played.at(), note: null, takesBack: null } as const;
  const fate = { id: 1, bagId: 1, fate: "re-dry", ...by } as const;
  played.act(() => [{ is: "bag-fate", fate }]);
  expect(played.bench.lessons[0]).toMatchObject({
    counts: false,
    why: "bag 1-1 has to be dried again",
  });
});

test.each([
  ["has to be dried again", "re-dry"],
  ["gained moisture", null],
] as const)("a batch that ends after one of its bags %s teaches nothing", (why, fate) => {
  const played = dried();
  coreFound(played, "dry");
  played.act((bench) => planBags(bench, played.batch, bench.bags, oneBag, played.at()));
  const weigh = (kind: BagWeighingKind, gross: number) =>
    played.act((bench) => {
      const of = { kind, gross: grams(gross), division: grams(0.1), at: played.at() };
      const typed = { ...of, scale: null, source: "typed", zeroSeen: true } as const;
      return weighBag(bench, 1, typed, played.at());
    });
  weigh("filled", 110);
  weigh("sealed", 112);
  played.hour += 72;
  weigh("shelf", 112);
  played.hour += 240;
  weigh("shelf", 120);
  played.hour += 24;
  weigh("shelf", 120);
  const bagged = () => played.bench.bags;
  let bags = bagged();
  if (fate !== null) {
    played.act((bench) => setFate(bench, 1, fate, null, played.at()));
    // The last bag of its plan is no longer on the bench; the store has it.
    expect(bagged()).toEqual([]);
    const fates = played.told.flatMap((one) => (one.is === "bag-fate" ? [one.fate] : []));
    bags = bags.map((one) => ({ ...one, fates }));
  }
  played.act((bench) => acts.endBatch(bench, 1, played.at(), { bagged: bags }));
  expect(played.bench.lessons).toMatchObject([{ counts: false, why: `bag 1-1 ${why}` }]);
});

test("a batch teaches how fast its food dried, and the next tray of it is judged with that", () => {
  const played = taught();
  const [lesson] = played.bench.lessons;
  const next = dried().batch;
  const logs = (bench: Pick<Bench, "lessons" | "settings">) =>
    logsOf(next, { timeFactor: 1, comparisons: [], rates: ratesIn(bench) });
  const { settings } = played.bench;
  const rate = { lnRate: Math.log(0.3), u: 0.4, thicknessMm: null };
  const lessons = [{ ...lesson!, rate }];
  const seen = { lnRate: rate.lnRate, u: rate.u };
  expect(logs({ lessons, settings })[0]?.ratesSeen).toEqual([seen]);
  // Of other food or thickness, withdrawn, or turned off: nothing.
  for (const [other, learning] of [
    [{ food: "Peas, green, raw" }, true],
    [{ rate: { ...rate, thicknessMm: 8 } }, true],
    [{ rate: null }, true],
    [{ counts: false }, true],
    [{}, false],
  ] as const) {
    const bench = { lessons: [{ ...lessons[0]!, ...other }], settings: { ...settings, learning } };
    expect(logs(bench)[0]).not.toHaveProperty("ratesSeen");
  }
});

test("what the weighings showed of a rate is kept with the lesson", () => {
  const [lesson] = taught().bench.lessons;
  const shown = rateSeenIn(logsOf(dried().batch, { timeFactor: 1, comparisons: [] }), 0.01)!;
  expect(shown.u).toBeGreaterThan(0);
  expect(lesson!.rate).toEqual({ ...shown, thicknessMm: null });
});
