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

/** What the clock says of one tray: its changes are found once, for however many moments are asked about. */
export type TrayClock = {
  stateAt(at: UtcMs): ClockState;
  /** Hours in a working dryer up to a moment; never negative, and never less than at an earlier moment. */
  dryingHoursAt(at: UtcMs): Hours;
  /** Minutes out of the dryer; null while a tray is in or was never in. */
  minutesOutAt(at: UtcMs): Minutes | null;
  /**
   * Breaks of the curve before a moment: weighings of one stretch may be compared. A dryer that stands still while the
   * tray is out breaks nothing.
   */
  stretchAt(at: UtcMs): number;
};

const waiting: ClockState = { is: "waiting", since: null };

export function trayClock(clock: ClockRecord, tray: TrayId): TrayClock {
  const changes = changesOf(clock, tray);
  const inside = changes.flatMap(({ is, since }, index): Span[] =>
    is === "in" && since !== null ? [{ from: since, to: changes[index + 1]?.since ?? ever }] : [],
  );
  const interruptions = clock.interruptions
    .filter(({ trays }) => concerns(trays, tray))
    .map(({ from, to }): Span => ({ from, to: to ?? ever }));
  const notRun = clock.gaps.filter(({ dryerRan }) => dryerRan !== true);
  const stoodStill = clock.gaps.filter(({ dryerRan }) => dryerRan === false);
  const standing = [...interruptions, ...notRun].toSorted((a, b) => a.from - b.from);
  const stops = [...interruptions, ...stoodStill];

  const stateAt = (at: UtcMs): ClockState =>
    changes.findLast(({ since }) => since === null || since <= at) ?? waiting;
  return {
    stateAt,
    dryingHoursAt(at) {
      const standingUntil = standing.map((span) => until(span, at));
      let ms = 0;
      for (const span of inside) {
        if (span.from >= at) break;
        ms += Math.min(span.to, at) - span.from - overlap(span, standingUntil);
      }
      return hours(ms / 3_600_000);
    },
    minutesOutAt(at) {
      const { is, since } = stateAt(at);
      return is === "out" && since !== null ? minutesBetween(since, at) : null;
    },
    stretchAt: (at) =>
      stops.filter((stop) => inside.some((span) => overlap(span, [until(stop, at)]) > 0)).length,
  };
}

/** The end of time: of what has not ended. */
const ever = Number.POSITIVE_INFINITY;

const until = ({ from, to }: Span, at: UtcMs): Span => ({ from, to: Math.min(to, at) });

/** In the order of time: an "in" while in, and an "out" before any "in", change nothing. */
function changesOf(clock: ClockRecord, tray: TrayId): readonly ClockState[] {
  const states: ClockState[] = [waiting];
  const moments = clock.moments
    .filter((moment) => concerns(moment.trays, tray))
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
  const isIn = states.findLast(isBefore)?.is === "in";
  return [
    isIn ? { is: "in", since: joinedAt } : waiting,
    ...states.filter((state) => !isBefore(state)),
  ];
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
