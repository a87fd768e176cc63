import { describe, expect, test } from "vitest";
import { divisions, dryLimit, simulateBatch } from "../../bench/decision/batch.ts";
import { Pooled } from "../../bench/decision/bootstrap.ts";
import { chanceFor } from "../../bench/decision/chance.ts";
import {
  copyOf,
  dry,
  driedShare,
  excessOf,
  hoursUntil,
  lieOpen,
  loadTray,
  massOf,
  standOnBench,
  takeFood,
  wettestExcessOf,
  type DryingFood,
} from "../../bench/decision/dryer.ts";
import { boundsOf, reliability, reportOf, summaryOf } from "../../bench/decision/report.ts";
import {
  commonPractice,
  constantWeight,
  exponentialFit,
  firstCall,
  plainExponential,
  rateBound,
} from "../../bench/decision/rules.ts";
import {
  binOf,
  couldBeProved,
  outcomeOf,
  scoreBatch,
  shortestProof,
} from "../../bench/decision/score.ts";
import { shown, someWeigher, weigh } from "../../bench/decision/weigher.ts";
import { fraction, grams, hours } from "../../src/units/quantity.ts";
import type { TrayLog } from "../../src/tray/weighing.ts";
import fc from "../rig/properties.ts";

const seeds = fc.integer({ min: 1, max: 1_000_000 });
const potato: DryingFood = {
  water: 0.8,
  bound: 0.2,
  left: 0.02,
  resistance: 2,
  frontHours: 12,
  boundRate: 0.3,
};
/** Of sums of some ten doubles near 500. */
const rounding = 1e-9;
const even = [{ share: 1, thickness: 1 }];
const room = { holds: 0.12, uptakeRate: 0.3 };

describe("a simulated tray", () => {
  test("loses water and nothing else, down to what a working dryer leaves", () => {
    const tray = loadTray(500, potato, even);
    expect(massOf(tray)).toBeCloseTo(500, 9);
    expect(tray.solids).toBeCloseTo(100, 9);
    let before = massOf(tray);
    for (let hour = 0; hour < 80; hour++) {
      dry(tray, 1, 1);
      expect(massOf(tray)).toBeLessThan(before);
      before = massOf(tray);
    }
    expect(massOf(tray)).toBeCloseTo(102, 6);
    expect(excessOf(tray)).toBeCloseTo(0, 6);
  });

  test("weighs its solids and its water at every moment, whatever happens to it", () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 60, noNaN: true }), (dried) => {
        const tray = loadTray(500, potato, [
          { share: 0.7, thickness: 0.9 },
          { share: 0.3, thickness: 1.3 },
        ]);
        dry(tray, dried, 1);
        const ofSolids = () => massOf(tray) / tray.solids;
        expect(ofSolids()).toBeCloseTo(1 + potato.left + excessOf(tray), 9);
        const [mass, share] = [massOf(tray), ofSolids()];
        takeFood(tray, 0.25);
        expect(massOf(tray)).toBeCloseTo(0.75 * mass, 9);
        expect(ofSolids()).toBeCloseTo(share, 9);
        standOnBench(tray, 5, room);
        const afterBench = massOf(tray);
        expect(afterBench).toBeGreaterThan(0.75 * mass - rounding);
        lieOpen(tray, 10, room);
        expect(massOf(tray)).toBeGreaterThan(afterBench - rounding);
        expect(wettestExcessOf(tray)).toBeGreaterThan(excessOf(tray) - rounding);
      }),
    );
  });

  test("dries in one step as in many", () => {
    const whole = loadTray(500, potato, even);
    const steps = copyOf(whole);
    dry(whole, 18, 1);
    for (let step = 0; step < 180; step++) dry(steps, 0.1, 1);
    expect(excessOf(steps)).toBeCloseTo(excessOf(whole), 9);
  });

  test("follows the closed form of its front at both ends of the resistance", () => {
    // No resistance in the dried layer: a straight line. A very large one: the square root of time.
    expect(driedShare(0, 0.36)).toBeCloseTo(0.36, 12);
    expect(driedShare(1e6, 0.36)).toBeCloseTo(0.6, 4);
    expect(driedShare(2, 1)).toBe(1);
  });

  test("loses its bound water at the rate that a slab of that thickness has by theory", () => {
    const tray = loadTray(500, potato, even);
    dry(tray, 30, 1);
    const before = excessOf(tray);
    dry(tray, 1, 1);
    expect(Math.log(before / excessOf(tray))).toBeCloseTo(0.3, 9);
  });

  test("is dry when it says so, and not a minute earlier", () => {
    const tray = loadTray(500, potato, even);
    const needed = hoursUntil(tray, dryLimit, 100, 1)!;
    expect(excessOf(tray)).toBeGreaterThan(3);
    dry(tray, needed - 0.02, 1);
    expect(excessOf(tray)).toBeGreaterThan(dryLimit);
    dry(tray, 0.02, 1);
    expect(excessOf(tray)).toBeLessThanOrEqual(dryLimit);
    expect(hoursUntil(tray, dryLimit, 100, 1)).toBe(0);
  });

  test("never dries in a dryer that has stopped", () => {
    const tray = loadTray(500, potato, even);
    dry(tray, 6, 1);
    const stood = massOf(tray);
    expect(hoursUntil(tray, dryLimit, 10_000, 0)).toBeNull();
    dry(tray, 10_000, 0);
    expect(massOf(tray)).toBe(stood);
  });

  test("with a thick piece looks drier than the piece is", () => {
    const tray = loadTray(500, potato, [
      { share: 0.97, thickness: 1 },
      { share: 0.03, thickness: 2 },
    ]);
    dry(tray, 30, 1);
    expect(wettestExcessOf(tray)).toBeGreaterThan(10 * excessOf(tray));
  });
});

