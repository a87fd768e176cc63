import {
  fineGrid,
  logSum,
  weighEvidence,
  type Evidence,
  type Grid,
  type Stop,
} from "../drying/evidence.ts";
import type { Load } from "./load.ts";
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

const mostStops = 24;

/** Moments at which the dryer of a batch may have stopped: finely in the long first interval, then by interval. */
export function stopsBetween(loads: readonly Load[]): readonly Stop[] {
  const since = Math.min(...loads.map((load) => load.since));
  const hours = [...new Set(loads.flatMap(({ rows }) => rows.map(({ hour }) => hour)))]
    .toSorted((a, b) => a - b)
    .filter((hour, i, all) => i === 0 || hour - all[i - 1]! > 0.25);
  const first = 5;
  const each = Math.max(
    1,
    Math.min(3, Math.floor((mostStops - first) / Math.max(hours.length - 1, 1))),
  );
  let from = since;
  return hours.flatMap((hour, i) => {
    const count = i === 0 ? first : each;
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
 * Judges the trays of one batch together: they share one dryer, so a tray that goes on losing clears the others
 * of a stop. Trays of one food share the error of its water content and so count as one witness: the mean of
 * their log evidence.
 */
export function drynessOf(
  loads: readonly Load[],
  limit: number,
  grid: Grid = fineGrid,
): readonly Dryness[] {
  if (loads.length === 0) return [];
  const stops = stopsBetween(loads);
  const evidences = loads.map(({ rows, end, freshGrams }) =>
    weighEvidence(rows, { ...end, freshGrams }, stops, limit, grid),
  );
  const hypotheses = hypothesesGiven(loads, evidences, stops);
  return loads.map((load, i) => ({
    load,
    evidence: evidences[i]!,
    hypotheses,
    ...shares(evidences[i]!, hypotheses),
  }));
}

function hypothesesGiven(
  loads: readonly Load[],
  evidences: readonly Evidence[],
  stops: readonly Stop[],
): Float64Array {
  const stopping = stops.map(({ widthHours }) => stopsPerHour * widthHours);
  const working = Math.exp(-stopping.reduce((sum, one) => sum + one, 0));
  const logs = Float64Array.from([working, ...stopping], Math.log);
  const foods = loads.map(({ log }) => log.food?.name.toLowerCase() ?? "");
  for (const [i, { logEvidence }] of evidences.entries()) {
    const witnesses = foods.filter((food) => food === foods[i]).length;
    for (let h = 0; h < logs.length; h++)
      logs[h]! += (logEvidence[h]! - logEvidence[0]!) / witnesses;
  }
  const total = logSum(logs);
  return logs.map((log) => Math.exp(log - total));
}

function shares(
  { cases }: Evidence,
  hypotheses: Float64Array,
): { pDry: number; pWetWorking: number; pWetStopped: number } {
  const dry = new Float64Array(hypotheses.length);
  const seen = new Float64Array(hypotheses.length);
  for (const one of cases) {
    dry[one.hypothesis]! += one.share * one.dry;
    seen[one.hypothesis]! += one.share;
  }
  let pDry = 0;
  let pWetWorking = 0;
  let pWetStopped = 0;
  for (const [h, probability] of hypotheses.entries()) {
    const dryShare = seen[h]! > 0 ? dry[h]! / seen[h]! : 0;
    pDry += probability * dryShare;
    if (h === 0) pWetWorking = probability * (1 - dryShare);
    else pWetStopped += probability * (1 - dryShare);
  }
  return { pDry, pWetWorking, pWetStopped };
}
