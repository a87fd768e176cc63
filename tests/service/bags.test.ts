import { expect, test } from "vitest";
import type { Bag, BagWeighingKind } from "../../src/bag/bag.ts";
import { filledOf, netOf, recheckOf, stateOf, targetOf } from "../../src/bag/state.ts";
import { isoOf } from "../../src/clock.ts";
import { isFault, type FaultCode } from "../../src/faults.ts";
import * as acts from "../../src/service/acts.ts";
import * as weighings from "../../src/service/weighings.ts";
import { chooseBag, refuseUnlikely, takeForBag, toGoOn } from "../../src/service/bagloads.ts";
import { draftBags, packagesOf, planBags, type BagsAsked } from "../../src/service/bagplan.ts";
import { acceptGain, planOf, setFate, takeFateBack } from "../../src/service/bags.ts";
import { editBagWeighing, weighBag } from "../../src/service/bagweighings.ts";
import { unpackedOf } from "../../src/service/unpacked.ts";
import {
  findBags,
  showBag,
  showLots,
  showPacking,
  showStock,
  usualLimit,
} from "../../src/service/showbag.ts";
import { fraction, grams } from "../../src/units/quantity.ts";
import { dried, Played, strawberries, trayAsked } from "./given.ts";

const refused = (code: FaultCode, work: () => unknown): string => {
  try {
    work();
  } catch (error) {
    expect(isFault(error, code), `${String(error)} is not ${code}`).toBe(true);
    return error instanceof Error ? error.message : "";
  }
  throw new Error(`nothing was refused as ${code}`);
};

const asked: BagsAsked = {
  trays: [{ trayId: 1, portion: null, grams: null }],
  divide: { fresh: grams(453.59237) },
  product: null,
  supplier: "Hill Farm",
  prepared: "raw",
  wentIn: "frozen",
  container: "soft",
  volumeMl: 946.35,
  lot: "quart, spring",
  tare: null,
  absorbers: { count: 1, cc: 300 },
  division: grams(0.1),
  although: null,
};

const plan = (played: Played, more: Partial<BagsAsked> = {}) =>
  played.act((bench) =>
    planBags(bench, played.batch, bench.bags, { ...asked, ...more }, played.at()),
  );
const checked = (played: Played) =>
  played.act((bench) => acts.checkCore(bench, 1, "dry", played.at()));
const choose = (played: Played, bagId: number | null) =>
  played.act((bench) => chooseBag(bench, played.scale, bagId, null));
const bag = (played: Played, id: number): Bag => played.bench.bags.find((one) => one.id === id)!;
const later = (played: Played, hours: number) => (played.hour += hours);

/** A tray in two bags, filled and not sealed yet. */
function filled(): Played {
  const played = dried();
  checked(played);
  plan(played);
  choose(played, 1);
  for (const gross of [8, 59, 8, 59]) {
    later(played, 0.01);
    played.put(gross);
    if (gross === 59) played.lift();
  }
  return played;
}

function packed(): Played {
  const played = filled();
  for (const gross of [63.2, 63.2]) {
    later(played, 0.01);
    played.put(gross);
    played.lift();
  }
  return played;
}

test("a filled bag put down as the next empty one is not taken by itself, and a heavier kind by a person's word", () => {
  const played = dried();
  checked(played);
  plan(played);
  choose(played, 1);
  for (const gross of [8, 59]) {
    later(played, 0.01);
    played.put(gross);
  }
  played.lift();
  played.put(59);
  expect(played.scale.bag).toMatchObject({
    bagId: 2,
    kind: "tare",
    why: "Others like it weighed at most 8.0 g empty: is food in it already?",
  });
  expect(bag(played, 2).weighings).toEqual([]);
  played.lift();
  // Of what is to go in half is 25.5 g: a bag with its absorber is no question.
  played.put(11.5);
  expect(bag(played, 2).weighings.map(({ kind, gross }) => [kind, gross])).toEqual([
    ["tare", 11.5],
  ]);
  played.lift();
  played.act((bench) => chooseBag(bench, played.scale, 2, "tare"));
  played.put(40);
  expect(played.scale.bag?.why).toContain("at most 11.5 g empty");
  played.act((bench) => takeForBag(bench, played.scale, 2, "tare"));
  expect(bag(played, 2).weighings.at(-1)).toMatchObject({ kind: "tare", gross: 40 });
});

/** 600 g of strawberries and 400 g of bananas poured onto one tray, dried to 158 g. Masses are invented. */
function twoFoods(): Played {
  const bananas = { ...strawberries, name: "Bananas, raw", water: fraction(0.7491) };
  const portions = [strawberries, bananas].map((food, index) => ({
    place: index + 1,
    foodName: food.name,
    food,
    cautions: [`caution of ${food.name}`],
    thicknessMm: null,
    target: grams([600, 400][index] ?? 0),
    fromBag: null,
  }));
  const played = new Played();
  const cautions = portions.flatMap((one) => one.cautions);
  played.begin([trayAsked("A", { foodName: "both", food: bananas, portions, cautions })]);
  for (const gross of [412, 1012, 1412]) {
    played.put(gross);
    later(played, 0.01);
  }
  played.lift();
  for (const [hour, net] of [
    [10, 500],
    [24, 158],
    [30, 158],
  ] as const) {
    played.clock("in");
    played.hour = hour;
    played.clock("out");
    played.put(412 + net);
    played.lift();
  }
  return played;
}
const ofPortion = (portion: number | null, mass: number | null = null) => ({
  trays: [{ trayId: 1, portion, grams: mass === null ? null : grams(mass) }],
  divide: { count: 2 },
  although: "a test",
});
const weighAlone = (played: Played, portion: number, net: number): void => {
  played.act((bench) => acts.chooseTask(bench, "scale-1", 1, "dry", portion));
  played.put(412 + net);
  played.lift();
};

