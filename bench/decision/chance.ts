/** Seeded chance: the same seed and concern always give the same draws, on every machine. */
export type Chance = {
  /** Evenly between `low` and `high`. */
  readonly between: (low: number, high: number) => number;
  /** A whole number, both ends included. */
  readonly whole: (low: number, high: number) => number;
  readonly happens: (probability: number) => boolean;
  readonly pick: <T>(list: readonly T[]) => T;
  /** One of the keys, in proportion to its weight. */
  readonly weighted: <T extends string>(weights: Readonly<Record<T, number>>) => T;
  /** Standard normal. */
  readonly normal: () => number;
};

/** FNV-1a over the concern's letters, mixed with the seed. */
function hash(seed: number, concern: string): number {
  let mixed = 2166136261 ^ seed;
  for (const letter of concern)
    mixed = Math.imul(mixed ^ (letter.codePointAt(0) ?? 0), 16777619) >>> 0;
  return Math.imul(mixed ^ (mixed >>> 15), 2246822507) >>> 0;
}

/** Chris Doty-Humphrey's sfc32 (PractRand), started from one word. */
function sfc32(start: number): () => number {
  let [a, b, c, counter] = [start, start ^ 0x9e3779b9, start ^ 0x243f6a88, 1];
  const next = () => {
    const sum = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = ((c << 21) | (c >>> 11)) + sum;
    return (sum >>> 0) / 4294967296;
  };
  for (let turn = 0; turn < 15; turn++) next();
  return next;
}

/**
 * Each concern (the food, the scale, the fault …) draws from a stream of its own, so that a batch with a
 * fault and the same batch without it differ in the fault alone.
 */
export function chanceFor(seed: number, concern: string): Chance {
  const next = sfc32(hash(seed, concern));
  const between = (low: number, high: number) => low + (high - low) * next();
  return {
    between,
    whole: (low, high) => low + Math.floor(next() * (high - low + 1)),
    happens: (probability) => next() < probability,
    pick: (list) => {
      const chosen = list[Math.floor(next() * list.length)];
      if (chosen === undefined) throw new RangeError("nothing to pick from");
      return chosen;
    },
    weighted: <T extends string>(weights: Readonly<Record<T, number>>) => {
      const keys = Object.keys(weights) as T[];
      let left = next() * keys.reduce((sum, key) => sum + weights[key], 0);
      for (const key of keys) if ((left -= weights[key]) < 0) return key;
      return keys.at(-1)!;
    },
    // Box and Muller 1958.
    normal: () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next()),
  };
}
