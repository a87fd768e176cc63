import { expect, test } from "vitest";
import type { Bag } from "../../src/bag/bag.ts";
import {
  buoyancyOf,
  judgeRecheck,
  teaspoonsOf,
  type Recheck,
  type ShelfWeighing,
} from "../../src/bag/recheck.ts";
import { fraction, grams, utcMs } from "../../src/units/quantity.ts";

const day = 86_400_000;
const sealedAt = Date.UTC(2026, 10, 25, 12);
const on = (days: number) => utcMs(sealedAt + days * day);

type Seen = readonly [days: number, gross: number];
const weighing = ([days, gross]: Seen, division: number): ShelfWeighing => ({
  gross: grams(gross),
  division: grams(division),
  scale: "scale-1",
  at: on(days),
});

const moisture = { estimate: fraction(0.02), low: fraction(0.005), high: fraction(0.035) };
type About = Pick<Bag, "container" | "volumeMl" | "absorbers" | "moisture">;
const softQuart: About = {
  container: "soft",
  volumeMl: 946.35,
  absorbers: { count: 1, cc: 300 },
  moisture,
};
const jar: About = { ...softQuart, container: "jar" };

const judged = (
  bag: About,
  { net = 100, division = 0.1, sealed = 120, now = 400 },
  ...shelf: readonly Seen[]
) =>
  judgeRecheck({
    bag,
    net: grams(net),
    sealed: weighing([0, sealed], division),
    shelf: shelf.map((one) => weighing(one, division)),
    limit: fraction(0.1),
    now: on(now),
    comparisons: [],
  });
const codes = (found: ReturnType<typeof judged>) => found.reasons.map(({ code }) => code);

test("+2.5 g on 100 g at 0.1 g, confirmed by a second weighing: 2.5 %, gaining moisture", () => {
  const once = judged(jar, {}, [3, 120], [60, 122.5]);
  expect(once.word).toBe("watch");
  expect(once.weighAgain).not.toBeNull();
  const twice = judged(jar, {}, [3, 120], [60, 122.5], [61, 122.5]);
  expect(twice.word).toBe("gaining-moisture");
  expect(twice.gain).toBeCloseTo(2.5, 9);
  expect(twice.gainShare).toBeCloseTo(0.025, 9);
  expect(twice.baseline).toBe(120);
  // No finer than the scale.
  expect(twice.text).toMatch(/^It gained 2\.5 g, 2\.5 % /);
});

test("+1 g on 100 g on a 1 g scale: cannot tell, and says what this scale can prove", () => {
  const found = judged(jar, { division: 1 }, [3, 120], [60, 121], [61, 121]);
  expect(found.word).toBe("cannot-tell");
  // 3·√2·d/√12 for d = 1 g.
  expect(found.provable).toBeCloseTo((3 * Math.SQRT2) / Math.sqrt(12), 9);
  expect(codes(found)).toContain("too-coarse");
  // A bound of 1.22 g, which this scale cannot show: the next that it can.
  expect(found.text).toContain("prove a gain of 2 g on");
});

// Common practice, no source: dry fruit in room air overnight takes up 1.5 g on 50 g. US teaspoon: NIST SP 811 B.8.
test("1.5 g on 50 g is 3 %, about 0.3 teaspoon", () => {
  const found = judged(jar, { net: 50, sealed: 70 }, [3, 70], [30, 71.5], [31, 71.5]);
  expect(found.gainShare).toBeCloseTo(0.03, 9);
  expect(found.teaspoons).toBeCloseTo(0.3, 1);
  expect(teaspoonsOf(grams(4.92892 * 0.99821))).toBeCloseTo(1, 4);
});

