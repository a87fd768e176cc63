import { roughGrid } from "../drying/ways.ts";
import type { TrayLog } from "../tray/weighing.ts";
import { grams, type Grams } from "../units/quantity.ts";
import { drynessOf } from "./dryness.ts";
import { loadOf, type Load } from "./load.ts";
import { lastPair } from "./pair.ts";
import { thresholds, type GramConstants } from "./rules.ts";
import type { VerdictWord } from "./verdict.ts";
import { wordFor, type Word } from "./word.ts";

const rough = { grid: roughGrid, detailed: false } as const;
/** From one step of division to the next coarser one. */
const ladderRatio = 10;

/**
 * A coarse scale must never look surer than a fine one that showed the same figures. So the confidence in a word is
 * the least that any scale as fine or finer would have in it, over steps of division from the finest kitchen scale's
 * up to the one stated. Words by tray, as they stand, in the order of `loads`.
 */
export function humbled(
  words: readonly Word[],
  loads: readonly Load[],
  limit: number,
  inGrams: GramConstants,
): readonly number[] {
  if (words.every(({ verdict }) => verdict === "unsure"))
    return words.map(({ confidence }) => confidence);
  const coarsest = Math.max(
    ...loads.flatMap(({ weighings }) => weighings.map(({ division }) => division)),
  );
  const steps = ladderUpTo(coarsest, inGrams.finestDivision);
  const least = words.map(() => Infinity);
  for (const step of steps) {
    const finer = loads.map(({ log }) =>
      loadOf(withDivisions(log, step, inGrams.finestDivision), inGrams)!,
    );
    for (const [i, dryness] of drynessOf(finer, limit, rough).entries()) {
      const word = wordFor(dryness, lastPair(finer[i]!));
      const { verdict } = words[i]!;
      const sure = word.verdict === verdict ? word.confidence : leastFor(verdict);
      least[i] = Math.min(least[i]!, sure);
    }
  }
  return words.map(({ confidence }, i) => (Number.isFinite(least[i]) ? least[i]! : confidence));
}

/** A finer scale that is not sure enough of the word is no surer of it than the word needs. */
const leastFor = (verdict: VerdictWord): number =>
  verdict === "unsure" || verdict === "gaining" ? Infinity : thresholds[verdict];

function ladderUpTo(coarsest: number, finest: number): readonly number[] {
  const steps = [finest];
  while (steps.at(-1)! < coarsest * (1 - 1e-9)) steps.push(steps.at(-1)! * ladderRatio);
  return steps;
}

/** The same figures from a scale no coarser than `step`; its own divisions are rounded up to the ladder's. */
function withDivisions(log: TrayLog, step: number, finest: number): TrayLog {
  const rounded = (division: number): Grams => grams(Math.min(roundedUp(division, finest), step));
  return {
    ...log,
    weighings: log.weighings.map((one) => ({ ...one, division: rounded(one.division) })),
  };
}

function roundedUp(division: number, finest: number): number {
  const steps = ladderUpTo(division, finest);
  return steps.at(-1)!;
}
