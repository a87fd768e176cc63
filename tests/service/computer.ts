/** A computer whose clocks a test sets, in milliseconds, and the engine of the service on it. */
import { systemClock, type Clock } from "../../src/clock.ts";
import { Fault } from "../../src/faults.ts";
import { loadFoodTable } from "../../src/foodtable.ts";
import { Engine } from "../../src/service/engine.ts";
import { foodShelf } from "../../src/service/foods.ts";
import type { RunSetting } from "../../src/service/work.ts";
import type { Store } from "../../src/store/store.ts";

type Computer = { mono: number; utc: number; up: number };

export const clockOn = (computer: Computer): Clock =>
  systemClock(1, {
    monoMs: () => computer.mono,
    utcMs: () => computer.utc,
    upMs: () => computer.up,
  });

/** Not begun yet, and nobody looks at it. */
export const engineOn = (clock: Clock, store: Store): Engine =>
  new Engine(
    {
      clock,
      store,
      program: "a test",
      practice: null,
      hand: null,
      backup: () => null,
      log: () => undefined,
    },
    { isThere: () => false, show: () => undefined },
  );

type Disk = { isFull: boolean; readonly store: Store };

/** The same store, which refuses to keep anything while its disk is said to be full. */
export function onFullDisk(store: Store): Disk {
  const why = "the disk is full";
  const refuse = (): void => {
    if (disk.isFull) throw new Fault("store.full", why);
  };
  const disk: Disk = {
    isFull: false,
    store: {
      ...store,
      record: (facts, asked) => {
        refuse();
        store.record(facts, asked);
      },
      alive: (moment) => {
        refuse();
        store.alive(moment);
      },
      canRecord: () => (disk.isFull ? { recording: false, why } : store.canRecord()),
    },
  };
  return disk;
}

/** The service put together on a store, with nothing attached. */
export const settingOn = (store: Store, more: Partial<RunSetting> = {}): RunSetting => ({
  clock: systemClock(),
  store,
  program: "a test",
  practice: null,
  foods: foodShelf(loadFoodTable()),
  labelOrigin: null,
  ownForms: [],
  backups: null,
  hand: null,
  leavePractice: null,
  log: () => undefined,
  ...more,
});