test("of two foods on one tray each is packed by itself, with its own dry mass, fresh mass and water", () => {
  const played = twoFoods();
  const left = () =>
    unpackedOf(played.batch, played.bench.bags).map(({ portion, left: mass, isEstimate }) => [
      portion?.foodName,
      mass === null ? null : Math.round(mass * 10) / 10,
      isEstimate,
    ]);
  // 842 g were lost, shared by 545.7 and 299.6 g of water (USDA SR28: 90.95 and 74.91 %).
  const lost = (842 * 545.7) / (545.7 + 299.64);
  expect(left()).toEqual([
    ["Strawberries, raw", Math.round((600 - lost) * 10) / 10, true],
    ["Bananas, raw", Math.round((400 - 842 + lost) * 10) / 10, true],
  ]);
  weighAlone(played, 1, 56);
  weighAlone(played, 2, 101);
  expect(left().map(([, mass, isEstimate]) => [mass, isEstimate])).toEqual([
    [56, false],
    [101, false],
  ]);

  plan(played, ofPortion(1));
  const [first, second] = played.bench.bags;
  expect(first).toMatchObject({
    product: "Strawberries, raw",
    cautions: ["caution of Strawberries, raw"],
    target: 28,
    parts: [{ trayId: 1, portion: 1, name: "A", grams: 28, whole: true }],
  });
  const shown = showBag(first!, [first!, second!], { limit: usualLimit, ...looked(played) });
  expect(shown.freshGrams).toBeCloseTo(300, 6);
  expect(shown.waterToAddGrams).toBeCloseTo(272, 6);
  expect(left().map(([, mass]) => mass)).toEqual([0, 101]);
  refused("bag.nothing-left", () => plan(played, ofPortion(1)));

  plan(played, ofPortion(2, 40));
  expect(played.bench.bags[2]).toMatchObject({ product: "Bananas, raw", target: 20 });
  // What is left is bananas, whoever asks for it.
  const rest = draftBags(played.batch, played.bench.bags, { ...asked, ...ofPortion(null) });
  expect(rest.total).toBeCloseTo(61, 6);
  expect(rest.freshPerDry).toBeCloseTo(400 / 101, 6);
});

test("foods of one tray that are mixed are in every bag by their shares, and named once", () => {
  const played = twoFoods();
  weighAlone(played, 1, 56);
  weighAlone(played, 2, 101);
  const mixed = [1, 2].map((portion) => ({ trayId: 1, portion, grams: null }));
  plan(played, { ...ofPortion(null), trays: mixed });
  for (const one of played.bench.bags) {
    expect(one.product).toBe("Strawberries, raw + Bananas, raw");
    expect(one.parts.map(({ portion, grams: mass }) => [portion, mass])).toEqual([
      [1, 28],
      [2, 50.5],
    ]);
  }
  for (const trays of [
    [...mixed, ...mixed],
    [...mixed, { trayId: 1, portion: null, grams: null }],
  ])
    expect(refused("input.invalid", () => plan(played, { trays }))).toContain("named twice");
  expect(refused("input.invalid", () => plan(played, ofPortion(3)))).toContain("no portion 3");
});

test("bags of the tray as it lay there take of each of its foods, and a share that is only reckoned is no gain", () => {
  const played = twoFoods();
  plan(played, ofPortion(null, 79));
  const left = unpackedOf(played.batch, played.bench.bags).map((one) => one.left ?? 0);
  expect(left[0]! + left[1]!).toBeCloseTo(79, 2);
  expect(left[0]).toBeCloseTo((600 - (842 * 545.7) / (545.7 + 299.64)) / 2, 1);
  plan(played, ofPortion(1));
  // Nobody weighed the strawberries: bags that hold more than was reckoned took up nothing.
  expect(played.bench.bags.at(-1)?.parts[0]?.whole).toBe(false);
});

const looked = (played: Played) => ({ now: played.at(), comparisons: [] });

test("2 lb dried to 102 g, planned as bags of one pound fresh, are two bags of 51 g", () => {
  const played = dried();
  expect(played.batch.judged?.verdict).toBe("stable");
  checked(played);
  plan(played);
  expect(played.bench.bags.map(({ target }) => target)).toEqual([51, 51]);
  const shown = showBag(bag(played, 1), played.bench.bags, {
    limit: usualLimit,
    now: played.at(),
    comparisons: [],
  });
  expect(shown).toMatchObject({ code: "1-1", product: "Strawberries, raw", state: "planned" });
  expect(shown.freshGrams).toBeCloseTo(453.6, 6);
  expect(shown.waterToAddGrams).toBeCloseTo(402.6, 6);
});

test("a tray that by its weighings held no fresh food is not packed, and its plan says what to put right", () => {
  const played = dried();
  const [fresh] = played.batch.weighings;
  const gross = {
    trayId: null,
    kind: null,
    gross: grams(400.5),
    struck: false,
    reason: "typed wrong",
  };
  played.act((bench) => weighings.editWeighing(bench, fresh!.id, gross));
  played.act((bench) => acts.chooseTask(bench, "scale-1", 1, "tare", null));
  played.put(400.5);
  played.lift();
  const why = refused("weighing.impossible", () => plan(played, { although: "looked again" }));
  expect(why).toContain("held 0.0 g fresh");
  expect(unpackedOf(played.batch, [])).toMatchObject([{ left: null, fresh: null }]);
});

