import type { MonoMs, UtcMs } from "../units/quantity.ts";

/** Bytes as they came from the operating system, with the moment of their arrival. */
export type Chunk = {
  readonly bytes: Uint8Array;
  readonly atMonoMs: MonoMs;
  readonly atUtcMs: UtcMs;
};

/**
 * `up`: bytes come. `silent`: open, but nothing readable has come for a while. `searching`: not there (never
 * plugged in, pulled out, or the address does not answer) and tried again. `denied`: there, but the system
 * refuses it (no permission, held by another program).
 */
export type LinkState = "up" | "silent" | "searching" | "denied";

/** What is known of a link: the state, since when, why in a sentence, and what a person can do about it. */
export type LinkReport = {
  readonly link: LinkState;
  readonly sinceUtcMs: UtcMs;
  readonly why: string | null;
  readonly fix: string | null;
};

/** Where bytes come from. One connection after another; the owner never sees a stale one. */
export type Port = {
  /** Starts trying to connect; goes on until `close`. Calls back on every chunk and every change of the link. */
  open(listener: PortListener): void;
  /** Sends now or fails now: nothing is kept over a lost connection. */
  write(bytes: Uint8Array): Promise<void>;
  close(): Promise<void>;
};

export type PortListener = {
  chunk(chunk: Chunk): void;
  link(report: LinkReport): void;
};
