import { chanceFor } from "./chance.ts";
import type { BatchScores } from "./score.ts";

export type Estimate = {
  readonly value: number;
  /** 2.5 % and 97.5 % of the resamples. */
  readonly low: number;
  readonly high: number;
  readonly total: number;
  readonly count: number;
};

/** Pooled scores and their resamples: whole batches are drawn again, so that trays of one stay together. */
export class Pooled {
  readonly trays: number;
  readonly #columns = new Map<string, number>();
  readonly #totals: Float64Array[] = [];
  readonly #counts: Float64Array[] = [];

  /** Column 0 of each score is the sample itself, the others are `resamples` of it. */
  constructor(batches: readonly BatchScores[], resamples: number, seed: number) {
    this.trays = batches.reduce((sum, { trays }) => sum + trays, 0);
    const draws = [batches.map(() => 1)];
    const chance = chanceFor(seed, "bootstrap");
    for (let draw = 0; draw < resamples; draw++) {
      const times = batches.map(() => 0);
      for (let taken = 0; taken < batches.length; taken++)
        times[chance.whole(0, batches.length - 1)]! += 1;
      draws.push(times);
    }
    batches.forEach(({ scores }, batch) => {
      for (const [name, { total, count }] of Object.entries(scores)) {
        const column = this.#column(name, draws.length);
        const [totals, counts] = [this.#totals[column]!, this.#counts[column]!];
        for (let draw = 0; draw < draws.length; draw++) {
          const times = draws[draw]![batch]!;
          totals[draw]! += times * total;
          counts[draw]! += times * count;
        }
      }
    });
  }

  #column(name: string, length: number): number {
    const known = this.#columns.get(name);
    if (known !== undefined) return known;
    const column = this.#columns.size;
    this.#columns.set(name, column);
    this.#totals.push(new Float64Array(length));
    this.#counts.push(new Float64Array(length));
    return column;
  }

  /** The names of all scores that begin so. */
  namesFrom(start: string): string[] {
    return [...this.#columns.keys()].filter((name) => name.startsWith(start));
  }

  /** The score as total over count; null when nothing was counted. */
  estimate(name: string): Estimate | null {
    return this.#from(name, (total, count) => total / count);
  }

  /** One total over another's, as a factor: "half as many false calls". */
  factor(name: string, other: string): Estimate | null {
    const column = this.#columns.get(other);
    if (column === undefined) return null;
    const others = this.#totals[column]!;
    return this.#from(name, (total, _count, draw) => total / others[draw]!);
  }

  /** The difference of two scores in the same resamples. */
  difference(name: string, other: string): Estimate | null {
    const column = this.#columns.get(other);
    if (column === undefined) return null;
    const [totals, counts] = [this.#totals[column]!, this.#counts[column]!];
    return this.#from(name, (total, count, draw) => total / count - totals[draw]! / counts[draw]!);
  }

  #from(name: string, of: (total: number, count: number, draw: number) => number): Estimate | null {
    const column = this.#columns.get(name);
    if (column === undefined) return null;
    const [totals, counts] = [this.#totals[column]!, this.#counts[column]!];
    if (counts[0] === 0) return null;
    const values = Array.from(totals, (total, draw) => of(total, counts[draw]!, draw));
    const resampled = values.slice(1).filter((value) => !Number.isNaN(value));
    resampled.sort((a, b) => a - b);
    // Type 7 of Hyndman and Fan 1996, to the nearest rank.
    const rank = (share: number) =>
      resampled[Math.round(share * (resampled.length - 1))] ?? Number.NaN;
    return {
      value: values[0]!,
      low: rank(0.025),
      high: rank(0.975),
      total: totals[0]!,
      count: counts[0]!,
    };
  }
}
