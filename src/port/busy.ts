/**
 * When the program had no time: a disk that takes seconds for one commit, a computer that swaps. What a scale sent
 * meanwhile waits in the system and is read at one moment, as if all of it had come then; a tray that was put down or
 * lifted in that time would be seen for no time at all.
 */
import { monoMs, utcMs, type MonoMs } from "../units/quantity.ts";
import type { Chunk } from "./port.ts";

/** Longer than a look may come late on a machine that is merely at work. */
const lateMs = 200;
/**
 * Longer than that it is a silence like any other, and the load after it is asked about: the program was stopped or the
 * computer slept, the system keeps only the first bytes of that time, and the scale may have slept as well.
 */
const mostMs = 10_000;
/** In one turn of the event loop timers come before what is read. */
const oneTurnMs = 50;
const pieceMs = 10;

export class Busy {
  readonly #everyMs: number;
  #freeAt: MonoMs;
  #last: { readonly from: MonoMs; readonly to: MonoMs } | null = null;

  constructor(everyMs: number, now: MonoMs) {
    this.#everyMs = everyMs;
    this.#freeAt = now;
  }

  /**
   * To be called every so many milliseconds. Answers whether this look comes late: that nothing was heard since the
   * last one says nothing then, because what came meanwhile is read after it.
   */
  look(now: MonoMs): boolean {
    const from = this.#freeAt;
    this.#freeAt = now;
    const isLate = now - from > this.#everyMs + lateMs && now - from <= mostMs;
    if (isLate) this.#last = { from: this.#sinceUnread(from, now), to: now };
    return isLate;
  }

  /** Two such times, one right after the other, are one for what could not be read between them. */
  #sinceUnread(from: MonoMs, now: MonoMs): MonoMs {
    const before = this.#last;
    const isOne = before !== null && from - before.to <= oneTurnMs && now - before.from <= mostMs;
    return isOne ? before.from : from;
  }

  /** From when on the program had no time for what it reads now; null: it comes fresh. */
  before(now: MonoMs): MonoMs | null {
    this.look(now);
    const last = this.#last;
    this.#last = null;
    return last !== null && now - last.to <= oneTurnMs ? last.from : null;
  }
}

/** Bytes of one moment as they came one after the other: evenly from `from` on, as lines of a scale do. */
export function spread(chunk: Chunk, from: MonoMs, timeFactor: number): readonly Chunk[] {
  const { bytes, atMonoMs, atUtcMs } = chunk;
  const overMs = atMonoMs - from;
  const count = Math.min(bytes.length, Math.ceil(overMs / pieceMs));
  const end = (piece: number): number => Math.round((bytes.length * piece) / count);
  return Array.from({ length: count }, (_, piece) => {
    const agoMs = overMs * (1 - (piece + 1) / count);
    return {
      bytes: bytes.subarray(end(piece), end(piece + 1)),
      atMonoMs: monoMs(atMonoMs - agoMs),
      atUtcMs: utcMs(Math.round(atUtcMs - agoMs * timeFactor)),
    };
  });
}
