// A board without a battery for its clock: after a power cut it starts with the time of its last shutdown, or an older
// one, and network time sets it right minutes later, or never. Trays have been in the dryer since noon.
import { afterEach, beforeEach, describe, expect, onTestFinished, test, vi } from "vitest";
import { Fault } from "../../src/faults.ts";
import type { Store } from "../../src/store/store.ts";
import { clockDoubtAt } from "../../src/tray/clockdoubt.ts";
import { trayClockOf } from "../../src/service/look.ts";
import { utcMs } from "../../src/units/quantity.ts";
import { aBatch, aMoment, aTray, noon, started } from "../store/facts.ts";
import { tempStore } from "../store/folder.ts";
import { clockOn, engineOn, onFullDisk } from "./computer.ts";

const second = 1000;
const minute = 60_000;
const hour = 3_600_000;
const day = 24 * hour;
/** When the power went: the last sign of life. */
const cutAt = Number(noon) + 5 * hour;

beforeEach(() => void vi.useFakeTimers({ toFake: ["setInterval", "clearInterval"] }));
afterEach(() => void vi.useRealTimers());

type Begun = { readonly isIn?: boolean; readonly hasBatch?: boolean };

/** A store as the power cut left it. */
function storeAtCut({ isIn = true, hasBatch = true }: Begun = {}): Store {
  const store = tempStore();
  if (hasBatch) store.record([started(aBatch(1, [aTray(1, 1)]))]);
  if (hasBatch && isIn) store.record([{ is: "moment-set", moment: aMoment(1, { at: noon }) }]);
  store.alive({ at: utcMs(cutAt), systemAt: utcMs(cutAt) });
  return store;
}

/** A service that starts as the command does, on a computer that has been up for `upMs` and says that it is `utc`. */
function start(store: Store, utc: number, upMs = 20 * second) {
  const computer = { mono: 0, utc, up: upMs };
  const clock = clockOn(computer);
  const { lastAlive, batches } = store.load();
  if (lastAlive !== null)
    clock.carryOnFrom(lastAlive, ...(batches.length > 0 ? (["midway"] as const) : []));
  const engine = engineOn(clock, store);
  engine.begin(() => undefined);
  let isOpen = true;
  onTestFinished(() => (isOpen ? engine.close() : undefined));
  const pass = (ms: number): void => {
    for (let passed = 0; passed < ms; passed += minute) {
      for (const name of ["mono", "utc", "up"] as const) computer[name] += minute;
      // So that the engine ticks and says that it is alive.
      vi.advanceTimersByTime(10 * second);
    }
  };
  return {
    engine,
    pass,
    /** Network time comes, or a person sets the clock. */
    set: (utcNow: number): void => {
      computer.utc = utcNow;
      vi.advanceTimersByTime(second);
    },
    cut: (): void => {
      isOpen = false;
      vi.clearAllTimers();
    },
    now: () => Number(clock.utc()),
    gaps: () => engine.present.batches[0]?.gaps.map(({ from, to }) => [from, to]),
    hours: (): number => {
      const [batch] = engine.present.batches;
      if (batch === undefined) throw new Error("there is no batch");
      return trayClockOf(batch, 1).dryingHoursAt(clock.utc());
    },
    doubt: () => clockDoubtAt(store.clockJumps(), clock.utc(), noon),
    says: () => engine.shown().clockJump,
    /** The computer hears of the time, and before the next tick somebody asks for a change that is refused. */
    setAndRefuse: (utcNow: number, key: string): void => {
      computer.utc = utcNow;
      engine.under(key, () =>
        engine.act(() => {
          throw new Fault("input.invalid", "refused");
        }),
      );
    },
    touch: (): void =>
      engine.act((bench) => [
        { is: "settings-changed", settings: { ...bench.settings, sound: false }, at: clock.utc() },
      ]),
  };
}

test("what the program finds by itself is not kept under the key of a change that is refused", () => {
  const store = storeAtCut();
  const service = start(store, cutAt - 30 * minute);
  expect(() => service.setAndRefuse(cutAt + 12 * hour, "a key")).toThrow("refused");
  expect(service.gaps()).toHaveLength(1);
  expect(store.wasKept("a key")).toBe(false);
  service.engine.under("a key", service.touch);
  expect(store.wasKept("a key")).toBe(true);
});

