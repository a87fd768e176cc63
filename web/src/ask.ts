/** Asks the service for something over HTTP. A refusal is a value, so that every caller shows it. */
import type { Batch, BatchSummary, Curve, History } from "../../src/wire/batch.ts";
import type { Bench } from "../../src/wire/bench.ts";
import type {
  CodeAsked,
  Device,
  Paired,
  PairingAsked,
  PairingCode,
  PairingState,
} from "../../src/wire/device.ts";
import type { Photo } from "../../src/wire/photo.ts";
import type { FoodFound, LessonShown, LogImport, Ports, Problem } from "../../src/wire/requests.ts";
import type * as Asked from "../../src/wire/requests.ts";

export type PhotoOf =
  { readonly is: "batch" } | { readonly is: "tray" | "bag"; readonly id: number };

/**
 * `unreachable`: nobody answered; `asked-again`: nobody did, and the page goes on asking by itself. Otherwise the
 * service's own words.
 */
export type Refusal =
  | { readonly is: "unreachable" | "asked-again" }
  | { readonly is: "refused"; readonly what: string; readonly hint: string | null };
/** `mayPass`: the same asked a little later may well be done. */
export type Answer<T> =
  | { readonly is: "done"; readonly body: T }
  | { readonly is: "not-done"; readonly why: Refusal; readonly mayPass: boolean };

type Method = "GET" | "POST" | "PATCH" | "DELETE";

const changedWithinMs = 10_000;
const mostTries = 3;
/** A device that slept meanwhile asks no more: the service has forgotten the key. */
const longestAskingS = 500;
/** What may be large: what is read, and pictures. */
const answerWithinMs = 60_000;

/**
 * A change whose answer does not come is sent again, under one key, so that the service does it once, and with how long
 * ago it was asked for. `outlives`: it is sent even if the page is closed meanwhile.
 */
export async function ask<T>(
  method: Method,
  path: string,
  body?: unknown,
  outlives = false,
  tries = mostTries,
  key = `${Date.now()}-${Math.random()}`,
  askedAtMs = Date.now(),
): Promise<Answer<T>> {
  const isLong = method === "GET" || body instanceof Blob;
  const secondsAgo = (): number => Math.max(0, Math.round((Date.now() - askedAtMs) / 1000));
  const once = { "idempotency-key": key, "asked-seconds-ago": String(secondsAgo()) };
  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), isLong ? answerWithinMs : changedWithinMs);
  try {
    const response = await fetch(`api/${path}`, {
      method,
      cache: "no-store",
      keepalive: outlives,
      signal: patience.signal,
      ...(body === undefined
        ? { headers: once }
        : body instanceof Blob
          ? { headers: { ...once, "content-type": body.type }, body }
          : {
              headers: { ...once, "content-type": "application/json" },
              body: JSON.stringify(body),
            }),
    });
    const text = await response.text();
    const { ok, status, statusText } = response;
    const isOfProxy = status >= 400 && status < 500 && !isJson(response);
    const said: unknown = text === "" || isOfProxy ? null : JSON.parse(text);
    if (ok) return { is: "done", body: said as T };
    const why = refusalIn(
      isOfProxy ? { title: `HTTP ${status} ${statusText}` } : (said as Problem),
    );
    return { is: "not-done", why, mayPass: status >= 500 };
  } catch {
    if (method !== "GET" && tries > 1 && secondsAgo() < longestAskingS) {
      await new Promise((resolve) => setTimeout(resolve, firstRetryMs));
      return ask(method, path, body, outlives, tries - 1, key, askedAtMs);
    }
    return { is: "not-done", why: { is: "unreachable" }, mayPass: true };
  } finally {
    clearTimeout(timer);
  }
}

/** What stands between the page and the service refuses in words of its own, which are none for a person. */
const isJson = ({ headers }: Response): boolean =>
  headers.get("content-type")?.includes("json") ?? false;

const firstRetryMs = 500;
const longestRetryMs = 30_000;

/** Twice as long each time: a service that stays in trouble is not kept busy by the pages that wait for it. */
export const askAgainAfterMs = (tries: number): number =>
  Math.min(longestRetryMs, firstRetryMs * 2 ** tries);

export function refusalIn(problem: Partial<Problem> | null): Refusal {
  const parts = problem?.errors?.map((error) => error.detail) ?? [];
  const what = [problem?.detail ?? problem?.title ?? "", ...parts].filter((part) => part !== "");
  return { is: "refused", what: what.join(". "), hint: problem?.hint ?? null };
}

/** A part of an address. */
export const at = encodeURIComponent;

