import { hours, minutes, type Hours, type Minutes, type UtcMs } from "../units/quantity.ts";
type Moment = {
  readonly is: "in" | "out";
  readonly at: UtcMs;
  readonly trays: readonly number[] | null;
};
type Away = {
  readonly from: UtcMs;
  readonly to: UtcMs | null;
  readonly trays: readonly number[] | null;
};
type Gap = { readonly from: UtcMs; readonly to: UtcMs; readonly dryerRan: boolean | null };
export type ClockRecord = {
  readonly moments: readonly Moment[];
  readonly interruptions: readonly Away[];
  readonly gaps: readonly Gap[];
};
const of = (trays: readonly number[] | null, tray: number) =>
  trays === null || trays.includes(tray);
const mine = (clock: ClockRecord, tray: number, at: UtcMs) =>
  clock.moments.filter((m) => of(m.trays, tray) && m.at <= at).toSorted((a, b) => a.at - b.at);
export function clockStateAt(clock: ClockRecord, tray: number, at: UtcMs) {
  let state: { is: "waiting" | "in" | "out"; since: UtcMs | null } = { is: "waiting", since: null };
  for (const m of mine(clock, tray, at))
    if (m.is !== state.is && !(state.is === "waiting" && m.is === "out"))
      state = { is: m.is, since: m.at };
  return state;
}
export function dryingHoursAt(clock: ClockRecord, tray: number, at: UtcMs): Hours {
  let since: number | null = null;
  let ms = 0;
  const spans: [number, number][] = [];
  for (const m of mine(clock, tray, at)) {
    if (m.is === "in") since ??= m.at;
    else if (since !== null) {
      spans.push([since, m.at]);
      since = null;
    }
  }
  if (since !== null) spans.push([since, at]);
  const away = [
    ...clock.interruptions
      .filter((i) => of(i.trays, tray))
      .map((i): [number, number] => [i.from, i.to ?? at]),
    ...clock.gaps.filter((g) => g.dryerRan !== true).map((g): [number, number] => [g.from, g.to]),
  ].toSorted((a, b) => a[0] - b[0]);
  for (const [a, b] of spans) {
    ms += b - a;
    let done = a;
    for (const [c, d] of away) {
      const from = Math.max(done, c);
      const to = Math.min(b, d);
      if (to > from) {
        ms -= to - from;
        done = to;
      }
    }
  }
  return hours(ms / 3_600_000);
}
export function minutesOutAt(clock: ClockRecord, tray: number, at: UtcMs): Minutes | null {
  const s = clockStateAt(clock, tray, at);
  return s.is === "out" && s.since !== null ? minutes((at - s.since) / 60000) : null;
}
export function stretchAt(clock: ClockRecord, tray: number, at: UtcMs): number {
  return (
    clock.interruptions.filter((i) => of(i.trays, tray) && i.from <= at).length +
    clock.gaps.filter((g) => g.dryerRan === false && g.from <= at).length
  );
}
