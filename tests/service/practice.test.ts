import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { Fault, isFault } from "../../src/faults.ts";
import type { PracticePort } from "../../src/port/practice.ts";
import { practiceLoads } from "../../src/practice/dryer.ts";
import {
  practiceClock,
  practiceRunner,
  type PracticeClock,
  type PracticeRunner,
} from "../../src/service/practice.ts";
import { utcMs } from "../../src/units/quantity.ts";
import { clockOfTimers } from "../port/fakes.ts";
import { fakeBench, type FakeBench } from "../practice/fake-bench.ts";

type Practice = {
  readonly fake: FakeBench;
  readonly runner: PracticeRunner;
  readonly clock: PracticeClock;
  readonly placed: number[];
};

let running: PracticeRunner | null = null;
beforeEach(() => void vi.useFakeTimers());
afterEach(() => {
  running?.stop();
  vi.useRealTimers();
});

function practise(): Practice {
  const fake = fakeBench(1 / 6);
  const placed: number[] = [];
  const port: PracticePort = {
    place: (gross) => {
      placed.push(gross);
      fake.put(gross);
    },
    lift: () => fake.lift(),
    open: () => {},
    write: () => Promise.resolve(),
    close: () => Promise.resolve(),
  };
  const clock = practiceClock(clockOfTimers);
  const runner = practiceRunner({ port, clock, seed: 1, mostBatches: 1 });
  running = runner;
  setInterval(() => fake.pass(250), 250);
  runner.begin(fake);
  return { fake, runner, clock, placed };
}

test("a batch is played through the service's calls alone", () => {
  const { fake, runner } = practise();
  expect(runner.state().works).toBe(true);
  vi.advanceTimersByTime(400_000);
  expect(fake.ended.map((batch) => batch.verdict)).toEqual(["stable"]);
  expect(runner.state().doing).toContain("start a batch of your own");
});

test("a hand that is stopped does nothing until it is started again", () => {
  const { fake, runner, placed } = practise();
  runner.practice({ works: false });
  vi.advanceTimersByTime(60_000);
  expect(runner.state()).toEqual({ works: false, doing: "leaving the work to you" });
  expect(placed).toEqual([]);
  runner.practice({ works: true });
  vi.advanceTimersByTime(30_000);
  expect(fake.batch().trays[0]?.weighings).toHaveLength(1);
});

test("a person puts a tray on the practice scale, empty and loaded, and takes it off", () => {
  const { fake, runner, placed } = practise();
  vi.advanceTimersByTime(1500);
  runner.practice({ works: false });
  const [tray] = fake.batch().trays;
  const [load] = practiceLoads;
  if (tray === undefined || load === undefined) throw new Error("the batch has trays");
  runner.practice({ place: { tray: tray.id, empty: true } });
  runner.practice({ place: { tray: tray.id } });
  expect(placed).toEqual([
    expect.closeTo(load.tareGrams, 9),
    expect.closeTo(load.tareGrams + load.freshGrams, 9),
  ]);
  vi.advanceTimersByTime(3000);
  runner.practice({ place: null });
  expect(fake.bench().scales[0]?.grams).toBe(0);
});

test("a person packs at the practice scale: the empty bag, a part, all of it, the sealed bag", () => {
  const { fake, runner, placed } = practise();
  vi.advanceTimersByTime(400_000);
  runner.practice({ works: false });
  const batch = fake.ended[0]?.id ?? 0;
  const [bag] = fake.planBags(batch, {
    trays: [{ tray: 1 }],
    divide: { count: 1 },
    container: "soft",
    volumeMl: 946,
  });
  const id = bag?.id ?? 0;
  fake.chooseBag("practice", { bag: id });
  placed.length = 0;
  const put = (share: number): void => {
    runner.practice({ place: { bag: id, share } });
    vi.advanceTimersByTime(2500);
  };
  for (const share of [1, 0.5, 1, 1]) put(share);
  const [empty = 0, part = 0, full = 0, sealed = 0] = placed;
  expect(part - empty).toBeCloseTo(25, 9);
  expect(full - empty).toBeCloseTo(50, 9);
  expect(sealed).toBeGreaterThan(full);
  // Back from the shelf it weighs what it weighed when it was sealed.
  fake.chooseBag("practice", { bag: id });
  put(1);
  expect(placed.at(-1)).toBe(sealed);
  expect(placed).toHaveLength(5);
  expect(() => runner.practice({ place: { bag: 4711 } })).toThrow(/bag 4711/);
});

test("what cannot be packed is told, and not tried for ever", () => {
  const { fake, runner } = practise();
  let tries = 0;
  fake.planBags = () => {
    tries += 1;
    throw new Fault("bag.nothing-left", "nothing is left");
  };
  vi.advanceTimersByTime(500_000);
  expect(tries).toBe(1);
  expect(runner.state().doing).toContain("start a batch of your own");
});

test("a tray that is in no open batch is refused by its number", () => {
  const { runner } = practise();
  try {
    runner.practice({ place: { tray: 4711 } });
    expect.unreachable("a tray that does not exist was placed");
  } catch (refused) {
    expect(isFault(refused, "tray.not-found")).toBe(true);
    expect(String(refused)).toContain("4711");
  }
});

test("a refusal by the service is told and does not stop the hand", () => {
  const { fake, runner } = practise();
  vi.advanceTimersByTime(1500);
  const endless = fake.setClock;
  fake.setClock = (batch, set) => {
    fake.setClock = endless;
    return endless(batch, { ...set, is: "in" }) && endless(batch, { ...set, is: "in" });
  };
  const said = new Set<string>();
  for (let s = 0; s < 400; s++) {
    vi.advanceTimersByTime(1000);
    said.add(runner.state().doing);
  }
  expect([...said].filter((one) => one.startsWith("refused: already in"))).toHaveLength(1);
  expect(fake.ended).toHaveLength(1);
});

test("the practice clock is fast while trays dry, slower while they are out, and never goes back", () => {
  const { fake, clock } = practise();
  const stateNow = (): string => fake.bench().batches[0]?.clock.state ?? "none";
  const factors = new Set<string>();
  for (let s = 0; s < 300; s++) {
    const [from, before] = [clock.utc(), stateNow()];
    vi.advanceTimersByTime(1000);
    expect(clock.utc()).toBeGreaterThan(from);
    if (before === stateNow()) factors.add(`${before} ${(clock.utc() - from) / 1000}`);
  }
  expect([...factors].sort()).toEqual(["in 600", "none 30", "out 30", "waiting 30"]);
});

test("the practice clock carries on from where an earlier run came to, and never earlier", () => {
  const { clock } = practise();
  const now = clock.utc();
  clock.carryOnFrom({ at: utcMs(now - 5000), systemAt: now });
  expect(clock.utc()).toBe(now);
  clock.carryOnFrom({ at: utcMs(now + 5000), systemAt: now });
  expect(clock.utc()).toBe(now + 5000);
  vi.advanceTimersByTime(100);
  expect(clock.utc()).toBe(now + 5000 + 3000);
});
