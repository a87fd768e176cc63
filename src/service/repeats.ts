/** Loads that lay on one scale several times within minutes, and what is learned of the scales by them. */
import type { TrayLog, TrayWeighing } from "../tray/weighing.ts";
import {
  mostMinutes,
  placementsFrom,
  seriesIn,
  withPlacements,
  type Placement,
  type Put,
  type Series,
} from "../verdict/placement.ts";
import type { Batch, Bench } from "./bench.ts";
import type { ScaleCheck } from "./kitchen.ts";
import { current, tareOf } from "./look.ts";

const put = (row: Pick<TrayWeighing, "division" | "at"> & Pick<Put, "scale" | "shown">): Put => ({
  scale: row.scale,
  shown: row.shown,
  division: row.division,
  minutes: row.at / 60_000,
});

/**
 * Of a batch: trays weighed empty, and trays weighed between hours of drying. Wet food before drying loses water on the
 * bench at a rate that nobody knows. A weighing that was replaced or struck, and what replaced it, are none: a wrong tray
 * or a wrong figure is not told from a repeat.
 */
export function seriesOf(
  batch: Pick<Batch, "practice" | "trays" | "weighings">,
): readonly Series[] {
  if (batch.practice) return [];
  const rows = current(batch.weighings)
    .filter(
      ({ source, zeroSeen, supersedes, portion }) =>
        source === "scale" && zeroSeen && supersedes === null && portion === null,
    )
    .toSorted((a, b) => a.at - b.at || a.id - b.id);
  return batch.trays.flatMap((tray) => {
    const ofTray = rows.filter(({ trayId }) => trayId === tray.id);
    const empty = putsOf(ofTray, "tare");
    const dried = putsOf(ofTray, "dry");
    if (!isAgain(dried)) return seriesIn(empty, null);
    const tare = tareOf(batch, tray);
    const lightest = Math.min(...dried.map(({ shown }) => shown));
    // Of unknown food nobody knows how fast it takes up water.
    return [
      ...seriesIn(empty, null),
      ...(tare === null ? [] : seriesIn(dried, Math.max(0, lightest - tare))),
    ];
  });
}

const putsOf = (rows: readonly TrayWeighing[], kind: TrayWeighing["kind"]): readonly Put[] =>
  rows.flatMap((row) =>
    row.kind !== kind || row.scale === null
      ? []
      : [put({ ...row, scale: row.scale, shown: row.gross })],
  );

/** Hardly any tray is: the rest of the question is spared. */
const isAgain = (puts: readonly Put[]): boolean =>
  puts.some(({ minutes }, i) => minutes - (puts[i - 1]?.minutes ?? -Infinity) <= mostMinutes);

/** Check weights put on again and again. */
function seriesOfChecks(checks: readonly ScaleCheck[]): readonly Series[] {
  const weights = new Set(checks.map(({ weightId }) => weightId));
  return [...weights].flatMap((weight) =>
    seriesIn(checks.filter((one) => one.weightId === weight).map(put), null),
  );
}

/** Of every scale on which a load was put again. Practice teaches nothing of a scale. */
export const placementsOf = (bench: Bench): readonly Placement[] =>
  bench.practice
    ? []
    : placementsFrom([
        ...bench.series,
        ...bench.batches.flatMap(seriesOf),
        ...seriesOfChecks(bench.kitchen.checks),
      ]);

/** A weight typed in names no scale: of it nothing was learned. */
export function withScalesLearned(
  log: TrayLog,
  { weighings }: Pick<Batch, "weighings">,
  placements: readonly Placement[],
): TrayLog {
  if (placements.length === 0) return log;
  const scales = new Map(weighings.map(({ id, scale }) => [id, scale]));
  return withPlacements(log, placements, ({ ref }) => scales.get(ref) ?? null);
}