test("a tray that is not stable with its core checked is packed only with a reason, which stays", () => {
  const played = dried();
  const why = refused("tray.not-dry", () => plan(played));
  expect(why).toContain("was not broken");
  const asking = () => played.bench.alerts.filter((one) => one.acknowledgedAt === null);
  expect(asking().map(({ code }) => code)).toEqual(["stable"]);
  plan(played, { although: "for soup tonight" });
  expect(bag(played, 1).although).toBe("for soup tonight");
  // Nobody is asked any more for the thickest piece of what is packed.
  expect(asking()).toEqual([]);
  const soft = dried();
  soft.act((bench) => acts.checkCore(bench, 1, "soft", soft.at()));
  expect(refused("tray.not-dry", () => plan(soft))).toMatch(/still losing|soft inside/);
});

test("no more is planned than a tray still holds; a cancelled bag gives its food back", () => {
  const played = dried();
  checked(played);
  plan(played, { trays: [{ trayId: 1, portion: null, grams: grams(60) }], divide: { count: 1 } });
  const part = { trays: [{ trayId: 1, portion: null, grams: grams(42.1) }], divide: { count: 1 } };
  refused("bag.nothing-left", () => plan(played, part));
  plan(played, { divide: { count: 1 } });
  expect(bag(played, 2)).toMatchObject({ target: 42, sequence: 2, plan: 2 });
  refused("bag.nothing-left", () => plan(played));
  played.act((bench) => setFate(bench, 1, "cancelled", null, played.at()));
  expect(draftBags(played.batch, played.bench.bags, asked).total).toBe(60);
});

test("a reason to pack stands on the bags with that food, and on no others", () => {
  const played = new Played();
  played.startBatch(["A", "B"]);
  for (const gross of [1000, 1000]) {
    played.put(gross);
    played.lift();
  }
  played.clock("in");
  played.hour = 30;
  played.clock("out");
  for (const gross of [460, 460]) {
    played.put(gross);
    played.lift();
  }
  // As if the first tray were known to be dry.
  const [first, second] = played.batch.judged!.trays;
  const judged = {
    ...played.batch.judged!,
    trays: [{ ...first!, verdict: "stable" as const }, second!],
  };
  const check = { id: 1, batchId: 1, trayId: 1, finding: "dry" as const, at: played.at() };
  const batch = { ...played.batch, judged, coreChecks: [check] };
  const both = [1, 2].map((trayId) => ({ trayId, portion: null, grams: null }));
  played.act((bench) =>
    planBags(
      bench,
      batch,
      [],
      { ...asked, trays: both, divide: { count: 2 }, although: "for soup tonight" },
      played.at(),
    ),
  );
  expect(played.bench.bags.map(({ although }) => although)).toEqual([null, "for soup tonight"]);
});

test("food that does not go into a package is refused", () => {
  const played = dried();
  checked(played);
  refused("bag.too-small", () => plan(played, { volumeMl: 30 }));
});

test("at the scale: each empty bag, food until the target, and when all are filled the closed bags", () => {
  const played = dried();
  checked(played);
  plan(played);
  choose(played, 1);
  played.put(8);
  expect(played.scale.bag).toMatchObject({ bagId: 1, kind: "filled" });
  later(played, 0.01);
  played.put(40);
  expect(played.scale.bag?.why).toBe("19.0 g to go");
  later(played, 0.01);
  played.put(61);
  expect(played.scale.bag?.why).toBe("2.0 g too much");
  later(played, 0.01);
  played.put(59.3);
  expect(filledOf(bag(played, 1))).toBeCloseTo(51.3, 9);
  expect(targetOf(bag(played, 2), played.bench.bags, grams(0.1))).toBeCloseTo(50.7, 9);
  // Still on the scale: not the next empty bag.
  later(played, 0.01);
  played.put(63);
  expect(played.scale.bag).toMatchObject({ bagId: 2, kind: "tare" });
  expect(played.scale.bag?.why).toContain("off first");
  played.lift();
  for (const gross of [8.1, 8.1 + 50.7]) {
    later(played, 0.01);
    played.put(gross);
  }
  expect(played.scale.bag).toMatchObject({ bagId: 1, kind: "sealed" });
  // Absorber in, still on the scale and open: not the closed bag yet.
  later(played, 0.01);
  played.put(63.3);
  expect(stateOf(bag(played, 1))).toBe("filled");
  for (const [gross, nextBag] of [
    [63.4, 2],
    [63.3, null],
  ] as const) {
    played.lift();
    later(played, 0.01);
    played.put(gross);
    expect(played.scale.bag?.bagId ?? null).toBe(nextBag);
  }
  expect(played.bench.bags.map(stateOf)).toEqual(["sealed", "sealed"]);
  expect(played.batch.weighings).toHaveLength(4);
});

test("a sealed bag that another of its plan fits better is asked about, and alike ones are not", () => {
  const played = dried();
  checked(played);
  plan(played, { divide: { count: 3 } });
  choose(played, 1);
  const fill = (id: number, net: number): void => {
    for (const gross of [8, 8 + net]) {
      later(played, 0.01);
      played.put(gross);
    }
    if (filledOf(bag(played, id)) === null)
      played.act((bench) => takeForBag(bench, played.scale, id, "filled"));
    played.lift();
  };
  // 34 g each were planned; the second is left lighter by the person's word, so that the third takes more.
  fill(1, 34);
  fill(2, 30);
  fill(3, 38);
  // Nobody knows yet what an absorber adds.
  played.put(42 + 4.2);
  played.lift();
  expect(played.scale.bag).toMatchObject({ bagId: 2, kind: "sealed" });
  later(played, 0.01);
  played.put(46 + 4.3);
  expect(played.scale.bag?.why).toBe(
    "It weighs as bag 1-3 would when sealed: if it is that one, touch it in the list",
  );
  expect(bag(played, 2).weighings.map(({ kind }) => kind)).toEqual(["tare", "filled"]);
  choose(played, 3);
  expect(bag(played, 3).weighings.at(-1)).toMatchObject({ kind: "sealed", gross: 50.3 });
  played.lift();
  // The absorber of this one is heavier by less than one bag is from another.
  later(played, 0.01);
  played.put(38 + 4.7);
  expect(bag(played, 2).weighings.at(-1)).toMatchObject({ kind: "sealed", gross: 42.7 });
});

