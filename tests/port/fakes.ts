/** A port and a connection of plain memory, and a clock for them. */
import { systemClock, type Clock } from "../../src/clock.ts";
import type { LinkState, Port, PortListener } from "../../src/port/port.ts";

export const clock: Clock = systemClock();

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
