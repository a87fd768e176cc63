// Loading a tray on the scale, portion by portion. The scale's own tare key only moves the display's zero, so that
// what is kept must be the same with and without it. All masses are invented.
import { expect, test } from "vitest";
import * as acts from "../../src/service/acts.ts";
import * as weighings from "../../src/service/weighings.ts";
import type { Batch } from "../../src/service/bench.ts";
import { answerLoad, nextLoad, sayTared } from "../../src/service/loads.ts";
import { current, foodOf, freshOf, logOf, netOf, portionsOf } from "../../src/service/look.ts";
import { afterTareKey, noticeHidden, pourFor } from "../../src/service/pour.ts";
import { emptyPan, type Pan } from "../../src/settle/settle.ts";
import type { Portion } from "../../src/tray/portion.ts";
import { fraction, grams, monoMs } from "../../src/units/quantity.ts";
import { Played, strawberries, trayAsked } from "./given.ts";

const bananas = {
  name: "Bananas, raw",
  water: fraction(0.7491),
  waterSd: fraction(0.013),
  source: "USDA SR28, no. 09040",
};

const portion = (place: number, food: typeof bananas, target: number | null): Portion => ({
  place,
  foodName: food.name,
  food,
  cautions: [],
  thicknessMm: null,
  target: target === null ? null : grams(target),
  fromBag: null,
});

function planned(portions: readonly Portion[], names = ["A", "B"]): Played {
  const played = new Played();
  const holding = { foodName: "both", food: bananas, portions };
  played.begin(names.map((name) => trayAsked(name, holding)));
  return played;
}

const both = [portion(1, strawberries, 600), portion(2, bananas, 400)];
const trayA = (batch: Batch) => batch.trays[0]!;
const freshOfPortions = (played: Played) =>
  portionsOf(played.batch, trayA(played.batch)).map(({ fresh }) => fresh);
const next = (played: Played) => {
  const one = nextLoad(played.bench, played.scale, played.at());
  return one === null ? null : `${one.tray.name} ${one.kind} ${one.portion ?? "whole"}`;
};

test("empty, first food, second food: each taken at its target without lifting the tray", () => {
  const played = planned(both);
  expect(next(played)).toBe("A tare whole");
  played.put(412);
  expect(next(played)).toBe("A fresh 1");
  played.hour = 0.01;
  played.put(700);
  expect(played.scale.load?.became).toBe("ignored");
  played.put(1009);
  expect(next(played)).toBe("A fresh 2");
  expect(freshOf(played.batch, trayA(played.batch))).toBeNull();
  played.hour = 0.02;
  played.put(1411);
  expect(next(played)).toBe("B tare whole");
  expect(freshOfPortions(played)).toEqual([597, 402]);
  const fresh = freshOf(played.batch, trayA(played.batch));
  expect(netOf(played.batch, fresh!)).toBe(999);
});

test("too much or too little is not taken by itself, and is taken as it is on a person's word", () => {
  const played = planned(both);
  played.put(412);
  played.put(1100);
  expect(current(played.batch.weighings)).toHaveLength(1);
  const load = played.scale.load!.id;
  played.act((bench) =>
    answerLoad(bench, "scale-1", { load, trayId: 1, kind: null, portion: null }),
  );
  expect(freshOfPortions(played)).toEqual([688, null]);
});

test("several portions without a target wait for the person: a pause in pouring takes nothing", () => {
  const played = planned([portion(1, strawberries, null), portion(2, bananas, null)]);
  played.put(412);
  for (const mass of [500, 640, 812]) played.put(mass);
  expect(current(played.batch.weighings)).toHaveLength(1);
});

test("the judgment takes a tray's food from all its portions, by the masses that were poured", () => {
  const played = planned(both);
  played.put(412);
  played.hour = 0.01;
  played.put(1012);
  played.hour = 0.02;
  played.put(1412);
  const food = foodOf(played.batch, trayA(played.batch));
  expect(food?.water).toBeCloseTo(0.84534, 6);
  expect(food?.waterSd).toBeCloseTo(0.00794, 5);
  const log = logOf(played.batch, trayA(played.batch), 1);
  expect(log.food?.water).toBe(food?.water);
  expect(log.fresh?.net).toBe(1000);
});

test("after drying, the tray's loss is shared; portions weighed apart replace the estimate", () => {
  const played = planned(both, ["A"]);
  played.put(412);
  played.hour = 0.01;
  played.put(1012);
  played.hour = 0.02;
  played.put(1412);
  played.lift();
  played.clock("in");
  played.hour = 20;
  played.clock("out");
  played.put(412 + 158);
  played.lift();
  const dry = () => portionsOf(played.batch, trayA(played.batch)).map((one) => one.dry);
  expect(dry().map((one) => one?.isEstimate)).toEqual([true, true]);
  expect(dry().reduce((sum, one) => sum + (one?.grams ?? 0), 0)).toBeCloseTo(158, 6);
  const judged = played.batch.judged;

  played.act((bench) => acts.chooseTask(bench, "scale-1", 1, "dry", 1));
  played.put(412 + 56);
  expect(next(played)).toBe("A dry 2");
  played.lift();
  played.put(412 + 101);
  expect(dry()).toEqual([
    { grams: 56, isEstimate: false },
    { grams: 101, isEstimate: false },
  ]);
  // A part of a tray is no point of its curve.
  expect(logOf(played.batch, trayA(played.batch), 1).weighings).toHaveLength(1);
  expect(played.batch.judged?.trays[0]?.verdict).toBe(judged?.trays[0]?.verdict);
  expect(played.scale.chosen).toBeNull();
});

