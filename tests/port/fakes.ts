/** A port and a connection of plain memory, clocks for them, and a computer that does not answer. */
import { spawn } from "node:child_process";
import { once } from "node:events";
import { connect } from "node:net";
import { expect, onTestFinished } from "vitest";
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

/** Takes connections up to its backlog and then answers nothing any more, as a converter behind a router that is off. */
export async function unanswering(): Promise<number> {
  const program = `require("net").createServer().listen({ port: 0, host: "127.0.0.1", backlog: 1 }, function () {
    console.log(this.address().port);
    setTimeout(() => Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0), 50);
  })`;
  const child = spawn(process.execPath, ["-e", program], { stdio: ["ignore", "pipe", "inherit"] });
  onTestFinished(() => void child.kill("SIGKILL"));
  const [said] = (await once(child.stdout, "data")) as [Buffer];
  const port = Number(String(said));
  await new Promise((done) => setTimeout(done, 200));
  const fillers = Array.from({ length: 4 }, () => connect(port, "127.0.0.1"));
  for (const filler of fillers) filler.on("error", () => undefined);
  onTestFinished(() => fillers.forEach((filler) => filler.destroy()));
  await expect.poll(() => fillers.filter((one) => !one.connecting).length).toBeGreaterThan(0);
  return port;
}

/** Of this process, those that are still being connected too. */
export const openSockets = (): number =>
  process.getActiveResourcesInfo().filter((one) => one === "TCPSocketWrap").length;
