/**
 * What cannot all be true. Each slip is found by the figure that it leaves behind, named with its evidence, and never
 * averaged away. Only what lies far beyond the scale's error and beyond what food can do is called so: an honest rise
 * stays `gaining`, a tray that is too heavy stays `stalled`.
 */
import type { TrayLog } from "../tray/weighing.ts";
import { historyOf, type History } from "./points.ts";
import type { GramConstants } from "./rules.ts";
import {
  foodRemoved,
  freshConflict,
  hoursOrder,
  oddPoints,
  tooLight,
  unitMixed,
  weighedTwice,
  wrongTare,
  type Slip,
} from "./slips.ts";
import { fromOtherTray, quietSwap } from "./swap.ts";
import type { Contradiction } from "./verdict.ts";

/** By log: the likeliest slip, the more particular explanation first, with the row that it rests on. */
export function contradictionsIn(
  logs: readonly TrayLog[],
  inGrams: GramConstants,
): ReadonlyMap<TrayLog, Contradiction> {
  const histories = logs.map((log) => historyOf(log, inGrams));
  const found = new Map<TrayLog, Contradiction>();
  const tell = ({ log }: History, slip: Slip | null): void => {
    if (slip !== null && !found.has(log)) found.set(log, slip);
  };
  for (const history of histories)
    tell(history, freshConflict(history) ?? hoursOrder(history) ?? weighedTwice(history));
  for (const history of histories) {
    if (found.has(history.log)) continue;
    const odd = oddPoints(history);
    if (odd.length === 0) continue;
    const others = histories.filter((other) => other !== history && !found.has(other.log));
    const exchange = firstOf(odd, (i) =>
      unitMixed(history, i) === null ? fromOtherTray(history, i, others) : null,
    );
    if (exchange !== null) for (const one of exchange) tell(one.history, one.slip);
    tell(
      history,
      firstOf(odd, (i) => unitMixed(history, i)) ??
        firstOf(odd, (i) => wrongTare(history, i)) ??
        foodRemoved(history) ??
        tooLight(history),
    );
  }
  const quiet = quietSwap(histories.filter(({ log }) => !found.has(log)));
  if (quiet !== null) for (const one of quiet) tell(one.history, one.slip);
  for (const history of histories) tell(history, foodRemoved(history) ?? tooLight(history));
  return found;
}

function firstOf<T>(candidates: readonly number[], look: (i: number) => T | null): T | null {
  for (const candidate of candidates) {
    const seen = look(candidate);
    if (seen !== null) return seen;
  }
  return null;
}
