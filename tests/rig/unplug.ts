/**
 * Pulls a scale's plug at random moments while it streams and puts it back under a new name behind the same stable
 * link; every fourth time another load lies on it when it comes back. Counts what the program made of it.
 */
import { setTimeout as pause } from "node:timers/promises";
import { systemClock } from "../../src/clock.ts";
import { openScale } from "../../src/port/scale.ts";
import { afterLinkLost, afterReading, emptyPan } from "../../src/settle/settle.ts";
import { ownTime } from "./owntime.ts";
import { Pty } from "./pty.ts";
import { seeded } from "./scale.ts";

type Unplugs = {
  readonly noticedMs: readonly number[];
  readonly backMs: readonly number[];
  /** Plugged in under another name than the time before. */
  readonly renamed: number;
  readonly readings: number;
  /** Readings of no weight that was sent. */
  readonly invented: number;
  /** Masses announced as settled, and those that ought to be. */
  readonly announced: readonly number[];
  readonly expected: readonly number[];
};

const loads = [101.1, 202.2, 303.3, 404.4];
const lineOf = (grams: number): string => `ST,GS,+${grams.toFixed(1).padStart(9)} g\r\n`;

export async function unplugAndReplug(
  gapMs: number,
  times: number,
  seed: number,
  rigFolder?: string,
): Promise<Unplugs> {
  const chance = seeded(seed);
  const line = await Pty.start(rigFolder);
  const noticedMs: number[] = [];
  const backMs: number[] = [];
  const announced: number[] = [];
  let [load = 0] = loads;
  const expected = [load];
  const names = [line.device];
  let readings = 0;
  let invented = 0;
  let pan = emptyPan;
  const clock = systemClock();
  const scale = openScale(`serial://${line.path}?form=marked`, clock, {
    link: ({ link }) => {
      if (link !== "up" && link !== "silent") pan = afterLinkLost(pan);
    },
    reading: (reading) => {
      readings += 1;
      if (reading.is !== "weight" || !loads.some((one) => Math.abs(one - reading.mass) < 1e-9))
        invented += 1;
      const step = afterReading(pan, reading);
      pan = step.pan;
      for (const event of step.events)
        if (event.is === "settled") announced.push(Number(event.weight.mass.toFixed(1)));
    },
  });
  const isUp = (): boolean => scale.state().link === "up";
  try {
    line.every(gapMs, [lineOf(load)]);
    await until(() => announced.length === 1, 5000);
    for (let time = 0; time < times; time++) {
      await pause(20 + 80 * chance());
      await line.pull();
      noticedMs.push(await until(() => !isUp(), 3000));
      const isOther = time % 4 === 3;
      if (isOther) {
        load = loads[(loads.indexOf(load) + 1) % loads.length]!;
        expected.push(load);
        await line.stop();
        line.every(gapMs, [lineOf(load)]);
      }
      const before = readings;
      await line.plug();
      names.push(line.device);
      backMs.push(await until(() => isUp() && readings > before, 5000));
      if (isOther) await until(() => announced.length >= expected.length, 6000);
    }
  } finally {
    await scale.close();
    await line.close();
  }
  const renamed = names.filter((name, at) => at > 0 && name !== names[at - 1]).length;
  return { noticedMs, backMs, renamed, readings, invented, announced, expected };
}

/** Milliseconds that the program had until it was so; infinite when it was not so in time. */
async function until(condition: () => boolean, withinMs: number): Promise<number> {
  const time = ownTime();
  while (!condition()) {
    if (time.ms() > withinMs) return Number.POSITIVE_INFINITY;
    await pause(1);
    time.turn();
  }
  return time.ms();
}

export const spread = (values: readonly number[]): string => {
  const sorted = values.toSorted((a, b) => a - b);
  const at = (share: number): string =>
    (sorted[Math.floor(share * (sorted.length - 1))] ?? 0).toFixed(0);
  return `${at(0)} / ${at(0.5)} / ${at(1)} (least / median / most of ${sorted.length})`;
};
