/**
 * Food poured onto a tray on the scale: how much is to go, when it is taken by itself, and what the scale's own tare
 * key hides. Every net mass is the gross mass less what was recorded before; the key only moves the display's zero.
 */
import type { SettledWeight } from "../settle/settled.ts";
import { pourTolerance, type Portion } from "../tray/portion.ts";
import type { TrayWeighing } from "../tray/weighing.ts";
import { asKept } from "../units/mass.ts";
import { grams, type Grams } from "../units/quantity.ts";
import type { Batch, Bench, Change, ScaleOnBench, Tray } from "./bench.ts";
import type { Expected } from "./loads.ts";
import { beforePour, current, isToLoad, loadedSoFar, tareOf } from "./look.ts";

type Pour = {
  readonly as: Expected;
  readonly portion: Portion | null;
  /** What the tray weighed before: empty, or with the portions that are on it. */
  readonly before: Grams;
};

/** What is being poured on a scale; null where something else comes next, or the tray's empty mass is not known. */
export function pourFor(scale: ScaleOnBench, next: Expected | null): Pour | null {
  if (next === null || next.kind !== "fresh" || scale.bag !== null) return null;
  const { batch, tray } = next;
  const before = next.portion === null ? tareOf(batch, tray) : loadedSoFar(batch, tray);
  if (before === null) return null;
  const portion = tray.portions.find(({ place }) => place === next.portion) ?? null;
  return { as: next, portion, before };
}

/** What the scale's tare key hides while this tray is on it. */
export const hiddenOf = (scale: ScaleOnBench, tray: Tray): Grams =>
  scale.hidden?.trayId === tray.id ? scale.hidden.gross : grams(0);

export const grossOf = (scale: ScaleOnBench, pour: Pour, shown: Grams): Grams =>
  grams(shown + hiddenOf(scale, pour.as.tray));

/**
 * A load at rest while a tray is being loaded. `take`: within the tolerance of its target, or all of a tray of which
 * no target was set, seen from a zero that the tare key made. `wait`: something is to go, or too much. `ordinary`:
 * a tray without a target, as any other load.
 */
export function judgePour(
  scale: ScaleOnBench,
  pour: Pour,
  weight: Pick<SettledWeight, "mass" | "division">,
): "take" | "wait" | "ordinary" {
  const { portion, before, as } = pour;
  const net = grossOf(scale, pour, weight.mass) - before;
  const target = portion?.target ?? null;
  if (target !== null)
    return Math.abs(net - target) <= pourTolerance(target, weight.division) ? "take" : "wait";
  // Of several portions without a target nobody but the person knows when one is complete.
  if (as.tray.portions.length > 1) return "wait";
  return scale.hidden?.trayId === as.tray.id && net > 0 ? "take" : "ordinary";
}

type LastTaken = {
  readonly batch: Batch;
  readonly tray: Tray;
  readonly weighing: TrayWeighing;
  readonly before: Grams;
};

/** The fresh weighing that was last taken on a scale, where it still counts. */
export function lastTakenFresh(bench: Bench, scale: ScaleOnBench): LastTaken | null {
  for (const batch of bench.batches) {
    const weighing = current(batch.weighings).find(({ id }) => id === scale.lastTaken);
    const tray = batch.trays.find(({ id }) => id === weighing?.trayId);
    if (weighing === undefined || tray === undefined || weighing.kind !== "fresh") continue;
    const before =
      weighing.portion === null ? tareOf(batch, tray) : beforePour(batch, tray, weighing);
    return before === null ? null : { batch, tray, weighing, before };
  }
  return null;
}

/** A tray that is put back passes the masses below its own in less than this. */
const pouringMs = 1000;
/** Below the tray's own mass by more than this share: no tray with anything on it. */
const lighterShare = 0.05;

/** The display shows nothing for so long before what the key hid is over: the pan is empty, or zeroed anew. */
const emptyMs = 300;

/**
 * What the scale's tare key hides now. It must have been pressed with the tray on the scale where the scale says so
 * itself (net), or where a display that went to zero from this tray then stays at masses at which the tray cannot be
 * on it. It is over when the display rests at zero again.
 */
export function noticeHidden(
  scale: ScaleOnBench,
  pour: Pour | null,
  lastTray: number | null,
): ScaleOnBench["hidden"] {
  const { mass, division, on, memory } = scale.pan;
  const inPlaceMs =
    memory.lastAtMonoMs === null || memory.placeSinceMonoMs === null
      ? 0
      : memory.lastAtMonoMs - memory.placeSinceMonoMs;
  if (memory.basis === "gross") return null;
  if (scale.hidden !== null) {
    const isEmpty = on === "nothing" && memory.place === "near-zero" && inPlaceMs >= emptyMs;
    return isEmpty && memory.basis !== "net" ? null : scale.hidden;
  }
  if (pour === null || lastTray !== pour.as.tray.id || mass === null || division === null)
    return null;
  const hidden = { trayId: pour.as.tray.id, gross: pour.before };
  if (memory.basis === "net") return hidden;
  const isOff = scale.load === null || scale.load.became === "ignored";
  const lighter = mass < pour.before - Math.max(3 * division, lighterShare * pour.before);
  return isOff && lighter && memory.place === "above" && inPlaceMs >= pouringMs ? hidden : null;
}

/**
 * With nothing on it, the scale shows less than nothing by just what stood on it before the food came: the tare key
 * was pressed, and what was taken was the food alone. The weighing is put right.
 */
export function afterTareKey(bench: Bench, scale: ScaleOnBench): readonly Change[] {
  const { pan } = scale;
  const taken = lastTakenFresh(bench, scale);
  if (taken === null || pan.on !== "below-zero" || !pan.settled || pan.mass === null) return [];
  const { batch, tray, weighing, before } = taken;
  const isJustThat = Math.abs(pan.mass + before) <= 3 * weighing.division;
  if (!isJustThat || !isToLoad(batch, tray) || hiddenOf(scale, tray) > 0) return [];
  const id = bench.next.weighing;
  const reason = `the scale's tare key was pressed: with nothing on it, it showed ${pan.mass.toFixed(1)} g`;
  const gross = asKept(grams(weighing.gross + before));
  return [
    { is: "weighing-taken", weighing: { ...weighing, id, gross, supersedes: weighing.id, reason } },
    { is: "taken-shown", scaleId: scale.id, weighing: id },
    { is: "hidden-noticed", scaleId: scale.id, hidden: { trayId: tray.id, gross: before } },
  ];
}