describe("a simulated batch", () => {
  test("is the same again for the same seed, and another for another", () => {
    expect(simulateBatch(7)).toEqual(simulateBatch(7));
    expect(simulateBatch(8)).not.toEqual(simulateBatch(7));
  });

  test("writes figures of its scale, and hours that only rise", () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        const batch = simulateBatch(seed);
        expect(divisions).toContain(batch.division);
        for (const { log, truth } of batch.trays) {
          expect(log.weighings).toHaveLength(truth.length);
          expect(log.weighings).toHaveLength(batch.plan.notedHours.length);
          const noted = log.weighings.map(({ dryingHours }) => dryingHours as number);
          expect(noted).toEqual(noted.toSorted((a, b) => a - b));
          for (const { net } of log.weighings) {
            if (batch.fault.is === "ounces-as-grams") continue;
            expect(net / batch.division).toBeCloseTo(Math.round(net / batch.division), 6);
          }
        }
      }),
      { numRuns: 60 },
    );
  });

  test("reads what the food weighs to within ordinary error, where no fault touches it", () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        const { trays, division, fault } = simulateBatch(seed);
        if (fault.is === "night-open") return;
        for (const { log, truth } of trays)
          truth.forEach(({ clean, solidsGrams, excess }, weighing) => {
            if (!clean) return;
            const dryWith = solidsGrams * (1 + excess);
            const off = log.weighings[weighing]!.net - dryWith;
            // 1–3 % of the solids stay as water, the bench adds up to 1 %; six standard deviations of the rest.
            expect(off).toBeGreaterThan(0.01 * solidsGrams - 0.3 - 6 * division);
            expect(off).toBeLessThan(0.04 * solidsGrams + 6 * division);
          });
      }),
      { numRuns: 100 },
    );
  });

  test("has each fault, each division and each plan in its share", () => {
    const batches = Array.from({ length: 600 }, (_, seed) => simulateBatch(seed + 1));
    const share = (is: (batch: (typeof batches)[number]) => boolean) =>
      batches.filter(is).length / batches.length;
    expect(share(({ fault }) => fault.is === "none")).toBeCloseTo(0.55, 1);
    for (const fault of ["stalled-first", "stalled-later", "swapped-trays", "wrong-tare"] as const)
      expect(share((batch) => batch.fault.is === fault)).toBeGreaterThan(0.03);
    for (const fault of ["food-removed", "ounces-as-grams", "night-open"] as const)
      expect(share((batch) => batch.fault.is === fault)).toBeGreaterThan(0.02);
    for (const division of divisions)
      expect(share((batch) => batch.division === division)).toBeGreaterThan(0.25);
    expect(share(({ plan }) => plan.kind === "short")).toBeCloseTo(0.4, 1);
  });

  test("on a dryer that stopped with next to nothing left of its pace never becomes dry", () => {
    let seen = 0;
    for (let seed = 1; seed < 500; seed++) {
      const { fault, trays } = simulateBatch(seed);
      if (fault.is !== "stalled-first" || fault.pace > 0.02) continue;
      for (const { truth } of trays) {
        const [first, last] = [truth[0]!, truth.at(-1)!];
        if (first.excess < 0.1) continue;
        seen++;
        expect(last.dryAt).toBeNull();
        expect(last.excess).toBeGreaterThan(dryLimit);
      }
    }
    expect(seen).toBeGreaterThan(8);
  });

  test("is dry in truth exactly while its excess is within the limit", () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        for (const { truth } of simulateBatch(seed).trays)
          for (const { dryAt, excess, hours: now } of truth) {
            expect(dryAt === null).toBe(excess > dryLimit);
            if (dryAt !== null) expect(dryAt).toBeLessThanOrEqual(now);
          }
      }),
      { numRuns: 60 },
    );
  });
});

