import { describe, expect, test } from "vitest";
import type { Reading } from "../../src/reading/reading.ts";
import {
  afterLinkLost,
  afterReading,
  afterSilence,
  emptyPan,
  readingNoise,
  type Pan,
  type PanEvent,
} from "../../src/settle/settle.ts";
import { monoMs, utcMs } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";
import { normal, seeded, weightAt } from "./signal.ts";

/** A scale of 1 g divisions at ten readings a second, told what it shows piece by piece. */
class Bench {
  pan: Pan = emptyPan;
  second = 0;
  readonly events: PanEvent[] = [];
  readonly perSecond: number;
  readonly division: number;

  constructor(perSecond = 10, division = 1) {
    this.perSecond = perSecond;
    this.division = division;
  }

  hear(reading: Reading): void {
    const step = afterReading(this.pan, reading);
    this.pan = step.pan;
    this.events.push(...step.events);
  }

  show(mass: number | ((second: number) => number), seconds = 1.5, still: boolean | null = null) {
    const start = this.second;
    for (let i = 0; i < Math.round(seconds * this.perSecond); i++) {
      const at = typeof mass === "number" ? mass : mass(this.second - start);
      const shown = Math.round(at / this.division) * this.division;
      this.hear(weightAt(this.second, shown, this.division, still));
      this.second += 1 / this.perSecond;
    }
    return this;
  }

  say(is: "over" | "under" | "unreadable", seconds: number) {
    const count = Math.round(seconds * this.perSecond);
    for (let i = 0; i < count; i++) {
      const seen = { raw: "", atMonoMs: monoMs(this.second * 1000), atUtcMs: utcMs(0) };
      this.hear(is === "unreadable" ? { is, ...seen, why: "half a line" } : { is, ...seen });
      this.second += 1 / this.perSecond;
    }
    return this;
  }

  silence(seconds: number) {
    this.second += seconds;
    this.pan = afterSilence(this.pan, monoMs(this.second * 1000));
    return this;
  }

  loseLink(seconds = 5) {
    this.pan = afterLinkLost(this.pan);
    this.second += seconds;
    return this;
  }

  get words(): readonly string[] {
    return this.events.map((event) =>
      event.is === "settled" ? `settled ${Math.round(event.weight.mass)}` : "lifted",
    );
  }

  get last() {
    const settled = this.events.findLast((event) => event.is === "settled");
    if (settled?.is !== "settled") throw new Error("nothing settled");
    return settled.weight;
  }
}

const bench = (perSecond?: number, division?: number): Bench => new Bench(perSecond, division);

