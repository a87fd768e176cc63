import { setTimeout as pause } from "node:timers/promises";
import { afterEach, expect, test } from "vitest";
import { atOtherSpeed, withParity } from "../../bench/recognise/wire.ts";
import { openScale, type Scale, type ScaleReport } from "../../src/port/scale.ts";
import { usualSpeeds } from "../../src/port/speeds.ts";
import { isOfWrongSpeed } from "../../src/reading/recognise.ts";
import type { Port, PortListener } from "../../src/port/port.ts";
import type { Reading } from "../../src/reading/reading.ts";
import fc from "../rig/properties.ts";
import { Pty } from "../rig/pty.ts";
import { play, seeded } from "../rig/scale.ts";
import { clock } from "./fakes.ts";

const line = "ST,GS,+    812.6 g\r\n";

/** A line on which a scale sends at one speed, as a program that opened it at another gets the bytes. */
class WireAt implements Port {
  readonly opened: number[] = [];
  readonly written: string[] = [];
  #timer: NodeJS.Timeout | null = null;
  readonly #baud: number;
  readonly #baudNow: () => number;
  readonly #parity: "even" | null;

  constructor(baud: number, baudNow: () => number, parity: "even" | null = null) {
    this.#baud = baud;
    this.#baudNow = baudNow;
    this.#parity = parity;
  }

  open(listener: PortListener): void {
    const opened = this.#baudNow();
    this.opened.push(opened);
    listener.link({ link: "up", sinceUtcMs: clock.utc(), why: null, fix: null });
    const sent = Buffer.from(line);
    const bytes = this.#parity === null ? sent : withParity(sent, this.#parity);
    const seen = opened === this.#baud ? bytes : atOtherSpeed(bytes, opened / this.#baud, 1);
    this.#timer = setInterval(
      () => listener.chunk({ bytes: seen, atMonoMs: clock.mono(), atUtcMs: clock.utc() }),
      5,
    );
  }

  write(bytes: Uint8Array): Promise<void> {
    this.written.push(Buffer.from(bytes).toString("latin1"));
    return Promise.resolve();
  }

  close(): Promise<void> {
    if (this.#timer !== null) clearInterval(this.#timer);
    return Promise.resolve();
  }
}

let scale: Scale | null = null;
afterEach(() => scale?.close());

function listen(uri: string, baud: number, parity: "even" | null = null) {
  const readings: Reading[] = [];
  const reports: ScaleReport[] = [];
  let wire: WireAt | null = null;
  scale = openScale(
    uri,
    clock,
    {
      reading: (reading) => void readings.push(reading),
      link: (report) => void reports.push(report),
    },
    (baudNow) => (wire = new WireAt(baud, baudNow, parity)),
  );
  return { readings, reports, wire: wire as unknown as WireAt };
}

const soon = { interval: 20 };

test.each(usualSpeeds)(
  "a scale that sends at %i baud is found, and nothing else is ever read",
  async (baud) => {
    const { readings, wire } = listen("/dev/ttyUSB0", baud);
    await expect.poll(() => scale?.state().form, soon).toBe("marked");
    expect(wire.opened.at(-1)).toBe(baud);
    expect(new Set(readings.map((one) => (one.is === "weight" ? one.mass : one.is)))).toEqual(
      new Set([812.6]),
    );
    expect(wire.written).toEqual([]);
    const { why } = scale!.state();
    if (baud === 9600) expect(why).toBeNull();
    else expect(why).toContain(`?baud=${baud}`);
  },
);

test("a speed that the address names is the only one that is tried", async () => {
  const { wire, reports } = listen("/dev/ttyUSB0?baud=9600", 2400);
  await expect.poll(() => reports.at(-1)?.why ?? "", soon).toContain("baud");
  expect(wire.opened).toEqual([9600]);
});

test("seven bits with parity at another speed are found as well", async () => {
  const { wire } = listen("/dev/ttyUSB0", 2400, "even");
  await expect.poll(() => scale?.state().form, soon).toBe("marked");
  expect(wire.opened.at(-1)).toBe(2400);
  expect(scale?.state().why).toContain("parity=even");
});

test("a scale on a real line is read again after a megabyte of noise, though its speed was doubted meanwhile", async () => {
  const pty = await Pty.start();
  try {
    const readings: Reading[] = [];
    scale = openScale(pty.path, clock, {
      reading: (reading) => void readings.push(reading),
      link: () => undefined,
    });
    pty.every(20, [line]);
    await expect.poll(() => readings.length, soon).toBeGreaterThan(10);
    await pty.stop();
    const chance = seeded(20261125);
    for (let count = 0; count < 64; count++) {
      pty.send(Uint8Array.from({ length: 16_384 }, () => Math.floor(256 * chance())));
      await pause(10);
    }
    readings.length = 0;
    pty.every(20, [line]);
    const last = () => readings.at(-1);
    await expect.poll(last, soon).toMatchObject({ is: "weight", mass: 812.6 });
    expect(readings.flatMap((one) => (one.is === "weight" ? [one.mass] : []))).toEqual(
      readings.filter((one) => one.is === "weight").map(() => 812.6),
    );
  } finally {
    await pty.close();
  }
});

test("a speed that is none of the usual is looked for round and round, and said so", async () => {
  const { wire, readings } = listen("/dev/ttyUSB0", 300);
  await expect.poll(() => wire.opened.length, soon).toBeGreaterThan(usualSpeeds.length + 1);
  expect(readings.filter((one) => one.is !== "unreadable")).toEqual([]);
});

test("text of any form at the right speed, with any parity, is never taken for another speed", () => {
  const forms = [
    "marked",
    "flagged",
    "number-unit",
    "answer",
    "poll-frame",
    "xor-frame",
    "status-frame-sum",
  ] as const;
  fc.assert(
    fc.property(
      fc.constantFrom(...forms),
      fc.constantFrom(null, "even" as const, "odd" as const, "mark" as const),
      fc.integer({ min: 1, max: 1_000_000 }),
      (form, parity, seed) => {
        const lines = play({
          form,
          unit: "g",
          step: 0.1,
          noiseGrams: 1,
          everyMs: 100,
          forMs: 2000,
          seed,
          actions: [{ atMs: 0, grams: seed % 4000 }],
        });
        const text = lines.map((one) => one.line).join("");
        const bytes = Buffer.from(text, "latin1");
        const seen = parity === null ? bytes : withParity(bytes, parity);
        expect(isOfWrongSpeed(Buffer.from(seen).toString("latin1"))).toBe(false);
      },
    ),
    { numRuns: 1000 },
  );
});
