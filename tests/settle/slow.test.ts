import { describe, expect, test } from "vitest";
import {
  afterLinkLost,
  afterReading,
  afterSilence,
  emptyPan,
  type Pan,
  type PanEvent,
} from "../../src/settle/settle.ts";
import { monoMs } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";
import {
  between,
  drift,
  flat,
  normal,
  ring,
  seeded,
  sway,
  weightAt,
  type Random,
} from "./signal.ts";

const lookEverySeconds = 0.2;

/** A scale of 1 g divisions that sends a line every so many seconds, watched for silence between them. */
class SlowScale {
  pan: Pan = emptyPan;
  second = 0;
  readonly events: PanEvent[] = [];
  /** What the page would have shown between two lines. */
  readonly between: string[] = [];
  readonly every: number;
  readonly #random: Random;

  constructor(every: number, random: Random = seeded(1)) {
    this.every = every;
    this.#random = random;
  }

  show(mass: number | ((second: number) => number), lines: number, noise = 0): this {
    const start = this.second;
    for (let i = 0; i < lines; i++) {
      const at = typeof mass === "number" ? mass : mass(this.second - start);
      this.say(Math.round(at + noise * normal(this.#random)));
      // The moment of a line is uncertain by 1 %, as a clock of the scale's own and a busy computer make it.
      this.pass(this.every * between(this.#random, 0.99, 1.01));
    }
    return this;
  }

  say(mass: number): void {
    const step = afterReading(this.pan, weightAt(this.second, mass, 1));
    this.pan = step.pan;
    this.events.push(...step.events);
  }

  pass(seconds: number): this {
    const end = this.second + seconds;
    for (let at = this.second + lookEverySeconds; at < end; at += lookEverySeconds) {
      this.pan = afterSilence(this.pan, monoMs(at * 1000));
      this.between.push(`${this.pan.state}${this.pan.settled ? " at rest" : ""}`);
    }
    this.second = end;
    return this;
  }

  get words(): readonly string[] {
    return this.events.map((event) =>
      event.is === "settled" ? `settled ${Math.round(event.weight.mass)}` : "lifted",
    );
  }

  get settled() {
    return this.events.flatMap((event) => (event.is === "settled" ? [event.weight] : []));
  }
}

/** Its pause is known and its pan is empty. */
const ready = (every: number, random?: Random): SlowScale => {
  const scale = new SlowScale(every, random).show(0, 8);
  scale.between.length = 0;
  return scale;
};

const pauses = [1.5, 2, 2.5, 3, 5, 8, 9.5];

describe.each(pauses)("a line every %d s", (every) => {
  test("settles a load by four that agree, once, and tells its lifting", () => {
    const scale = ready(every).show(412, 3);
    expect(scale.words).toEqual([]);
    expect(scale.show(412, 1).words).toEqual(["settled 412"]);
    expect(scale.show(412, 10).show(0, 3).show(412, 4).words).toEqual([
      "settled 412",
      "lifted",
      "settled 412",
    ]);
    for (const { mass, looks, zeroSeen } of scale.settled) {
      expect({ looks, zeroSeen }).toEqual({ looks: 4, zeroSeen: true });
      expect(mass).toBeCloseTo(412, 6);
    }
  });

  test("shows no silence and no motion between two lines of a load at rest", () => {
    const scale = ready(every).show(412, 4);
    scale.between.length = 0;
    scale.show(412, 10);
    expect(new Set(scale.between)).toEqual(new Set(["weight at rest"]));
  });

  test("settles what rang or was poured once it is at rest, to half a division and a little", () => {
    const random = seeded(9);
    const errors = Array.from({ length: 100 }, (_, load) => {
      const mass = between(random, 50, 3000);
      const scale = ready(every, random);
      const met = every * random();
      if (load % 2 === 0) scale.show(drift(mass - 8 * every * 3, 8), 3, 0.1).show(mass, 4, 0.1);
      else scale.show((second) => ring(0, mass, 3, 0.2)(second + met), 7, 0.1);
      expect(scale.settled).toHaveLength(1);
      return scale.settled[0]!.mass - mass;
    });
    expect(Math.max(...errors.map(Math.abs))).toBeLessThan(0.75);
    expect(Math.sqrt(errors.reduce((sum, one) => sum + one ** 2, 0) / errors.length)).toBeLessThan(
      0.3,
    );
  });

  test.each(every < 3 ? [1, 2.05, 12, -1, -5] : [0.5, 2.05, 12, -0.5, -5])(
    "does not settle at %d divisions a second",
    (speed) => {
      const random = seeded(4);
      for (let load = 0; load < 40; load++) {
        const scale = ready(every, random);
        scale.show(drift(between(random, 4000, 5000), speed), 30, 0.2);
        expect(scale.words).toEqual([]);
      }
    },
  );

  // From a line every 5 s on a quicker creep comes to the 2 divisions of a new load between two lines or three.
  test.each(every > 5 ? [0.04] : [0.04, 0.09])("a creep of %d a second stays one load", (creep) => {
    for (let seed = 1; seed <= 20; seed++) {
      const mass = 100 + seed / 20;
      const scale = ready(every, seeded(seed)).show(drift(mass, creep), 60, 0.15);
      expect(scale.settled).toHaveLength(1);
      const end = mass + creep * 60 * every;
      expect(Math.abs(scale.pan.memory.load! - end)).toBeLessThan(2);
    }
  });

  test("a line left out is a break: the four lines come after it", () => {
    const scale = ready(every).show(412, 3).pass(every).show(412, 3);
    expect(scale.words).toEqual([]);
    expect(scale.show(412, 1).words).toEqual(["settled 412"]);
  });

  test("after a lost link the load is told again only where it changed, and the pause is known", () => {
    const scale = ready(every).show(412, 4);
    scale.pan = afterLinkLost(scale.pan);
    expect(scale.show(412, 6).words).toEqual(["settled 412"]);
    expect(scale.show(500, 4).words).toEqual(["settled 412", "settled 500"]);
    expect(scale.settled.map(({ zeroSeen }) => zeroSeen)).toEqual([true, false]);
  });
});

test("a fast scale is known as fast again as soon as it sends often", () => {
  const scale = ready(3);
  const fast = new SlowScale(0.1);
  fast.pan = scale.pan;
  fast.second = scale.second;
  expect(fast.show(412, 12).words).toEqual(["settled 412"]);
});

/**
 * Of loads that swing for a minute and a half, those that are told; random phases and periods of 0.25 to 1 s, noise
 * of 0.2. No rule can tell four looks at a swing from rest where they happen to lie within a division.
 */
const toldOfSwings = (peakToPeak: number, every: number, loads: number): number => {
  const random = seeded(12);
  let told = 0;
  for (let load = 0; load < loads; load++) {
    const scale = ready(every, random);
    const period = between(random, 0.25, 1);
    const swing = sway(between(random, 100, 3000), peakToPeak, period, random());
    scale.show(swing, Math.ceil(90 / every), 0.2);
    if (scale.words.length > 0) told++;
  }
  return told / loads;
};

test.each([
  [20, 3, 0.23],
  [20, 8, 0.16],
  [8, 3, 0.36],
  [8, 8, 0.33],
])(
  "of swings of %d divisions, looked at every %d s, a share below %d passes",
  (peakToPeak, every, most) => {
    expect(toldOfSwings(peakToPeak, every, 300)).toBeLessThan(most);
  },
);

test("lines further apart than 10 s settle nothing, and the empty pan is seen no more", () => {
  const scale = new SlowScale(12).show(0, 6).show(412, 12);
  expect(scale.words).toEqual([]);
  expect(scale.pan.zeroSeen).toBe(false);
});

test("a line every 8 s that comes up to a second late is no silence of over 10 s", () => {
  const random = seeded(3);
  const scale = ready(8);
  for (let line = 0; line < 40; line++) {
    scale.say(line % 10 < 4 ? 0 : 300);
    scale.pass(8 + random());
  }
  expect(scale.words).toEqual([
    "settled 300",
    "lifted",
    "settled 300",
    "lifted",
    "settled 300",
    "lifted",
    "settled 300",
  ]);
  expect(scale.settled.every(({ zeroSeen }) => zeroSeen)).toBe(true);
});

test("a constant stream settles exactly once, at its mass, however seldom it comes", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 5, max: 5000 }),
      fc.double({ min: 1.3, max: 9.8, noNaN: true }),
      fc.integer({ min: 8, max: 30 }),
      (mass, every, lines) => {
        expect(new SlowScale(every).show(flat(mass), lines).words).toEqual([`settled ${mass}`]);
      },
    ),
    { numRuns: 60 },
  );
});
