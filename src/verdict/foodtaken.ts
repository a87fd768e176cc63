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
  const { weighings } = log;
  // Of masses that leave no food no share can be told: they are refused by what they are.
  if (!weighings.some(({ foodTaken }) => foodTaken) || weighings.some(({ net }) => net <= 0))
    return log;
  let { fresh } = log;
  let rows: NetWeighing[] = [];
  for (const { foodTaken = false, ...row } of inOrder(weighings)) {
    const before = rows.at(-1);
    if (!foodTaken || (before !== undefined && !isLess(row, before))) rows.push(row);
    else if (before === undefined || !isAtOnce(before, row)) {
      fresh = null;
      rows = [row];
    } else {
      const left = row.net / before.net;
      const scaled = <One extends Mass>(one: One): One => ({
        ...one,
        net: grams(one.net * left),
      });
      fresh = fresh === null ? null : scaled(fresh);
      // The one before told the share that is left: it tells nothing else.
      rows = [...rows.slice(0, -1).map(scaled), row];
    }
  }
  return { ...log, fresh, weighings: rows };
}

type Mass = { readonly net: Grams };

/** Masses that were put right since may leave nothing that could have been taken. */
const isLess = ({ net }: Mass, before: Mass): boolean => net < before.net;

/** Weighed before and after food was taken, in one time out of the dryer. */
const isAtOnce = (before: NetWeighing, after: NetWeighing): boolean =>
  before.stretch === after.stretch && after.dryingHours - before.dryingHours <= sameHour;

/**
 * The share of the food that is still on the tray, from masses in the order in which they were weighed. Where hours of
 * drying lie between, water that was lost counts as food taken.
 */
export const shareLeft = (rows: readonly (Mass & { readonly foodTaken: boolean })[]): number =>
  rows.reduce((share, { net, foodTaken }, i) => {
    const before = rows[i - 1];
    const isTaken = foodTaken && before !== undefined && net > 0 && isLess({ net }, before);
    return isTaken ? (share * net) / before.net : share;
  }, 1);

/** Of a mass from which food is said to be missing. */
export const nothingTaken = (mass: number): string =>
  `${mass.toFixed(1)} g: no weighing after drying just before it was heavier, so no food was taken off`;