test("a portion chosen to be weighed alone is none of the whole tray, though that is waited for", () => {
  const played = planned(both, ["A"]);
  for (const gross of [412, 1012, 1412]) {
    played.put(gross);
    played.hour += 0.01;
  }
  played.lift();
  played.clock("in");
  played.hour = 20;
  played.clock("out");
  played.act((bench) => acts.chooseTask(bench, "scale-1", 1, "dry", 1));
  played.put(412 + 56);
  const [last] = played.batch.weighings.slice(-1);
  expect([last?.kind, last?.portion, last?.gross]).toEqual(["dry", 1, 468]);
  expect(logOf(played.batch, trayA(played.batch), 1).weighings).toEqual([]);
});

/** The display after the tare key, or as it is: what the pan of the scale has seen. */
const panAt = (mass: number, more: Partial<Pan> = {}, aboveMs = 2000): Pan => ({
  ...emptyPan,
  state: "weight",
  mass: grams(mass),
  division: grams(0.1),
  zeroSeen: true,
  on: "nothing",
  ...more,
  memory: {
    ...emptyPan.memory,
    basis: "unknown",
    lastAtMonoMs: monoMs(10_000),
    place: mass > 1 ? "above" : "near-zero",
    placeSinceMonoMs: monoMs(10_000 - aboveMs),
    ...more.memory,
  },
});

function seen(played: Played, pan: Pan): void {
  played.act(() => [{ is: "pan-changed", scaleId: "scale-1", pan }]);
  const pour = pourFor(played.scale, nextLoad(played.bench, played.scale, played.at()));
  const taken = played.batch.weighings.find(({ id }) => id === played.scale.lastTaken);
  const hidden = noticeHidden(played.scale, pour, taken?.trayId ?? null);
  played.act(() => [{ is: "hidden-noticed", scaleId: "scale-1", hidden }]);
}

test("the tare key pressed before each food: the same masses as without it", () => {
  const played = planned(both);
  played.put(412);
  played.lift();
  seen(played, panAt(0));
  seen(played, panAt(180));
  expect(played.scale.hidden).toEqual({ trayId: 1, gross: 412 });
  played.hour = 0.01;
  played.put(601);
  expect(freshOfPortions(played)).toEqual([601, null]);
  played.lift();
  seen(played, panAt(0));
  expect(played.scale.hidden).toBeNull();
  seen(played, panAt(90));
  expect(played.scale.hidden).toEqual({ trayId: 1, gross: 1013 });
  played.hour = 0.02;
  played.put(398);
  expect(freshOfPortions(played)).toEqual([601, 398]);
  expect(freshOf(played.batch, trayA(played.batch))?.gross).toBe(1411);
});

test("a tray that was lifted and put back with food is no tare key", () => {
  const played = planned(both);
  played.put(412);
  played.lift();
  seen(played, panAt(0));
  // On its way up past its own mass, for less than a second.
  seen(played, panAt(230, {}, 300));
  expect(played.scale.hidden).toBeNull();
  played.hour = 0.01;
  played.put(1013);
  expect(freshOfPortions(played)).toEqual([601, null]);
});

test("a scale that marks its net says so itself, and the mark's end is the end of it", () => {
  const played = planned(both);
  played.put(412);
  const net = { memory: { ...emptyPan.memory, basis: "net" as const } };
  seen(played, panAt(120, net, 0));
  expect(played.scale.hidden).toEqual({ trayId: 1, gross: 412 });
  seen(played, panAt(532, { memory: { ...emptyPan.memory, basis: "gross" } }, 0));
  expect(played.scale.hidden).toBeNull();
});

test("a person says that the key was pressed: what lies there is looked at anew", () => {
  const played = planned(both);
  played.put(412);
  played.lift();
  played.hour = 0.01;
  played.put(605);
  expect(played.scale.load?.became).toBe("ignored");
  played.act((bench) => sayTared(bench, "scale-1", true, played.at()));
  expect(freshOfPortions(played)).toEqual([605, null]);
});