describe("trays are in, and the computer starts", () => {
  test.each([
    ["half an hour before the power went", cutAt - 30 * minute],
    ["in 1970", 0],
    ["ten seconds after its last word", cutAt + 10 * second],
  ])("%s: what it was off for is asked about as soon as it is known", (_when, woke) => {
    const service = start(storeAtCut(), woke);
    service.pass(minute);
    expect(service.gaps()).toEqual([]);
    expect(service.hours()).toBeCloseTo(5, 1);
    const right = cutAt + 12 * hour;
    service.set(right);
    expect(service.now()).toBe(right);
    const [[from = 0, to = 0] = [], ...others] = service.gaps() ?? [];
    expect(others).toEqual([]);
    expect(from - cutAt).toBeLessThanOrEqual(10 * second);
    // Since the start the program has watched, and those hours count.
    expect(right - to).toBe(minute);
    expect(service.hours()).toBeCloseTo(5 + 1 / 60, 2);
    expect(service.doubt()).toBeNull();
    expect(service.says()).toBeNull();
  });

  test("in the past, and its disk is full when the time is known: it is asked once there is room again", () => {
    const disk = onFullDisk(storeAtCut());
    const service = start(disk.store, cutAt - 30 * minute);
    service.pass(minute);
    disk.isFull = true;
    service.set(cutAt + 12 * hour);
    expect(service.gaps()).toEqual([]);
    service.pass(minute);
    disk.isFull = false;
    service.pass(2 * minute);
    expect(service.gaps()).toHaveLength(1);
    expect(service.hours()).toBeCloseTo(5 + 4 / 60, 2);
  });

  test("in the past, and something is kept before the time is known: no hour is counted, the doubt is said", () => {
    const service = start(storeAtCut(), cutAt - 30 * minute);
    service.pass(minute);
    expect(service.says()).toMatch(/^The computer's clock is 30 min behind the program's/);
    service.touch();
    service.set(cutAt + 12 * hour);
    expect(service.gaps()).toEqual([]);
    expect(service.hours()).toBeCloseTo(5 + 1 / 60, 3);
    expect(service.doubt()).toBe("hours-missing");
    expect(service.says()).toMatch(/^The computer's clock is 12 h ahead of the program's/);
  });

  test("in the past and twice, before the time is known: both times off are one question", () => {
    const store = storeAtCut();
    const first = start(store, cutAt - 30 * minute);
    first.pass(minute);
    first.cut();
    const service = start(store, cutAt - 29 * minute);
    service.pass(minute);
    const right = cutAt + 12 * hour;
    service.set(right);
    expect(service.now()).toBe(right);
    expect(service.gaps()).toHaveLength(1);
    expect(service.hours()).toBeCloseTo(5 + 2 / 60, 2);
  });

  test("in the past, and never hears of the time: hours go on from the last sign of life", () => {
    const service = start(storeAtCut(), 0);
    service.pass(3 * hour);
    expect(service.hours()).toBeCloseTo(8, 2);
    expect(service.gaps()).toEqual([]);
    service.touch();
    expect(service.doubt()).toBe("hours-missing");
  });

  test.each([
    ["an hour back", -hour],
    ["six hours on", 6 * hour],
    ["three months on", 90 * day],
  ])("long before the service: its clock set %s is no time that it was off", (_how, jump) => {
    const service = start(storeAtCut(), cutAt + minute, 3 * day);
    service.pass(minute);
    service.set(cutAt + 2 * minute + jump);
    expect(service.gaps()).toEqual([]);
    expect(service.hours()).toBeCloseTo(5 + 2 / 60, 3);
    expect(service.now()).toBe(cutAt + 2 * minute);
    expect(service.doubt()).toBe("time-of-day");
  });
});

describe("nothing is drying", () => {
  test.each([
    ["no batch is open", { hasBatch: false }],
    ["a batch was planned", { isIn: false }],
  ])("%s: the computer's time is taken over at once, and nothing is in doubt", (_what, begun) => {
    const service = start(storeAtCut(begun), 0);
    service.pass(minute);
    service.set(cutAt + 90 * day);
    expect(service.now()).toBe(cutAt + 90 * day);
    expect(service.says()).toBeNull();
    expect(service.doubt()).toBeNull();
  });

  test("a clock that ran ahead is left as soon as nothing kept is later", () => {
    const store = storeAtCut();
    const service = start(store, cutAt, 3 * day);
    service.touch();
    service.engine.act(() => [{ is: "batch-ended", batchId: 1, at: utcMs(service.now()) }]);
    // Set an hour ahead, and right again: what was kept meanwhile is an hour ahead, too.
    service.set(cutAt + hour);
    expect(service.now()).toBe(cutAt + hour);
    service.touch();
    service.pass(minute);
    service.set(cutAt + minute);
    expect(service.now()).toBe(cutAt + hour + minute);
    expect(service.says()).toMatch(/^The computer's clock is 60 min behind the program's/);
    service.pass(58 * minute);
    expect(service.now()).toBe(cutAt + hour + 59 * minute);
    service.pass(2 * minute);
    expect(service.now()).toBe(cutAt + hour + minute);
    expect(service.says()).toBeNull();
  });
});
