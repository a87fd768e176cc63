/** The thickest piece, broken open: what no weight shows. */
import type { CoreFinding, TrayLog } from "../tray/weighing.ts";
import type { Load } from "./load.ts";

/**
 * Chance that a person finds the thickest piece neither cold nor soft: on a tray that is dry; on one that holds more
 * than the limit though its dryer works, so mostly bound water, which is easily missed; and on one whose dryer
 * stopped, which mostly holds ice, and ice is felt. No source: our choice, and modest, for people tap what they hope.
 */
export const chanceOfDryCore = { dry: 0.95, damp: 0.5, iced: 0.15 } as const;

/** Whether the last finding on this tray was a dry core, since its curve last broke or its mass last rose. */
export function coreFoundDry({ log: { coreChecks }, rows }: Load): boolean {
  const last = coreChecks.at(-1);
  return last?.finding === "dry" && last.dryingHours >= rows[0]!.hour;
}

/** A soft or cold core stands until a later check, after more drying, finds it dry. */
export function openCore({
  coreChecks,
}: TrayLog): { readonly finding: CoreFinding; readonly atHour: number } | null {
  const wet = coreChecks.findLast(({ finding }) => finding !== "dry");
  if (wet === undefined) return null;
  const closed = coreChecks.some(
    ({ finding, dryingHours }) => finding === "dry" && dryingHours > wet.dryingHours,
  );
  return closed ? null : { finding: wet.finding, atHour: wet.dryingHours };
}