test("a display shows whole divisions, and errs by no more than its hand and its zero", () => {
  expect(shown(412.64, 0.1)).toBe(412.6);
  expect(shown(412.64, 5)).toBe(415);
  const chance = chanceFor(1, "scale");
  const weigher = someWeigher(1, chance);
  const errors = Array.from(
    { length: 2000 },
    () => weigh(weigher, 300.3, { drift: 0, warm: false }, chance) - 300.3,
  );
  const mean = errors.reduce((sum, error) => sum + error, 0) / errors.length;
  const variance = errors.reduce((sum, error) => sum + (error - mean) ** 2, 0) / errors.length;
  // Sheppard: rounding to a division adds about d²/12.
  expect(mean).toBeCloseTo(0, 0);
  expect(variance).toBeLessThan(0.6 ** 2 + 1 / 12 + 0.1);
});

test("chance is even, and normal where it says so", () => {
  const chance = chanceFor(42, "check");
  const evenly = Array.from({ length: 20_000 }, () => chance.between(0, 1));
  const normal = Array.from({ length: 20_000 }, () => chance.normal());
  const mean = (list: readonly number[]) => list.reduce((sum, one) => sum + one, 0) / list.length;
  expect(mean(evenly)).toBeCloseTo(0.5, 1);
  expect(mean(evenly.map((one) => (one - 0.5) ** 2))).toBeCloseTo(1 / 12, 2);
  expect(Math.abs(mean(normal))).toBeLessThan(0.03);
  expect(Math.abs(mean(normal.map((one) => one ** 2)) - 1)).toBeLessThan(0.05);
  // 1.959964 is the two-sided 95 % point of the normal distribution (NIST/SEMATECH e-Handbook 1.3.6.7.1).
  expect(normal.filter((one) => Math.abs(one) > 1.959964).length / 20_000).toBeCloseTo(0.05, 1.7);
});

/** A log of hand-made figures on a scale of `division` grams. */
const logOf = (rows: readonly (readonly [number, number])[], division = 1): TrayLog => ({
  tray: "a",
  tare: null,
  fresh: { net: grams(500), division: grams(division), ref: 0 },
  food: null,
  coreChecks: [],
  weighings: rows.map(([at, net], index) => ({
    dryingHours: hours(at),
    net: grams(net),
    division: grams(division),
    minutesOut: null,
    stretch: 0,
    at: null,
    ref: index + 1,
  })),
});

