/**
 * Food that a person took off a tray half-way. What is left lost water as it did before, so earlier masses are brought
 * to it by the share that stayed: two weighings at the same drying hours tell that share. Where hours of drying lie
 * between them nobody knows what was food and what was water, and only what was weighed since may be judged.
 */
import type { NetWeighing, TrayLog } from "../tray/weighing.ts";
import { grams, type Grams } from "../units/quantity.ts";
import { inOrder } from "./load.ts";
import { sameHour } from "./slips.ts";

/**
 * The log of the food that is left. The pieces taken are supposed to be as dry as those that stay. Earlier rows keep
 * their division: scaled by less than 1 they are surer than is said of them, by as much as the share is unsure.
 */
export function ofFoodLeft(log: TrayLog): TrayLog {
  if (!log.weighings.some(({ foodTaken }) => foodTaken)) return log;
  let { fresh } = log;
  let before: readonly NetWeighing[] = [];
  for (const { foodTaken, ...row } of inOrder(log.weighings)) {
    const last = before.at(-1);
    if (foodTaken !== true || last === undefined) {
      if (foodTaken === true) fresh = null;
      before = [...before, row];
      continue;
    }
    if (!isAtOnce(last, row)) {
      fresh = null;
      before = [row];
      continue;
    }
    const left = row.net / last.net;
    const scaled = (net: Grams): Grams => grams(net * left);
    fresh = fresh === null ? null : { ...fresh, net: scaled(fresh.net) };
    // The one before told the share that is left: it tells nothing else.
    before = [...before.slice(0, -1).map((one) => ({ ...one, net: scaled(one.net) })), row];
  }
  return { ...log, fresh, weighings: before };
}

/** Weighed before and after food was taken, in one time out of the dryer. */
const isAtOnce = (before: NetWeighing, after: NetWeighing): boolean =>
  before.stretch === after.stretch && after.dryingHours - before.dryingHours <= sameHour;

/**
 * The share of the food that is still on the tray, from masses in the order in which they were weighed. Where hours of
 * drying lie between, water that was lost counts as food taken.
 */
export const shareLeft = (
  rows: readonly { readonly net: Grams; readonly foodTaken: boolean }[],
): number =>
  rows.reduce((share, { net, foodTaken }, i) => {
    const before = rows[i - 1]?.net;
    return foodTaken && before !== undefined ? (share * net) / before : share;
  }, 1);

/** Of a mass from which food is said to be missing. */
export const nothingTaken = (mass: number): string =>
  `${mass.toFixed(1)} g: no weighing after drying just before it was heavier, so no food was taken off`;
