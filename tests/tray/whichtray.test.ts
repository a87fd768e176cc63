import { expect, test } from "vitest";
import {
  expectGross,
  followsAfter,
  mayHoldFood,
  whichTray,
  type Left,
  type TrayCandidate,
} from "../../src/tray/whichtray.ts";
import { fraction, grams } from "../../src/units/quantity.ts";

const food = { water: fraction(0.88), waterSd: fraction(0.015) };

/** A small generator with a seed, so that every run sees the same trays. */
function chances(seed: number): () => number {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

const dryTray = (
  id: number,
  tare: number,
  fresh: number,
  last: number,
  others: Left[] = [],
): TrayCandidate => ({
  id,
  name: `Tray ${id}`,
  expect: expectGross({
    kind: "dry",
    tare: grams(tare),
    freshNet: grams(fresh),
    lastNet: grams(last),
    food,
    others,
    taresOfOthers: [],
  }),
});

/** A tray of a batch that is being loaded. */
const loading = (id: number, tare: number | null, taresOfOthers: number[]): TrayCandidate => ({
  id,
  name: `${id}`,
  expect: expectGross({
    kind: tare === null ? "tare" : "fresh",
    tare: tare === null ? null : grams(tare),
    freshNet: null,
    lastNet: null,
    food,
    others: [],
    taresOfOthers: taresOfOthers.map(grams),
  }),
});

test("a first batch with no tray known: who follows the page is not asked", () => {
  // Tray 1 was weighed empty; the page asks for it with its food, and 2 to 4 were never weighed.
  for (const count of [2, 4, 6]) {
    const others = Array.from({ length: count - 1 }, (_, n) => loading(n + 2, null, [402.3]));
    const candidates = [loading(1, 402.3, []), ...others];
    for (const gross of [600, 811.6, 1204, 2500]) {
      const load = { gross: grams(gross), u: grams(0.1), candidates, prompted: 1 };
      expect(whichTray(load)).toMatchObject({ is: "sure", id: 1 });
    }
  }
});

test("trays whose empty masses are known: who follows the page is not asked at the first load, however many wait", () => {
  for (let count = 1; count <= 60; count++) {
    const candidates = Array.from({ length: count }, (_, n) => loading(n + 1, 400 + n, []));
    for (const gross of [480, 811.6, 2500]) {
      const load = { gross: grams(gross), u: grams(0.1), candidates };
      expect(whichTray({ ...load, prompted: 1 })).toMatchObject({ is: "sure", id: 1 });
      // Nothing but the order speaks for it.
      if (count > 1) expect(whichTray({ ...load, prompted: null })).toMatchObject({ is: "ask" });
    }
    // Order or not, where it may well be no tray at all, a person says so.
    const dry = Array.from({ length: count }, (_, n) => dryTray(n + 1, 400, 600, 300));
    const heavy = { gross: grams(730.36), u: grams(0.1), candidates: dry, prompted: 1 };
    expect(whichTray(heavy)).toMatchObject({ is: "ask" });
  }
});

test("a load like the other empty trays, out of turn, is an empty tray, or a question", () => {
  const candidates = [loading(1, 402.3, []), loading(2, null, [402.3])];
  const at = (gross: number) =>
    whichTray({ gross: grams(gross), u: grams(0.1), candidates, prompted: 1 });
  expect(at(398.9)).toMatchObject({ is: "sure", id: 2 });
  // A handful of herbs on tray 1, or tray 2 with nothing on it: that is for a person to say.
  expect(at(425)).toMatchObject({ is: "ask" });
});

test("an empty tray may hold food where it is a fifth heavier than the known ones, its own mass first", () => {
  const holds = (gross: number, own: number | null, others: number[]) =>
    mayHoldFood(grams(gross), own === null ? null : grams(own), others.map(grams));
  expect([holds(900, null, []), holds(900, null, [400]), holds(900, null, [400, 800])]).toEqual([
    false,
    true,
    false,
  ]);
  expect([holds(479, null, [400]), holds(481, null, [400]), holds(120, null, [400])]).toEqual([
    false,
    true,
    false,
  ]);
  expect([holds(900, 400, [900]), holds(900, 890, [400])]).toEqual([true, false]);
});

test("alike trays: the one that the page asks for is taken", () => {
  const candidates = [dryTray(1, 400, 600, 300), dryTray(2, 400, 600, 300)];
  const load = { gross: grams(520), u: grams(0.1), candidates };
  expect(whichTray({ ...load, prompted: 2 })).toMatchObject({ is: "sure", id: 2 });
  expect(whichTray({ ...load, prompted: null })).toMatchObject({ is: "ask" });
});

test("a tray keeps the share of what it held that the others kept of theirs", () => {
  // Half of the water that the others held is gone; this one held 300 g of its 528 g, 72 g of 600 g are dry.
  const others = [
    { before: 0.8, now: 0.5 },
    { before: 0.4, now: 0.1 },
  ];
  const likely = dryTray(1, 400, 600, 372, others).expect.likely;
  expect(likely?.mean).toBeCloseTo(400 + 72 + 150, 6);
  expect(likely?.sd).toBeCloseTo(0.12 * 528, 6);
});

test("whether the order is followed is learned by Bayes' rule from masses that can tell", () => {
  // Tray 1 may weigh 460 to 730 g, tray 2 alone weighs more: 12 % of the fresh mass less three spreads, and 5 % more.
  const light = dryTray(1, 400, 600, 300);
  const heavy = dryTray(2, 700, 900, 500);
  const at = (gross: number, candidates: TrayCandidate[]) =>
    followsAfter(0.9, { gross: grams(gross), u: grams(0.1), candidates, prompted: 1 });
  // Only tray 1: in order 0.9 · 0.98, in any order 0.1 · 1/2. Only tray 2: 0.9 · 0.02 against 0.1 · 1/2.
  expect(at(520, [light, heavy])).toBeCloseTo(0.882 / (0.882 + 0.05), 6);
  expect(at(980, [light, heavy])).toBeCloseTo(0.018 / (0.018 + 0.05), 6);
  // Trays that weigh alike say next to nothing, one alone nothing.
  expect(at(520, [light, { ...light, id: 2 }])).toBeCloseTo(0.9, 6);
  expect(at(520, [light])).toBe(0.9);
});

test("a mass that only another tray can have is that tray, not the one asked for", () => {
  const candidates = [dryTray(1, 400, 300, 120), dryTray(2, 700, 900, 500)];
  const load = { gross: grams(980), u: grams(0.1), candidates, prompted: 1 };
  expect(whichTray(load)).toMatchObject({ is: "sure", id: 2 });
});

test("a mass that no tray can have is none of them", () => {
  const candidates = [dryTray(1, 400, 300, 120), dryTray(2, 400, 350, 130)];
  const load = { gross: grams(2300), u: grams(0.1), candidates, prompted: 1 };
  expect(whichTray(load)).toMatchObject({ is: "none" });
  expect(whichTray({ ...load, candidates: [] })).toMatchObject({ is: "none" });
});

/**
 * Rounds of four alike trays, three in four laid on in the order asked for, the rest in any order. Simulated trays, our
 * own invention: they score the rule, and prove nothing about kitchens.
 */
test("who follows the page is seldom asked and never wrong; who does not is told which tray was taken", () => {
  const chance = chances(20261125);
  const normal = (): number =>
    Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
  const none = { right: 0, asked: 0, wrong: 0 };
  const seen = { inOrder: { ...none }, anyOrder: { ...none } };
  for (let round = 0; round < 500; round++) {
    const trays = [1, 2, 3, 4].map((id) => ({
      id,
      tare: 400 + 10 * normal(),
      fresh: 400 + 400 * chance(),
    }));
    const left = 0.02 + 0.5 * chance();
    const net = ({ fresh }: { fresh: number }): number =>
      fresh * (0.12 + 0.88 * Math.max(0, left * (1 + 0.15 * normal())));
    const inOrder = chance() < 0.75;
    const order = inOrder ? trays : trays.toSorted(() => chance() - 0.5);
    let waiting = trays;
    const leftSeen: Left[] = [];
    for (const tray of order) {
      const mass = net(tray);
      const candidates = waiting.map((one) =>
        dryTray(one.id, one.tare, one.fresh, one.fresh * 0.75, leftSeen),
      );
      const guess = whichTray({
        gross: grams(tray.tare + mass),
        u: grams(0.3),
        candidates,
        prompted: waiting[0]?.id ?? null,
      });
      const count = inOrder ? seen.inOrder : seen.anyOrder;
      if (guess.is !== "sure") count.asked++;
      else if (guess.id === tray.id) count.right++;
      else count.wrong++;
      const held = (grossNet: number): number =>
        (grossNet - tray.fresh * 0.12) / (tray.fresh * 0.88);
      leftSeen.push({ before: held(tray.fresh * 0.75), now: held(mass) });
      waiting = waiting.filter(({ id }) => id !== tray.id);
    }
  }
  console.log(`which tray, 2000 loads: ${JSON.stringify(seen)}`);
  const { inOrder, anyOrder } = seen;
  expect(inOrder.right + inOrder.asked + inOrder.wrong).toBeGreaterThan(1000);
  expect(inOrder.wrong).toBe(0);
  expect(inOrder.asked / (inOrder.right + inOrder.asked)).toBeLessThan(0.1);
  // Trays that weigh alike cannot be told apart by mass: out of order, more than a quarter are taken for another.
  expect(anyOrder.wrong / (anyOrder.right + anyOrder.asked + anyOrder.wrong)).toBeLessThan(0.35);
});
