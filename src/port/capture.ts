/**
 * What a scale sent, kept as text: a header line of JSON, then one line for each chunk, its milliseconds and its
 * bytes in hex, and one for each time the link came up or was lost.
 *
 *     {"capture":1,"scale":"serial:///dev/ttyUSB0","startedAt":"2026-01-31T08:15:00.000Z"}
 *     0.000 up
 *     412.250 53542c47532c2b
 *     90125.100 lost
 */
import { closeSync, openSync, writeSync } from "node:fs";
import type { MonoMs } from "../units/quantity.ts";
import type { Chunk, LinkState } from "./port.ts";

type CaptureEvent =
  | { readonly is: "bytes"; readonly atMs: number; readonly bytes: Uint8Array }
  | { readonly is: "up" | "lost"; readonly atMs: number };

export type Capture = {
  readonly scale: string;
  readonly startedUtcMs: number;
  readonly events: readonly CaptureEvent[];
};

/** A scale at 9600 baud that never rests fills this in half a day. */
export const mostCaptureBytes = 50 * 1024 * 1024;

/** Refuses a file that exists. Throws when the disk does not take the bytes. Keeps no more than `most` bytes. */
export class CaptureWriter {
  readonly #file: number;
  readonly #startedMono: MonoMs;
  readonly #most: number;
  #bytes = 0;
  #full = false;
  #up = false;

  constructor(
    path: string,
    scale: string,
    started: { mono: MonoMs; utc: number },
    most = mostCaptureBytes,
  ) {
    this.#file = openSync(path, "wx");
    this.#startedMono = started.mono;
    this.#most = most;
    const startedAt = new Date(started.utc).toISOString();
    this.#line(JSON.stringify({ capture: 1, scale, startedAt }));
  }

  chunk(chunk: Chunk): void {
    this.#line(`${this.#at(chunk.atMonoMs)} ${Buffer.from(chunk.bytes).toString("hex")}`);
  }

  /** A silent link is still up. */
  link(link: LinkState, at: MonoMs): void {
    const up = link === "up" || link === "silent";
    if (up === this.#up) return;
    this.#up = up;
    this.#line(`${this.#at(at)} ${up ? "up" : "lost"}`);
  }

  /** The file holds all that it may: what comes from now on is not kept, and what is kept ends with a whole line. */
  get isFull(): boolean {
    return this.#full;
  }

  close(): void {
    closeSync(this.#file);
  }

  #at(mono: MonoMs): string {
    return (mono - this.#startedMono).toFixed(3);
  }

  #line(text: string): void {
    if (this.#bytes + text.length + 1 > this.#most) this.#full = true;
    if (this.#full) return;
    this.#bytes += text.length + 1;
    writeSync(this.#file, `${text}\n`);
  }
}

/** Throws with the number of the line that is not as it should be. */
export function readCapture(text: string): Capture {
  const [first = "", ...rest] = text.split("\n");
  const header = headerOf(first);
  const events = rest.flatMap((line, at) => (line.trim() === "" ? [] : [eventOf(line, at + 2)]));
  return { ...header, events };
}

function headerOf(line: string): { scale: string; startedUtcMs: number } {
  try {
    const header: unknown = JSON.parse(line);
    if (typeof header === "object" && header !== null && "capture" in header) {
      const { scale, startedAt } = header as { scale?: unknown; startedAt?: unknown };
      const startedUtcMs = Date.parse(String(startedAt));
      if (header.capture === 1 && typeof scale === "string" && Number.isFinite(startedUtcMs)) {
        return { scale, startedUtcMs };
      }
    }
  } catch {
    // Told below, with everything else that is no header.
  }
  throw new Error('line 1 is not the header of a capture: {"capture":1,"scale":…,"startedAt":…}');
}

function eventOf(line: string, number: number): CaptureEvent {
  const parts = /^(?<at>-?\d+(?:\.\d+)?) (?:(?<word>up|lost)|(?<hex>(?:[0-9a-f]{2})+))\r?$/.exec(
    line,
  )?.groups;
  if (!parts)
    throw new Error(`line ${number} of the capture is neither "ms hex" nor "ms up" nor "ms lost"`);
  const atMs = Number(parts["at"]);
  if (parts["hex"] !== undefined)
    return { is: "bytes", atMs, bytes: Buffer.from(parts["hex"], "hex") };
  return { is: parts["word"] === "up" ? "up" : "lost", atMs };
}
