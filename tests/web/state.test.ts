import { describe, expect, test } from "vitest";
import type { FromService } from "../../src/wire/messages.ts";
import {
  lookAt,
  next,
  nothingKnown,
  scaleToShow,
  serviceNow,
  type Input,
  type State,
} from "../../web/src/state.ts";
import fc from "../rig/properties.ts";
import type { Unnumbered } from "./stub.ts";
import { bench, benchAt, scale, task, whichTray } from "./scenes.ts";

const version = 1;
const at = benchAt.toISOString();
const told = (message: Unnumbered, localMs = 1000): Input => ({
  is: "message",
  message: { v: version, seq: 1, at, ...message } as FromService,
  localMs,
});
const after = (...inputs: Input[]): State =>
  inputs.reduce((state, input) => next(state, input, version), nothingKnown);
const benchCame = told({ type: "bench", bench: bench() });
const reading = (grams: number | null, change: object = {}, localMs = 1000): Input =>
  told(
    {
      type: "reading",
      scale: "scale-1",
      state: "weight",
      grams,
      settled: true,
      division: 1,
      unit: "g",
      ...change,
    },
    localMs,
  );

describe("what lies on the scale", () => {
  test("before the service has spoken nothing is shown as a weight", () => {
    expect(lookAt(nothingKnown, "scale-1", 0).is).toBe("connecting");
  });

  test.each([
    ["a load at rest", reading(812), { is: "settled", grams: 812, divisionGrams: 1 }],
    [
      "a load that moves",
      reading(812, { settled: false }),
      { is: "moving", grams: 812, divisionGrams: 1 },
    ],
    ["an empty pan a little off zero", reading(-2), { is: "empty", grams: -2, divisionGrams: 1 }],
    [
      "a pan that swings after the load was lifted",
      reading(1, { settled: false }),
      { is: "empty", grams: 1, divisionGrams: 1 },
    ],
    ["a pan far below zero", reading(-412), { is: "below", grams: -412, divisionGrams: 1 }],
    ["an overload", reading(null, { state: "over", settled: false }), { is: "over" }],
    ["below range", reading(null, { state: "under", settled: false }), { is: "under" }],
  ])("%s", (_, input, look) => {
    expect(lookAt(after(benchCame, input), "scale-1", 1000)).toEqual(look);
  });

  test("a weight that no reading confirms any more is not shown as the present one", () => {
    const state = after(benchCame, reading(812));
    expect(lookAt(state, "scale-1", 5900).is).toBe("settled");
    expect(lookAt(state, "scale-1", 6100)).toEqual({ is: "silent", silentMs: 5100 });
  });

  test("a scale that sends every 8 s is silent once a line is left out, whatever its pause was after 12 s", () => {
    const seldom = after(benchCame, reading(812), reading(812, {}, 9000));
    expect(lookAt(seldom, "scale-1", 20_900).is).toBe("settled");
    expect(lookAt(seldom, "scale-1", 21_100).is).toBe("silent");
    const once = after(benchCame, reading(812), reading(812, {}, 61_000));
    expect(lookAt(once, "scale-1", 73_100).is).toBe("silent");
  });

  test("a lost connection says how old the last weight is, and is not made younger by retries", () => {
    const state = after(
      benchCame,
      reading(812, {}, 2000),
      { is: "lost", localMs: 2500 },
      { is: "lost", localMs: 9000 },
    );
    expect(state.connection).toEqual({ is: "lost", sinceLocalMs: 2500 });
    expect(lookAt(state, "scale-1", 12_000)).toEqual({
      is: "page-lost",
      grams: 812,
      ageMs: 10_000,
    });
  });

  test("a link that goes is told before the next full bench", () => {
    const state = after(
      benchCame,
      told({
        type: "link",
        scale: "scale-1",
        link: "searching",
        form: null,
        unit: null,
        why: "unplugged",
      }),
    );
    const look = lookAt(state, "scale-1", 1000);
    expect(look.is === "trouble" && look.scale.why).toBe("unplugged");
  });

  test("a scale whose lines can be read in two ways shows no weight until a person chose", () => {
    const candidates = [
      {
        form: "bare",
        title: "bare",
        divisionGrams: null,
        unit: null,
        example: "812.5",
        reads: "812.5",
      },
    ];
    const state = after(
      told({ type: "bench", bench: bench({ scales: [scale({ form: null, candidates })] }) }),
      reading(812.5),
    );
    expect(lookAt(state, "scale-1", 1000).is).toBe("which-form");
  });
});

