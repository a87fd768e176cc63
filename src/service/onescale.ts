/** A tray whose weighings come from several scales, brought to one: that of its last weighing. */
import { bringing, type Brought, type ScaleComparison } from "../tray/offset.ts";
import type { TrayLog, TrayWeighing } from "../tray/weighing.ts";
import { grams, type Grams } from "../units/quantity.ts";
import type { Tray } from "./bench.ts";
import { lastTare, type Weighed } from "./look.ts";

/**
 * The last two weighings decide most, and a tray that stays on a scale loses nothing by what was weighed elsewhere
 * before. A weight typed in names no scale and is taken as it is. What several masses from one scale have in common is
 * no error of each alone: each gets the uncertainty of all, so that their mean is no surer than the offset.
 *
 * The empty tray is brought over too; its uncertainty is that of every net mass alike, and small beside the food's.
 */
export function onOneScale(
  log: TrayLog,
  batch: Weighed,
  tray: Tray,
  comparisons: readonly ScaleComparison[],
): TrayLog {
  const byId = new Map(batch.weighings.map((one) => [one.id, one]));
  const last = log.weighings.flatMap(({ ref }) => byId.get(ref)?.scale ?? []).at(-1);
  const fresh = log.fresh === null ? undefined : byId.get(log.fresh.ref);
  const to = last ?? fresh?.scale ?? null;
  if (to === null) return log;
  const over = (weighing: TrayWeighing | undefined): Brought | null =>
    weighing === undefined || weighing.scale === null || weighing.scale === to
      ? null
      : bringing(comparisons, weighing.scale, to, weighing.gross);
  const tareOver = over(lastTare(batch, tray) ?? undefined);
  const isElsewhere = [...log.weighings, ...(log.fresh === null ? [] : [log.fresh])].some(
    ({ ref }) => over(byId.get(ref)) !== null,
  );
  if (tareOver === null && !isElsewhere) return log;
  const scales = log.weighings.map(({ ref }) => byId.get(ref)?.scale ?? null);
  const brought = (net: Grams, from: Brought | null): Grams =>
    grams(net - (from?.offset ?? 0) + (tareOver?.offset ?? 0));
  return {
    ...log,
    tare: log.tare === null ? null : grams(log.tare - (tareOver?.offset ?? 0)),
    fresh: log.fresh === null ? null : { ...log.fresh, net: brought(log.fresh.net, over(fresh)) },
    weighings: log.weighings.map((row, i) => {
      const from = over(byId.get(row.ref));
      const net = brought(row.net, from);
      const scale = scales[i];
      if (from === null || scale === null || scale === undefined) return { ...row, net };
      const alike = scales.filter((one) => one === scale).length;
      const { offset, u, isKnown } = from;
      return {
        ...row,
        net,
        otherScale: { scale, to, offset, u: grams(u * Math.sqrt(alike)), isKnown },
      };
    }),
  };
}
