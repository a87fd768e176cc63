import { expect, test } from "vitest";
import type { BagTaken, StockLine } from "../../src/wire/bag.ts";
import {
  afterWeighing,
  byUrgency,
  doneIn,
  isToldOf,
  newRound,
  nextInRound,
  roundUnderWay,
  type Round,
} from "../../web/src/round.ts";
import { aLine, bagTaken, finding, gaining, stock } from "./bags.ts";

const now = Date.parse("2026-05-01T12:00:00.000Z");
const minutesAgo = (minutes: number): string => new Date(now - minutes * 60_000).toISOString();
const shelf = (bag: number, found = finding(), at = minutesAgo(0)): BagTaken =>
  bagTaken({ bag, code: `17-${bag}`, kind: "shelf", finding: found, at });
const once = finding({ word: "watch", reasons: [{ code: "once-only", text: "" }] });

/** The stock as the service tells it once a bag was weighed. */
const weighed = (before: readonly StockLine[], { bag, at, finding: found }: BagTaken) =>
  before.map((food) => ({
    ...food,
    bags: food.bags.map((line) =>
      line.id === bag
        ? {
            ...line,
            weighedAt: at,
            finding: found?.word ?? null,
            weighAgain: found?.reasons[0]?.code === "once-only",
          }
        : line,
    ),
  }));
const after = (...taken: readonly BagTaken[]) => taken.reduce(weighed, stock);
const next = (round: Round | null, known: readonly StockLine[]) =>
  round === null ? "none under way" : nextInRound(round, known);

test("bags that are due come first, then those not weighed for longest; an opened one never", () => {
  const round = newRound(stock);
  expect(nextInRound(round, stock)).toBe(1);
  expect(nextInRound(round, after(shelf(1)))).toBe(4);
  expect(nextInRound(round, after(shelf(1), shelf(4)))).toBe(2);
  expect(nextInRound(round, after(shelf(1), shelf(4), shelf(2)))).toBeNull();
  // Bag 4 is the oldest, but the last time it was weighed after the other.
  const before = after(shelf(1), shelf(2, finding(), minutesAgo(3000)), shelf(4));
  expect(nextInRound(newRound(before), before)).toBe(2);
});

test("a round goes on where it was on a page that knows nothing but the stock", () => {
  expect(roundUnderWay(stock, now)).toBeNull();
  const one = after(shelf(1, finding(), minutesAgo(700)));
  expect(next(roundUnderWay(one, now), one)).toBe(4);
  const two = after(shelf(1, finding(), minutesAgo(1400)), shelf(4, gaining, minutesAgo(700)));
  expect(doneIn(roundUnderWay(two, now)!, two).map(({ bag, word }) => [bag, word])).toEqual([
    [1, "no-gain-seen"],
    [4, "gaining-moisture"],
  ]);
  expect(next(roundUnderWay(two, now), two)).toBe(2);
  // After 12 hours without a weighing it is over, and what was weighed before such a pause is none of it.
  const old = after(shelf(1, finding(), minutesAgo(721)));
  expect(roundUnderWay(old, now)).toBeNull();
  const apart = after(shelf(1, finding(), minutesAgo(900)), shelf(4, finding(), minutesAgo(100)));
  expect(doneIn(roundUnderWay(apart, now)!, apart).map(({ bag }) => bag)).toEqual([4]);
});

test("when all are weighed none is under way, and the next asks for every one of them", () => {
  const all = after(
    shelf(1, finding(), minutesAgo(9)),
    shelf(4, finding(), minutesAgo(8)),
    shelf(2, finding(), minutesAgo(7)),
  );
  expect(roundUnderWay(all, now)).toBeNull();
  const round = newRound(all);
  expect(doneIn(round, all)).toEqual([]);
  expect(nextInRound(round, all)).toBe(1);
  expect(nextInRound(round, weighed(all, shelf(1)))).toBe(4);
});

test("a gain that was seen once is asked for a second time, once, and stands in the list once", () => {
  const first = afterWeighing(newRound(stock), shelf(1, once));
  const seen = after(shelf(1, once));
  expect(nextInRound(first, seen)).toBe(1);
  // Also on a page that did not see it.
  expect(next(roundUnderWay(seen, now), seen)).toBe(1);
  const second = afterWeighing(first, shelf(1, once));
  expect(nextInRound(second, seen)).toBe(4);
  expect(doneIn(second, seen)).toHaveLength(1);
  const confirmed = after(shelf(1, gaining));
  expect(doneIn(afterWeighing(first, shelf(1, gaining)), confirmed)[0]?.word).toBe(
    "gaining-moisture",
  );
});

test("a bag that was passed over is not asked for again", () => {
  expect(nextInRound({ ...newRound(stock), passed: [1] }, stock)).toBe(4);
});

test("the round waits for a stock that knows of the weighing", () => {
  expect(isToldOf(shelf(1), stock)).toBe(false);
  expect(isToldOf(shelf(1), after(shelf(1)))).toBe(true);
  // One that is not in stock, and a weighing of another kind, are never told of.
  expect(isToldOf(shelf(99), stock)).toBe(true);
  expect(isToldOf(bagTaken({ kind: "sealed" }), stock)).toBe(true);
});

test("what somebody has to see to stands first in the list", () => {
  const words = ["no-gain-seen", "gaining-moisture", "cannot-tell", "watch"] as const;
  const lines = words.map((word, bag) => ({
    ...aLine(),
    bag,
    word,
    gainGrams: 0,
    gainPct: 0,
    divisionGrams: 0.1,
  }));
  expect(byUrgency(lines).map(({ word }) => word)).toEqual([
    "gaining-moisture",
    "watch",
    "cannot-tell",
    "no-gain-seen",
  ]);
});
