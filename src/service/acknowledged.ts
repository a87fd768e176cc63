import type { UtcMs } from "../units/quantity.ts";
import type { Alert, Bench, Change } from "./bench.ts";

/** Open alerts that nobody needs to hear of any more. */
export const acknowledged = (
  bench: Bench,
  at: UtcMs,
  isDone: (alert: Alert) => boolean,
): readonly Change[] =>
  bench.alerts
    .filter((alert) => alert.acknowledgedAt === null && isDone(alert))
    .map(({ id }) => ({ is: "alert-acknowledged", id, at }));
