/**
 * The drying clock: hours in a working dryer. In: the moments at which trays went in and came out, the
 * interruptions, and the gaps in which nobody watched. Out: hours, the state, minutes out, and the stretch.
 */
import { hours, minutesBetween, type Hours, type Minutes, type UtcMs } from "../units/quantity.ts";
import type { TrayId } from "./weighing.ts";

export type ClockRecord = {
  /** Those that count, in any order. `trays` null: all of the batch. */
  readonly moments: readonly {
    readonly is: "in" | "out";
    readonly at: UtcMs;
    readonly trays: readonly TrayId[] | null;
  }[];
  /** When trays that joined later were loaded: what was told of all trays before is nothing to them. */
  readonly joined?: ReadonlyMap<TrayId, UtcMs>;
  /** The dryer did not run although trays were in: its hours do not count, and the curve breaks. */
  readonly interruptions: readonly {
    readonly from: UtcMs;
    readonly to: UtcMs | null;
    readonly trays: readonly TrayId[] | null;
  }[];
  /** Nobody watched: hours count only once a person said that the dryer ran; its standing still breaks the curve. */
  readonly gaps: readonly {
    readonly from: UtcMs;
    readonly to: UtcMs;
    readonly dryerRan: boolean | null;
  }[];
};

type ClockState = {
  readonly is: "waiting" | "in" | "out";
  readonly since: UtcMs | null;
};

type Span = { readonly from: number; readonly to: number };

/** What is told of some trays, or of all that there are (null). */
export const concerns = (trays: readonly TrayId[] | null, tray: TrayId): boolean =>
  trays === null || trays.includes(tray);

/** The changes of one tray up to a moment: an "in" while in, and an "out" before any "in", change nothing. */
function changesUntil(clock: ClockRecord, tray: TrayId, at: UtcMs): readonly ClockState[] {
  const states: ClockState[] = [{ is: "waiting", since: null }];
  const moments = clock.moments
    .filter((moment) => moment.at <= at && concerns(moment.trays, tray))
    .toSorted((a, b) => a.at - b.at);
  for (const moment of moments) {
    const before = states.at(-1)?.is;
    if (moment.is === before || (before === "waiting" && moment.is === "out")) continue;
    states.push({ is: moment.is, since: moment.at });
  }
  const joinedAt = clock.joined?.get(tray);
  if (joinedAt === undefined) return states;
  const isBefore = ({ since }: ClockState): boolean => since === null || since < joinedAt;
  // Into a dryer that was running it went when it was loaded; otherwise with the others.
  const isIn = states.findLast(isBefore)?.is === "in" && joinedAt <= at;
  return [
    isIn ? { is: "in", since: joinedAt } : { is: "waiting", since: null },
    ...states.filter((state) => !isBefore(state)),
  ];
}

export const clockStateAt = (clock: ClockRecord, tray: TrayId, at: UtcMs): ClockState =>
  changesUntil(clock, tray, at).at(-1) ?? { is: "waiting", since: null };

/** Hours in a working dryer up to a moment; never negative, and never less than at an earlier moment. */
export function dryingHoursAt(clock: ClockRecord, tray: TrayId, at: UtcMs): Hours {
  const standing = standingStill(clock, tray, at);
  const ms = insideUntil(clock, tray, at).reduce(
    (sum, span) => sum + (span.to - span.from) - overlap(span, standing),
    0,
  );
  return hours(ms / 3_600_000);
}

function insideUntil(clock: ClockRecord, tray: TrayId, at: UtcMs): readonly Span[] {
  const changes = changesUntil(clock, tray, at);
  return changes.flatMap(({ is, since }, index): Span[] =>
    is === "in" && since !== null ? [{ from: since, to: changes[index + 1]?.since ?? at }] : [],
  );
}

function standingStill(clock: ClockRecord, tray: TrayId, at: UtcMs): readonly Span[] {
  const interruptions = clock.interruptions
    .filter(({ trays }) => concerns(trays, tray))
    .map(({ from, to }) => ({ from, to: to ?? at }));
  const gaps = clock.gaps.filter(({ dryerRan }) => dryerRan !== true);
  return [...interruptions, ...gaps].toSorted((a, b) => a.from - b.from);
}

/** Milliseconds of a span that lie in any of the others, which are in order of their beginning. */
function overlap(span: Span, others: readonly Span[]): number {
  let counted = span.from;
  let ms = 0;
  for (const { from, to } of others) {
    const begin = Math.max(counted, from);
    const end = Math.min(span.to, to);
    if (end <= begin) continue;
    ms += end - begin;
    counted = end;
  }
  return ms;
}

/** Minutes out of the dryer; null while a tray is in or was never in. */
export function minutesOutAt(clock: ClockRecord, tray: TrayId, at: UtcMs): Minutes | null {
  const { is, since } = clockStateAt(clock, tray, at);
  return is === "out" && since !== null ? minutesBetween(since, at) : null;
}

/**
 * Breaks of the curve before a moment: weighings of one stretch may be compared. A dryer that stands still while the
 * tray is out breaks nothing.
 */
export function stretchAt(clock: ClockRecord, tray: TrayId, at: UtcMs): number {
  const inside = insideUntil(clock, tray, at);
  const stops: readonly Span[] = [
    ...clock.interruptions
      .filter(({ trays }) => concerns(trays, tray))
      .map(({ from, to }) => ({ from, to: to ?? at })),
    ...clock.gaps.filter(({ dryerRan }) => dryerRan === false),
  ];
  return stops.filter((stop) => inside.some((span) => overlap(span, [stop]) > 0)).length;
}
