import { expect, test } from "vitest";
import { activationEnergy, slabRatePerHour } from "../../src/drying/diffusion.ts";

// Akoy 2014 (IFRJ 21(5), 1911–1917): mango slices, diffusivity 4.97e-10 m²/s at 60 °C and 10.83e-10 at 80 °C, and an
// activation energy of 37.99 kJ/mol over all temperatures; from the two ends alone 38.10.
test("the activation energy of mango from its published diffusivities", () => {
  const energy = activationEnergy([60, 4.97e-10], [80, 10.83e-10]);
  expect(energy / 1000).toBeCloseTo(38.1, 1);
  expect(Math.abs(energy / 37990 - 1)).toBeLessThan(0.005);
});

// Derived from the diffusivity of the dried layer, 1e-9 m²/s (doi 10.7455/ijfs/12.1.2023.a7).
test.each([
  [3.5, 0.73],
  [5, 0.36],
  [8, 0.14],
])("a slab of %d mm half thickness dries at %d an hour in the end", (millimetres, rate) => {
  expect(slabRatePerHour(1e-9, millimetres / 1000)).toBeCloseTo(rate, 2);
});
