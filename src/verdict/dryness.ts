import { weighEvidence, type Evidence, type Stop } from "../drying/evidence.ts";
import { logSum } from "../drying/logsum.ts";
import { withSharedRates } from "../drying/rates.ts";
import { givenRate } from "../drying/thickness.ts";
import { fineGrid, type Grid } from "../drying/ways.ts";
import { chanceOfDryCore, coreFoundDry } from "./core.ts";
import { holdSameFood, type Load } from "./load.ts";
import { stopsPerHour } from "./rules.ts";

/** What is believed of one tray after all weighings of its batch. */
export type Dryness = {
  readonly load: Load;
  readonly evidence: Evidence;
  /** Probability of each hypothesis: 0 the dryer works, i it stopped at the i-th stop. */
  readonly hypotheses: Float64Array;
  /** Excess at most the limit, whatever the dryer did. */
  readonly pDry: number;
  /** The dryer works and the excess is above the limit. */
  readonly pWetWorking: number;
  /** The dryer stopped and the excess is above the limit. */
  readonly pWetStopped: number;
};

/** In the first interval, which is long. */
const firstStops = 5;

/**
 * Moments at which the dryer of a batch may have stopped: finely in the first interval, then one in each. Another
 * weighing only adds one, so that it never shifts what was believed of those before.
 */
function stopsBetween(loads: readonly Load[]): readonly Stop[] {
  const since = Math.min(...loads.map((load) => load.since));
  const hours = [...new Set(loads.flatMap(({ rows }) => rows.map(({ hour }) => hour)))]
    .toSorted((a, b) => a - b)
    .filter((hour, i, all) => i === 0 || hour - all[i - 1]! > 0.25);
  let from = since;
  return hours.flatMap((hour, i) => {
    const count = i === 0 ? firstStops : 1;
    const widthHours = (hour - from) / count;
    const start = from;
    from = hour;
    if (widthHours <= 0) return [];
    return Array.from({ length: count }, (_, j) => ({
      hour: start + widthHours * (j + 0.5),
      widthHours,
    }));
  });
}

/**
 * Judges the trays of one batch together, one answer for each load in their order: they share one dryer, so a tray that
 * goes on losing clears the others of a stop. They are no independent witnesses of it, though: see `witness`. `limit`:
 * excess as a share of the dry mass. `detailed`: with the cases, which take longer than the probabilities alone.
 */
export function drynessOf(
  loads: readonly Load[],
  limit: number,
  { grid = fineGrid, detailed = true }: { grid?: Grid; detailed?: boolean } = {},
): readonly Dryness[] {
  if (loads.length === 0) return [];
  const stops = stopsBetween(loads);
  const stopping = stops.map(({ widthHours }) => stopsPerHour * widthHours);
  const logWorking = -stopping.reduce((sum, one) => sum + one, 0);
  const logOdds = stopping.map((one) => Math.log(one) - logWorking);
  const question = { stops, logOdds, limit, grid, alone: loads.length === 1, detailed };
  const weighed = loads.map(({ rows, end, freshGrams }) =>
    weighEvidence(rows, { ...end, freshGrams }, question),
  );
  const evidences = loads.map(({ thicknessMm, ratesSeen }, i) =>
    givenRate(weighed[i]!, thicknessMm, ratesSeen),
  );
  const hypotheses = hypothesesGiven(loads, evidences, logOdds);
  const alike = loads.map((load) => othersOfItsFood(load, loads));
  const weights = alike.map((others) => 1 / (1 + correlation.sameFood * (others.length - 1)));
  const informed = withSharedRates(evidences, weighed, alike, weights);
  return loads.map((load, i) => {
    const one = informed[i]!;
    if (!coreFoundDry(load)) return { load, evidence: one, hypotheses, ...shares(one, hypotheses) };
    const seen = withDryCore(one, hypotheses);
    return { load, ...seen, ...shares(seen.evidence, seen.hypotheses) };
  });
}

/**
 * The trays of a batch share their cut, their clock and the errors of one model, those of one food its water content
 * too. So n of them count as n/(1 + ρ·(n − 1)) witnesses of what the dryer did (Kish's design effect). Both
 * correlations are our choice.
 */
const correlation = { sameFood: 0.7, otherFood: 0.25 } as const;

/** The other trays that certainly hold the same food, cut as thick. */
const othersOfItsFood = (load: Load, loads: readonly Load[]): readonly number[] =>
  loads.flatMap((other, j) =>
    other !== load && other.log.thicknessMm === load.log.thicknessMm && holdSameFood(other, load)
      ? [j]
      : [],
  );

/** The weight of each tray's log evidence. */
function witness(loads: readonly Load[]): readonly number[] {
  const foods = loads.map(({ log }) => log.food?.name.toLowerCase() ?? "");
  return foods.map((food) => {
    const same = foods.filter((other) => other === food).length - 1;
    const others = foods.length - 1 - same;
    return 1 / (1 + correlation.sameFood * same + correlation.otherFood * others);
  });
}

function hypothesesGiven(
  loads: readonly Load[],
  evidences: readonly Evidence[],
  logOdds: readonly number[],
): Float64Array {
  const logs = Float64Array.from([0, ...logOdds]);
  const weights = witness(loads);
  for (const [i, { logEvidence }] of evidences.entries())
    for (let h = 0; h < logs.length; h++)
      logs[h]! += weights[i]! * (logEvidence[h]! - logEvidence[0]!);
  const total = logSum(logs);
  return logs.map((log) => Math.exp(log - total));
}

/** What is believed of a tray once its thickest piece was found dry. */
function withDryCore(
  evidence: Evidence,
  hypotheses: Float64Array,
): Pick<Dryness, "evidence" | "hypotheses"> {
  const chance = evidence.dry.map((dry, h) => {
    const wet = h === 0 ? chanceOfDryCore.damp : chanceOfDryCore.iced;
    return dry * chanceOfDryCore.dry + (1 - dry) * wet;
  });
  const seen = hypotheses.map((probability, h) => probability * chance[h]!);
  const total = seen.reduce((sum, one) => sum + one, 0);
  return {
    evidence: {
      ...evidence,
      dry: evidence.dry.map((dry, h) => (dry * chanceOfDryCore.dry) / chance[h]!),
    },
    hypotheses: seen.map((one) => one / total),
  };
}

function shares(
  { dry }: Evidence,
  hypotheses: Float64Array,
): { pDry: number; pWetWorking: number; pWetStopped: number } {
  let pDry = 0;
  let pWetWorking = 0;
  let pWetStopped = 0;
  for (const [h, probability] of hypotheses.entries()) {
    pDry += probability * dry[h]!;
    if (h === 0) pWetWorking = probability * (1 - dry[h]!);
    else pWetStopped += probability * (1 - dry[h]!);
  }
  return { pDry, pWetWorking, pWetStopped };
}
