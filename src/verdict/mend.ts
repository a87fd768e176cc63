import type { NetWeighing, TrayLog } from "../tray/weighing.ts";
import { inOrder } from "./load.ts";
import type { Contradiction } from "./verdict.ts";

/** A log with the contradiction taken out of it, as far as the rest can be judged at all. */
type Mended = {
  readonly log: TrayLog;
  /** One row alone was wrong, and at least two weighings follow it: the rest may speak for itself. */
  readonly standsAlone: boolean;
};

/**
 * The odd row set aside, the fresh one too; where what comes after belongs to another mass than what was before, only
 * that, and without the food's dry mass. Null where nothing can be told.
 */
export function mended(log: TrayLog, { code, ref }: Contradiction): Mended | null {
  if (code === "hours-order") return null;
  const sorted = inOrder(log.weighings);
  const dried = sorted.filter(({ dryingHours }) => dryingHours > 0);
  // It is the food's dry mass that is in doubt.
  if (code === "lighter-than-possible")
    return { log: { ...log, fresh: null, food: null, weighings: dried }, standsAlone: false };
  const at = sorted.findIndex((one) => one.ref === ref && one.dryingHours > 0);
  if (code === "fresh-conflict" || at < 0)
    return { log: { ...log, fresh: null, weighings: dried }, standsAlone: false };
  if (code === "food-removed" || (code === "wrong-tare" && !isAlone(sorted, at)))
    return {
      log: { ...log, fresh: null, food: null, weighings: sorted.slice(at) },
      standsAlone: false,
    };
  return {
    log: { ...log, weighings: sorted.toSpliced(at, 1) },
    standsAlone: sorted.length - 1 - at >= 2,
  };
}

/** What came back may be so much lighter than before the odd row, having dried on, and so much heavier by the open air. */
const comesBack = { least: 0.7, most: 1.02 } as const;

/** Whether the rows after the odd one go on where those before it left off. */
function isAlone(sorted: readonly NetWeighing[], at: number): boolean {
  const [before, odd, after] = [sorted[at - 1], sorted[at], sorted[at + 1]];
  if (before === undefined || odd === undefined || after === undefined) return false;
  const ratio = after.net / before.net;
  const isBetween = Math.min(before.net, after.net) <= odd.net && odd.net <= before.net;
  return !isBetween && ratio >= comesBack.least && ratio <= comesBack.most;
}
