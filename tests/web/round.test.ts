import { expect, test } from "vitest";
import { afterWeighing, byUrgency, newRound, nextInRound } from "../../web/src/round.ts";
import { aLine, bagTaken, finding, gaining, stock } from "./bags.ts";

const shelf = (bag: number, found = finding()) =>
  bagTaken({ bag, code: `17-${bag}`, kind: "shelf", finding: found });
const once = finding({ word: "watch", reasons: [{ code: "once-only", text: "" }] });

test("bags that are due come first, then the oldest; an opened one never", () => {
  expect(nextInRound(newRound, stock)).toBe(1);
  const one = afterWeighing(newRound, shelf(1));
  expect(nextInRound(one, stock)).toBe(4);
  const two = afterWeighing(one, shelf(4));
  expect(nextInRound(two, stock)).toBe(2);
  expect(nextInRound(afterWeighing(two, shelf(2)), stock)).toBeNull();
});

test("a gain that was seen once is asked for a second time, once, and stands in the list once", () => {
  const first = afterWeighing(newRound, shelf(1, once));
  expect(nextInRound(first, stock)).toBe(1);
  const second = afterWeighing(first, shelf(1, once));
  expect(nextInRound(second, stock)).toBe(4);
  expect(second.done).toHaveLength(1);
  const confirmed = afterWeighing(first, shelf(1, gaining));
  expect(confirmed.done.map(({ word }) => word)).toEqual(["gaining-moisture"]);
});

test("a bag that was passed over is not asked for again", () => {
  expect(nextInRound({ ...newRound, passed: [1] }, stock)).toBe(4);
});

test("a weighing of another kind is none of the round", () => {
  expect(afterWeighing(newRound, bagTaken({ kind: "sealed" }))).toBe(newRound);
});

test("what somebody has to see to stands first in the list", () => {
  const words = ["no-gain-seen", "gaining-moisture", "cannot-tell", "watch"] as const;
  const lines = words.map((word, bag) => ({ ...aLine(), bag, word, gainGrams: 0, gainPct: 0 }));
  expect(byUrgency(lines).map(({ word }) => word)).toEqual([
    "gaining-moisture",
    "watch",
    "cannot-tell",
    "no-gain-seen",
  ]);
});