test("a weighing that is taken back is waited for again, and the load may be changed without lifting it", () => {
  const played = dried();
  checked(played);
  plan(played, { tare: grams(8) });
  choose(played, 1);
  played.put(59);
  expect(played.scale.bag).toMatchObject({ bagId: 2, kind: "filled" });
  const strike = { gross: null, struck: true, reason: "spilt" };
  played.act((bench) => editBagWeighing(bench, 1, 1, strike));
  expect(played.scale.bag).toMatchObject({ bagId: 1, kind: "filled", needsLift: false });
  expect(played.scale.lastTakenBag).toBeNull();
  later(played, 0.01);
  played.put(58.9);
  expect(filledOf(bag(played, 1))).toBeCloseTo(50.9, 9);
});

test("what of a tray is not in bags yet, and the packages that were used before", () => {
  const played = dried();
  const before = unpackedOf(played.batch, []);
  expect(before.map(({ left, verdict }) => [left, verdict])).toEqual([[102, "stable"]]);
  expect(before[0]?.whyNotDry).toContain("not broken");
  checked(played);
  plan(played, { trays: [{ trayId: 1, portion: null, grams: grams(60) }], tare: grams(8) });
  const [after] = unpackedOf(played.batch, played.bench.bags);
  expect(after?.left).toBeCloseTo(42, 9);
  expect(after?.fresh).toBeCloseTo((907.2 * 42) / 102, 9);
  expect(after?.whyNotDry).toBeNull();
  plan(played, { tare: grams(9), lot: "quart, autumn" });
  const none = unpackedOf(played.batch, played.bench.bags)[0];
  expect([none?.left, none?.fresh]).toEqual([0, null]);
  expect(packagesOf(played.bench.bags).map(({ lot, typedTare }) => [lot, typedTare])).toEqual([
    ["quart, autumn", 9],
    ["quart, spring", 8],
  ]);
});

test("a tray that was never weighed dry has nothing that could be packed", () => {
  const played = new Played();
  played.begin([trayAsked("A", { tare: grams(400), foodName: "x" })]);
  expect(unpackedOf(played.batch, [])).toMatchObject([{ left: null, fresh: null }]);
});

test("a load is never a bag's when the zero was not seen; a person may take it all the same", () => {
  const played = dried();
  checked(played);
  plan(played);
  choose(played, 1);
  played.put(8, { zeroSeen: false });
  expect(bag(played, 1).weighings).toEqual([]);
  expect(played.scale.bag?.why).toContain("zero");
  played.act((bench) => takeForBag(bench, played.scale, 1, "tare"));
  expect(bag(played, 1).weighings[0]).toMatchObject({ kind: "tare", zeroSeen: false });
});

test("what is still to go follows the pan", () => {
  const played = dried();
  checked(played);
  plan(played, { tare: grams(8) });
  choose(played, 1);
  const { pan } = played.scale;
  const at = (mass: number) =>
    toGoOn(played.bench, {
      ...played.scale,
      pan: { ...pan, mass: grams(mass), division: grams(0.1) },
    });
  expect(at(8)).toBeCloseTo(51, 9);
  expect(at(60)).toBeCloseTo(-1, 9);
});

test("bags that hold more than the tray weighed at the verdict are said to have taken up moisture", () => {
  const played = dried();
  checked(played);
  plan(played, { tare: grams(8) });
  for (const id of [1, 2])
    for (const [kind, gross] of [["filled", 60]] as const)
      played.act((bench) =>
        weighBag(bench, id, { ...by, kind, gross: grams(gross), at: played.at() }, played.at()),
      );
  const shown = showBag(bag(played, 1), played.bench.bags, {
    limit: usualLimit,
    now: played.at(),
    comparisons: [],
  });
  expect(shown.gainSinceVerdict?.grams).toBeCloseTo(2, 9);
  // Twice √3 readings of d/√6 for d = 0.1 g: a tray and two bags.
  expect(shown.gainSinceVerdict?.provableGrams).toBeCloseTo(
    (2 * Math.sqrt(3) * 0.1) / Math.sqrt(6),
    9,
  );
  expect(shown.gainSinceVerdict?.text).toContain("Dry it again");
  expect(shown.gainSinceVerdict?.isAnswered).toBe(false);
  const exact = packed();
  const none = showBag(bag(exact, 1), exact.bench.bags, {
    limit: usualLimit,
    now: exact.at(),
    comparisons: [],
  });
  expect(none.gainSinceVerdict).toBeNull();
});

const by = { division: grams(0.1), scale: null, source: "typed", zeroSeen: true } as const;

test("three shelf weighings: one bag gains and is called so only when a second weighing confirms it", () => {
  const played = packed();
  const onShelf = (id: number, days: number, gross: number) => {
    played.hour = 60 + days * 24;
    choose(played, id);
    played.put(gross);
    played.lift();
    return recheckOf(bag(played, id), usualLimit, played.at(), []);
  };
  expect(onShelf(1, 3, 63.4)?.word).toBe("no-gain-seen");
  expect(onShelf(2, 3, 63.4)?.word).toBe("no-gain-seen");
  expect(onShelf(1, 60, 63.4)?.word).toBe("no-gain-seen");
  expect(onShelf(2, 60, 64.7)?.word).toBe("watch");
  expect(onShelf(2, 60.1, 64.7)?.word).toBe("gaining-moisture");
  const line = showStock(played.bench.bags, looked(played))[0]?.bags.find(({ id }) => id === 2);
  const last = bag(played, 2).weighings.at(-1);
  expect([line?.finding, line?.weighedAt]).toEqual(["gaining-moisture", isoOf(last!.at)]);
  expect(played.scale.bag).toBeNull();
  expect(onShelf(1, 61, 63.4)?.word).toBe("no-gain-seen");
});

