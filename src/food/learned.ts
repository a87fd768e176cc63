/**
 * What a person's own finished batches say of a food's water, joined with the table's figure. In: the prior (mean and
 * spread between lots) and the water of each finished batch. Out: the prediction for the next lot.
 *
 * The lots of one household scatter around a mean of their own: w_i ~ N(μ, σ²). Before the first batch nobody knows how
 * the table's spread divides into "our lots differ" (σ²) and "our food is not the table's" (μ); half goes to each, and
 * no more than two points of water to σ (our choice). Mean and variance have the conjugate prior
 * normal-inverse-χ² (Gelman et al., Bayesian Data Analysis, 3rd ed., section 3.3, from memory):
 *
 *   κₙ = κ₀ + n    νₙ = ν₀ + n    mₙ = (κ₀·m₀ + n·w̄)/κₙ
 *   νₙ·σₙ² = ν₀·σ₀² + Σ(w_i − w̄)² + (κ₀·n/κₙ)·(w̄ − m₀)²
 *
 * and the next lot a Student t about mₙ with νₙ degrees of freedom and variance σₙ²·νₙ/(νₙ − 2)·(1 + 1/κₙ).
 */
import { fraction, type Fraction } from "../units/quantity.ts";

/** Degrees of freedom that the prior of the spread is worth: as good as five batches. Our choice. */
const nuPrior = 4;
/** Lots of one household differ by no more than this, g of water per g, until they show otherwise. Our choice. */
const mostLotSd = 0.02;

type WaterOfFood = { readonly water: Fraction; readonly waterSd: Fraction };

/** `prior`: before any batch of one's own. With no batch the answer is the prior itself. */
export function waterLearned(prior: WaterOfFood, batches: readonly Fraction[]): WaterOfFood {
  const n = batches.length;
  if (n === 0) return prior;
  const lotVariance = Math.min(prior.waterSd ** 2 / 2, mostLotSd ** 2);
  const kappa0 = lotVariance / (prior.waterSd ** 2 - lotVariance);
  const mean = batches.reduce((sum, one) => sum + one, 0) / n;
  const squares = batches.reduce((sum, one) => sum + (one - mean) ** 2, 0);
  const kappa = kappa0 + n;
  const nu = nuPrior + n;
  const pull = ((kappa0 * n) / kappa) * (mean - prior.water) ** 2;
  // (ν₀ − 2)/ν₀·σ² as the prior's scale makes σ² its mean.
  const nuTimesScale = (nuPrior - 2) * lotVariance + squares + pull;
  const variance = (nuTimesScale / (nu - 2)) * (1 + 1 / kappa);
  return {
    water: fraction((kappa0 * prior.water + n * mean) / kappa),
    waterSd: fraction(Math.sqrt(variance)),
  };
}