describe("loads", () => {
  test("a load put on and taken off is announced once and told as lifted once", () => {
    const scale = bench().show(0).show(412, 5).show(0);
    expect(scale.words).toEqual(["settled 412", "lifted"]);
    expect(scale.last).toMatchObject({ division: 1, zeroSeen: true });
    expect(scale.last.mass).toBeCloseTo(412, 6);
    expect(scale.pan).toMatchObject({ on: "nothing", settled: true, mass: 0 });
  });

  test("lifting is told 0.4 s after the pan is empty, before it has come to rest", () => {
    expect(bench().show(0).show(412).show(0, 0.4).words).toEqual(["settled 412", "lifted"]);
  });

  test("food added to a load at rest is a new load, and so is food taken away", () => {
    expect(bench().show(0).show(400).show(403).show(250).words).toEqual([
      "settled 400",
      "settled 403",
      "settled 250",
    ]);
  });

  test("a change of two divisions is no new load", () => {
    expect(bench().show(0).show(400).show(402, 5).words).toEqual(["settled 400"]);
  });

  test("a knock that ends at the old mass is no new load", () => {
    expect(bench().show(0).show(400).show(460, 0.3).show(380, 0.3).show(400, 3).words).toEqual([
      "settled 400",
    ]);
  });

  test("the same tray put back after the pan was empty is a new load", () => {
    expect(bench().show(0).show(400).show(0, 0.5).show(400).words).toEqual([
      "settled 400",
      "lifted",
      "settled 400",
    ]);
  });

  test("a load taken off before it came to rest is never mentioned", () => {
    expect(bench().show(0).show(400, 0.3).show(0).words).toEqual([]);
  });

  test("a swing in step with the looks at a scale that sends often is no rest", () => {
    const random = seeded(6);
    for (const perSecond of [40, 45, 50, 100])
      for (const [readings, peakToPeak] of [4, 8].flatMap(
        (n) =>
          [
            [n, 2.1],
            [n, 3],
            [n, 8],
          ] as const,
      )) {
        const hertz = perSecond / readings;
        const swing = (second: number) =>
          500 + (peakToPeak / 2) * Math.cos(2 * Math.PI * hertz * second) + 0.1 * normal(random);
        expect(bench(perSecond).show(0).show(swing, 8).words, `${hertz} Hz`).toEqual([]);
      }
  });

  test("the mass keeps what flickering between two steps tells", () => {
    const errors = Array.from({ length: 50 }, (_, seed) => {
      const random = seeded(seed);
      const scale = bench(50).show(0);
      scale.show(() => 300.4 + 0.2 * normal(random), 2);
      expect(scale.words.length).toBe(1);
      return scale.last.mass - 300.4;
    });
    // Rounded to the display every one of them would be off by 0.4 or 0.6.
    expect(Math.max(...errors.map(Math.abs))).toBeLessThan(0.5);
    expect(Math.sqrt(errors.reduce((sum, one) => sum + one ** 2, 0) / errors.length)).toBeLessThan(
      0.2,
    );
  });

  test("the standard uncertainty is that of the step and of the noise over the looks", () => {
    const { u, looks } = bench().show(0).show(412).last;
    // A step of d alone: d/√12 (JCGM 100:2008, F.2.2.1; clause number from memory).
    expect(u).toBeGreaterThan(1 / Math.sqrt(12));
    expect(u).toBeCloseTo(Math.sqrt(1 / 12 + readingNoise(emptyPan) ** 2 / looks), 3);
  });

  test("food that takes up a tenth of a division a second stays one load, however far it goes", () => {
    const scale = bench()
      .show(0)
      .show((second) => 100 + 0.09 * second, 300);
    expect(scale.words).toEqual(["settled 100"]);
    expect(scale.show(127, 3).words).toEqual(["settled 100"]);
  });

  test("a drift of half a division a second does begin new loads", () => {
    const scale = bench()
      .show(0)
      .show((second) => 100 + 0.5 * second, 20);
    expect(scale.words.length).toBeGreaterThan(1);
  });
});

describe("near zero", () => {
  test("a pan that comes back to 3 divisions when the tray comes off is empty", () => {
    const scale = bench().show(0).show(500).show(3);
    expect(scale.words).toEqual(["settled 500", "lifted"]);
    expect(scale.show(503).words).toEqual(["settled 500", "lifted", "settled 503"]);
  });

  test("three divisions put on an empty pan at rest are a load", () => {
    expect(bench().show(0).show(3).words).toEqual(["settled 3"]);
  });

  test("a zero that creeps within four divisions stays the empty pan; beyond, it is a load", () => {
    const scale = bench()
      .show(0)
      .show((second) => 0.05 * second, 70);
    expect(scale.words).toEqual([]);
    expect(scale.show((second) => 3.5 + 0.05 * second, 120).words).toHaveLength(1);
  });

  test("less than nothing is no load and is told apart from the scale's own under-range", () => {
    const scale = bench().show(0).show(300).show(-450);
    expect(scale.words).toEqual(["settled 300", "lifted"]);
    expect(scale.pan).toMatchObject({ state: "weight", on: "below-zero", mass: -450 });
    expect(scale.show(0).pan).toMatchObject({ on: "nothing" });
    expect(scale.words).toEqual(["settled 300", "lifted"]);
  });

  test("under-range has no mass; a load is gone with it", () => {
    const scale = bench().show(0).show(300).say("under", 1);
    expect(scale.pan).toMatchObject({ state: "under", mass: null, settled: false });
    expect(scale.words).toEqual(["settled 300", "lifted"]);
  });

  test("overload has no mass and is no load; the same load found under it is not new", () => {
    const scale = bench().show(0).show(300).say("over", 2);
    expect(scale.pan).toMatchObject({ state: "over", mass: null, settled: false });
    expect(scale.show(300).words).toEqual(["settled 300"]);
    expect(bench().show(0).say("over", 2).show(300).words).toEqual(["settled 300"]);
  });
});

