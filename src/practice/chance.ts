/** A seeded generator: the same seed gives the same practice. Values in [0, 1). */
export type Chance = () => number;

/** Mulberry32, a 32-bit generator in the public domain: good enough for noise, not for secrets. */
export function seeded(seed: number): Chance {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

/** A draw from the normal distribution with mean 0 and standard deviation 1 (Box and Muller, 1958). */
export function standardNormal(chance: Chance): number {
  const radius = Math.sqrt(-2 * Math.log(1 - chance()));
  return radius * Math.cos(2 * Math.PI * chance());
}

export const between = (low: number, high: number, chance: Chance): number =>
  low + (high - low) * chance();