describe("which scale is shown", () => {
  const two = (change: object): State =>
    after(
      told({
        type: "bench",
        bench: bench({
          scales: [scale(), scale({ id: "scale-2" })],
          tasks: [task(), task({ scale: "scale-2" })],
          ...change,
        }),
      }),
    );

  test("the one that was asked for", () => {
    expect(scaleToShow(two({}), "scale-2")).toBe("scale-2");
  });
  test("the first when nothing speaks for another, or the one asked for is gone", () => {
    expect(scaleToShow(two({}), null)).toBe("scale-1");
    expect(scaleToShow(two({}), "scale-9")).toBe("scale-1");
  });
  test("the one with a load", () => {
    expect(
      scaleToShow(two({ scales: [scale(), scale({ id: "scale-2", grams: 812 })] }), null),
    ).toBe("scale-2");
  });
  test("the one with a question before the one with a load", () => {
    const change = {
      scales: [scale({ grams: 500 }), scale({ id: "scale-2", grams: 812 })],
      tasks: [task(), task({ scale: "scale-2", question: whichTray })],
    };
    expect(scaleToShow(two(change), null)).toBe("scale-2");
  });
  test("none where there is none", () => {
    expect(scaleToShow(after(told({ type: "bench", bench: bench({ scales: [] }) })), null)).toBe(
      null,
    );
  });
});

describe("messages", () => {
  test("a message of another version is not read", () => {
    const other = benchCame as Extract<Input, { is: "message" }>;
    const state = next(
      nothingKnown,
      { ...other, message: { ...other.message, v: version + 1 } },
      version,
    );
    expect(state.outdated).toBe(true);
    expect(state.bench).toBe(null);
  });

  test("a message of a type that came later changes nothing that is shown", () => {
    const before = after(benchCame, reading(812));
    const unknown = told({ type: "weather", mood: "fine" } as unknown as Unnumbered);
    const state = next(before, unknown, version);
    expect(state.bench).toBe(before.bench);
    expect(state.readings).toBe(before.readings);
  });

  test("an alert shows at once, and once", () => {
    const alert = {
      id: 5,
      code: "stable",
      batch: 1,
      round: 2,
      text: "stable",
      at,
      figures: {},
      acknowledged: null,
    } as const;
    const state = after(benchCame, told({ type: "alert", alert }), told({ type: "alert", alert }));
    expect(state.bench?.alerts).toEqual([alert]);
  });

  test("a new bench forgets the readings of scales that are gone", () => {
    const state = after(
      benchCame,
      reading(812),
      told({ type: "bench", bench: bench({ scales: [] }) }),
    );
    expect(state.readings).toEqual({});
  });
});

describe("the service's clock", () => {
  test("runs on from the last message, as fast as the service's own", () => {
    const clocks = { serviceMs: 1_000_000, localMs: 500, timeFactor: 60 };
    expect(serviceNow(clocks, 500)).toBe(1_000_000);
    expect(serviceNow(clocks, 1500)).toBe(1_060_000);
  });
  test("never runs backwards when this device's clock is set back", () => {
    expect(serviceNow({ serviceMs: 1_000_000, localMs: 500, timeFactor: 1 }, 100)).toBe(1_000_000);
  });
  test("however many messages came, the answer is that of the last", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 1e6 }), { minLength: 1 }), (moments) => {
        const state = after(...moments.map((ms) => told({ type: "lifted", scale: "x" }, ms)));
        expect(state.clocks?.localMs).toBe(moments.at(-1));
      }),
    );
  });
});