describe("silence and lost links", () => {
  test("a load found before the empty pan was seen says so", () => {
    expect(bench().show(300).last.zeroSeen).toBe(false);
    expect(bench().show(2).show(300).last.zeroSeen).toBe(true);
  });

  test.each([
    ["a lost link", (scale: Bench) => scale.loseLink()],
    ["a silence over 10 s", (scale: Bench) => scale.silence(10.5)],
  ])("after %s zero has to be seen again", (_, lose) => {
    const scale = bench().show(0).show(300);
    lose(scale).show(350);
    expect(scale.last).toMatchObject({ zeroSeen: false });
    expect(scale.pan).toMatchObject({ zeroSeen: false });
    expect(scale.show(0).show(300).last.zeroSeen).toBe(true);
  });

  test("a silence of 9 s keeps the zero", () => {
    expect(bench().show(0).silence(9).show(300).last.zeroSeen).toBe(true);
  });

  test("the load announced before a lost link is not announced again within two divisions", () => {
    for (const found of [298, 300, 302])
      expect(bench().show(0).show(300).loseLink().show(found).words).toEqual(["settled 300"]);
  });

  test("any other load found after a lost link is announced, once", () => {
    expect(bench().show(0).show(300).loseLink().show(304, 3).words).toEqual([
      "settled 300",
      "settled 304",
    ]);
    expect(bench().show(0).show(300).show(700, 0.2).loseLink().show(700, 3).words).toEqual([
      "settled 300",
      "settled 700",
    ]);
  });

  test("a load that is gone after a lost link is told as lifted, and its return as a load", () => {
    expect(bench().show(0).show(300).loseLink().show(0).show(300).words).toEqual([
      "settled 300",
      "lifted",
      "settled 300",
    ]);
  });

  test("no plateau spans a gap", () => {
    const scale = bench().show(0);
    for (let i = 0; i < 20; i++) scale.show(300, 0.4).silence(1);
    expect(scale.words).toEqual([]);
  });

  /** Ten lines a second that come together, so far apart, the lines of a bundle so many milliseconds. */
  const bundled = (apartMs: number, withinMs: number, at: (second: number) => number) => {
    const scale = bench();
    for (let ms = 0; ms < 20_000; ms += apartMs)
      for (let line = 0; line < apartMs / 100; line++) {
        const shown = Math.round(at((ms - apartMs) / 1000 + line / 10));
        scale.hear(weightAt((ms + line * withinMs) / 1000, shown, 1));
      }
    return scale;
  };
  test.each([
    [700, 0],
    [800, 0],
    [1000, 0],
    [1000, 0.2],
    [1000, 2],
  ])("lines that come every %i ms together, %d ms apart, are no silence", (apart, within) => {
    const at = (second: number): number => (second < 5 ? 0 : second < 12 ? 300 : 0);
    expect(bundled(apart, within, at).words).toEqual(["settled 300", "lifted"]);
  });

  test.each([
    [500, 2],
    [1000, 1],
    [1000, 3],
  ])("a swing that each bundle of %i ms begins alike (%i Hz) is no rest", (apart, hertz) => {
    const swing = (second: number): number =>
      second < 5 ? 0 : 300 + 3 * Math.cos(2 * Math.PI * hertz * second);
    expect(bundled(apart, 0, swing).words).toEqual([]);
  });

  test("unreadable lines are skipped, but time passes", () => {
    const scale = bench().show(0);
    for (let i = 0; i < 20; i++) scale.show(300, 0.4).say("unreadable", 1);
    expect(scale.words).toEqual([]);
    expect(bench().show(0).show(300, 0.4).say("unreadable", 0.1).show(300, 0.6).words).toEqual([
      "settled 300",
    ]);
  });

  test("silence for 3 s shows as silence", () => {
    const scale = bench().show(0).show(300);
    expect(scale.silence(2).pan).toMatchObject({ state: "weight", settled: false });
    expect(scale.silence(1.5).pan).toMatchObject({ state: "silent", mass: null });
  });

  test("a change of unit or of division begins anew", () => {
    const scale = bench().show(0).show(300, 0.4);
    for (let i = 0; i < 4; i++) {
      scale.hear(weightAt(scale.second, 300, 0.5));
      scale.second += 0.1;
    }
    expect(scale.words).toEqual([]);
    expect(scale.show(300, 1).words).toEqual(["settled 300"]);
  });
});

