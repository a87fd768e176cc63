import type { TrayLog } from "../tray/weighing.ts";
import { inOrder } from "./load.ts";
import type { Contradiction } from "./verdict.ts";

/** A log with the contradiction taken out of it, as far as the rest can be judged at all. */
export type Mended = {
  readonly log: TrayLog;
  /** One row alone was wrong, and at least two weighings follow it: the rest may speak for itself. */
  readonly standsAlone: boolean;
};

/**
 * The odd row set aside; where what comes after belongs to another mass than what was before, only that, and without
 * the food's dry mass. Null where nothing can be told.
 */
export function mended(log: TrayLog, { code, ref }: Contradiction): Mended | null {
  const sorted = inOrder(log.weighings);
  const at = sorted.findIndex((one) => one.ref === ref && one.dryingHours > 0);
  const later = sorted.slice(at + 1);
  switch (code) {
    case "swapped-trays":
    case "weighed-twice":
      return {
        log: { ...log, weighings: sorted.toSpliced(at, 1) },
        standsAlone: at >= 0 && later.length >= 2,
      };
    case "unit-mixed":
      return at < 0
        ? {
            log: {
              ...log,
              fresh: null,
              weighings: sorted.filter(({ dryingHours }) => dryingHours > 0),
            },
            standsAlone: false,
          }
        : { log: { ...log, weighings: sorted.toSpliced(at, 1) }, standsAlone: later.length >= 2 };
    case "wrong-tare":
    case "food-removed":
    case "lighter-than-possible":
      return {
        log: { ...log, fresh: null, food: null, weighings: sorted.slice(at) },
        standsAlone: false,
      };
    case "fresh-conflict":
      return {
        log: {
          ...log,
          fresh: null,
          weighings: sorted.filter(({ dryingHours }) => dryingHours > 0),
        },
        standsAlone: false,
      };
    case "hours-order":
      return null;
  }
}
