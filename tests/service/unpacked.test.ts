import { expect, test } from "vitest";
import type { Bag } from "../../src/bag/bag.ts";
import { gainSinceVerdict, stateOf, targetOf } from "../../src/bag/state.ts";
import { planBags, type BagsAsked } from "../../src/service/bagplan.ts";
import { weighBag } from "../../src/service/bagweighings.ts";
import { setFate, takeFateBack } from "../../src/service/bags.ts";
import { withFreshNow } from "../../src/service/freshnow.ts";
import { unpackedOf } from "../../src/service/unpacked.ts";
import * as weighings from "../../src/service/weighings.ts";
import { fraction, grams } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";
import { dried, plainBags, Played, strawberries, trayAsked } from "./given.ts";

const some = (mass: number | null, portion: number | null = null): Partial<BagsAsked> => ({
  trays: [{ trayId: 1, portion, grams: mass === null ? null : grams(mass) }],
});
const plan = (played: Played, count: number, more: Partial<BagsAsked> = {}): void =>
  played.act((bench) =>
    planBags(
      bench,
      played.batch,
      bench.bags,
      { ...plainBags(count), although: "a test", ...more },
      played.at(),
    ),
  );
const bag = (played: Played, id: number): Bag => played.bench.bags.find((one) => one.id === id)!;
/** Net; the empty bag is 8 g. A minute later than what was before. */
const fill = (played: Played, id: number, net: number): void => {
  played.hour += 1 / 60;
  const weighing = {
    kind: "filled",
    gross: grams(8 + net),
    division: grams(0.1),
    scale: null,
    source: "typed",
    zeroSeen: true,
    at: played.at(),
  } as const;
  played.act((bench) => weighBag(bench, id, weighing, played.at()));
};
/** The tray as it lies there, or one of its foods alone, is weighed once more: net. */
const weighAgain = (
  played: Played,
  net: number,
  { tare = 400, portion = null as number | null, foodTaken = false } = {},
): void => {
  played.hour += 1 / 60;
  const asked = { trayId: 1, kind: "dry", portion, division: grams(0.1) } as const;
  played.act((bench) =>
    weighings.typeWeighing(bench, {
      ...asked,
      gross: grams(tare + net),
      at: played.at(),
      now: played.at(),
    }),
  );
  if (!foodTaken) return;
  const { id } = played.batch.weighings.at(-1)!;
  const edit = { trayId: null, kind: null, gross: null, struck: false, foodTaken: true } as const;
  played.act((bench) => weighings.editWeighing(bench, id, { ...edit, reason: "packed" }));
};
const left = (played: Played): (number | null)[] =>
  unpackedOf(played.batch, played.bench.bags).map((one) => one.left);
const fresh = (played: Played): (number | null)[] =>
  unpackedOf(played.batch, played.bench.bags).map((one) => one.fresh);

test.each([true, false])(
  "a bag that was filled before its tray was weighed again is not taken off what it weighed then (food taken off: %s)",
  (foodTaken) => {
    const played = dried();
    plan(played, 1, some(50));
    fill(played, 1, 50);
    weighAgain(played, 52, { foodTaken });
    expect(left(played)).toEqual([52]);
    // 907.2 g fresh were 102 g dry.
    expect(fresh(played)[0]).toBeCloseTo((907.2 * 52) / 102, 1);
    plan(played, 1, some(50));
    expect(bag(played, 2).freshPerDry).toBeCloseTo(907.2 / 102, 3);
    // What is only planned still lies on the tray.
    expect(left(played)).toEqual([2]);
    weighAgain(played, 52);
    expect(left(played)).toEqual([2]);
    fill(played, 2, 50);
    expect(left(played)).toEqual([2]);
    weighAgain(played, 1.9);
    expect(left(played)).toEqual([1.9]);
    // Nor does a label say that its fresh weight was put right.
    for (const one of played.bench.bags)
      expect(withFreshNow(one, played.batch, played.bench.bags)).toBe(one);
  },
);

test("food eaten beside what was packed is missing from what is left, and from its fresh mass", () => {
  const played = dried();
  plan(played, 1, some(50));
  fill(played, 1, 50);
  weighAgain(played, 42, { foodTaken: true });
  expect(left(played)).toEqual([42]);
  expect(fresh(played)[0]).toBeCloseTo((907.2 * 42) / 102, 1);
});

