import { expect, test } from "vitest";
import { waterLearned } from "../../src/food/learned.ts";
import { fraction } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";

/**
 * Mean and variance of the next lot by brute force: Bayes' rule on a grid over the household's mean and the variance
 * of its lots, from the densities alone.
 */
function byGrid(prior: { water: number; waterSd: number }, lots: readonly number[]) {
  const total = prior.waterSd ** 2;
  const lotMean = Math.min(total / 2, 0.02 ** 2);
  const nu = 4;
  const scale = (lotMean * (nu - 2)) / nu;
  const kappa = lotMean / (total - lotMean);
  let weights = 0;
  let first = 0;
  let second = 0;
  let within = 0;
  const steps = 600;
  for (let i = 0; i < steps; i++) {
    const variance = scale * Math.exp(-5 + (12 * (i + 0.5)) / steps);
    // Scaled inverse χ² of the variance, times the variance for the grid's logarithm.
    const logVariance = -(nu / 2) * Math.log(variance) - (nu * scale) / (2 * variance);
    const sdOfMean = Math.sqrt(variance / kappa);
    const centre =
      (kappa * prior.water + lots.reduce((sum, one) => sum + one, 0)) / (kappa + lots.length);
    const width = Math.sqrt(variance / (kappa + lots.length));
    for (let j = 0; j < 160; j++) {
      const mu = centre + width * (-8 + (16 * (j + 0.5)) / 160);
      const z = (mu - prior.water) / sdOfMean;
      const logMean = -0.5 * z * z - Math.log(sdOfMean);
      const logLots = lots.reduce(
        (sum, one) => sum - 0.5 * Math.log(variance) - (one - mu) ** 2 / (2 * variance),
        0,
      );
      const weight = Math.exp(logVariance + logMean + logLots + 40 - 4 * lots.length) * width;
      weights += weight;
      first += weight * mu;
      second += weight * mu * mu;
      within += weight * variance;
    }
  }
  const mean = first / weights;
  return { mean, sd: Math.sqrt(within / weights + second / weights - mean * mean) };
}

// The closed form of Bayesian Data Analysis, section 3.3, against Bayes' rule on a grid.
test.each([
  [{ water: 0.9095, waterSd: 0.0103 }, [0.9]],
  [{ water: 0.9095, waterSd: 0.0103 }, [0.9, 0.905, 0.898]],
  [{ water: 0.8346, waterSd: 0.0827 }, [0.86, 0.855]],
  [{ water: 0.78, waterSd: 0.13 }, [0.92, 0.93, 0.915, 0.921, 0.925, 0.918]],
])("what is known of %o after batches of %o is what Bayes' rule says on a grid", (prior, lots) => {
  const known = { water: fraction(prior.water), waterSd: fraction(prior.waterSd) };
  const learned = waterLearned(known, lots.map(fraction));
  const exact = byGrid(prior, lots);
  expect(Math.abs(learned.water - exact.mean)).toBeLessThan(1e-5);
  expect(learned.waterSd / exact.sd).toBeGreaterThan(0.99);
  expect(learned.waterSd / exact.sd).toBeLessThan(1.01);
});

const water = fc.double({ min: 0.4, max: 0.97, noNaN: true });
const spread = fc.double({ min: 0.002, max: 0.13, noNaN: true });

test("with no batch of one's own the table stands as it is", () => {
  fc.assert(
    fc.property(water, spread, (mean, sd) => {
      const prior = { water: fraction(mean), waterSd: fraction(sd) };
      expect(waterLearned(prior, [])).toEqual(prior);
    }),
  );
});

test("the answer lies between the table and the batches, and many like batches narrow it", () => {
  fc.assert(
    fc.property(water, spread, water, (mean, sd, own) => {
      const prior = { water: fraction(mean), waterSd: fraction(sd) };
      const many = Array.from({ length: 30 }, () => fraction(own));
      const one = waterLearned(prior, [fraction(own)]);
      const all = waterLearned(prior, many);
      for (const { water: found } of [one, all]) {
        expect(found).toBeGreaterThanOrEqual(Math.min(mean, own) - 1e-12);
        expect(found).toBeLessThanOrEqual(Math.max(mean, own) + 1e-12);
      }
      expect(Math.abs(all.water - own)).toBeLessThanOrEqual(Math.abs(one.water - own) + 1e-12);
      expect(all.waterSd).toBeLessThanOrEqual(one.waterSd);
    }),
  );
});

test("a batch far from the table widens what is expected before more batches narrow it", () => {
  const prior = { water: fraction(0.9095), waterSd: fraction(0.0103) };
  const odd = waterLearned(prior, [fraction(0.85)]);
  expect(odd.waterSd).toBeGreaterThan(prior.waterSd);
});