// ρ of dry air at 20 °C, 101.325 kPa: 28.9647 g/mol × p/(RT) = 1.2041 g/L; 189.9 mL of oxygen are in the bag.
test("an absorber that draws a soft bag in reads as +0.23 g: never called a gain", () => {
  expect(buoyancyOf(softQuart, grams(60))).toBeCloseTo(
    ((101_325 * 28.9647) / (8.314462618 * 293.15) / 1e6) * 189.9,
    3,
  );
  expect(buoyancyOf(jar, grams(60))).toBe(0);
  const early = judged(softQuart, { net: 30, sealed: 50, now: 1 }, [1, 50.2]);
  expect(early.word).toBe("cannot-tell");
  expect(codes(early)).toContain("drawn-in");
  expect(early.gain).toBe(0);
  const settled = judged(softQuart, { net: 30, sealed: 50, now: 3 }, [3, 50.2]);
  expect(settled.baseline).toBe(50.2);
  expect(settled.word).toBe("no-gain-seen");
  const later = judged(softQuart, { net: 30, sealed: 50 }, [3, 50.2], [90, 50.2]);
  expect(later.word).toBe("no-gain-seen");
  expect(later.gain).toBe(0);
});

test("until the baseline is confirmed, the pace can be that of the whole rise or of none of it", () => {
  const { gain, gainPerMonth } = judged(softQuart, { net: 60, sealed: 50, now: 1 }, [1, 50.2]);
  const months = 1 / (365.2425 / 12);
  const error = 1.645 * 0.1 * Math.sqrt(2 / 12);
  expect(gain).toBe(0);
  expect(gainPerMonth?.estimate).toBe(0);
  expect(gainPerMonth?.low).toBeCloseTo(-error / months, 2);
  expect(gainPerMonth?.high).toBeCloseTo((0.2 + error) / months, 2);
});

test("a rise before the baseline beyond buoyancy and scale is a gain, and no baseline", () => {
  const found = judged(softQuart, {}, [3, 121.5]);
  expect(found.baseline).toBeNull();
  expect(codes(found)).toContain("rose-before-baseline");
  expect(found.word).toBe("watch");
  expect(judged(softQuart, {}, [3, 121.5], [3.01, 121.5]).word).toBe("gaining-moisture");
  // The same rise in a jar of rigid walls, less than what may be called a gain, is watched all the same.
  expect(judged(jar, {}, [3, 120.3]).word).toBe("watch");
});

test("the second weighing is asked for from the second to the seventh day", () => {
  const fresh = judged(jar, { now: 0.1 });
  expect(fresh.word).toBe("not-checked");
  expect(fresh.weighAgain).toMatchObject({ from: on(2), to: on(7) });
  expect(judged(jar, { now: 1 }, [1, 120]).weighAgain).toMatchObject({ from: on(2) });
  expect(judged(jar, { now: 4 }, [3, 120]).weighAgain).toBeNull();
});

test("a bag first weighed after months is compared with its sealing, less what buoyancy explains", () => {
  const found = judged(softQuart, {}, [90, 122], [91, 122]);
  expect(codes(found)).toContain("baseline-missed");
  expect(found.gain).toBeCloseTo(2 - buoyancyOf(softQuart, grams(100)), 9);
  expect(found.word).toBe("gaining-moisture");
  expect(judged(softQuart, {}, [90, 120.2]).word).toBe("cannot-tell");
  expect(judged(jar, {}, [90, 120]).word).toBe("no-gain-seen");
});

test("a bag that is lighter than before is not called tight", () => {
  const found = judged(jar, {}, [3, 120], [60, 118]);
  expect(found.word).toBe("cannot-tell");
  expect(codes(found)).toContain("lighter");
});

test("a gain may be oxygen up to what the absorbers hold: 300 cc are 0.40 g", () => {
  const found = judged(softQuart, {}, [3, 120], [60, 122.5], [61, 122.5]);
  // 31.998 g/mol at 20 °C, 101.325 kPa by the gas law.
  expect(found.oxygen).toBeCloseTo(((101_325 * 31.998) / (8.314462618 * 293.15) / 1e6) * 300, 2);
});

