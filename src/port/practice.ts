/** The practice scale as a port: the bytes of its display on a timer, and a pan on which loads are put by call. */
import type { Clock } from "../clock.ts";
import { seeded } from "../practice/chance.ts";
import { emptyPan, linePeriodMs, loaded, nextLine } from "../practice/signal.ts";
import { grams, type Grams } from "../units/quantity.ts";
import type { Port } from "./port.ts";

export type PracticePort = Port & {
  place(gross: Grams): void;
  lift(): void;
};

export function practicePort(clock: Clock, seed: number): PracticePort {
  const chance = seeded(seed);
  let pan = emptyPan(clock.mono());
  let timer: NodeJS.Timeout | null = null;
  const stop = (): void => {
    if (timer !== null) clearInterval(timer);
    timer = null;
  };

  return {
    place: (gross) => {
      pan = loaded(pan, gross, clock.mono());
    },
    lift: () => {
      pan = loaded(pan, grams(0), clock.mono());
    },
    open: (listener) => {
      stop();
      listener.link({ link: "up", sinceUtcMs: clock.utc(), why: null, fix: null });
      timer = setInterval(() => {
        const next = nextLine(pan, clock.mono(), chance);
        pan = next.pan;
        const bytes = Buffer.from(next.line, "latin1");
        listener.chunk({ bytes, atMonoMs: clock.mono(), atUtcMs: clock.utc() });
      }, linePeriodMs);
    },
    // The practice scale listens to nobody: a tare or zero key sent to it changes nothing.
    write: () => Promise.resolve(),
    close: () => {
      stop();
      return Promise.resolve();
    },
  };
}