test("another bag on the scale is not taken for the one that was scanned", () => {
  const played = packed();
  played.hour += 72;
  choose(played, 1);
  played.put(120);
  expect(played.scale.bag?.why).toContain("another bag");
  // A closed bag loses nothing: one that is lighter by more than a scale drifts is another.
  played.lift();
  played.put(62.2);
  expect(played.scale.bag?.why).toBe(
    "Bag 1-1 weighed 63.2 g when it was sealed: is it another bag?",
  );
  expect(bag(played, 1).weighings.filter(({ kind }) => kind === "shelf")).toEqual([]);
  played.lift();
  played.put(62.9);
  expect(bag(played, 1).weighings.at(-1)).toMatchObject({ kind: "shelf", gross: 62.9 });
});

test("a bag put down before its label was scanned is taken at the scan", () => {
  const played = packed();
  played.hour += 72;
  played.act(() => [{ is: "bag-chosen", scaleId: "scale-1", bag: null }]);
  played.put(63.2);
  choose(played, 2);
  expect(bag(played, 2).weighings.at(-1)?.kind).toBe("shelf");
});

test("lots are counted by what the shelf says of their bags, whatever became of them", () => {
  const played = packed();
  for (const days of [3, 60, 60.1]) {
    played.hour = 60 + days * 24;
    choose(played, 2);
    played.put(days === 3 ? 63.4 : 64.7);
    played.lift();
  }
  expect(showLots(played.bench.bags, looked(played))).toMatchObject([
    { lot: "quart, spring", bags: 2, told: 1, gaining: 1, isWorse: false },
  ]);
  played.act((bench) => setFate(bench, 2, "thrown-away", null, played.at()));
  expect(showLots(played.bench.bags, looked(played))[0]).toMatchObject({ told: 1, gaining: 1 });
});

test("an opened bag sealed again has a new baseline and less food", () => {
  const played = packed();
  played.hour += 72;
  played.act((bench) => setFate(bench, 1, "opened", null, played.at()));
  expect(stateOf(bag(played, 1))).toBe("opened");
  later(played, 1);
  choose(played, 1);
  played.put(43.2);
  played.lift();
  expect(stateOf(bag(played, 1))).toBe("sealed");
  expect(netOf(bag(played, 1))).toBeCloseTo(31, 9);
  expect(recheckOf(bag(played, 1), usualLimit, played.at(), [])?.baseline).toBeNull();
});

test("each fate only where it can be, and a bag that is gone is weighed no more", () => {
  const played = packed();
  refused("bag.wrong-state", () =>
    played.act((bench) => setFate(bench, 1, "cancelled", null, played.at())),
  );
  played.act((bench) => setFate(bench, 1, "used", "soup", played.at()));
  refused("bag.wrong-state", () => choose(played, 1));
  refused("bag.not-found", () => choose(played, 99));
  expect(played.bench.bags).toHaveLength(2);
  played.act((bench) => setFate(bench, 2, "re-dry", null, played.at()));
  expect(played.bench.bags).toEqual([]);
});

test("no bag that took up moisture is taken as sealed before a person says so, and the word stays with each bag", () => {
  const played = dried();
  checked(played);
  plan(played, { tare: grams(8) });
  for (const id of [1, 2])
    played.act((bench) =>
      weighBag(
        bench,
        id,
        { ...by, kind: "filled", gross: grams(60), at: played.at() },
        played.at(),
      ),
    );
  const typed = { ...by, kind: "sealed", gross: grams(63), at: played.at() } as const;
  for (const although of [null, "sent once more"])
    expect(
      refused("weighing.impossible", () =>
        played.act((bench) => weighBag(bench, 1, typed, played.at(), although)),
      ),
    ).toContain("took up moisture");
  choose(played, 1);
  played.put(63);
  expect(played.scale.bag?.why).toContain("took up moisture");
  expect(stateOf(bag(played, 1))).toBe("filled");
  played.act((bench) => acceptGain(bench, 2, played.at()));
  expect(bag(played, 1).gainsAccepted[0]?.gain).toBeCloseTo(2, 9);
  expect(bag(played, 2).gainsAccepted).toHaveLength(1);
  refused("bag.wrong-state", () => played.act((bench) => acceptGain(bench, 1, played.at())));
  choose(played, 1);
  played.put(63);
  expect(stateOf(bag(played, 1))).toBe("sealed");
});

test("a thickest piece that is found cold or soft later is told of the bags that were packed from its tray", () => {
  const played = packed();
  const shown = (id: number) =>
    showBag(bag(played, id), planOf(played.bench, bag(played, id)), {
      limit: fraction(0.1),
      now: played.at(),
      comparisons: [],
    });
  later(played, 24 * 40);
  played.act((bench) => weighBag(bench, 1, { ...onShelf, at: played.at() }, played.at()));
  const before = shown(1);
  expect(before.trays[0]).toMatchObject({ coreDry: true, coreWet: null });
  expect(before.moistureWetBasis?.high).toBeLessThan(0.05);
  expect(before.shelf?.monthsLeft).not.toBeNull();
  played.act((bench) => acts.checkCore(bench, 1, "cold", played.at()));
  const found = played.at();
  later(played, 1);
  // A dry piece of what is left on the tray says nothing of what is in the bag.
  played.act((bench) => acts.checkCore(bench, 1, "dry", played.at()));
  for (const id of [1, 2]) {
    const now = shown(id);
    expect(now.trays[0]).toMatchObject({
      coreDry: false,
      coreWet: { finding: "cold", at: new Date(found).toISOString() },
    });
    expect(now.cautions.at(-1)).toBe("Found later on A: its thickest piece was cold inside.");
    // What a stable tray holds is not what is in it, and no months are reckoned from it.
    expect(now.moistureWetBasis).toBeNull();
    expect(now.shelf?.monthsLeft ?? null).toBeNull();
  }
});

