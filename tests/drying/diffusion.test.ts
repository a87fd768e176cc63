import { expect, test } from "vitest";
import { slabRatePerHour } from "../../src/drying/diffusion.ts";

// Derived from the diffusivity of the dried layer, 1e-9 m²/s (doi 10.7455/ijfs/12.1.2023.a7).
test.each([
  [3.5, 0.73],
  [5, 0.36],
  [8, 0.14],
])("a slab of %d mm half thickness dries at %d an hour in the end", (millimetres, rate) => {
  expect(slabRatePerHour(1e-9, millimetres / 1000)).toBeCloseTo(rate, 2);
});