describe("the rules compared with", () => {
  test("common practice needs three hours between two weighings within one division", () => {
    const at = (gap: number, loss: number) =>
      commonPractice(
        logOf([
          [20, 110],
          [20 + gap, 110 - loss],
        ]),
      );
    expect(at(3, 1)).toBe(true);
    expect(at(3, 2)).toBe(false);
    expect(at(2.9, 0)).toBe(false);
    expect(at(3, -2)).toBe(false);
  });

  test("common practice on a plan of two hours compares with the weighing before the last", () => {
    const rows = [
      [20, 112],
      [22, 110],
      [24, 110],
    ] as const;
    expect(commonPractice(logOf(rows))).toBe(false);
    expect(commonPractice(logOf([...rows, [26, 110]]))).toBe(true);
  });

  test("constant weight takes a loss of 0.1 % of the sample after an hour, no more", () => {
    // 250.0 g: the limit of AOAC 935.29 is 0.25 g.
    const after = (grams: number) =>
      constantWeight(
        logOf(
          [
            [20, 250],
            [21, grams],
          ],
          0.05,
        ),
      );
    expect(after(249.75)).toBe(true);
    expect(after(249.7)).toBe(false);
  });

  test("the plain exponential gives exact points their own parameters back", () => {
    const points = [0, 5, 10, 15, 20, 30].map((at) => ({
      hours: at,
      grams: 100 + 400 * Math.exp(-0.2 * at),
    }));
    const fit = plainExponential(points)!;
    expect(fit.rate).toBeCloseTo(0.2, 2);
    expect(Math.abs(fit.end - 100)).toBeLessThan(1);
    const done = exponentialFit(0.01);
    const row = (at: number) => [at, 100 + 400 * Math.exp(-0.2 * at)] as const;
    // 1 % of 100 g is reached after ln(400)/0.2 = 29.96 h.
    expect(done(logOf([5, 10, 15, 20, 28].map(row), 0.1))).toBe(false);
    expect(done(logOf([5, 10, 15, 20, 32].map(row), 0.1))).toBe(true);
  });

  test("the rate bound waits as long as the scale needs, and refuses a mass the food cannot have dry", () => {
    // 500 g at 80 % of water: 100 g of solids. On 1 g two equal weighings prove it after 5.5 h, not after 5.
    const food = { name: "any", water: fraction(0.8), waterSd: fraction(0.01), source: "made up" };
    const at = (gap: number, net: number) =>
      rateBound({
        ...logOf([
          [20, net],
          [20 + gap, net],
        ]),
        food,
      });
    expect(at(5, 102)).toBe(false);
    expect(at(5.6, 102)).toBe(true);
    expect(at(5.6, 140)).toBe(false);
    expect(at(5.6, 60)).toBe(false);
  });

  test("a straight line has no end for an exponential to find", () => {
    const line = [0, 3, 6, 9].map((at) => ({ hours: at, grams: 500 - 30 * at }));
    expect(plainExponential(line)).toBeNull();
  });

  test("a rule calls at the first weighing that lets it", () => {
    const log = logOf([
      [20, 120],
      [24, 110],
      [28, 110],
      [32, 110],
    ]);
    expect(firstCall(commonPractice, log)).toBe(2);
    expect(firstCall(() => false, log)).toBeNull();
  });
});

describe("the scores", () => {
  const truth = (
    rows: readonly (readonly [hours: number, excess: number, dryAt: number | null])[],
  ) =>
    rows.map(([at, excess, dryAt]) => ({
      hours: at,
      excess,
      wettestExcess: excess * 3,
      dryAt,
      solidsGrams: 100,
      clean: true,
    }));
  const drying = truth([
    [20, 0.08, null],
    [24, 0.021, null],
    [28, 0.005, 24.2],
    [32, 0.001, 24.2],
  ]);

  test("a call above the limit is false, one below it has its hours of delay", () => {
    expect(outcomeOf(drying, 1)).toMatchObject({ falseDry: true, extraHours: null });
    const right = outcomeOf(drying, 2)!;
    expect(right.falseDry).toBe(false);
    expect(right.extraHours).toBeCloseTo(3.8, 9);
    expect(outcomeOf(drying, null)).toBeNull();
  });

  test("a wet piece in a dry tray is told apart", () => {
    const uneven = [{ ...drying[2]!, wettestExcess: 0.2 }];
    expect(outcomeOf(uneven, 0)).toMatchObject({ falseDry: false, wetPieceOnly: true });
  });

  test.each([
    [30, 0.1, 3.6],
    [30, 1, 18],
    [30, 5, 90],
    [100, 0.1, 1.1],
    [100, 1, 5.5],
    [100, 5, 27],
    [300, 0.1, 1],
    [300, 1, 1.8],
    [300, 5, 9],
  ])("%d g of dry mass on a division of %d g need %d h to be proved dry", (solids, d, needed) => {
    // By hand: 1.645·√2·√(d²/12 + 0.16 d² + 0.09 d² + 0.01) / (0.0025 S), at least 1 h; two figures.
    expect(Number(shortestProof(solids, d).toPrecision(2))).toBeCloseTo(needed, 9);
  });

  test("a tray is missed only if two clean weighings of it, dry, lay far enough apart", () => {
    // 100 g on 0.1 g: 1.1 h; on 1 g: 5.5 h, and the two dry weighings are 4 h apart.
    expect(couldBeProved(drying, 0.1, dryLimit)).toBe(true);
    expect(couldBeProved(drying, 1, dryLimit)).toBe(false);
    expect(couldBeProved(drying, 0.1, 0.002)).toBe(false);
    const touched = drying.map((at, index) => ({ ...at, clean: index < 3 }));
    expect(couldBeProved(touched, 0.1, dryLimit)).toBe(false);
  });

  test("every probability has its bin, and 1 falls in the last", () => {
    expect([0, 0.05, 0.1, 0.95, 0.99, 1].map(binOf)).toEqual([0, 0, 1, 9, 9, 9]);
  });
});

