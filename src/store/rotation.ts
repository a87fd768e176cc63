/**
 * Which of the copies that the clock made of one record stay: the newest ones, and of each of the twelve calendar months
 * (UTC) before them the last. The time is in the name of each copy, and which record it is of.
 */
import { utcMs, type UtcMs } from "../units/quantity.ts";
import { dated } from "./database.ts";

const monthsKept = 12;

/** `record`: eight hexadecimal digits; null: a name from before they were in it. */
export const copyName = (at: UtcMs, record: string | null): string =>
  `stillweight-${dated(at)}${record === null ? "" : `-${record}`}.db`;

type CopyNamed = { readonly at: UtcMs; readonly record: string | null };

/** What the name of a copy says; null: it is no copy. */
export function readCopyName(name: string): CopyNamed | null {
  const found = /^stillweight-(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)Z(?:-([0-9a-f]{8}))?\.db$/.exec(
    name,
  );
  if (found === null) return null;
  const [year = 0, month = 0, ...rest] = found.slice(1, 7).map(Number);
  const [day = 0, hour = 0, minute = 0, second = 0] = rest;
  const at = Date.UTC(year, month - 1, day, hour, minute, second);
  const record = found[7] ?? null;
  // A date that no calendar has (month 13) is no name of ours.
  const isOurs = Number.isFinite(at) && copyName(utcMs(at), record) === name;
  return isOurs ? { at: utcMs(at), record } : null;
}

const timeOfCopy = (name: string): UtcMs | null => readCopyName(name)?.at ?? null;

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
