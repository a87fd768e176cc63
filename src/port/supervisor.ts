/**
 * Keeps a connection: connects, watches that it lives, and connects again for ever until closed. Shared by the
 * serial and the network port, which only say how one connection is made. Each connection is a new object with
 * a number of its own, and whatever an old one still says is ignored.
 *
 * An unplugged serial device may never say so (a read of nothing repeats for ever), so every connection that
 * can be asked whether it lives is asked every `probeEveryMs` in which it said nothing.
 */
import { watch, existsSync, type FSWatcher } from "node:fs";
import { basename, dirname } from "node:path";
import type { Clock } from "../clock.ts";
import { Busy, spread } from "./busy.ts";
import type { MonoMs } from "../units/quantity.ts";
import type { LinkState, Port, PortListener } from "./port.ts";

export type Connection = {
  /** Rejects when the bytes could not be handed over. */
  write(bytes: Uint8Array): Promise<void>;
  /** Rejects when the device is gone; sends nothing. Absent where there is nothing to ask. */
  probe?(): Promise<void>;
  /** Never rejects. */
  close(): Promise<void>;
};

export type ConnectionEvents = {
  bytes(bytes: Uint8Array): void;
  lost(why: string): void;
};

/** Why a connection could not be made, in words for a person. Anything else that is thrown is told as it is. */
export class NotConnected extends Error {
  readonly link: Extract<LinkState, "searching" | "denied">;
  readonly fix: string | null;
  constructor(link: "searching" | "denied", why: string, fix: string | null) {
    super(why);
    this.link = link;
    this.fix = fix;
  }
}

/** The file's rights would allow it; a service or a container has a list of devices of its own beside them. */
export const notLetTo = (path: string): NotConnected =>
  new NotConnected(
    "denied",
    `what runs this program does not let it use ${path}`,
    "allow the device where the service or the container is set up, and start it again",
  );

export type Keeping = {
  readonly clock: Clock;
  /** `givenUp`: nobody waits any more for this connection to be made. */
  readonly connect: (events: ConnectionEvents, givenUp: AbortSignal) => Promise<Connection>;
  /** For a device file: trying at once when it appears. */
  readonly path: string | null;
  /** What a person does about a connection that was lost. */
  readonly lostFix: string;
  /** 0 to 1, spreads the retries; Math.random unless a test says otherwise. */
  readonly chance?: () => number;
};

const firstWaitMs = 250;
const waitGrowth = 1.6;
const longestWaitMs = 1500;
/** A device that refuses will go on refusing until a person acts; a search is cheap to repeat. */
const longestDeniedWaitMs = 5000;
const jitter = 0.2;
const steadyMs = 10_000;
const probeEveryMs = 90;
/** A busy machine may answer late. */
const probesUnanswered = 3;
const connectWithinMs = 5000;
const writeWithinMs = 1000;
const appearedWaitMs = 20;
const lookEveryMs = 250;
/** What waited in the system comes in several parts, a turn of the event loop apart. */
const partsWithinMs = 20;

export class Supervisor implements Port {
  readonly #keeping: Keeping;
  #listener: PortListener | null = null;
  #generation = 0;
  #connection: Connection | null = null;
  #connecting: Promise<void> | null = null;
  #givingUp = new AbortController();
  #upSince = 0;
  #heard = false;
  #attempts = 0;
  #retry: NodeJS.Timeout | null = null;
  #probing: NodeJS.Timeout | null = null;
  #watcher: FSWatcher | null = null;
  #looking: NodeJS.Timeout | null = null;
  #busy: Busy | null = null;
  /** Bytes that waited while the program had no time, since when, and until when more of them may follow. */
  #waited: { readonly from: MonoMs; readonly parts: Uint8Array[]; until: NodeJS.Timeout } | null =
    null;

  constructor(keeping: Keeping) {
    this.#keeping = keeping;
  }

  open(listener: PortListener): void {
    if (this.#listener) throw new Error("the port is open already");
    this.#listener = listener;
    const { clock } = this.#keeping;
    const busy = new Busy(lookEveryMs, clock.mono());
    this.#busy = busy;
    this.#looking = setInterval(() => busy.look(clock.mono()), lookEveryMs);
    this.#attempts = 0;
    this.#try();
  }

  async write(bytes: Uint8Array): Promise<void> {
    const connection = this.#connection;
    if (!connection) throw new Error("the scale is not connected; nothing was sent");
    const generation = this.#generation;
    try {
      await within(writeWithinMs, connection.write(bytes), "the scale took no bytes for 1 s");
    } catch (error) {
      // What could not be sent must not be sent later, so the connection that may hold it is given up.
      this.#lost(generation, messageOf(error));
      throw error;
    }
  }

  async close(): Promise<void> {
    this.#listener = null;
    if (this.#looking) clearInterval(this.#looking);
    if (this.#waited) clearTimeout(this.#waited.until);
    this.#waited = null;
    this.#generation += 1;
    this.#quiet();
    const connection = this.#connection;
    this.#connection = null;
    this.#givingUp.abort();
    await connection?.close();
    await this.#connecting;
  }

  #try(): void {
    this.#quiet();
    this.#generation += 1;
    this.#connecting = this.#connect(this.#generation);
  }

  async #connect(generation: number): Promise<void> {
    const current = (): boolean => generation === this.#generation;
    const givingUp = new AbortController();
    this.#givingUp = givingUp;
    const events: ConnectionEvents = {
      bytes: (bytes) => {
        if (!current()) return;
        this.#heard = true;
        this.#chunk(bytes);
      },
      lost: (why) => this.#lost(generation, why),
    };
    const pending = this.#keeping.connect(events, givingUp.signal);
    let connection: Connection;
    try {
      connection = await within(connectWithinMs, pending, "no answer within 5 s");
    } catch (error) {
      givingUp.abort();
      // A connection that is made too late is closed again.
      pending.then((late) => late.close()).catch(() => undefined);
      if (current()) this.#failed(error);
      return;
    }
    if (current()) this.#up(connection, generation);
    else await connection.close();
  }

  #up(connection: Connection, generation: number): void {
    const { clock } = this.#keeping;
    this.#connection = connection;
    this.#upSince = clock.mono();
    if (connection.probe) this.#probe(connection, generation);
    this.#tell("up", null, null);
  }