test("a fast pour after the key was taken for tray and food: the empty pan below zero puts it right", () => {
  const played = new Played();
  played.begin([trayAsked("A")]);
  played.put(412);
  played.lift();
  played.hour = 0.01;
  played.put(1240);
  expect(netOf(played.batch, freshOf(played.batch, trayA(played.batch))!)).toBe(828);
  played.lift();
  seen(played, panAt(-412, { on: "below-zero", settled: true }));
  played.act((bench) => afterTareKey(bench, played.scale));
  expect(netOf(played.batch, freshOf(played.batch, trayA(played.batch))!)).toBe(1240);
  const [, wrong, right] = played.batch.weighings;
  expect(right).toMatchObject({ supersedes: wrong!.id });
  expect(right!.reason).toMatch(/tare key/);
  expect(afterTareKey(played.bench, played.scale)).toHaveLength(0);
});

test("the key was known, and the pan below zero changes nothing", () => {
  const played = planned(both, ["A"]);
  played.put(412);
  played.lift();
  seen(played, panAt(0));
  seen(played, panAt(180));
  played.hour = 0.01;
  played.put(601);
  played.lift();
  seen(played, panAt(-412, { on: "below-zero", settled: true }));
  expect(afterTareKey(played.bench, played.scale)).toHaveLength(0);
  expect(freshOfPortions(played)).toEqual([601, null]);
});

test("food added before the tray is lifted puts its weighing right and takes no other tray", () => {
  const played = new Played();
  played.startBatch(["A", "B"]);
  played.put(1000);
  played.put(1130);
  expect(current(played.batch.weighings).map(({ trayId, gross }) => [trayId, gross])).toEqual([
    [1, 1130],
  ]);
  expect(next(played)).toBe("B fresh whole");
  played.lift();
  played.put(1100);
  expect(current(played.batch.weighings)).toHaveLength(2);
});

test("trays swapped faster than the pan could be seen empty are two trays", () => {
  const played = new Played();
  played.startBatch(["A", "B"]);
  played.put(1000, { atMonoMs: monoMs(0) });
  const looks = [1000, 140, 620, 1080].map((mass, at) => ({
    atMonoMs: monoMs(at * 100),
    mass: grams(mass),
    saysMoving: false,
  }));
  const pan = panAt(1080, { memory: { ...emptyPan.memory, looks } });
  played.act(() => [{ is: "pan-changed", scaleId: "scale-1", pan }]);
  played.put(1080);
  expect(current(played.batch.weighings).map(({ trayId, gross }) => [trayId, gross])).toEqual([
    [1, 1000],
    [2, 1080],
  ]);
});

test("a display that flickers between two steps takes no other tray, though the pan was empty a moment before", () => {
  const played = new Played();
  played.startBatch(["A", "B"]);
  const looks = [0, 780, 1115, 1115, 1110].map((mass, at) => ({
    atMonoMs: monoMs(at * 100),
    mass: grams(mass),
    saysMoving: false,
  }));
  const pan = panAt(1110, { memory: { ...emptyPan.memory, looks } });
  played.put(1115, { atMonoMs: monoMs(350) });
  played.act(() => [{ is: "pan-changed", scaleId: "scale-1", pan }]);
  const counting = () =>
    current(played.batch.weighings).map(({ trayId, gross }) => [trayId, gross]);
  played.put(1110, { atMonoMs: monoMs(450), u: grams(1.8) });
  expect(counting()).toEqual([[1, 1115]]);
  expect(played.scale.lastTaken).toBe(1);
  expect(next(played)).toBe("B fresh whole");
  // Where the scale is believed to be finer than it is, food was taken off.
  played.put(1110, { atMonoMs: monoMs(950), u: grams(0.3) });
  expect(counting()).toEqual([[1, 1110]]);
});

test("a portion that was weighed cannot be planned away, and typed ones follow the same order", () => {
  const played = planned(both, ["A"]);
  const typed = { division: grams(1), at: played.at(), now: played.at(), trayId: 1 };
  const type = (portion: number, gross: number) =>
    played.act((bench) =>
      weighings.typeWeighing(bench, { ...typed, kind: "fresh", portion, gross: grams(gross) }),
    );
  played.put(412);
  type(1, 1012);
  expect(() => type(2, 1000)).toThrow(/not more than A weighed before/);
  expect(() => type(3, 2000)).toThrow(/no portion 3/);
  expect(() =>
    played.act((bench) => acts.editTray(bench, 1, 1, { portions: [] }, played.at())),
  ).toThrow(/portion 1 of A was weighed already/);
});

test("food on an empty tray that was not lifted is taken, with however many trays of other batches to be loaded", () => {
  const played = new Played();
  for (const names of [
    ["A", "B"],
    ["K", "L", "M"],
    ["R", "S", "T", "U"],
  ])
    played.begin(names.map((name) => trayAsked(name)));
  const [first] = played.bench.batches;
  const counted = () =>
    current(played.bench.batches.find(({ id }) => id === first?.id)?.weighings ?? []).map(
      ({ trayId, kind, gross }) => `${trayId} ${kind} ${gross}`,
    );
  played.put(412);
  played.put(830);
  expect(counted()).toEqual(["1 tare 412", "1 fresh 830"]);
  // Lifted in between it could be any.
  played.lift();
  played.put(431);
  played.lift();
  played.put(871);
  expect(played.scale.load?.became).toBe("asked");
  expect(counted()).toHaveLength(3);
});
