/**
 * A display's real step is found out after some figures; what a scale weighed before was kept with the step that its
 * decimals show. In: a batch's weighings. Out: the division with which such a weighing is to be judged. The rows stay.
 */
import { stepsOfDisplays } from "../reading/division.ts";
import type { TrayLog, TrayWeighing, WeighingId } from "../tray/weighing.ts";
import type { Grams } from "../units/quantity.ts";
import type { Batch } from "./bench.ts";

const isWholeIn = (mass: Grams, step: Grams): boolean =>
  Math.abs(mass / step - Math.round(mass / step)) < 1e-6;

/** By weighing; only those that were kept with a finer division than their scale has. */
export function divisionsFound({
  weighings,
}: Pick<Batch, "weighings">): ReadonlyMap<WeighingId, Grams> {
  // What a person put right tells nothing of a display.
  const read = weighings.filter(
    ({ source, scale, supersedes }) => source === "scale" && scale !== null && supersedes === null,
  );
  const found = new Map<WeighingId, Grams>();
  for (const scale of new Set(read.map((row) => row.scale)))
    for (const { id, division } of foundOn(read.filter((row) => row.scale === scale)))
      found.set(id, division);
  // Moved to another tray, it is the same figure.
  const byId = new Map(weighings.map((row) => [row.id, row]));
  for (const { id, supersedes, gross } of weighings) {
    const division = supersedes === null ? undefined : found.get(supersedes);
    if (supersedes !== null && division !== undefined && byId.get(supersedes)?.gross === gross)
      found.set(id, division);
  }
  return found;
}

/** A scale with a finer step for light loads has shown figures between the coarse ones, and is left alone. */
function foundOn(
  rows: readonly TrayWeighing[],
): readonly { readonly id: WeighingId; readonly division: Grams }[] {
  const coarsest = rows.toSorted((a, b) => b.division - a.division)[0];
  if (coarsest === undefined) return [];
  const { division } = coarsest;
  const first = rows.find((row) => row.division === division) ?? coarsest;
  const before = rows.filter((row) => row.id < first.id && row.division < division);
  const isFoundOut = before.every(
    (row) =>
      stepsOfDisplays.some((step) => Math.abs(division / row.division - step) < 1e-6) &&
      isWholeIn(row.gross, division),
  );
  return isFoundOut ? before.map(({ id }) => ({ id, division })) : [];
}

export function withDivisionsFound(log: TrayLog, found: ReadonlyMap<WeighingId, Grams>): TrayLog {
  if (found.size === 0) return log;
  const divided = <Row extends { readonly ref: number; readonly division: Grams }>(
    row: Row,
  ): Row => ({
    ...row,
    division: found.get(row.ref) ?? row.division,
  });
  return {
    ...log,
    fresh: log.fresh === null ? null : divided(log.fresh),
    weighings: log.weighings.map(divided),
  };
}
