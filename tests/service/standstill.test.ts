import { afterEach, beforeEach, expect, onTestFinished, test, vi } from "vitest";
import { utcMs } from "../../src/units/quantity.ts";
import { aBatch, aMoment, aTray, noon, started } from "../store/facts.ts";
import { tempStore } from "../store/folder.ts";
import { clockOn, engineOn, onFullDisk } from "./computer.ts";

const second = 1000;
const hour = 3_600_000;

beforeEach(() => void vi.useFakeTimers({ toFake: ["setInterval", "clearInterval"] }));
afterEach(() => void vi.useRealTimers());

/** A service whose trays have been in since noon, on a computer whose clocks a test sets. */
function atWork() {
  const computer = { mono: 0, utc: Number(noon) + hour, up: 90_000 };
  const disk = onFullDisk(tempStore());
  const { store } = disk;
  store.record([
    started(aBatch(1, [aTray(1, 1)])),
    { is: "moment-set", moment: aMoment(1, { at: noon }) },
  ]);
  store.alive({ at: utcMs(computer.utc), systemAt: utcMs(computer.utc) });
  const clock = clockOn(computer);
  const engine = engineOn(clock, store);
  let ticks = 0;
  engine.begin(() => (ticks += 1));
  onTestFinished(() => engine.close());
  /** So much time by the clocks that go on, and one tick at its end. */
  const pass = (ms: number, clocks: readonly (keyof typeof computer)[]): void => {
    for (const name of clocks) computer[name] += ms;
    vi.advanceTimersByTime(second);
  };
  return {
    computer,
    pass,
    disk,
    ticks: () => ticks,
    gaps: () => engine.present.batches[0]?.gaps.map(({ from, to }) => [from, to]),
  };
}

const all = ["mono", "utc", "up"] as const;

// Windows and macOS: every clock goes on in sleep. Linux: the monotonic clock stands still.
test.each([
  ["Windows or macOS", all],
  ["Linux", ["utc", "up"] as const],
])("a computer with %s that slept with trays in is asked about", (_system, clocks) => {
  const { pass, gaps } = atWork();
  pass(second, all);
  pass(8 * hour, clocks);
  const awake = Number(noon) + hour + second;
  expect(gaps()).toEqual([[awake, awake + 8 * hour]]);
  pass(second, all);
  expect(gaps()).toHaveLength(1);
});

test("a computer whose clock counts parts of milliseconds is asked about in whole ones", () => {
  const { computer, pass, gaps } = atWork();
  pass(second, all);
  computer.mono += 0.3;
  pass(8 * hour, all);
  const awake = Number(noon) + hour + second;
  expect(gaps()).toEqual([[awake, awake + 8 * hour]]);
});

test("an hour in which the service was awake is not asked about", () => {
  const { pass, gaps, ticks } = atWork();
  for (let passed = 0; passed < 3600; passed++) pass(second, all);
  expect(ticks()).toBe(3600);
  expect(gaps()).toEqual([]);
});

test.each([
  ["Windows or macOS", all],
  ["Linux", ["utc", "up"] as const],
])(
  "hours that a computer with %s slept are asked about once its full disk has room again",
  (_system, clocks) => {
    const { pass, gaps, disk } = atWork();
    pass(second, all);
    disk.isFull = true;
    pass(8 * hour, clocks);
    expect(gaps()).toEqual([]);
    for (let passed = 0; passed < 20; passed++) pass(second, all);
    disk.isFull = false;
    for (let passed = 0; passed < 20; passed++) pass(second, all);
    const awake = Number(noon) + hour + second;
    expect(gaps()).toEqual([[awake, awake + 8 * hour]]);
  },
);