test("half a tray packed wet and the rest dried on: the rest stands for half of what was fresh", () => {
  const played = new Played();
  played.startBatch(["A"]);
  played.put(400 + 900);
  played.lift();
  played.clock("in");
  played.hour = 10;
  played.clock("out");
  played.put(400 + 500);
  played.lift();
  plan(played, 1, some(250));
  fill(played, 1, 250);
  played.clock("in");
  played.hour = 30;
  played.clock("out");
  weighAgain(played, 50);
  expect(left(played)).toEqual([50]);
  expect(fresh(played)[0]).toBeCloseTo(450, 1);
});

/** 600 g of strawberries and 400 g of another food on one tray, dried. Masses are invented. */
function twoFoods(net = 157, water = 0.7491): Played {
  const bananas = { ...strawberries, name: "Bananas, raw", water: fraction(water) };
  const portions = [strawberries, bananas].map((food, index) => ({
    place: index + 1,
    foodName: food.name,
    food,
    cautions: [],
    thicknessMm: null,
    target: grams([600, 400][index] ?? 0),
    fromBag: null,
  }));
  const played = new Played();
  played.begin([trayAsked("A", { foodName: "both", food: bananas, portions, cautions: [] })]);
  for (const gross of [412, 1012, 1412]) {
    played.put(gross);
    played.hour += 0.01;
  }
  played.lift();
  played.clock("in");
  played.hour = 30;
  played.clock("out");
  weighAgain(played, net, { tare: 412 });
  return played;
}

test("of two foods the one that was packed by itself is gone when the rest is weighed, and the other is all there", () => {
  const played = twoFoods();
  const [strawberriesLeft, bananasLeft] = left(played);
  expect(strawberriesLeft! + bananasLeft!).toBeCloseTo(157, 9);
  plan(played, 1, some(null, 1));
  fill(played, 1, strawberriesLeft!);
  weighAgain(played, bananasLeft!, { tare: 412 });
  expect(left(played)).toEqual([0, bananasLeft]);
  expect(fresh(played)[1]).toBeCloseTo(400, 1);
});

test("one of two foods weighed alone after some of it was packed is what is left of it", () => {
  const played = twoFoods();
  const [, bananasLeft] = left(played);
  plan(played, 1, some(30, 1));
  fill(played, 1, 30);
  weighAgain(played, 26, { tare: 412, portion: 1 });
  const [strawberriesNow, bananasNow] = left(played);
  expect(strawberriesNow).toBe(26);
  expect(bananasNow).toBeCloseTo(157 - 56, 9);
  expect(bananasLeft).not.toBe(bananasNow);
  // Of all of it as it lay there: a share of each.
  const mixed = twoFoods();
  plan(mixed, 1, some(78.5));
  fill(mixed, 1, 78.5);
  weighAgain(mixed, 28, { tare: 412, portion: 1 });
  expect(left(mixed)[0]).toBeCloseTo(28, 2);
  expect(left(mixed).reduce<number>((sum, one) => sum + (one ?? 0), 0)).toBeCloseTo(78.5, 2);
});

test("however often bags are filled and the tray is weighed, what is left is what it weighed less what was planned since", () => {
  const deed = fc.oneof(
    fc.record({ is: fc.constant("pack" as const), share: fc.integer({ min: 10, max: 60 }) }),
    fc.record({ is: fc.constant("weigh" as const), lost: fc.integer({ min: 0, max: 3 }) }),
  );
  fc.assert(
    fc.property(fc.array(deed, { minLength: 1, maxLength: 8 }), (deeds) => {
      const played = dried();
      let onTrayMg = 102_000;
      let bags = 0;
      for (const one of deeds)
        if (one.is === "pack") {
          const mg = Math.round((onTrayMg * one.share) / 10_000) * 100;
          if (mg < 5000) continue;
          plan(played, 1, some(mg / 1000));
          fill(played, (bags += 1), mg / 1000);
          onTrayMg -= mg;
        } else {
          onTrayMg -= one.lost * 100;
          weighAgain(played, onTrayMg / 1000);
          expect(left(played)).toEqual([onTrayMg / 1000]);
        }
      expect(left(played)).toEqual([onTrayMg / 1000]);
    }),
    { numRuns: 20 },
  );
});

test("what the last bag did not take is left on the tray, and goes into another", () => {
  const played = dried();
  plan(played, 2);
  fill(played, 1, 51);
  expect(left(played)).toEqual([0]);
  fill(played, 2, 40);
  expect(left(played)).toEqual([11]);
  plan(played, 1);
  expect(bag(played, 3).target).toBe(11);
  expect(left(played)).toEqual([0]);
});

