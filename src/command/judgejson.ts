import type { TrayLog } from "../tray/weighing.ts";
import type { BatchVerdict, Interval, TrayVerdict } from "../verdict/verdict.ts";

export type JudgedBatch = {
  readonly batch: string;
  readonly logs: readonly TrayLog[];
  readonly verdict: BatchVerdict;
};

/** The document of `judge --json`, as the public contract fixes it. */
export const documentOf = (judged: readonly JudgedBatch[]) => ({
  batches: judged.map(({ batch, verdict }) => ({
    batch,
    verdict: verdict.verdict,
    more_hours: intervalOf(verdict.moreHours),
    behind: verdict.behind,
    trays: verdict.trays.map(trayOf),
  })),
});

const trayOf = (tray: TrayVerdict) => ({
  tray: tray.tray,
  verdict: tray.verdict,
  confidence: plain(tray.confidence),
  p_dry: plain(tray.pDry),
  reasons: tray.reasons.map(({ code, text }) => ({ code, text })),
  remaining_g: intervalOf(tray.remaining),
  more_hours: intervalOf(tray.moreHours),
  next_weighing_hours: tray.nextWeighingHours === null ? null : plain(tray.nextWeighingHours),
  provable_g: tray.provable === null ? null : plain(tray.provable),
  contradiction:
    tray.contradiction === null
      ? null
      : {
          code: tray.contradiction.code,
          text: tray.contradiction.text,
          line: tray.contradiction.ref,
        },
  fit:
    tray.fit === null
      ? null
      : {
          model: tray.fit.model,
          parameters: plainAll(tray.fit.parameters),
          standard_errors: plainAll(tray.fit.standardErrors),
        },
});

const intervalOf = <Q extends number>(interval: Interval<Q> | null) =>
  interval === null
    ? null
    : { estimate: plain(interval.estimate), low: plain(interval.low), high: plain(interval.high) };

/** Six digits are more than any weighing carries. */
const plain = (value: number): number => Number(value.toPrecision(6));
const plainAll = (values: Readonly<Record<string, number>>): Record<string, number> =>
  Object.fromEntries(Object.entries(values).map(([name, value]) => [name, plain(value)]));
