/** Plays a capture as if the scale were there, with the gaps that it was recorded with or without any. */
import { readFile } from "node:fs/promises";
import { setTimeout as pause } from "node:timers/promises";
import type { Clock } from "../clock.ts";
import { monoMs, utcMs } from "../units/quantity.ts";
import { readCapture, type Capture } from "./capture.ts";
import type { LinkState, Port, PortListener } from "./port.ts";
import { messageOf } from "./supervisor.ts";

/** What the link says at the end of a capture. */
export const captureEnded = "the capture has ended";

export class ReplayPort implements Port {
  readonly #file: string;
  readonly #speed: number;
  readonly #clock: Clock;
  #stop: AbortController | null = null;
  #playing: Promise<void> = Promise.resolve();

  /** `speed`: 1 as recorded, 0 without waiting. Chunks carry the recorded gaps at any speed. */
  constructor(settings: { readonly file: string; readonly speed: number }, clock: Clock) {
    this.#file = settings.file;
    this.#speed = settings.speed;
    this.#clock = clock;
  }

  open(listener: PortListener): void {
    const stop = new AbortController();
    this.#stop = stop;
    this.#playing = this.#play(listener, stop.signal);
  }

  write(): Promise<void> {
    return Promise.reject(new Error("a replay takes no bytes; nothing was sent"));
  }

  async close(): Promise<void> {
    this.#stop?.abort();
    await this.#playing;
  }

  async #play(listener: PortListener, signal: AbortSignal): Promise<void> {
    const tell = (link: LinkState, why: string | null): void => {
      if (signal.aborted) return;
      listener.link({ link, why, fix: null, sinceUtcMs: this.#clock.utc() });
    };
    let capture: Capture;
    try {
      capture = readCapture(await readFile(this.#file, "utf8"));
    } catch (error) {
      return tell("denied", `the capture cannot be played: ${messageOf(error)}`);
    }
    const from = { mono: this.#clock.mono(), utc: this.#clock.utc() };
    if (capture.events[0]?.is === "bytes") tell("up", null);
    for (const event of capture.events) {
      if (!(await this.#waitUntil(from.mono, event.atMs, signal))) return;
      if (event.is === "bytes") {
        const atMonoMs = monoMs(from.mono + event.atMs);
        listener.chunk({ bytes: event.bytes, atMonoMs, atUtcMs: utcMs(from.utc + event.atMs) });
        continue;
      }
      if (event.is === "up") tell("up", null);
      else tell("searching", "the link was lost here when it was recorded");
    }
    tell("searching", captureEnded);
  }

  /** False when the replay was closed meanwhile. */
  async #waitUntil(startMono: number, atMs: number, signal: AbortSignal): Promise<boolean> {
    const wait = this.#speed === 0 ? 0 : startMono + atMs / this.#speed - this.#clock.mono();
    if (wait > 0) await pause(wait, undefined, { signal }).catch(() => undefined);
    return !signal.aborted;
  }
}
