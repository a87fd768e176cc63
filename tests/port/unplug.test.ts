import { setTimeout as pause } from "node:timers/promises";
import { expect, test } from "vitest";
import { systemClock } from "../../src/clock.ts";
import { openScale, type ScaleReport } from "../../src/port/scale.ts";
import type { Reading } from "../../src/reading/reading.ts";
import { Pty } from "../rig/pty.ts";

const weights = [101.1, 202.2, 303.3, 404.4];
const lines = weights.map((grams) => `ST,GS,+${grams.toFixed(1).padStart(9)} g\r\n`);

async function until(condition: () => boolean, withinMs: number): Promise<number> {
  const started = performance.now();
  while (!condition()) {
    if (performance.now() - started > withinMs) return Number.POSITIVE_INFINITY;
    await pause(1);
  }
  return performance.now() - started;
}

// A device that hangs up while it streams may go on to read as nothing for ever; the shorter the gap between
// lines, the likelier it is.
test.each([
  { gapMs: 1, unplugs: 20 },
  { gapMs: 10, unplugs: 20 },
  { gapMs: 100, unplugs: 20 },
])(
  "an unplug with a line every $gapMs ms is noticed within 0.5 s, and the scale is back within 2 s",
  { timeout: 60_000 },
  async ({ gapMs, unplugs }) => {
    const line = await Pty.start();
    const reports: ScaleReport[] = [];
    const readings: Reading[] = [];
    const scale = openScale(`serial://${line.path}`, systemClock(), {
      link: (report) => reports.push(report),
      reading: (reading) => readings.push(reading),
    });
    const isUp = (): boolean => scale.state().link === "up";
    const noticed: number[] = [];
    const back: number[] = [];
    try {
      line.every(gapMs, lines);
      expect(await until(() => isUp() && readings.length > 0, 5000)).toBeLessThan(5000);
      for (let unplug = 0; unplug < unplugs; unplug++) {
        await pause(20 + 7 * (unplug % 5));
        await line.pull();
        noticed.push(await until(() => !isUp(), 3000));
        const before = readings.length;
        await line.plug();
        back.push(await until(() => isUp() && readings.length > before, 5000));
      }
    } finally {
      await scale.close();
      await line.close();
    }
    console.log(
      `gap ${gapMs} ms: noticed after ${spread(noticed)} ms, weights again after ${spread(back)} ms`,
    );
    expect(Math.max(...noticed)).toBeLessThan(500);
    expect(Math.max(...back)).toBeLessThan(2000);
    const masses = readings.map((one) => (one.is === "weight" ? one.mass : one));
    expect(new Set(masses)).toEqual(new Set(weights));
  },
);

const spread = (values: readonly number[]): string => {
  const sorted = values.toSorted((a, b) => a - b);
  const at = (share: number): string =>
    (sorted[Math.floor(share * (sorted.length - 1))] ?? 0).toFixed(0);
  return `${at(0)} / ${at(0.5)} / ${at(1)} (least / median / most of ${sorted.length})`;
};
