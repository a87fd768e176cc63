/**
 * A scale that is plugged into the device on which a page is open: the page reads it and hands over its bytes, each
 * with how long ago it came. One page at a time; one that says nothing for a while is gone, as if the plug were pulled.
 */
import type { Clock } from "../clock.ts";
import { Fault } from "../faults.ts";
import { monoMs, utcMs, type MonoMs } from "../units/quantity.ts";
import { Busy } from "./busy.ts";
import type { Port, PortListener } from "./port.ts";

/** Bytes that came together, and how long before they were handed over. */
type PageChunk = { readonly agoMs: number; readonly bytes: Uint8Array };

export type HandedOver = {
  /** Names the page, the same for as long as it keeps its device open. */
  readonly sender: string;
  readonly chunks: readonly PageChunk[];
  /** The page lets go of its device, or the device was pulled out. */
  readonly ended: boolean;
};

/** Three of the page's signs of life. */
export const pageGoneAfterMs = 2000;
const lookEveryMs = 250;
const writeWithinMs = 1500;
/** A line at 115,200 baud brings 11,520 bytes a second, the most that any scale needs. */
const bytesPerSecond = 16 * 1024;
const mostAtOnce = 64 * 1024;
const longestAgoMs = 10_000;

type Waiting = {
  readonly bytes: Uint8Array;
  readonly sent: () => void;
  readonly failed: (why: Error) => void;
};

export class PagePort implements Port {
  readonly #clock: Clock;
  #listener: PortListener | null = null;
  #sender: string | null = null;
  #heardMs = 0;
  #lastMs = Number.NEGATIVE_INFINITY;
  #look: NodeJS.Timeout | null = null;
  #waiting: Waiting[] = [];
  #allowance = mostAtOnce;
  #allowedMs: number;

  constructor(clock: Clock) {
    this.#clock = clock;
    this.#allowedMs = clock.mono();
  }

  open(listener: PortListener): void {
    this.#listener = listener;
    const busy = new Busy(lookEveryMs, this.#clock.mono());
    this.#look = setInterval(() => {
      const now = this.#clock.mono();
      if (busy.look(now)) return;
      if (this.#sender !== null && now - this.#heardMs > pageGoneAfterMs)
        this.#lose("the page that reads the scale was closed, or its device sleeps");
    }, lookEveryMs);
    if (this.#sender === null) this.#tellAbsent("no page reads this scale");
    else this.#tellUp();
  }

  /** Resolves when a page has fetched the bytes to write them; rejects, and forgets them, when none does. */
  write(bytes: Uint8Array): Promise<void> {
    if (this.#sender === null)
      return Promise.reject(new Error("no page reads this scale; nothing was sent"));
    return new Promise((resolve, reject) => {
      const timer = setTimeout(
        () => waiting.failed(new Error("the page did not fetch what was to be sent")),
        writeWithinMs,
      );
      const leave = (): void => {
        clearTimeout(timer);
        this.#waiting = this.#waiting.filter((one) => one !== waiting);
      };
      const waiting: Waiting = {
        bytes,
        sent: () => {
          leave();
          resolve();
        },
        failed: (why) => {
          leave();
          reject(why);
        },
      };
      this.#waiting.push(waiting);
    });
  }

  close(): Promise<void> {
    if (this.#look !== null) clearInterval(this.#look);
    this.#look = null;
    this.#listener = null;
    this.#dropWaiting();
    return Promise.resolve();
  }

  /**
   * Answers what the page is to write to its scale now. Throws scale.held where another page reads the scale, and
   * scale.too-fast where more comes than a scale can send.
   */
  take({ sender, chunks, ended }: HandedOver): Uint8Array | null {
    const now = this.#clock.mono();
    if (this.#sender !== null && this.#sender !== sender) {
      if (ended) return null;
      throw new Fault("scale.held", "another page reads this scale and hands its bytes over");
    }
    if (ended) {
      if (this.#sender !== null) this.#lose("the page let go of the scale, or it was unplugged");
      return null;
    }
    this.#allow(chunks, now);
    this.#heardMs = now;
    if (this.#sender === null) {
      this.#sender = sender;
      this.#lastMs = now - longestAgoMs;
      this.#tellUp();
    }
    for (const { bytes, agoMs } of chunks) this.#hear(bytes, agoMs, now);
    return this.#toSend();
  }

  #allow(chunks: readonly PageChunk[], now: MonoMs): void {
    const refilled = this.#allowance + (bytesPerSecond * (now - this.#allowedMs)) / 1000;
    const allowance = Math.min(mostAtOnce, refilled);
    const asked = chunks.reduce((sum, { bytes }) => sum + bytes.length, 0);
    if (asked > allowance)
      throw new Fault("scale.too-fast", `${asked} bytes at once, after many before them`);
    this.#allowance = allowance - asked;
    this.#allowedMs = now;
  }

  /** What came later never gets an earlier time. */
  #hear(bytes: Uint8Array, agoMs: number, now: MonoMs): void {
    const at = Math.max(this.#lastMs, now - Math.min(agoMs, longestAgoMs));
    this.#lastMs = at;
    const atUtcMs = utcMs(this.#clock.utc() - (now - at));
    this.#listener?.chunk({ bytes, atMonoMs: monoMs(at), atUtcMs });
  }

  #toSend(): Uint8Array | null {
    if (this.#waiting.length === 0) return null;
    const bytes = Buffer.concat(this.#waiting.map((one) => one.bytes));
    for (const one of this.#waiting) one.sent();
    return bytes;
  }

  #lose(why: string): void {
    this.#sender = null;
    this.#dropWaiting();
    this.#tellAbsent(why);
  }

  #dropWaiting(): void {
    for (const one of this.#waiting) one.failed(new Error("the scale was lost; nothing was sent"));
  }

  #tellUp(): void {
    this.#listener?.link({ link: "up", sinceUtcMs: this.#clock.utc(), why: null, fix: null });
  }

  #tellAbsent(why: string): void {
    this.#listener?.link({
      link: "searching",
      sinceUtcMs: this.#clock.utc(),
      why,
      fix: "open Set up on the device into which the scale is plugged, and let it be read there",
    });
  }
}
