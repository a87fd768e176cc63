import { misfit, type History, type Point } from "./points.ts";
import { said } from "./sentences.ts";
import { fitting, impossible, type Slip } from "./slips.ts";

/** Trays weighed within so many hours of each other were on the bench together. */
const together = 0.5;

/**
 * The odd figure of one tray belongs to another one: the same tray weighed twice, or two trays swapped. Null when no
 * other tray's figure of that hour explains it.
 */
export function fromOtherTray(
  history: History,
  odd: number,
  others: readonly History[],
): readonly { readonly history: History; readonly slip: Slip }[] | null {
  const point = history.points[odd]!;
  for (const other of others) {
    const at = other.points.findIndex(
      ({ hour }) => Math.abs(hour - point.hour) <= together && hour > 0,
    );
    const theirs = other.points[at];
    if (theirs === undefined) continue;
    if (
      Math.abs(theirs.net + tareShift(other, history) - point.net) <=
      fitting * Math.hypot(theirs.u, point.u)
    ) {
      const otherTray = other.log.tray;
      const figures = { netGrams: point.net, atHours: point.hour, otherTray };
      const slip: Slip = {
        code: "weighed-twice",
        ref: point.ref,
        ...said("shows-other", figures),
        otherTray,
        meantNet: null,
      };
      return [{ history, slip }];
    }
    if (!fitsSwapped(history, odd, theirs, tareShift(other, history))) continue;
    if (!fitsSwapped(other, at, point, tareShift(history, other))) continue;
    return swapped(history, point, other, theirs);
  }
  return null;
}

/** Net masses are gross less the own tare: the other tray's gross appears with this tray's tare taken off. */
const tareShift = (from: History, to: History): number =>
  from.log.tare === null || to.log.tare === null ? 0 : from.log.tare - to.log.tare;

const fitsSwapped = (history: History, at: number, theirs: Point, shift: number): boolean => {
  const before = history.points[at - 1];
  const after = history.points[at + 1];
  const value = theirs.net + shift;
  // Later weighings may be swapped as well, so the one after speaks only where it fits the one before.
  const honest =
    after !== undefined &&
    before !== undefined &&
    misfit(history, after.net, after.u, before, undefined) < fitting;
  return misfit(history, value, theirs.u, before, honest ? after : undefined) < fitting;
};

function swapped(history: History, point: Point, other: History, theirs: Point) {
  const slip = (mine: Point, otherTray: string, hers: Point): Slip => ({
    code: "swapped-trays",
    ref: mine.ref,
    ...said("swapped", {
      netGrams: mine.net,
      atHours: mine.hour,
      otherGrams: hers.net,
      otherTray,
    }),
    otherTray,
    meantNet: null,
  });
  return [
    { history, slip: slip(point, other.log.tray, theirs) },
    { history: other, slip: slip(theirs, history.log.tray, point) },
  ] as const;
}

/** Two trays of one food dry alike: these shares of the mass before, as logarithms, tell a swap from a slow shelf. */
const unlike = 0.35;
const alike = 0.08;

/** A swap that leaves no rise behind: with the last figures exchanged, two trays of one food would have dried alike. */
export function quietSwap(histories: readonly History[]) {
  for (const [i, one] of histories.entries())
    for (const two of histories.slice(i + 1)) {
      if (one.log.food === null || one.log.food.name !== two.log.food?.name) continue;
      const [a, b] = [one.points.at(-1), two.points.at(-1)];
      const [aBefore, bBefore] = [one.points.at(-2), two.points.at(-2)];
      if (a === undefined || b === undefined || aBefore === undefined || bBefore === undefined)
        continue;
      if (Math.abs(a.hour - b.hour) > together || Math.abs(aBefore.hour - bBefore.hour) > together)
        continue;
      const apart = (x: number, y: number): number =>
        Math.abs(Math.log(x / aBefore.net) - Math.log(y / bBefore.net));
      const exchanged = apart(b.net + tareShift(two, one), a.net + tareShift(one, two));
      const clear = Math.abs(a.net - b.net) > 2 * impossible * Math.hypot(a.u, b.u);
      if (clear && apart(a.net, b.net) > unlike && exchanged < alike)
        return swapped(one, a, two, b);
    }
  return null;
}
