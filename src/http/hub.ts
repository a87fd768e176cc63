/**
 * Tells every open page what the service shows: the present first, then each message in order. A page that reads
 * too slowly gets the newest readings and the newest bench only, and is let go before it costs memory.
 */
import type { Clock } from "../clock.ts";
import type { Measure, Service, Shown } from "../service/service.ts";
import type { Scale } from "../wire/bench.ts";
import type { HereMessage, ProblemMessage } from "../wire/messages.ts";
import { wireVersion } from "../wire/version.ts";
import { plainProblem } from "./problem.ts";

export const mostPages = 50;
/** So that one device, with a program that opens and forgets, does not take them all. */
export const mostPagesOfOne = 15;
export const readingsPerSecond = 20;
/** Bytes not yet taken by a page above which readings are left out and benches replaced by newer ones. */
export const slowAboveBytes = 64 * 1024;
/** Bytes not yet taken above which a page is let go. */
export const goneAboveBytes = 1024 * 1024;
export const goneAfterMs = 30_000;
/** What a page may say to a socket that only tells, before it is let go. */
export const mostWords = 100;
const beatMs = 10_000;
/** Pings are not shown to a page's script, so that it is told by a message that it is still followed. */
const hereEveryMs = 2000;
const slotMs = 1000 / readingsPerSecond;
const closeWithinMs = 500;

/** What the hub needs of a websocket. */
export type Socket = {
  readonly bufferedAmount: number;
  send(text: string): void;
  ping(): void;
  close(code: number, why: string): void;
  terminate(): void;
  on(event: "message" | "pong" | "close", heard: () => void): unknown;
};

type Numbers = "v" | "seq";
type ReadingShown = Extract<Shown, { type: "reading" }>;
type BenchShown = Extract<Shown, { type: "bench" }>;

type Page = {
  readonly socket: Socket;
  /** The number of the paired device that it is on; null: none is needed. */
  readonly device: number | null;
  /** Scales whose newest reading it has not got yet, the longest waiting first. */
  readonly owedReadings: Set<string>;
  owedBench: boolean;
  /** When it got its readings of the last second. */
  gotReadingsMs: number[];
  heardMs: number;
  /** How often it said something. */
  words: number;
};

export class Hub {
  readonly #service: Pick<Service, "bench" | "onShow">;
  readonly #clock: Pick<Clock, "mono" | "utc">;
  readonly #pages = new Set<Page>();
  readonly #newest = new Map<string, ReadingShown>();
  readonly #stopListening: () => void;
  readonly #beat: NodeJS.Timeout;
  readonly #here: NodeJS.Timeout;
  #bench: BenchShown | null = null;
  #slot: NodeJS.Timeout | null = null;
  #seq = 0;
  #letGo = 0;

  constructor(service: Pick<Service, "bench" | "onShow">, clock: Pick<Clock, "mono" | "utc">) {
    this.#service = service;
    this.#clock = clock;
    this.#stopListening = service.onShow((message) => this.#show(message));
    this.#beat = setInterval(() => this.#listen(), beatMs).unref();
    this.#here = setInterval(() => this.#sayHere(), hereEveryMs).unref();
  }