/** Two filled bags of a tray, of which a piece is found soft before the first is sealed. */
function foundSoft(): Played {
  const played = filled();
  later(played, 0.01);
  played.act((bench) => acts.checkCore(bench, 1, "soft", played.at()));
  return played;
}

const softWhy =
  "Found later on A: its thickest piece was soft inside. Dry it again, or seal it knowing that";

test("no bag is taken as sealed by itself after a piece of its tray was found soft, and the person's word stays with it", () => {
  const played = foundSoft();
  later(played, 0.01);
  played.put(63.2);
  expect(played.scale.bag).toMatchObject({ bagId: 1, kind: "sealed", why: softWhy });
  const take = (although: string | null) => () =>
    played.act((bench) => takeForBag(bench, played.scale, 1, "sealed", although));
  expect(refused("tray.not-dry", take(null))).toBe(softWhy);
  expect(stateOf(bag(played, 1))).toBe("filled");
  take("for the dog")();
  expect(stateOf(bag(played, 1))).toBe("sealed");
  expect(bag(played, 1).weighings.at(-1)).toMatchObject({
    kind: "sealed",
    supersedes: null,
    reason: "for the dog",
  });
  // Nothing was found since: whoever opens it and seals it again knows.
  later(played, 1);
  played.act((bench) => setFate(bench, 1, "opened", null, played.at()));
  later(played, 0.1);
  played.lift();
  choose(played, 1);
  played.put(63.2);
  expect(stateOf(bag(played, 1))).toBe("sealed");
  expect(bag(played, 1).weighings.at(-1)).toMatchObject({ reason: null });
});

test("a sealed bag typed in is refused after a piece of its tray was found soft, unless the person says why", () => {
  const played = foundSoft();
  later(played, 0.01);
  const seal = (although: string | null) => () =>
    played.act((bench) =>
      weighBag(
        bench,
        2,
        { ...by, kind: "sealed", gross: grams(63), at: played.at() },
        played.at(),
        although,
      ),
    );
  expect(refused("tray.not-dry", seal(null))).toBe(softWhy);
  seal("it was the one thick piece")();
  expect(bag(played, 2).weighings.at(-1)).toMatchObject({ reason: "it was the one thick piece" });
  // Taken back, it is asked again.
  const { id } = bag(played, 2).weighings.at(-1)!;
  played.act((bench) =>
    editBagWeighing(bench, 2, id, { gross: null, struck: true, reason: "undone" }),
  );
  refused("tray.not-dry", seal(null));
});

test("a bag that weighs hardly more than before it was sealed is asked for its absorber", () => {
  const played = filled();
  // Iron for 300 mL of oxygen weighs 0.91 g (4 Fe + 3 O2 at 25 °C).
  for (const gross of [59, 59.6]) {
    later(played, 0.01);
    played.put(gross);
    expect(played.scale.bag?.why).toBe("It weighed 59.0 g without its absorber: is it in?");
    played.lift();
  }
  expect(stateOf(bag(played, 1))).toBe("filled");
  later(played, 0.01);
  played.put(60);
  expect(stateOf(bag(played, 1))).toBe("sealed");
});

test("a typed weight of a bag that may be a slip of the hand is refused with what is odd about it", () => {
  const played = filled();
  const type = (bagId: number, kind: "tare" | "filled" | "sealed" | "shelf", gross: number) => () =>
    refuseUnlikely(played.bench, bagId, { kind, gross: grams(gross), division: grams(0.1) });
  expect(refused("weighing.impossible", type(1, "sealed", 632))).toBe(
    "That is more than a closed bag 1-1 can weigh",
  );
  expect(refused("weighing.impossible", type(1, "sealed", 36.2))).toMatch(/^It is lighter than/);
  expect(refused("weighing.impossible", type(1, "sealed", 59))).toMatch(/without its absorber/);
  type(1, "sealed", 63.2)();
  const onTheShelf = packed();
  const typeThere = (gross: number) => () =>
    refuseUnlikely(onTheShelf.bench, 1, { kind: "shelf", gross: grams(gross), division: grams(1) });
  expect(refused("weighing.impossible", typeThere(632))).toMatch(/is it another bag\?$/);
  typeThere(66)();

  const open = dried();
  checked(open);
  plan(open);
  choose(open, 1);
  open.put(8);
  const typeFill = (gross: number) => () =>
    refuseUnlikely(open.bench, 1, { kind: "filled", gross: grams(gross), division: grams(0.1) });
  expect(refused("weighing.impossible", typeFill(590))).toBe("531.0 g too much");
  expect(refused("weighing.impossible", typeFill(15.9))).toBe("43.1 g to go");
  // Less than planned, as it is with the last of a tray.
  typeFill(50)();
});