test("what a bag did not take of its plan is for the open bags of that plan, and left when none is open", () => {
  const played = dried();
  plan(played, 3, some(90));
  fill(played, 1, 20);
  expect(left(played)).toEqual([12]);
  fill(played, 2, 35);
  // 35 g are still to go into the third.
  expect(left(played)).toEqual([12]);
  played.act((bench) => setFate(bench, 3, "cancelled", null, played.at()));
  expect(left(played)).toEqual([47]);
});

test("a bag that took less than its part of the tray leaves the rest, which is no moisture when it is packed", () => {
  const played = dried();
  plan(played, 1, some(60));
  fill(played, 1, 55);
  expect(left(played)).toEqual([47]);
  plan(played, 1);
  fill(played, 2, 47);
  expect(gainSinceVerdict([bag(played, 2)])).toBeNull();
  expect(left(played)).toEqual([0]);
});

test("two bags that took what was planned for three leave nothing when the third is cancelled", () => {
  const played = dried();
  plan(played, 3);
  fill(played, 1, 51);
  fill(played, 2, 51);
  expect(left(played)).toEqual([0]);
  played.act((bench) => setFate(bench, 3, "cancelled", null, played.at()));
  expect(left(played)).toEqual([0]);
});

test("bags that hold what was planned but for what a fill may miss leave no crumbs, each alone or all together", () => {
  const near = dried();
  plan(near, 2);
  fill(near, 1, 50.6);
  fill(near, 2, 50.7);
  expect(left(near)).toEqual([0]);
  // Each a little too full, and the last with what there was.
  const played = dried();
  plan(played, 6);
  for (const id of [1, 2, 3, 4, 5]) fill(played, id, 17.1);
  fill(played, 6, 16.4);
  expect(left(played)).toEqual([0]);
  // More than there was: nothing is left, and not less than that.
  const damp = dried();
  plan(damp, 1);
  fill(damp, 1, 106);
  expect(left(damp)).toEqual([0]);
});

const cancel = (played: Played, id: number): void =>
  played.act((bench) => setFate(bench, id, "cancelled", null, played.at()));
const packAfterAll = (played: Played, id: number) => (): void =>
  played.act((bench) =>
    takeFateBack(bench, bag(played, id), {
      batch: played.batch,
      bagged: bench.bags,
      redriedIn: null,
      note: null,
      at: played.at(),
    }),
  );

test("a cancelled bag whose food was planned anew is not packed after all", () => {
  const played = dried();
  plan(played, 2);
  cancel(played, 2);
  packAfterAll(played, 2)();
  cancel(played, 2);
  plan(played, 1, some(30));
  expect(packAfterAll(played, 2)).toThrow(
    "A has 21.0 g that are not in bags yet, 51.0 g were asked for",
  );
  expect(stateOf(bag(played, 2))).toBe("cancelled");
  cancel(played, 3);
  packAfterAll(played, 2)();
  expect(bag(played, 2).fates).toHaveLength(4);
  expect(left(played)).toEqual([0]);
});

test("a cancelled bag comes back for what the others of its plan left to it", () => {
  const played = dried();
  plan(played, 2);
  fill(played, 1, 60);
  cancel(played, 2);
  expect(left(played)).toEqual([42]);
  packAfterAll(played, 2)();
  expect(left(played)).toEqual([0]);
  expect(targetOf(bag(played, 2), played.bench.bags, grams(0.1))).toBe(42);
});

test("of two foods that lost more than their water neither vanishes, and the rest of the tray can be planned", () => {
  // 90.95 and 60 % water leave 54.3 and 160 g.
  const played = twoFoods(150, 0.6);
  const [strawberriesLeft, otherLeft] = left(played);
  expect(strawberriesLeft).toBeCloseTo((150 * 54.3) / 214.3, 2);
  expect(strawberriesLeft! + otherLeft!).toBeCloseTo(150, 9);
  plan(played, 1, some(null, 1));
  plan(played, 1, some(20, 2));
  expect(left(played)[0]).toBe(0);
  plan(played, 1);
  expect(bag(played, 3).target).toBeCloseTo(otherLeft! - 20, 9);
  expect(bag(played, 3).freshPerDry).toBeCloseTo(400 / otherLeft!, 6);
  expect(left(played)).toEqual([0, 0]);
});

test("a food of which nothing is on the tray by later masses is not in what is left, and makes no error of it", () => {
  const played = twoFoods();
  weighAgain(played, 157, { tare: 412, portion: 1 });
  plan(played, 1, some(20, 1));
  plan(played, 1);
  expect(bag(played, 2).target).toBe(137);
  expect(bag(played, 2).freshPerDry).toBeCloseTo(600 / 157, 6);
});
