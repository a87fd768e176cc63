// Figures worked out by hand from JCGM 100:2008 (a division d is known to d/√12, F.2.2.1; independent parts add as
// squares, 5.1.2; of one mean, weights go by 1/u²) and our own 0.4 divisions for putting a load down again.
import { expect, test } from "vitest";
import { bringing, offsetBetween, unknownOffsetShare } from "../../src/tray/offset.ts";
import type { ScaleComparison } from "../../src/tray/offset.ts";
import { grams, utcMs } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";

const comparison = (
  id: number,
  oneShown: number,
  otherShown: number,
  more: Partial<ScaleComparison> = {},
): ScaleComparison => ({
  id,
  one: "A",
  other: "B",
  oneShown: grams(oneShown),
  otherShown: grams(otherShown),
  oneDivision: grams(0.1),
  otherDivision: grams(0.1),
  at: utcMs(id * 60_000),
  takesBack: null,
  ...more,
});
/** √(2 · (0.1²/12 + 0.04²)) */
const uOfOne = 0.06976149845485452;

test("B shows 1.2 g more than A at 850 g, from one load on both, either way round", () => {
  const found = offsetBetween([comparison(1, 850, 851.2)], "B", "A");
  expect(found?.offset).toBeCloseTo(1.2, 10);
  expect(found?.u).toBeCloseTo(uOfOne, 10);
  expect(found).toMatchObject({ atLoad: 850, count: 1, spread: null, lastAt: 60_000 });
  expect(offsetBetween([comparison(1, 850, 851.2)], "A", "B")?.offset).toBeCloseTo(-1.2, 10);
});

test("comparisons average, their spread is told, and rounding does not average away", () => {
  const three = [comparison(1, 850, 851.2), comparison(2, 850, 851.3), comparison(3, 850, 851.1)];
  const found = offsetBetween(three, "B", "A");
  expect(found?.offset).toBeCloseTo(1.2, 10);
  expect(found?.spread).toBeCloseTo(0.1, 10);
  // The scatter of 0.1 g is more than the 0.07 g expected of each: 0.0577 = 0.1/√3.
  expect(found?.u).toBeCloseTo(0.1 / Math.sqrt(3), 6);
  const alike = Array.from({ length: 50 }, (_, i) => comparison(i + 1, 850, 851.2));
  expect(offsetBetween(alike, "B", "A")?.u).toBeCloseTo(Math.hypot(0.1, 0.1) / Math.sqrt(12), 10);
});

test("a comparison that was taken back counts no more, and the rest does", () => {
  const wrong = comparison(2, 850, 880);
  const rows = [comparison(1, 850, 851.2), wrong, { ...wrong, id: 3, takesBack: 2 }];
  expect(offsetBetween(rows, "B", "A")).toMatchObject({ count: 1 });
  expect(offsetBetween(rows.slice(1), "B", "A")).toBeNull();
});

test("the offset grows with the load, and is known the worse the further from what was compared", () => {
  const rows = [comparison(1, 850, 851.7)];
  // What B shows of 425, 850 and 1,700 g on A.
  const half = bringing(rows, "B", "A", grams(425.85));
  const same = bringing(rows, "B", "A", grams(851.7));
  const double = bringing(rows, "B", "A", grams(1703.4));
  expect([half.offset, same.offset, double.offset].map((g) => Number(g.toFixed(3)))).toEqual([
    0.85, 1.7, 3.4,
  ]);
  expect(half.u).toBeGreaterThan(same.u);
  expect(double.u).toBeGreaterThan(half.u);
});

test("scales that were never compared, or too coarsely, may differ by our allowance", () => {
  const unknown = { offset: 0, isKnown: false };
  expect(bringing([], "B", "A", grams(600))).toMatchObject({
    ...unknown,
    u: unknownOffsetShare * 600,
  });
  const coarse = comparison(1, 500, 500, { oneDivision: grams(5), otherDivision: grams(5) });
  expect(bringing([coarse], "B", "A", grams(600))).toMatchObject(unknown);
  expect(bringing([comparison(1, 850, 851.2)], "C", "A", grams(600))).toMatchObject(unknown);
});

test("two standard uncertainties hold the true offset in at least 93 of 100 made-up pairs of scales", () => {
  // Made-up scales: a true share of 0.3 %, loads put down with 0.4 divisions of scatter, figures rounded to the step.
  let held = 0;
  const tries = 2000;
  const run = (seed: number): void => {
    const [random] = fc.sample(
      fc.array(fc.double({ min: 0.0001, max: 0.9999, noNaN: true }), {
        minLength: 13,
        maxLength: 13,
      }),
      { seed, numRuns: 1 },
    );
    const normal = (i: number) =>
      Math.sqrt(-2 * Math.log(random![i]!)) * Math.cos(2 * Math.PI * random![i + 1]!);
    const rounded = (mass: number) => Math.round(mass * 10) / 10;
    const load = 600 + 400 * random![12]!;
    const rows = [0, 1, 2].map((i) => {
      const [a, b] = [normal(4 * i), normal(4 * i + 2)];
      return comparison(i + 1, rounded(load + 0.04 * a), rounded(load * 1.003 + 0.04 * b));
    });
    const found = offsetBetween(rows, "B", "A")!;
    if (Math.abs(found.offset - 0.003 * found.atLoad) <= 2 * found.u) held += 1;
  };
  for (let seed = 1; seed <= tries; seed++) run(seed);
  expect(held / tries).toBeGreaterThanOrEqual(0.93);
});
