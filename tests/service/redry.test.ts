import { expect, test } from "vitest";
import { fromBag, redried, refuseForTray } from "../../src/service/redry.ts";
import { fraction, grams } from "../../src/units/quantity.ts";
import { aBag, aBagWeighing } from "../store/bags.ts";
import { later, noon } from "../store/facts.ts";
import { Played } from "./given.ts";

const moisture = { estimate: fraction(0.02), low: fraction(0.005), high: fraction(0.04) };
const day = 24 * 60;
const limit = fraction(0.01);

/** 100 g dry in a bag of 8 g, sealed at 110 g; weighed on the shelf as given, after days. */
function bagOf(...shelf: readonly (readonly [day: number, gross: number])[]) {
  return aBag(1, {
    moisture,
    typedTare: grams(8),
    weighings: [
      { ...aBagWeighing(1, 1, "filled", 108), at: noon },
      { ...aBagWeighing(2, 1, "sealed", 110), at: later(1) },
      ...shelf.map(([after, gross], index) => ({
        ...aBagWeighing(3 + index, 1, "shelf", gross),
        at: later(after * day),
      })),
    ],
  });
}

test("a bag's food is wetter than when it was packed by what the bag gained", () => {
  const dry = fromBag(bagOf(), limit, later(60 * day), []);
  expect(dry.food?.water).toBeCloseTo(0.02, 9);
  expect(dry.fromBag).toBe(1);
  expect(dry.cautions.join(" ")).toMatch(/dried before/);
  const damp = fromBag(bagOf([4, 110], [60, 114], [61, 114]), limit, later(62 * day), []);
  // 100 g held 2 g of water; 4 g more make 6 g in 104 g.
  expect(damp.food?.water).toBeCloseTo(6 / 104, 3);
});

test("only food that is in a bag goes onto a tray, and only once", () => {
  const bag = bagOf();
  expect(() => refuseForTray(bag, false)).not.toThrow();
  expect(() => refuseForTray(bag, true)).toThrow(/on a tray already/);
  expect(() => refuseForTray(aBag(1), false)).toThrow(/is planned/);
});

test("a bag whose food goes onto a tray leaves the store and says where to", () => {
  const played = new Played();
  played.act(() => [{ is: "bag-planned", bag: bagOf() }]);
  const tied = [{ tray: "A", bagId: 1 }];
  const [fate] = redried(played.bench, tied, 12, played.at());
  expect(fate).toMatchObject({
    is: "bag-fate",
    fate: { bagId: 1, fate: "re-dry", note: "onto tray A of batch 12" },
  });
  played.act((bench) => redried(bench, tied, 12, played.at()));
  expect(played.bench.bags).toEqual([]);
  expect(redried(played.bench, tied, 12, played.at())).toEqual([]);
});
