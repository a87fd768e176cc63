import { expect, test } from "vitest";
import { quantiles } from "../../src/verdict/quantiles.ts";
import fc from "../rig/properties.ts";

test("the weighted median of a textbook example is 0.2", () => {
  // Cormen, Leiserson, Rivest and Stein, Introduction to Algorithms, problem 9-2 (weighted median), from memory.
  const values = [0.1, 0.35, 0.05, 0.1, 0.15, 0.05, 0.2];
  expect(quantiles({ values, weights: values }, [0.5])).toEqual([0.2]);
});

test("they are those of the sorted values, ties and weightless ones among them", () => {
  const cases = fc.array(
    fc.record({ value: fc.integer({ min: -9, max: 9 }), weight: fc.integer({ min: 0, max: 5 }) }),
    { maxLength: 60 },
  );
  fc.assert(
    fc.property(cases, fc.constantFrom(0.03, 0.1, 0.2, 0.5, 0.77, 0.95), (all, p) => {
      const sorted = all.flatMap(({ value, weight }) =>
        Array.from({ length: weight }, () => value),
      );
      sorted.sort((a, b) => a - b);
      const reached = Math.max(Math.ceil(p * sorted.length * (1 - 1e-9)), 1);
      const weighted = {
        values: all.map(({ value }) => value),
        weights: all.map(({ weight }) => weight),
      };
      expect(quantiles(weighted, [p])).toEqual([sorted[reached - 1] ?? 0]);
    }),
    { numRuns: 2000 },
  );
});
