/** `stillweight run`: the service and its page, until SIGTERM or SIGINT. */
import { join } from "node:path";
import { parseArgs } from "node:util";
import { pino } from "pino";
import { systemClock, type Clock } from "../clock.ts";
import { Fault } from "../faults.ts";
import { loadFoodTable } from "../foodtable.ts";
import { serve } from "../http/serve.ts";
import { listPorts } from "../port/list.ts";
import { practicePort } from "../port/practice.ts";
import { foodShelf, type FoodShelf } from "../service/foods.ts";
import { practiceClock, practiceRunner } from "../service/practice.ts";
import { refuseAddress, Running, type RunSetting } from "../service/run.ts";
import { openStore, type Store } from "../store/store.ts";
import { dataFolderIn, practiceFolderIn } from "./datafolder.ts";
import type { Io } from "./io.ts";

const defaultPort = 4680;
const practiceSeed = 20261125;
const practiceBatches = 3;
const practiceUri = "practice:";

type Flags = {
  readonly scales: readonly string[];
  readonly data: string;
  readonly host: string;
  readonly port: number;
  readonly timeFactor: number;
};

export async function run(args: readonly string[], io: Io): Promise<number> {
  const flags = readFlags(args, io);
  const lines = logger(io);
  const log: RunSetting["log"] = (event, more) => lines.info({ event, ...more });
  const foods = foodShelf(loadFoodTable());
  const { setting, uris } = await chooseSetting(flags, foods, log);
  const service = new Running(setting);
  const server = await serve({
    service,
    host: flags.host,
    port: flags.port,
    webFolder: join(import.meta.dirname, "..", "web"),
    log: lines,
    clock: service.clock,
  }).catch(async (thrown: unknown) => {
    await service.close();
    throw thrown;
  });
  service.begin(uris);
  io.out(`data folder ${setting.store.folder}`);
  if (setting.practice !== null) io.out(`practice: ${setting.practice}`);
  io.out(`listening on ${server.address}`);
  await interrupted(io.signal);
  await server.close();
  await service.close();
  return 0;
}

function readFlags(args: readonly string[], io: Io): Flags {
  const { values } = parsed(args);
  const scales = values.scale ?? [];
  for (const uri of scales.filter((one) => one !== practiceUri)) refuseAddress(uri);
  return {
    scales,
    data: values.data ?? dataFolderIn(io.env, process.platform),
    host: values.host ?? "127.0.0.1",
    port: wholeNumber("--port", values.port, defaultPort, 0, 65_535),
    timeFactor: wholeNumber("--time-factor", values["time-factor"], 1, 1, 100_000),
  };
}

function parsed(args: readonly string[]) {
  try {
    return parseArgs({
      args: [...args],
      strict: true,
      allowPositionals: false,
      options: {
        scale: { type: "string", multiple: true },
        data: { type: "string" },
        host: { type: "string" },
        port: { type: "string" },
        "time-factor": { type: "string" },
      },
    });
  } catch (thrown) {
    throw new Fault("word.unknown-command", thrown instanceof Error ? thrown.message : "", {
      cause: thrown,
    });
  }
}

function wholeNumber(
  flag: string,
  given: string | undefined,
  otherwise: number,
  least: number,
  most: number,
): number {
  if (given === undefined) return otherwise;
  const value = Number(given);
  if (given.trim() === "" || !Number.isInteger(value) || value < least || value > most)
    throw new Fault("word.unknown-command", `${flag} ${given} is not from ${least} to ${most}`);
  return value;
}

type Log = RunSetting["log"];

/** Lines of JSON on standard error; standard output is for what a person or a script reads. */
const logger = (io: Io) =>
  pino(
    { base: null, timestamp: pino.stdTimeFunctions.isoTime, level: io.env["LOG_LEVEL"] ?? "info" },
    pino.destination({ dest: 2, sync: true }),
  );

const program = "Stillweight";

/**
 * Practice is only for whoever has nothing yet: no scale was ever set up, none is attached, and the real folder
 * holds no batch.
 */
async function chooseSetting(
  flags: Flags,
  foods: FoodShelf,
  log: Log,
): Promise<{ setting: RunSetting; uris: readonly string[] }> {
  if (flags.scales.some((uri) => uri === practiceUri))
    return {
      setting: practiceSetting(flags, foods, log, "the practice scale was chosen"),
      uris: [],
    };
  const clock = systemClock(flags.timeFactor);
  const isTrial = flags.timeFactor !== 1;
  const store = openStore(flags.data, {
    practice: isTrial,
    timeFactor: flags.timeFactor,
    at: clock.utc(),
  });
  const setting = realSetting(flags, clock, store, foods, log);
  const kept = store.load();
  const uris = [...new Set([...flags.scales, ...kept.scales])];
  const isNew = uris.length === 0 && store.listBatches("all").length === 0;
  if (!isNew || isTrial || (await anyPort())) return { setting, uris };
  store.close();
  const why = "no scale was ever set up and none is attached";
  return { setting: practiceSetting(flags, foods, log, why), uris: [] };
}

const anyPort = async (): Promise<boolean> =>
  (await listPorts()).ports.some(({ plugged }) => plugged);

function realSetting(
  flags: Flags,
  clock: Clock,
  store: Store,
  foods: FoodShelf,
  log: Log,
): RunSetting {
  const { lastAlive } = store.load();
  if (lastAlive !== null) clock.carryOnFrom(lastAlive);
  return {
    clock,
    store,
    program,
    practice: store.mark.practice
      ? `the clock runs ${flags.timeFactor} times as fast, or did so in this data folder`
      : null,
    foods,
    hand: null,
    leavePractice: null,
    log,
  };
}

function practiceSetting(flags: Flags, foods: FoodShelf, log: Log, why: string): RunSetting {
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
    program,
    practice: why,
    foods,
    hand: { runner, port },
    leavePractice: () => {
      const real = systemClock();
      const realStore = openStore(flags.data, { practice: false, timeFactor: 1, at: real.utc() });
      return realSetting({ ...flags, timeFactor: 1 }, real, realStore, foods, log);
    },
    log,
  };
}

const interrupted = (signal: AbortSignal): Promise<void> =>
  new Promise((resolve) => {
    if (signal.aborted) resolve();
    else signal.addEventListener("abort", () => resolve(), { once: true });
  });