test("a scale goes on when a bag's weighing came from elsewhere, and waits for none that was opened", () => {
  const played = dried();
  checked(played);
  plan(played);
  choose(played, 1);
  const type = (bagId: number, kind: "tare" | "filled" | "sealed", gross: number): void => {
    later(played, 0.01);
    played.act((bench) =>
      weighBag(bench, bagId, { ...by, kind, gross: grams(gross), at: played.at() }, played.at()),
    );
  };
  type(1, "tare", 8);
  expect(played.scale.bag).toMatchObject({ bagId: 1, kind: "filled", needsLift: false });
  played.put(20);
  type(1, "filled", 59);
  // What lies there belongs to the bag before.
  expect(played.scale.bag).toMatchObject({ bagId: 2, kind: "tare", needsLift: true });
  played.lift();
  type(2, "tare", 8);
  type(2, "filled", 59);
  expect(played.scale.bag).toMatchObject({ bagId: 1, kind: "sealed", needsLift: false });
  type(2, "sealed", 63.2);
  expect(played.scale.bag).toMatchObject({ bagId: 1, kind: "sealed" });
  type(1, "sealed", 63.2);
  expect(played.scale.bag).toBeNull();

  // Opened by somebody while it is waited for at the scale: the load that comes is no weighing of a closed bag.
  choose(played, 1);
  expect(played.scale.bag).toMatchObject({ bagId: 1, kind: "shelf" });
  later(played, 0.01);
  played.act((bench) => setFate(bench, 1, "opened", null, played.at()));
  expect(played.scale.bag).toBeNull();
});

const onShelf = {
  kind: "shelf",
  gross: grams(64.2),
  division: grams(0.1),
  scale: null,
  source: "typed",
  zeroSeen: true,
} as const;

test("what became of a bag is taken back while it is so: it is what it was before, with both on the record", () => {
  const played = packed();
  const whole = played.bench.bags;
  const back = (id: number, redriedIn: { batchNumber: number; tray: string } | null = null) => {
    const gone = [...played.bench.bags, ...whole].find((one) => one.id === id);
    if (gone === undefined) throw new Error("no such bag");
    const { batch } = played;
    const said = { batch, bagged: whole, redriedIn, note: "a slip", at: played.at() };
    played.act((bench) => takeFateBack(bench, gone, said));
  };
  refused("bag.wrong-state", () => back(1));
  for (const fate of ["used", "given-away", "thrown-away", "opened", "re-dry"] as const) {
    played.act((bench) => setFate(bench, 1, fate, null, played.at()));
    expect(stateOf(bag(played, 1))).toBe(fate);
    back(1);
    expect(stateOf(bag(played, 1))).toBe("sealed");
  }
  expect(bag(played, 1).fates).toHaveLength(10);
  played.act((bench) => setFate(bench, 1, "re-dry", null, played.at()));
  refused("bag.wrong-state", () => back(1, { batchNumber: 2, tray: "South" }));
});

test("a weighing of a bag is put right by a new row; one that later ones rest on is not struck out", () => {
  const played = packed();
  const edit = { gross: grams(59.1), struck: false, reason: "read again" };
  played.act((bench) => editBagWeighing(bench, 1, 2, edit));
  expect(filledOf(bag(played, 1))).toBeCloseTo(51.1, 9);
  expect(bag(played, 1).weighings).toHaveLength(4);
  refused("weighing.edited-meanwhile", () =>
    played.act((bench) => editBagWeighing(bench, 1, 2, edit)),
  );
  const strike = { gross: null, struck: true, reason: "another bag" };
  refused("bag.wrong-state", () => played.act((bench) => editBagWeighing(bench, 1, 1, strike)));
  played.act((bench) => editBagWeighing(bench, 1, 5, strike));
  expect(stateOf(bag(played, 1))).toBe("filled");
  expect(showPacking(played.bench, played.at()).map(({ id }) => id)).toEqual([1]);
  refused("weighing.not-found", () => played.act((bench) => editBagWeighing(bench, 1, 99, strike)));
});

test("an empty bag is not put right to more than it weighs with its food, nor the food to less", () => {
  const played = packed();
  const edit = (id: number, gross: number) => () =>
    played.act((bench) =>
      editBagWeighing(bench, 1, id, { gross: grams(gross), struck: false, reason: "read again" }),
    );
  for (const heavy of [59, 80])
    expect(refused("weighing.impossible", edit(1, heavy))).toBe(
      `59.0 g is not more than the empty bag (${heavy.toFixed(1)} g)`,
    );
  expect(refused("weighing.impossible", edit(2, 8))).toBe(
    "8.0 g is not more than the empty bag (8.0 g)",
  );
  edit(1, 58.9)();
  expect(netOf(bag(played, 1))).toBeCloseTo(0.1, 9);
});

test("a weighing of a bag typed for a moment before what is known of it is refused with both moments", () => {
  const played = packed();
  const sealedAt = bag(played, 1).weighings.at(-1)!.at;
  later(played, 48);
  const type = (kind: BagWeighingKind, gross: number, hour: number) => () =>
    played.act((bench) =>
      weighBag(
        bench,
        1,
        { ...by, kind, gross: grams(gross), at: played.at(hour) },
        played.at(),
        "x",
      ),
    );
  expect(refused("clock.out-of-order", type("shelf", 63.2, 1))).toBe(
    `${isoOf(played.at(1))} is not between ${isoOf(sealedAt)} and now`,
  );
  type("shelf", 63.2, played.hour - 1)();
  refused("clock.out-of-order", type("shelf", 63.2, played.hour - 2));
  played.act((bench) => setFate(bench, 1, "opened", null, played.at()));
  const openedAt = played.at();
  later(played, 5);
  expect(refused("clock.out-of-order", type("sealed", 50, played.hour - 6))).toContain(
    `not between ${isoOf(openedAt)} and now`,
  );
  // As of now it is kept, also by a clock that was set back.
  later(played, -20);
  type("sealed", 50, played.hour)();
  expect(bag(played, 1).weighings.at(-1)).toMatchObject({ kind: "sealed", gross: 50 });
});

test("what is in a bag is whole milligrams, as its weighings are kept: no 44.459999999999994 in an export", () => {
  const one = bag(packed(), 1);
  const rows = one.weighings.map((row) =>
    row.kind === "filled" ? { ...row, gross: grams(52.66) } : row,
  );
  const weighed = { ...one, weighings: rows, typedTare: grams(8.2) };
  const withoutTare = rows.filter(({ kind }) => kind !== "tare");
  expect(52.66 - 8.2).not.toBe(44.46);
  expect(filledOf({ ...weighed, weighings: withoutTare })).toBe(44.46);
});

