import { expect, test } from "vitest";
import type { TrayLog } from "../../src/tray/weighing.ts";
import { fraction, grams } from "../../src/units/quantity.ts";
import { judgeBatch } from "../../src/verdict/judge.ts";
import { kitchenGrams } from "../../src/verdict/rules.ts";
import fc from "../rig/properties.ts";
import { judgeTray, logOf, potatoes, settings, strawberries, type LogOptions } from "./logs.ts";

/** Made-up trays that dry to an end along a simple exponential after a straight fall: enough for what must always hold. */
const traysOn = (divisions: readonly number[]) =>
  fc
    .record({
      fresh: fc.integer({ min: 250, max: 1500 }),
      solids: fc.double({ min: 0.07, max: 0.24, noNaN: true }),
      kneeHour: fc.double({ min: 8, max: 24, noNaN: true }),
      k: fc.double({ min: 0.15, max: 0.6, noNaN: true }),
      first: fc.double({ min: 0.5, max: 1.8, noNaN: true }),
      step: fc.constantFrom(2, 3, 4),
      count: fc.integer({ min: 1, max: 6 }),
      division: fc.constantFrom(...divisions),
      food: fc.constantFrom(null, strawberries, potatoes),
      noise: fc.array(fc.double({ min: -0.8, max: 0.8, noNaN: true }), {
        minLength: 8,
        maxLength: 8,
      }),
    })
    .map(({ fresh, solids, kneeHour, k, first, step, count, division, food, noise }) => {
      const dry = fresh * (food === null ? solids : (1 - food.water) * (0.95 + 0.1 * solids));
      const netAt = (hour: number): number => {
        const bound = 0.05 * dry * Math.exp(-k * Math.max(hour - kneeHour, 0));
        return 1.02 * dry + bound + (fresh - 1.07 * dry) * Math.max(1 - hour / kneeHour, 0);
      };
      const rows = Array.from({ length: count }, (_, i): [number, number] => {
        const hour = kneeHour * first + i * step;
        return [hour, Math.max(Math.round(netAt(hour) / division + noise[i]!), 1) * division];
      });
      return { rows, end: 1.02 * dry, options: { division, fresh, food } satisfies LogOptions };
    });

const trays = traysOn([0.1, 0.5, 1, 2, 5]);

const runs = { numRuns: 40, seed: 20261125 };

test("the order of rows changes nothing but the order of the answer", () => {
  fc.assert(
    fc.property(
      trays,
      trays,
      fc.array(fc.nat(), { minLength: 20, maxLength: 20 }),
      (one, two, keys) => {
        const a = logOf(one.rows, { ...one.options, tray: "A" });
        const b = logOf(two.rows, { ...two.options, tray: "B" });
        const mixed = {
          ...a,
          weighings: a.weighings
            .map((weighing, i) => ({ weighing, key: keys[i % keys.length]! }))
            .toSorted((x, y) => x.key - y.key)
            .map(({ weighing }) => weighing),
        };
        const there = judgeBatch([a, b], settings);
        const back = judgeBatch([b, mixed], settings);
        expect(back.verdict).toBe(there.verdict);
        expect(back.trays[1]!.verdict).toBe(there.trays[0]!.verdict);
        expect(back.trays[1]!.pDry).toBeCloseTo(there.trays[0]!.pDry, 9);
        expect(back.trays[0]!.pDry).toBeCloseTo(there.trays[1]!.pDry, 9);
        expect(back.trays[1]!.contradiction?.ref).toBe(there.trays[0]!.contradiction?.ref);
      },
    ),
    { ...runs, numRuns: 25 },
  );
});

test("a larger stated division never looks surer of the same word, and never proves a smaller loss", () => {
  fc.assert(
    fc.property(trays, fc.constantFrom(1.3, 2, 5, 10), ({ rows, options }, times) => {
      const fine = judgeTray(logOf(rows, options), settings);
      const coarse = judgeTray(
        logOf(rows, { ...options, division: options.division * times }),
        settings,
      );
      if (fine.provable !== null && coarse.provable !== null)
        expect(coarse.provable).toBeGreaterThanOrEqual(fine.provable);
      if (coarse.verdict === fine.verdict && fine.verdict !== "unsure")
        expect(coarse.confidence).toBeLessThanOrEqual(fine.confidence + 1e-9);
    }),
    { ...runs, numRuns: 120 },
  );
});