  /**
   * Only a device that was silent since the last probe was due is probed: its bytes are proof enough. A probe that is
   * still unanswered when the third one after it is due means the same as one that fails.
   */
  #probe(connection: Connection, generation: number): void {
    let waited = 0;
    let waiting = false;
    this.#probing = setInterval(() => {
      if (waiting) {
        waited += 1;
        if (waited >= probesUnanswered) this.#lost(generation, "the device no longer answers");
        return;
      }
      const wasHeard = this.#heard;
      this.#heard = false;
      if (wasHeard) return;
      waiting = true;
      waited = 0;
      connection.probe?.().then(
        () => (waiting = false),
        (error: unknown) => this.#lost(generation, messageOf(error)),
      );
    }, probeEveryMs);
  }

  #chunk(bytes: Uint8Array): void {
    const { clock } = this.#keeping;
    const now = clock.mono();
    const from = this.#busy?.before(now) ?? null;
    if (this.#waited !== null) this.#waited.parts.push(bytes);
    else if (from === null) this.#listener?.chunk({ bytes, atMonoMs: now, atUtcMs: clock.utc() });
    else this.#waited = { from, parts: [bytes], until: this.#handOverSoon() };
  }

  #handOverSoon(): NodeJS.Timeout {
    return setTimeout(() => {
      // Again without time: what came meanwhile is still to be read.
      const from = this.#busy?.before(this.#keeping.clock.mono()) ?? null;
      if (from !== null && this.#waited !== null) this.#waited.until = this.#handOverSoon();
      else this.#handOver();
    }, partsWithinMs);
  }

  /** What waited, as it came. */
  #handOver(): void {
    if (this.#waited === null) return;
    const { from, parts, until } = this.#waited;
    clearTimeout(until);
    this.#waited = null;
    const { clock } = this.#keeping;
    const all = { bytes: Buffer.concat(parts), atMonoMs: clock.mono(), atUtcMs: clock.utc() };
    for (const one of spread(all, from, clock.timeFactor)) this.#listener?.chunk(one);
  }

  #lost(generation: number, why: string): void {
    const connection = this.#connection;
    // While connecting, the promise of the connection tells more than an event does.
    if (generation !== this.#generation || !connection) return;
    this.#handOver();
    this.#generation += 1;
    this.#connection = null;
    void connection.close();
    if (this.#keeping.clock.mono() - this.#upSince >= steadyMs) this.#attempts = 0;
    this.#waitThenTry("searching");
    this.#tell("searching", `the connection to the scale was lost: ${why}`, this.#keeping.lostFix);
  }

  #failed(error: unknown): void {
    const known = error instanceof NotConnected ? error : null;
    this.#waitThenTry(known?.link ?? "searching");
    this.#tell(known?.link ?? "searching", messageOf(error), known?.fix ?? null);
  }

  #waitThenTry(link: "searching" | "denied"): void {
    this.#quiet();
    const longest = link === "denied" ? longestDeniedWaitMs : longestWaitMs;
    // A device that has appeared while it was still being tried is tried again soon: nobody would tell of it.
    const isThere = link === "searching" && existsSync(this.#keeping.path ?? "");
    const growth = isThere ? 1 : waitGrowth ** this.#attempts;
    const even = Math.min(longest, firstWaitMs * growth);
    const chance = (this.#keeping.chance ?? Math.random)();
    this.#attempts += 1;
    this.#retry = setTimeout(() => this.#try(), even * (1 + jitter * (2 * chance - 1)));
    if (this.#keeping.path !== null) this.#tryWhenThere(this.#keeping.path);
  }

  /** The folder of a by-id link vanishes with its last device, so the nearest one that is there is watched. */
  #tryWhenThere(path: string): void {
    let folder = dirname(path);
    let name = basename(path);
    while (!existsSync(folder) && dirname(folder) !== folder) {
      name = basename(folder);
      folder = dirname(folder);
    }
    try {
      this.#watcher = watch(folder, { persistent: false }, (_what, changed) => {
        if (changed !== name || !this.#retry) return;
        clearTimeout(this.#retry);
        this.#retry = setTimeout(() => this.#try(), appearedWaitMs);
      });
      this.#watcher.on("error", () => undefined);
    } catch {
      // No watcher to be had: the timer alone tries again.
    }
  }

  #quiet(): void {
    if (this.#retry) clearTimeout(this.#retry);
    if (this.#probing) clearInterval(this.#probing);
    this.#watcher?.close();
    this.#retry = this.#probing = this.#watcher = null;
  }

  #tell(link: LinkState, why: string | null, fix: string | null): void {
    this.#listener?.link({ link, why, fix, sinceUtcMs: this.#keeping.clock.utc() });
  }
}

export const messageOf = (error: unknown): string =>
  error instanceof Error ? error.message : String(error);

async function within<T>(ms: number, promise: Promise<T>, otherwise: string): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error(otherwise)), ms);
  });
  try {
    return await Promise.race([promise, late]);
  } finally {
    clearTimeout(timer);
  }
}