describe("the scale's own mark", () => {
  test("a mark stuck at still settles nothing that moves", () => {
    const swing = (second: number) => 300 + 1.6 * Math.cos(2 * Math.PI * 1.3 * second);
    expect(bench().show(0, 2, true).show(swing, 10, true).words).toEqual([]);
  });

  test("a mark that says moving delays by less than half a second, even when it is stuck", () => {
    const scale = bench().show(0, 2, false).show(300, 0.8, false);
    expect(scale.words).toEqual([]);
    expect(scale.show(300, 0.3, false).words).toEqual(["settled 300"]);
  });
});

describe("noise", () => {
  test.each([0.15, 0.3, 0.6])("noise of %d division is learned from loads at rest", (noise) => {
    const random = seeded(31);
    const scale = bench().show(0);
    for (let load = 0; load < 100; load++) {
      const mass = 100 + 900 * random();
      scale.show(() => mass + noise * normal(random), 6).show(0, 1.2);
    }
    expect(readingNoise(scale.pan)).toBeGreaterThan(0.7 * noise);
    expect(readingNoise(scale.pan)).toBeLessThan(1.3 * noise);
  });
});

const streams = fc.record({
  mass: fc.integer({ min: 5, max: 5000 }),
  perSecond: fc.constantFrom(2, 10, 50),
  seconds: fc.integer({ min: 3, max: 20 }),
});

test("a constant stream settles exactly once, at its mass", () => {
  fc.assert(
    fc.property(streams, ({ mass, perSecond, seconds }) => {
      const scale = bench(perSecond).show(mass, seconds);
      expect(scale.words).toEqual([`settled ${mass}`]);
    }),
    { numRuns: 60 },
  );
});

test.each([
  [3, 905],
  [3, 812],
  [9, 905],
  [15, 812],
])(
  "of lines that a network kept back for %i s, those of the empty pan tell that the load was swapped (for %i g)",
  (keptBackSeconds, second) => {
    const pan = new Bench().show(0).show(812, 3).silence(keptBackSeconds);
    const third = Math.floor((10 * keptBackSeconds) / 3);
    const masses = [812, 0, second].flatMap((mass) => Array<number>(third).fill(mass));
    for (const mass of masses) pan.hear(weightAt(pan.second, mass, 1, null));
    pan.second += 0.1;
    pan.show(second, 3);
    expect(
      pan.events.map((event) => (event.is === "settled" ? event.weight.mass : event.is)),
    ).toEqual([812, "lifted", second]);
  },
);

test("silence forgets: pieces too short to be a rest never make one together", () => {
  fc.assert(
    fc.property(
      fc.array(
        fc.record({
          // Lines that come one at a time, and evenly, are those of a scale that sends seldom (`slow.test.ts`).
          looks: fc.integer({ min: 2, max: 4 }),
          gap: fc.double({ min: 2.6, max: 60, noNaN: true }),
        }),
        { minLength: 5, maxLength: 30 },
      ),
      fc.integer({ min: 5, max: 5000 }),
      (pieces, mass) => {
        const scale = bench();
        for (const { looks, gap } of pieces) scale.show(mass, looks / 10).silence(gap);
        expect(scale.words).toEqual([]);
      },
    ),
    { numRuns: 60 },
  );
});

test("whatever comes, loads and liftings alternate sensibly and no mass is invented", () => {
  const piece = fc.oneof(
    fc.record({
      mass: fc.integer({ min: -500, max: 3000 }),
      seconds: fc.double({ min: 0.1, max: 2, noNaN: true }),
    }),
    fc.constantFrom("over", "under", "unreadable", "gap", "lost"),
  );
  fc.assert(
    fc.property(fc.array(piece, { maxLength: 25 }), (pieces) => {
      const scale = bench();
      for (const one of pieces) {
        if (one === "gap") scale.silence(12);
        else if (one === "lost") scale.loseLink();
        else if (typeof one === "string") scale.say(one, 0.5);
        else scale.show(one.mass, one.seconds);
      }
      let on = false;
      for (const event of scale.events) {
        if (event.is === "lifted") expect(on).toBe(true);
        on = event.is === "settled";
      }
      if (scale.pan.state !== "weight") expect(scale.pan.mass).toBeNull();
    }),
    { numRuns: 200 },
  );
});