test("a further precise weighing at the asymptote never lowers the probability of dryness", () => {
  let proved = 0;
  fc.assert(
    fc.property(traysOn([0.01]), fc.constantFrom(2, 3, 5), ({ rows, end, options }, later) => {
      // Precise: errors are small against 1 % of the dry mass, which is 0.2 g or more here.
      const laboratory = { ...settings, inGrams: { ...kitchenGrams, bench: 0.01 } };
      const precise = { ...options, division: 0.01 };
      const lastHour = rows.at(-1)![0];
      // At its asymptote already: from well above, arriving there shows a loss that nobody knew of.
      fc.pre(Math.abs(rows.at(-1)![1] - end) <= 0.03 && rows.every(([, net]) => net >= end - 0.02));
      const before = judgeTray(logOf(rows, precise), laboratory);
      const after = judgeTray(
        logOf([...rows, [lastHour + later, Math.round(end * 100) / 100]], precise),
        laboratory,
      );
      fc.pre(before.contradiction === null && after.contradiction === null);
      if (before.pDry > 0.9 && before.pDry < 0.99) proved++;
      expect(after.pDry).toBeGreaterThanOrEqual(before.pDry - 1e-9);
    }),
    { ...runs, numRuns: 300 },
  );
  // Enough trays that could have lost something.
  expect(proved).toBeGreaterThan(4);
});

test("level weighings that the curve takes for a dryer that stopped lower nothing", () => {
  // The two worst of 4,000 made-up trays: they fell by 0.97 and 0.93 points as the curve alone would have it.
  const laboratory = { ...settings, inGrams: { ...kitchenGrams, bench: 0.01 } };
  const pDry = (rows: readonly (readonly [number, number])[], options: LogOptions): number =>
    judgeTray(logOf(rows, { ...options, division: 0.01 }), laboratory).pDry;
  const slow: [number, number][] = [
    [16.7, 18.2],
    [19.7, 17.91],
    [22.7, 17.86],
    [27.7, 17.85],
  ];
  const quick: [number, number][] = [
    [8, 139.92],
    [12, 81.73],
    [16, 23.83],
    [20, 22.88],
    [24, 22.75],
    [28, 22.73],
    [30, 22.73],
  ];
  const unknown = { fresh: 250, food: null };
  expect(pDry(slow, unknown)).toBeGreaterThanOrEqual(pDry(slow.slice(0, -1), unknown));
  const known = { fresh: 256, food: strawberries };
  expect(pDry(quick, known)).toBeGreaterThanOrEqual(pDry(quick.slice(0, -1), known));
});

const scaled = (log: TrayLog, factor: number): TrayLog => ({
  ...log,
  fresh:
    log.fresh === null
      ? null
      : {
          ...log.fresh,
          net: grams(log.fresh.net * factor),
          division: grams(log.fresh.division * factor),
        },
  weighings: log.weighings.map((one) => ({
    ...one,
    net: grams(one.net * factor),
    division: grams(one.division * factor),
  })),
});

test("masses, divisions and constants in grams scaled by one factor give the same verdict and scaled masses", () => {
  fc.assert(
    fc.property(trays, fc.constantFrom(1e-3, 28.349523125, 1000), ({ rows, options }, factor) => {
      const log = logOf(rows, options);
      const inGrams = {
        bench: kitchenGrams.bench * factor,
        finestDivision: kitchenGrams.finestDivision * factor,
      };
      const one = judgeTray(log, settings);
      const other = judgeTray(scaled(log, factor), { ...settings, inGrams });
      expect(other.verdict).toBe(one.verdict);
      expect(other.contradiction?.code).toBe(one.contradiction?.code);
      expect(other.pDry).toBeCloseTo(one.pDry, 6);
      expect(other.confidence).toBeCloseTo(one.confidence, 6);
      expect(other.moreHours).toEqual(one.moreHours);
      if (one.provable !== null) expect(other.provable! / factor / one.provable).toBeCloseTo(1, 6);
      if (one.remaining !== null && one.remaining.high > 1e-3)
        expect(other.remaining!.high / factor / one.remaining.high).toBeCloseTo(1, 4);
    }),
    runs,
  );
});

test("every figure in the answer is in its range", () => {
  fc.assert(
    fc.property(trays, ({ rows, options }) => {
      const verdict = judgeTray(logOf(rows, options), { limit: fraction(0.01) });
      for (const p of [verdict.pDry, verdict.confidence]) {
        expect(p).toBeGreaterThanOrEqual(0);
        expect(p).toBeLessThanOrEqual(0.99);
      }
      for (const interval of [verdict.remaining, verdict.moreHours]) {
        if (interval === null) continue;
        expect(interval.low).toBeLessThanOrEqual(interval.estimate);
        expect(interval.estimate).toBeLessThanOrEqual(interval.high);
        expect(interval.low).toBeGreaterThanOrEqual(0);
      }
      expect(verdict.reasons.length).toBeGreaterThan(0);
      if (verdict.verdict === "stable") expect(verdict.pDry).toBeGreaterThanOrEqual(0.95);
    }),
    runs,
  );
});
