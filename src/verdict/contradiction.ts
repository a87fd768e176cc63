import type { TrayLog } from "../tray/weighing.ts";
import type { GramConstants } from "./rules.ts";
import type { Contradiction } from "./verdict.ts";

/** What cannot all be true, by log: the likeliest slip for each, with the row that it rests on. */
export function contradictionsIn(
  _logs: readonly TrayLog[],
  _inGrams: GramConstants,
): ReadonlyMap<TrayLog, Contradiction> {
  return new Map();
}