test("gain per month and months left come with an interval that narrows with time", () => {
  const soon = judged(jar, {}, [3, 120], [33.436875, 122]);
  const late = judged(jar, {}, [3, 120], [185.62, 132], [186, 132]);
  expect(soon.gainPerMonth?.estimate).toBeCloseTo(2, 3);
  const width = (found: typeof soon) => found.gainPerMonth!.high - found.gainPerMonth!.low;
  expect(width(late)).toBeLessThan(width(soon) / 5);
  // Wet basis 2 % to 10 %: 100·0.98/0.90 − 100 = 8.889 g of room; 2 g used at 2 g a month.
  expect(soon.monthsLeft?.estimate).toBeCloseTo((8.8889 - 2) / 2, 2);
  expect(soon.monthsLeft!.low).toBeLessThan(soon.monthsLeft!.estimate!);
  expect(soon.monthsLeft!.high!).toBeGreaterThan(soon.monthsLeft!.estimate!);
  expect(late.monthsLeft?.estimate).toBe(0);
});

test("no gain seen leaves no end in sight, only the soonest that cannot be excluded", () => {
  const { monthsLeft } = judged(jar, {}, [3, 120], [90, 120]);
  expect(monthsLeft?.estimate).toBeNull();
  expect(monthsLeft?.high).toBeNull();
  expect(monthsLeft!.low).toBeGreaterThan(12);
});

test("two scales may differ: the smallest provable gain grows by that", () => {
  const one = weighing([0, 120], 0.1);
  const other = { ...weighing([60, 120.9], 0.1), scale: "scale-2" };
  const found = judgeRecheck({
    bag: jar,
    net: grams(100),
    sealed: one,
    shelf: [weighing([3, 120], 0.1), other],
    limit: fraction(0.1),
    now: on(61),
    comparisons: [],
  });
  expect(codes(found)).toContain("other-scale");
  expect(found.provable).toBeGreaterThan(0.7);
  expect(found.word).not.toBe("gaining-moisture");
});

test("an offset found by one load on both is taken off a bag's gain, and is no gain", () => {
  const one = weighing([0, 120], 0.1);
  const onOther = (day: number, gross: number) => ({
    ...weighing([day, gross], 0.1),
    scale: "scale-2",
  });
  const compared = {
    id: 1,
    one: one.scale!,
    other: "scale-2",
    oneShown: grams(118),
    otherShown: grams(120),
    oneDivision: grams(0.1),
    otherDivision: grams(0.1),
    at: on(1),
    takesBack: null,
  };
  const judgedWith = (comparisons: readonly (typeof compared)[]) =>
    judgeRecheck({
      bag: jar,
      net: grams(100),
      sealed: one,
      shelf: [weighing([3, 120], 0.1), onOther(60, 122), onOther(61, 122)],
      limit: fraction(0.1),
      now: on(62),
      comparisons,
    });
  // 2 g at 118 g are all that the other scale shows more.
  expect(judgedWith([]).word).toBe("gaining-moisture");
  const known = judgedWith([compared]);
  expect(known.word).toBe("no-gain-seen");
  expect(known.gain).toBeCloseTo(0, 1);
  expect(known.provable).toBeLessThan(judgedWith([]).provable);
  const noteOf = (found: Recheck) => found.reasons.find(({ code }) => code === "other-scale");
  expect(noteOf(known)?.text).toMatch(/2\.0\d ± 0\.\d\d g, found/);
  expect(noteOf(known)?.offset?.offset).toBeCloseTo(2, 1);
  expect(noteOf(judgedWith([]))?.text).toMatch(/not known: put one load on both/);
  expect(noteOf(judgedWith([]))?.offset).toBeUndefined();
});

test.each([
  ["with a cup beside it", 133],
  ["taken for another bag", 112],
])("a first check %s is no baseline, and the next one is", (_how, mistaken) => {
  const found = judged(jar, { now: 5 }, [3, mistaken], [3.01, 120]);
  expect(found).toMatchObject({ word: "no-gain-seen", baseline: 120 });
  expect(codes(found)).toEqual(["within-error"]);
  // A leak does not go back.
  const leaking = judged(jar, { now: 8 }, [3, 121], [5, 122]);
  expect(leaking.baseline).toBeNull();
  expect(codes(leaking)).toContain("rose-before-baseline");
});
