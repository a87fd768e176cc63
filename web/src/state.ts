/**
 * What the page knows: the bench as the service last told it, the newest reading of each scale, and how the
 * connection stands. `next` answers what is known after one more input; it does nothing itself.
 */
import type { Bench, Scale, ScaleTask } from "../../src/wire/bench.ts";
import type { FromService, ReadingMessage } from "../../src/wire/messages.ts";

/** Both clocks at the moment when a message came: the page shows the service's time, never its own. */
type TwoClocks = {
  readonly serviceMs: number;
  readonly localMs: number;
  readonly timeFactor: number;
};

type Connection =
  | { readonly is: "connecting" }
  | { readonly is: "live" }
  | { readonly is: "lost"; readonly sinceLocalMs: number };

type SeenReading = {
  readonly state: ReadingMessage["state"];
  readonly grams: number | null;
  readonly settled: boolean;
  readonly divisionGrams: number | null;
  readonly atLocalMs: number;
  /** Since the reading before. */
  readonly pauseMs: number;
};

export type State = {
  readonly connection: Connection;
  readonly clocks: TwoClocks | null;
  readonly bench: Bench | null;
  /** When the service sent that bench, by its own clock. */
  readonly benchAtMs: number | null;
  /** By the scale's id. */
  readonly readings: Readonly<Record<string, SeenReading>>;
  /** When the last message came, by the page's own clock. */
  readonly heardLocalMs: number | null;
  /** The service speaks another version of these messages than this page. */
  readonly outdated: boolean;
};

export type Input =
  | { readonly is: "message"; readonly message: FromService; readonly localMs: number }
  | { readonly is: "opened" }
  | { readonly is: "lost"; readonly localMs: number };

export const nothingKnown: State = {
  connection: { is: "connecting" },
  clocks: null,
  bench: null,
  benchAtMs: null,
  readings: {},
  heardLocalMs: null,
  outdated: false,
};

export function next(state: State, input: Input, knownVersion: number): State {
  switch (input.is) {
    case "opened":
      return { ...state, connection: { is: "live" } };
    case "lost":
      // Trying again and failing again does not make the figures any younger.
      return state.connection.is === "lost"
        ? state
        : { ...state, connection: { is: "lost", sinceLocalMs: input.localMs } };
    case "message":
      return input.message.v === knownVersion
        ? afterMessage(state, input.message, input.localMs)
        : { ...state, outdated: true };
  }
}

function afterMessage(state: State, message: FromService, localMs: number): State {
  const heard: State = {
    ...state,
    connection: { is: "live" },
    heardLocalMs: localMs,
    clocks: clocksAt(message, localMs, state.clocks),
  };
  switch (message.type) {
    case "bench":
      return withBench({ ...heard, benchAtMs: Date.parse(message.at) }, message.bench, localMs);
    case "reading":
      return withReading(heard, message.scale, {
        state: message.state,
        grams: message.grams,
        settled: message.settled,
        divisionGrams: message.division,
        atLocalMs: localMs,
        pauseMs: localMs - (state.readings[message.scale]?.atLocalMs ?? localMs),
      });
    case "link":
      return withScale(heard, message.scale, (scale) => ({
        ...scale,
        link: message.link,
        form: message.form,
        unit: message.unit,
        why: message.why,
      }));
    case "alert":
      return heard.bench === null ? heard : { ...heard, bench: withAlert(heard.bench, message) };
    // What these tell is in the `bench` that follows; they are news, not knowledge.
    case "settled":
    case "lifted":
    case "weighing":
    case "verdict":
      return heard;
    default:
      // A type that this page does not know yet.
      return heard;
  }
}

function clocksAt(message: FromService, localMs: number, before: TwoClocks | null): TwoClocks {
  const timeFactor = message.type === "bench" ? message.bench.timeFactor : before?.timeFactor;
  return { serviceMs: Date.parse(message.at), localMs, timeFactor: timeFactor ?? 1 };
}

/** The bench carries the newest reading of each scale too, so that a page that just came shows it. */
function withBench(state: State, bench: Bench, localMs: number): State {
  const readings = Object.fromEntries(
    bench.scales.map((scale) => [scale.id, state.readings[scale.id] ?? seenIn(scale, localMs)]),
  );
  return { ...state, bench, readings };
}

const seenIn = (scale: Scale, localMs: number): SeenReading => ({
  state: scale.state,
  grams: scale.grams,
  settled: scale.settled,
  divisionGrams: scale.divisionGrams,
  atLocalMs: localMs,
  pauseMs: 0,
});

