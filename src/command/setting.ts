/** What the service works on: the real folder with its scales, or practice. */
import { systemClock, type Clock } from "../clock.ts";
import { keys, type Config } from "../config/config.ts";
import { Fault, isFault } from "../faults.ts";
import { listPorts } from "../port/list.ts";
import { practicePort } from "../port/practice.ts";
import type { FoodShelf } from "../service/foods.ts";
import { practiceClock, practiceRunner } from "../service/practice.ts";
import type { RunSetting } from "../service/work.ts";
import { openStore, type Store } from "../store/store.ts";
import { practiceFolderIn } from "./datafolder.ts";
import { programName } from "./version.ts";

/** As it was at the start: a newer version may be put in its place while this one runs. */
const program = programName();
const practiceSeed = 20261125;
const practiceBatches = 3;
export const practiceUri = "practice:";

export type Flags = Config & { readonly data: string };

/** What every setting is made of. */
type Given = {
  readonly flags: Flags;
  readonly foods: FoodShelf;
  readonly log: RunSetting["log"];
};

/**
 * Practice is only for whoever has nothing yet: no scale was ever set up, none is attached, and the real folder was
 * never worked on.
 */
export async function chooseSetting(
  given: Given,
): Promise<{ setting: RunSetting; uris: readonly string[] }> {
  const { flags } = given;
  if (flags.scales.some((uri) => uri === practiceUri))
    return { setting: practiceSetting(given, "the practice scale was chosen"), uris: [] };
  const clock = systemClock(flags.timeFactor);
  const isTrial = flags.timeFactor !== 1;
  const store = openFor(flags, isTrial, clock);
  const setting = realSetting(given, clock, store);
  const kept = store.load();
  const uris = [...new Set([...flags.scales, ...kept.scales])];
  const isNew =
    uris.length === 0 && kept.lastAlive === null && store.listBatches("all").length === 0;
  if (!isNew || isTrial || (await anyPort())) return { setting, uris };
  store.close();
  const why = "no scale attached: to type weights, remove the practice scale under Set up";
  return { setting: practiceSetting(given, why), uris: [] };
}

/** Whoever asked for a fast clock is told that it is what keeps real food from being opened. */
function openFor({ data, timeFactor }: Flags, isTrial: boolean, clock: Clock): Store {
  try {
    return openStore(data, { practice: isTrial, timeFactor, at: clock.utc() });
  } catch (thrown) {
    if (!isTrial || !isFault(thrown) || thrown.code !== "store.wrong-kind") throw thrown;
    const detail = `--time-factor ${timeFactor}: ${thrown.message}, whose clock is never sped up; leave it out (it may stand in ${keys.timeFactor.env} or in the settings file too), or try it in a new folder`;
    throw new Fault("store.wrong-kind", detail, { cause: thrown });
  }
}

const anyPort = async (): Promise<boolean> =>
  (await listPorts()).ports.some(({ plugged }) => plugged);

function realSetting(given: Given, clock: Clock, store: Store): RunSetting {
  const { flags } = given;
  const { lastAlive, batches } = store.load();
  // With no batch open the engine takes the computer's time over as soon as nothing kept is later.
  const isMidway = clock.timeFactor === 1 && batches.length > 0;
  if (lastAlive !== null) clock.carryOnFrom(lastAlive, ...(isMidway ? (["midway"] as const) : []));
  return {
    clock,
    store,
    practice: store.mark.practice
      ? `the clock runs ${flags.timeFactor} times as fast, or did so in this data folder`
      : null,
    ...sharedBy(given),
    backups: backupPlan(flags),
    hand: null,
    leavePractice: null,
  };
}

const sharedBy = ({
  flags,
  foods,
  log,
}: Given): Pick<RunSetting, "program" | "foods" | "labelOrigin" | "ownForms" | "log"> => ({
  program,
  foods,
  labelOrigin: flags.labelAddress?.replace(/\/$/, "") ?? null,
  ownForms: flags.ownForms,
  log,
});

const backupPlan = ({ backupTo, backupHours, backupKeep }: Flags): RunSetting["backups"] =>
  backupHours === 0 ? null : { folder: backupTo, everyHours: backupHours, keep: backupKeep };

function practiceSetting(given: Given, why: string): RunSetting {
  const { flags } = given;
  const clock = practiceClock(systemClock());
  const folder = practiceFolderIn(flags.data);
  const store = openStore(folder, {
    practice: true,
    timeFactor: clock.timeFactor,
    at: clock.utc(),
  });
  const { lastAlive } = store.load();
  if (lastAlive !== null) clock.carryOnFrom(lastAlive);
  const port = practicePort(clock, practiceSeed);
  const runner = practiceRunner({
    port,
    clock,
    seed: practiceSeed,
    mostBatches: practiceBatches,
  });
  return {
    clock,
    store,
    practice: why,
    ...sharedBy(given),
    backups: null,
    hand: { runner, port },
    leavePractice: () => {
      const real = systemClock();
      const realStore = openStore(flags.data, { practice: false, timeFactor: 1, at: real.utc() });
      return realSetting({ ...given, flags: { ...flags, timeFactor: 1 } }, real, realStore);
    },
  };
}
