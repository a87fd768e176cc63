/** A port and a connection of plain memory, and clocks for them. */
import { systemClock, type Clock } from "../../src/clock.ts";
import type { LinkState, Port, PortListener } from "../../src/port/port.ts";
import { monoMs, utcMs } from "../../src/units/quantity.ts";

export const clock: Clock = systemClock();

/** Goes by the timers that a test has put in place of the real ones, from whenever it is asked on. */
export const clockOfTimers: Clock = {
  mono: () => monoMs(performance.now()),
  utc: () => utcMs(Date.now()),
  timeFactor: 1,
  system: () => utcMs(0),
  carryOnFrom: () => {},
  moveBy: () => {},
  upAtStartMs: 0,
  awayMs: () => 0,
  wake: () => 0,
};

export class MemoryPort implements Port {
  listener: PortListener | null = null;
  opened = 0;
  readonly written: string[] = [];

  open(listener: PortListener): void {
    this.listener = listener;
    this.opened += 1;
  }

  write(bytes: Uint8Array): Promise<void> {
    this.written.push(Buffer.from(bytes).toString("latin1"));
    return Promise.resolve();
  }

  close(): Promise<void> {
    this.listener = null;
    return Promise.resolve();
  }

  say(text: string): void {
    const bytes = Buffer.from(text, "latin1");
    this.listener?.chunk({ bytes, atMonoMs: clock.mono(), atUtcMs: clock.utc() });
  }

  link(link: LinkState, why: string | null = null): void {
    this.listener?.link({ link, sinceUtcMs: clock.utc(), why, fix: null });
  }
}