const withReading = (state: State, scale: string, reading: SeenReading): State => ({
  ...state,
  readings: { ...state.readings, [scale]: reading },
});

function withScale(state: State, id: string, change: (scale: Scale) => Scale): State {
  if (state.bench === null) return state;
  const scales = state.bench.scales.map((scale) => (scale.id === id ? change(scale) : scale));
  return { ...state, bench: { ...state.bench, scales } };
}

function withAlert(bench: Bench, { alert }: Extract<FromService, { type: "alert" }>): Bench {
  if (alert.acknowledged !== null || bench.alerts.some((one) => one.id === alert.id)) return bench;
  return { ...bench, alerts: [...bench.alerts, alert] };
}

/** The service's time now, in milliseconds since 1970, by its own clock that may run fast. */
export function serviceNow(clocks: TwoClocks | null, localMs: number): number {
  if (clocks === null) return localMs;
  return clocks.serviceMs + Math.max(0, localMs - clocks.localMs) * clocks.timeFactor;
}

/** What lies on a scale, as one of the few things that a person has to tell apart. */
export type Look =
  | { readonly is: "connecting" }
  | { readonly is: "page-lost"; readonly grams: number | null; readonly ageMs: number }
  | { readonly is: "no-scale" }
  | { readonly is: "which-form"; readonly scale: Scale }
  | { readonly is: "trouble"; readonly scale: Scale }
  | { readonly is: "silent"; readonly silentMs: number }
  | { readonly is: "over" }
  | { readonly is: "under" }
  | {
      /** `below`: less than nothing at rest, so the scale took its zero with something on it. */
      readonly is: "empty" | "moving" | "settled" | "below";
      readonly grams: number;
      readonly divisionGrams: number;
    };

/** What is older than this is not shown as the present weight, unless the scale sends so seldom. */
const silentAfterMs = 5000;
const mostSilentAfterMs = 12_000;
/** An empty pan may rest a little off zero; a load begins beyond 2 divisions. */
const emptyWithinDivisions = 2;

export function lookAt(state: State, scaleId: string | null, localMs: number): Look {
  if (state.bench === null) return { is: "connecting" };
  const scale = state.bench.scales.find((one) => one.id === scaleId);
  const reading = scaleId === null ? undefined : state.readings[scaleId];
  if (state.connection.is === "lost")
    return {
      is: "page-lost",
      grams: reading?.grams ?? null,
      ageMs: localMs - (state.heardLocalMs ?? state.connection.sinceLocalMs),
    };
  if (scale === undefined) return { is: "no-scale" };
  if (scale.candidates.length > 0 && scale.form === null) return { is: "which-form", scale };
  if (scale.link !== "up") return { is: "trouble", scale };
  if (reading === undefined) return { is: "silent", silentMs: 0 };
  if (reading.state === "over" || reading.state === "under") return { is: reading.state };
  const silentMs = localMs - reading.atLocalMs;
  const most = Math.min(mostSilentAfterMs, Math.max(silentAfterMs, 1.5 * reading.pauseMs));
  if (reading.state === "silent" || reading.grams === null || silentMs > most)
    return { is: "silent", silentMs };
  const divisionGrams = reading.divisionGrams ?? scale.divisionGrams ?? 1;
  const grams = reading.grams;
  if (!isLoaded(reading)) return { is: "empty", grams, divisionGrams };
  if (!reading.settled) return { is: "moving", grams, divisionGrams };
  return { is: grams < 0 ? "below" : "settled", grams, divisionGrams };
}

/** The scale to show: the one asked for, else one with a question or a load on it, else the first. */
export function scaleToShow(state: State, asked: string | null): string | null {
  const scales = state.bench?.scales ?? [];
  if (scales.some((scale) => scale.id === asked)) return asked;
  const asking = state.bench?.tasks.find((task) => task.question !== null);
  if (asking !== undefined) return asking.scale;
  const loaded = scales.find((scale) => isLoaded(state.readings[scale.id]));
  return (loaded ?? scales[0])?.id ?? null;
}

export function isLoaded(reading: SeenReading | undefined): boolean {
  if (reading === undefined || reading.state !== "weight" || reading.grams === null) return false;
  return Math.abs(reading.grams) > emptyWithinDivisions * (reading.divisionGrams ?? 1);
}

export const taskOf = (bench: Bench, scaleId: string | null): ScaleTask | null =>
  bench.tasks.find((task) => task.scale === scaleId) ?? null;