export const service = {
  batches: (state: "open" | "ended" | "all", typed = "") =>
    ask<BatchSummary[]>("GET", `batches?state=${state}${typed === "" ? "" : `&q=${at(typed)}`}`),
  batch: (batch: number) => ask<Batch>("GET", `batches/${batch}`),
  curves: (batch: number) => ask<Curve[]>("GET", `batches/${batch}/curves`),
  history: (batch: number) => ask<History>("GET", `batches/${batch}/history`),
  foods: (typed: string, most: number) =>
    ask<FoodFound[]>("GET", `foods?q=${at(typed)}&most=${most}`),
  photos: (batch: number) => ask<Photo[]>("GET", `batches/${batch}/photos`),
  addPhoto: (batch: number, of: PhotoOf, picture: Blob) => {
    const which = of.is === "batch" ? "" : `?${of.is}=${of.id}`;
    return ask<Photo[]>("POST", `batches/${batch}/photos${which}`, picture);
  },
  removePhoto: (photo: number) => ask<Photo[]>("DELETE", `photos/${photo}`),
  previewImport: (asked: Asked.NewImport) => ask<LogImport>("POST", "imports/preview", asked),
  importLog: (asked: Asked.NewImport) => ask<LogImport>("POST", "imports", asked),
  lessons: () => ask<LessonShown[]>("GET", "lessons"),
  editLesson: (lesson: number, asked: Asked.LessonEdit) =>
    ask<LessonShown[]>("PATCH", `lessons/${lesson}`, asked),
  ports: () => ask<Ports>("GET", "ports"),

  startBatch: (asked: Asked.NewBatch) => ask<Batch>("POST", "batches", asked),
  addTray: (batch: number, asked: Asked.NewTray) =>
    ask<Batch>("POST", `batches/${batch}/trays`, asked),
  editTray: (batch: number, tray: number, asked: Asked.TrayEdit) =>
    ask<Batch>("PATCH", `batches/${batch}/trays/${tray}`, asked),
  setClock: (batch: number, asked: Asked.ClockSet) =>
    ask<Batch>("POST", `batches/${batch}/clock`, asked),
  editMoment: (batch: number, moment: number, asked: Asked.ClockEdit) =>
    ask<Batch>("PATCH", `batches/${batch}/clock/${moment}`, asked),
  noteInterruption: (batch: number, asked: Asked.NewInterruption) =>
    ask<Batch>("POST", `batches/${batch}/interruptions`, asked),
  endInterruption: (batch: number, interruption: number, to: string | null) =>
    ask<Batch>("PATCH", `batches/${batch}/interruptions/${interruption}`, { to }),
  endBatch: (batch: number) => ask<Batch>("POST", `batches/${batch}/end`, {}),
  answerGap: (gap: number, dryerRan: boolean) => ask<Batch>("POST", `gaps/${gap}`, { dryerRan }),
  checkCore: (tray: number, asked: Asked.CoreCheck) =>
    ask<Batch>("POST", `trays/${tray}/core`, asked),

  answerLoad: (scale: string, asked: Asked.LoadAnswer) =>
    ask<Bench>("POST", `scales/${at(scale)}/answer`, asked),
  sayTared: (scale: string, asked: Asked.TareKeySaid) =>
    ask<Bench>("POST", `scales/${at(scale)}/tared`, asked),
  typeWeighing: (asked: Asked.TypedWeighing) => ask<Batch>("POST", "weighings", asked),
  editWeighing: (weighing: number, asked: Asked.WeighingEdit) =>
    ask<Batch>("PATCH", `weighings/${weighing}`, asked),
  swapWeighings: (weighing: number, asked: Asked.WeighingSwap) =>
    ask<Batch>("POST", `weighings/${weighing}/swap`, asked),

  acknowledge: (alert: number) => ask<Bench>("POST", `alerts/${alert}/acknowledge`, {}),
  tryAlert: (asked: Asked.AlertTrial) => ask<Asked.AlertTried>("POST", "alerts/try", asked),
  editSettings: (asked: Asked.SettingsEdit) => ask<Bench>("PATCH", "settings", asked),
  addScale: (asked: Asked.NewScale) => ask<Bench>("POST", "scales", asked),
  removeScale: (scale: string) => ask<Bench>("DELETE", `scales/${at(scale)}`),
  /** Also while the page is being closed; never again, because it says how long ago each byte came. */
  handOver: (scale: string, asked: Asked.PageBytes) =>
    ask<Asked.PageWrites>("POST", `scales/${at(scale)}/bytes`, asked, asked.ended, 1),
  sayAsking: (scale: string, asked: Asked.AskingSaid) =>
    ask<Bench>("POST", `scales/${at(scale)}/asking`, asked),
  chooseForm: (scale: string, asked: Asked.FormChoice) =>
    ask<Bench>("POST", `scales/${at(scale)}/form`, asked),
  pairing: () => ask<PairingState>("GET", "pairing"),
  pair: (asked: PairingAsked) => ask<Paired>("POST", "pairing", asked),
  newCode: (asked: CodeAsked) => ask<PairingCode>("POST", "pairing/code", asked),
  devices: () => ask<Device[]>("GET", "devices"),
  revoke: (device: number) => ask<Device[]>("DELETE", `devices/${device}`),
  practice: (asked: Asked.PracticeAct) => ask<Bench>("POST", "practice", asked),
};

export const jsonAddress = (batch: number): string => `api/batches/${batch}/export.json`;
/** Figures as the reader's spreadsheet writes them: to one that expects commas, 503.446 is half a million. */
export const csvAddress = (batch: number, locale: string): string =>
  `api/batches/${batch}/weighings.csv${(0.1).toLocaleString(locale)[1] === "," ? "?decimals=comma" : ""}`;
