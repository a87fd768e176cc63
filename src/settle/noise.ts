/**
 * The reading noise of a scale, learned from loads at rest. Unit: divisions. The spread that rounding shows depends on
 * where between two steps the load lies, so one rest says little and the mean over many is taken.
 */
export type Noise = {
  /** Mean variance of the readings within a second of rest, in squared divisions, as rounding shows it. */
  readonly shownVariance: number;
};

const least = 0.15;
const most = 1;
const assumed = 0.2;
/** Weight of one more second of rest: some fifty of them replace what was assumed. */
const share = 0.02;

const mostOfOne = 0.25;

/**
 * Over all places between two steps, noise of sd s well below a division shows the mean variance s/√π (the integral of
 * Φ(1 − Φ)); noise of a division and more shows s² + 1/12. The two meet near 0.28.
 */
const meet = 0.28;
const shownFor = (sd: number): number => (sd < meet ? sd / Math.sqrt(Math.PI) : sd * sd + 1 / 12);
const turn = meet / Math.sqrt(Math.PI);

export const assumedNoise: Noise = { shownVariance: shownFor(assumed) };

/** Standard deviation of one reading before rounding, in divisions, between 0.15 and 1. */
export function noiseOf({ shownVariance }: Noise): number {
  const sd =
    shownVariance < turn ? shownVariance * Math.sqrt(Math.PI) : Math.sqrt(shownVariance - 1 / 12);
  return Math.min(most, Math.max(least, sd));
}

/** `shown`: the readings of about a second of rest, in divisions. One wild second counts for little. */
export function afterRest(noise: Noise, shown: readonly number[]): Noise {
  if (shown.length < 3) return noise;
  const mean = shown.reduce((sum, one) => sum + one, 0) / shown.length;
  const variance = shown.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (shown.length - 1);
  const bounded = Math.min(variance, Math.max(mostOfOne, 4 * noise.shownVariance));
  return { shownVariance: noise.shownVariance + share * (bounded - noise.shownVariance) };
}