  add(socket: Socket, device: number | null = null): void {
    if (device !== null && this.#countOf(device) >= mostPagesOfOne) {
      socket.close(1013, `${mostPagesOfOne} pages of this device are open already`);
      return;
    }
    if (this.#pages.size >= mostPages) {
      // 1013, "try again later": IANA's WebSocket Close Code Number Registry.
      socket.close(1013, `${mostPages} pages are open already`);
      return;
    }
    const page: Page = {
      socket,
      device,
      owedReadings: new Set(),
      owedBench: false,
      gotReadingsMs: [],
      heardMs: this.#clock.mono(),
      words: 0,
    };
    socket.on("close", () => this.#pages.delete(page));
    socket.on("pong", () => (page.heardMs = this.#clock.mono()));
    socket.on("message", () => this.#answer(page));
    for (const message of this.#present()) {
      if (message.type === "reading") page.gotReadingsMs.push(this.#clock.mono());
      socket.send(this.#numbered(message));
    }
    this.#pages.add(page);
  }

  /** Ends what a device follows, when its pairing is taken back. */
  letGo(device: number): void {
    for (const page of this.#pages) {
      if (page.device !== device) continue;
      this.#pages.delete(page);
      // 1008, "policy violation": RFC 6455, section 7.4.1.
      page.socket.close(1008, "the pairing of this device was taken back");
      setTimeout(() => page.socket.terminate(), closeWithinMs).unref();
    }
  }

  measures(): Measure[] {
    return [
      {
        name: "stillweight_pages_open",
        help: "Pages and programs that follow the websocket now",
        type: "gauge",
        values: [{ labels: {}, value: this.#pages.size }],
      },
      {
        name: "stillweight_pages_let_go_total",
        help: "Pages and programs let go because they read too slowly or were gone",
        type: "counter",
        values: [{ labels: {}, value: this.#letGo }],
      },
    ];
  }

  /** Says good-bye (1001, "going away") and resolves when every page is gone. */
  async close(): Promise<void> {
    this.#stopListening();
    clearInterval(this.#beat);
    clearInterval(this.#here);
    if (this.#slot !== null) clearTimeout(this.#slot);
    const leaving = [...this.#pages].map(
      ({ socket }) =>
        new Promise<void>((left) => {
          const tooLong = setTimeout(() => socket.terminate(), closeWithinMs);
          socket.on("close", () => {
            clearTimeout(tooLong);
            left();
          });
          socket.close(1001, "the service is stopping");
        }),
    );
    this.#pages.clear();
    await Promise.all(leaving);
  }

  #present(): Shown[] {
    const at = new Date(this.#clock.utc()).toISOString();
    const bench = this.#service.bench();
    return [
      ...bench.scales.flatMap((scale) => [linkOf(scale, at), readingOf(scale, at)]),
      { type: "bench", at, bench },
    ];
  }

  #show(message: Shown): void {
    if (message.type === "reading") {
      this.#newest.set(message.scale, message);
      for (const page of this.#pages) page.owedReadings.add(message.scale);
      if (this.#slot === null) this.#payAndWait();
      return;
    }
    // What was read before it happened is told before it, so that a lost link is never followed by an old weight.
    if ("scale" in message)
      this.#pay((page) => page.owedReadings.has(message.scale), message.scale);
    if (message.type === "bench") this.#bench = message;
    const text = this.#numbered(message);
    for (const page of this.#pages) {
      if (this.#isGone(page)) continue;
      const isSlow = page.socket.bufferedAmount > slowAboveBytes;
      if (message.type === "bench") page.owedBench = isSlow;
      if (message.type !== "bench" || !isSlow) page.socket.send(text);
    }
    if (this.#slot === null && this.#owesAny()) this.#wait();
  }

  /** One reading for each page that is owed one, now; the next ones when the slot is over. */
  #payAndWait(): void {
    this.#pay(() => true, null);
    this.#wait();
  }

  #wait(): void {
    this.#slot = setTimeout(() => {
      this.#slot = null;
      if (this.#owesAny()) this.#payAndWait();
    }, slotMs);
  }

  #countOf(device: number): number {
    let count = 0;
    for (const page of this.#pages) if (page.device === device) count += 1;
    return count;
  }

  #owesAny(): boolean {
    for (const page of this.#pages) if (page.owedBench || page.owedReadings.size > 0) return true;
    return false;
  }

  /** `only`: the scale whose reading is due; null: the one that has waited longest. */
  #pay(isDue: (page: Page) => boolean, only: string | null): void {
    const once = new Map<Shown, string>();
    const text = (message: Shown): string => {
      const made = once.get(message) ?? this.#numbered(message);
      once.set(message, made);
      return made;
    };
    const now = this.#clock.mono();
    for (const page of this.#pages) {
      if (!isDue(page) || this.#isGone(page)) continue;
      if (page.socket.bufferedAmount > slowAboveBytes) continue;
      if (page.owedBench && this.#bench !== null) {
        page.owedBench = false;
        page.socket.send(text(this.#bench));
      }
      const scale = only ?? page.owedReadings.values().next().value;
      const reading = scale === undefined ? undefined : this.#newest.get(scale);
      if (scale === undefined || reading === undefined || !mayGetReading(page, now)) continue;
      page.owedReadings.delete(scale);
      page.gotReadingsMs.push(now);
      page.socket.send(text(reading));
    }
  }

  #numbered(message: Shown | Omit<HereMessage, Numbers> | Omit<ProblemMessage, Numbers>): string {
    return JSON.stringify({ v: wireVersion, seq: ++this.#seq, ...message });
  }

  #isGone(page: Page): boolean {
    if (page.socket.bufferedAmount <= goneAboveBytes) return false;
    this.#drop(page);
    return true;
  }

  #drop(page: Page): void {
    this.#letGo += 1;
    this.#pages.delete(page);
    page.socket.terminate();
  }

  #listen(): void {
    const now = this.#clock.mono();
    for (const page of this.#pages) {
      if (now - page.heardMs > goneAfterMs) this.#drop(page);
      else page.socket.ping();
    }
  }

  #sayHere(): void {
    const text = this.#numbered({ type: "here", at: new Date(this.#clock.utc()).toISOString() });
    for (const { socket } of this.#pages)
      if (socket.bufferedAmount <= slowAboveBytes) socket.send(text);
  }

  #answer(page: Page): void {
    page.words += 1;
    if (page.words > mostWords) this.#drop(page);
    if (page.words > 1) return;
    const problem = plainProblem(400, "this socket only tells: ask and change things over HTTP");
    const at = new Date(this.#clock.utc()).toISOString();
    page.socket.send(this.#numbered({ type: "problem", at, problem }));
  }
}

function mayGetReading(page: Page, nowMs: number): boolean {
  page.gotReadingsMs = page.gotReadingsMs.filter((atMs) => nowMs - atMs < 1000);
  return page.gotReadingsMs.length < readingsPerSecond;
}

const linkOf = ({ id, link, form, unit, why }: Scale, at: string): Shown => ({
  type: "link",
  at,
  scale: id,
  link,
  form,
  unit,
  why,
});

const readingOf = (scale: Scale, at: string): Shown => ({
  type: "reading",
  at,
  scale: scale.id,
  state: scale.state,
  grams: scale.grams,
  settled: scale.settled,
  division: scale.divisionGrams,
  unit: scale.unit,
});
