/**
 * Which of the copies made by the clock stay: the newest ones, and of each of the twelve calendar months (UTC) before
 * them the last. The time is in the name of each copy; other files are never touched.
 */
import { utcMs, type UtcMs } from "../units/quantity.ts";
import { dated } from "./database.ts";

const monthsKept = 12;

export const copyName = (at: UtcMs): string => `stillweight-${dated(at)}.db`;

/** When a copy was made, by its name; null: it is none of ours. */
export function timeOfCopy(name: string): UtcMs | null {
  const found = /^stillweight-(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)Z\.db$/.exec(name);
  if (found === null) return null;
  const [year = 0, month = 0, ...rest] = found.slice(1).map(Number);
  const [day = 0, hour = 0, minute = 0, second = 0] = rest;
  const at = Date.UTC(year, month - 1, day, hour, minute, second);
  // A date that no calendar has (month 13) is no name of ours.
  return Number.isFinite(at) && copyName(utcMs(at)) === name ? utcMs(at) : null;
}

/** The newest copy; those from the future, made while a clock ran ahead, say nothing. */
export function newestCopy(names: readonly string[], now: UtcMs): UtcMs | null {
  const times = names.map(timeOfCopy).filter((at) => at !== null && at <= now);
  return times.length === 0 ? null : utcMs(Math.max(...times.map(Number)));
}

type Copy = { readonly name: string; readonly at: UtcMs };

/**
 * Those to be removed, given that the newest `keep` stay. Copies from the future are counted apart: whether the clock ran
 * ahead then or runs back now, neither kind must push out the other.
 */
export function surplusCopies(names: readonly string[], keep: number, now: UtcMs): string[] {
  const copies = names.flatMap((name): Copy[] => {
    const at = timeOfCopy(name);
    return at === null ? [] : [{ name, at }];
  });
  const isPast = ({ at }: Copy): boolean => at <= now;
  return [copies.filter(isPast), copies.filter((copy) => !isPast(copy))].flatMap((kind) =>
    surplusOf(kind, keep),
  );
}

function surplusOf(copies: readonly Copy[], keep: number): string[] {
  const newestFirst = copies.toSorted((a, b) => b.at - a.at);
  const stay = new Set(newestFirst.slice(0, keep));
  const months = new Set<string>();
  for (const copy of newestFirst.slice(keep)) {
    const month = new Date(copy.at).toISOString().slice(0, 7);
    if (months.has(month) || months.size >= monthsKept) continue;
    months.add(month);
    stay.add(copy);
  }
  return newestFirst.filter((copy) => !stay.has(copy)).map(({ name }) => name);
}