test("a food's long name is kept whole", () => {
  const played = dried();
  checked(played);
  const name =
    "Beef, chuck eye roast, boneless, separable lean only, trimmed to no fat, all grades, cooked";
  played.act((bench) => acts.editTray(bench, played.batch.id, 1, { foodName: name }, played.at()));
  plan(played);
  expect(bag(played, 1).product).toBe(name);
});

test("bags are found by number and product; the stock lists each food's oldest first", () => {
  const played = packed();
  const find = (q: string, state: "all" | "sealed" | "used" = "all") =>
    findBags(played.bench.bags, { state, q }, looked(played)).map(({ code }) => code);
  expect(find("STRAW")).toEqual(["1-2", "1-1"]);
  expect(find("1-2")).toEqual(["1-2"]);
  expect(find("hill", "sealed")).toHaveLength(2);
  expect(find("", "used")).toEqual([]);
  const [stock, ...others] = showStock(played.bench.bags, looked(played));
  expect(others).toEqual([]);
  expect(stock?.bags.map(({ code }) => code)).toEqual(["1-1", "1-2"]);
  expect(stock?.netGrams).toBeCloseTo(102, 9);
  expect(stock?.freshGrams).toBeCloseTo(907.2, 6);
  // Two days after sealing; until then nothing is due and nothing is found.
  const sealedAt = Date.parse(stock?.bags[0]?.sealedAt ?? "");
  expect(stock?.bags[0]).toMatchObject({
    finding: "not-checked",
    weighedAt: null,
    weighAgain: false,
    weighFrom: new Date(sealedAt + 2 * 86_400_000).toISOString(),
  });
});

test("a tray that is weighed after bags is the last thing taken", () => {
  const played = packed();
  expect(played.scale.lastTakenBag).not.toBeNull();
  played.clock("in");
  later(played, 3);
  played.clock("out");
  played.put(400 + 102);
  expect(played.scale.lastTaken).not.toBeNull();
  expect(played.scale.lastTakenBag).toBeNull();
});

test("choosing a tray gives the scale back to trays", () => {
  const played = dried();
  checked(played);
  plan(played);
  choose(played, 1);
  played.act((bench) => acts.chooseTask(bench, "scale-1", 1, null, null));
  expect(played.scale.bag).toBeNull();
});

/** So many bags of one plan, with two scales side by side. */
function atTwoScales(count: number): Played {
  const played = dried();
  checked(played);
  plan(played, { divide: { count }, absorbers: null });
  const second = { ...played.scale, id: "scale-2", lastTaken: null };
  played.bench = { ...played.bench, scales: [played.scale, second] };
  return played;
}
const at = (played: Played, scaleId: string) =>
  played.bench.scales.find(({ id }) => id === scaleId)!;
const putAt = (played: Played, scaleId: string, gross: number): void => {
  later(played, 0.01);
  played.lift(scaleId);
  played.put(gross, {}, at(played, scaleId));
};
const askedAt = (played: Played) =>
  played.bench.scales.map(({ bag: on }) => (on === null ? null : `${on.bagId} ${on.kind}`));

test("two scales that fill the bags of one plan are never asked for the same bag", () => {
  const played = atTwoScales(4);
  for (const [id, bagId] of [
    ["scale-1", 1],
    ["scale-2", 2],
  ] as const) {
    played.act((bench) => chooseBag(bench, at(played, id), bagId, null));
    putAt(played, id, 8);
  }
  expect(askedAt(played)).toEqual(["1 filled", "2 filled"]);
  putAt(played, "scale-1", 33.5);
  expect(askedAt(played)).toEqual(["3 tare", "2 filled"]);
  putAt(played, "scale-1", 8);
  putAt(played, "scale-1", 33.5);
  expect(askedAt(played)).toEqual(["4 tare", "2 filled"]);
  putAt(played, "scale-1", 8);
  putAt(played, "scale-1", 33.5);
  // The second bag is being filled at the other scale: nothing is left for this one, and nothing is sealed yet.
  expect(askedAt(played)).toEqual([null, "2 filled"]);
  putAt(played, "scale-2", 33.5);
  expect(askedAt(played)).toEqual([null, "1 sealed"]);
  played.act((bench) => chooseBag(bench, at(played, "scale-1"), 4, null));
  putAt(played, "scale-2", 35.5);
  expect(askedAt(played)).toEqual(["4 sealed", "2 sealed"]);
  expect(played.bench.bags.map(filledOf)).toEqual([25.5, 25.5, 25.5, 25.5]);
});

test("a bag at a scale that is lost is asked for elsewhere, and two scales that wait for one bag go on to two", () => {
  const played = atTwoScales(4);
  for (const id of ["scale-1", "scale-2"])
    played.act((bench) => chooseBag(bench, at(played, id), 1, null));
  const type = (bagId: number, kind: "tare" | "filled", gross: number): void => {
    later(played, 0.01);
    played.act((bench) =>
      weighBag(bench, bagId, { ...by, kind, gross: grams(gross), at: played.at() }, played.at()),
    );
  };
  type(1, "tare", 8);
  type(1, "filled", 33.5);
  expect(askedAt(played)).toEqual(["2 tare", "3 tare"]);
  const lost = { link: "searching", sinceUtcMs: played.at(), why: "unplugged", fix: null } as const;
  const scales = played.bench.scales.map((one) =>
    one.id === "scale-2" ? { ...one, link: lost } : one,
  );
  played.bench = { ...played.bench, scales };
  putAt(played, "scale-1", 8);
  putAt(played, "scale-1", 33.5);
  expect(askedAt(played)[0]).toBe("3 tare");
});
