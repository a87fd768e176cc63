import { expect, test } from "vitest";
import { exactShare, lotsOf, type JudgedBag } from "../../src/bag/lots.ts";
import fc from "../rig/properties.ts";

// Documentation of scipy.stats.binomtest, its example: 7 of 50, exact, 95 %. Its root is sought to 2e-12.
test("7 of 50: 5.819170033997342 % to 26.739600249700846 %, as scipy's documentation has it", () => {
  const { low, high, estimate } = exactShare(7, 50);
  expect(estimate).toBe(0.14);
  expect(low).toBeCloseTo(0.05819170033997342, 11);
  expect(high).toBeCloseTo(0.26739600249700846, 11);
});

// R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 5; the values from memory.
test.each([
  [81, 263, 0.2527, 0.3676],
  [15, 148, 0.0578, 0.1617],
  [0, 20, 0, 0.1684],
  [1, 29, 0.0009, 0.1776],
])("%i of %i as in Newcombe's table", (hits, trials, low, high) => {
  const share = exactShare(hits, trials);
  expect(share.low).toBeCloseTo(low, 4);
  expect(share.high).toBeCloseTo(high, 4);
});

test("none of n has the closed upper limit 1 - (doubt / 2)^(1/n), all of n its mirror image", () => {
  for (const trials of [1, 3, 40, 3000]) {
    const limit = 0.025 ** (1 / trials);
    expect(exactShare(0, trials).low).toBe(0);
    expect(exactShare(0, trials).high).toBeCloseTo(1 - limit, 12);
    expect(exactShare(trials, trials).low).toBeCloseTo(limit, 12);
    expect(exactShare(trials, trials).high).toBe(1);
  }
});

/** Chance of at most so many hits, summed plainly: for small numbers. */
function atMost(hits: number, trials: number, share: number): number {
  const choose = (k: number): number =>
    Array.from({ length: k }, (_, at) => (trials - at) / (at + 1)).reduce((a, b) => a * b, 1);
  return Array.from(
    { length: hits + 1 },
    (_, k) => choose(k) * share ** k * (1 - share) ** (trials - k),
  ).reduce((a, b) => a + b, 0);
}

test("the interval holds the true share in at least 95 of 100 cases, whatever it is", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 25 }),
      fc.double({ min: 0.01, max: 0.99, noNaN: true }),
      (trials, share) => {
        let held = 0;
        for (let hits = 0; hits <= trials; hits++) {
          const { low, high } = exactShare(hits, trials);
          const chance =
            atMost(hits, trials, share) - (hits === 0 ? 0 : atMost(hits - 1, trials, share));
          if (low <= share && share <= high) held += chance;
        }
        expect(held).toBeGreaterThanOrEqual(0.95 - 1e-9);
      },
    ),
    { numRuns: 40 },
  );
});

test("no share is told of no bags, and nonsense is refused", () => {
  for (const [hits, trials] of [
    [0, 0],
    [3, 2],
    [-1, 4],
    [0.5, 4],
  ] as const)
    expect(() => exactShare(hits, trials)).toThrow(RangeError);
});

const some = (count: number, lot: string | null, word: JudgedBag["word"]): JudgedBag[] =>
  Array.from({ length: count }, () => ({ container: "soft", volumeMl: 946.35, lot, word }));

test("a lot is called worse only when its interval lies above that of all others", () => {
  const bags = [
    ...some(8, "spring", "gaining-moisture"),
    ...some(4, "spring", "no-gain-seen"),
    ...some(1, "autumn", "gaining-moisture"),
    ...some(39, "autumn", "no-gain-seen"),
    ...some(3, "autumn", "cannot-tell"),
    ...some(2, "autumn", "not-checked"),
    ...some(2, "new", null),
  ];
  const [spring, autumn, unknown] = lotsOf(bags);
  expect(spring).toMatchObject({ lot: "spring", bags: 12, told: 12, gaining: 8, isWorse: true });
  expect(autumn).toMatchObject({ lot: "autumn", bags: 45, told: 40, gaining: 1, isWorse: false });
  expect(unknown).toMatchObject({ lot: "new", bags: 2, told: 0, share: null, isWorse: false });
});

test("one leaking bag of two proves nothing against a lot", () => {
  const bags = [
    ...some(1, "a", "gaining-moisture"),
    ...some(1, "a", "no-gain-seen"),
    ...some(20, "b", "no-gain-seen"),
  ];
  expect(lotsOf(bags).map(({ isWorse }) => isWorse)).toEqual([false, false]);
});

test("bags of another size are another lot, named alike or not at all", () => {
  const small = { container: "soft", volumeMl: 473, lot: null, word: "watch" } as const;
  expect(lotsOf([small, { ...small, volumeMl: 946 }, small]).map(({ bags }) => bags)).toEqual([
    2, 1,
  ]);
});