const batchOf = (total: number, count: number, name = "pooled|ours|false") => ({
  seed: 1,
  scores: { [name]: { total, count } },
  trays: count,
  milliseconds: 0,
  verdicts: 1,
  threw: null,
});

test("the interval of a share over batches is wider than that of as many single trays", () => {
  // 40 batches of 5 trays that all go wrong together, and 200 batches of one tray.
  const together = Array.from({ length: 40 }, (_, batch) => batchOf(batch < 8 ? 5 : 0, 5));
  const apart = Array.from({ length: 200 }, (_, batch) => batchOf(batch < 40 ? 1 : 0, 1));
  const wide = new Pooled(together, 1000, 3).estimate("pooled|ours|false")!;
  const narrow = new Pooled(apart, 1000, 3).estimate("pooled|ours|false")!;
  expect([wide.value, narrow.value]).toEqual([0.2, 0.2]);
  // Standard errors √(0.2·0.8/40) = 0.063 and √(0.2·0.8/200) = 0.028, times 2 × 1.96.
  expect(wide.high - wide.low).toBeCloseTo(0.248, 1);
  expect(narrow.high - narrow.low).toBeCloseTo(0.111, 1);
  expect(new Pooled(apart, 10, 3).estimate("nothing of that name")).toBeNull();
});

test("a bound that is broken is reported as not met", () => {
  const scores = [
    {
      ...batchOf(0, 0),
      scores: {
        "pooled|ours|false": { total: 6, count: 100 },
        "pooled|practice|false": { total: 10, count: 100 },
        "d 0.1|ours|false, no fault": { total: 0, count: 100 },
        "d 1|ours|false, no fault": { total: 2, count: 100 },
        "pooled|ours|stalled called": { total: 1, count: 20 },
        "pooled|practice|stalled called": { total: 4, count: 20 },
        "pooled|ours|missed, fine": { total: 5, count: 100 },
        "pooled|practice|both, our hours": { total: 60, count: 10 },
        "pooled|practice|both, its hours": { total: 70, count: 10 },
        "pooled|p_dry|stated 9": { total: 1900, count: 2000 },
        "pooled|p_dry|seen 9": { total: 1600, count: 2000 },
      },
    },
  ];
  const pooled = new Pooled(scores, 20, 1);
  expect(boundsOf(pooled).map(({ met }) => met)).toEqual([
    false,
    true,
    false,
    true,
    true,
    true,
    false,
  ]);
  expect(reliability(pooled, "pooled")[0]!.pointsOutside).toBeCloseTo(15, 9);
});

test("a few batches are scored from end to end, twice alike", () => {
  // Small batches: one sound tray, three of a sound dryer, and a night in the open.
  const seedsToScore = [21, 33, 84];
  const scoreAll = () => seedsToScore.map((seed) => scoreBatch(simulateBatch(seed), 0.01));
  const scores = scoreAll();
  const timeless = (list: typeof scores) => list.map((one) => ({ ...one, milliseconds: 0 }));
  expect(timeless(scoreAll())).toEqual(timeless(scores));
  expect(scores.map(({ threw }) => threw)).toEqual([null, null, null]);
  const pooled = new Pooled(scores, 50, 1);
  const trays = scores.reduce((sum, batch) => sum + batch.trays, 0);
  expect(pooled.estimate("pooled|ours|never")!.count).toBe(trays);
  expect(pooled.estimate("pooled|practice|false")!.count).toBe(trays);
  const brier = pooled.estimate("pooled|p_dry|brier")!;
  expect(brier.value).toBeGreaterThanOrEqual(0);
  expect(brier.value).toBeLessThanOrEqual(1);
  const run = {
    title: "a few",
    limit: 0.01,
    pooled,
    bounded: true,
    batches: seedsToScore.length,
    millisecondsPerTray: 1,
    threw: [],
  };
  const text = `${reportOf(run)}\n${summaryOf([run])}`;
  expect(summaryOf([{ ...run, threw: ["seed 1: no"] }])).toContain(
    "NOT MET  every batch is answered",
  );
  for (const part of [
    "false-dry",
    "extra hours",
    "hours to go",
    "missed",
    "named rightly",
    "Brier",
    "bounds, a few, p_dry for at most 1 %",
  ])
    expect(text).toContain(part);
});
