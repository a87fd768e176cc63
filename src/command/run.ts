/** `stillweight run`: the service and its page, until SIGTERM or SIGINT. */
import { readFile } from "node:fs/promises";
import { isIP } from "node:net";
import { join } from "node:path";
import { createSecureContext } from "node:tls";
import { parseArgs } from "node:util";
import { pino } from "pino";
import { systemClock } from "../clock.ts";
import { readConfig } from "../config/config.ts";
import { Fault, isFault } from "../faults.ts";
import { loadFoodTable } from "../foodtable.ts";
import { flawInLabelAddress, flawInName } from "../http/places.ts";
import { serve } from "../http/serve.ts";
import { foodShelf } from "../service/foods.ts";
import { startService } from "../service/run.ts";
import { refuseAddress } from "../service/scaledesk.ts";
import type { RunSetting } from "../service/work.ts";
import { devicesIn, type Devices } from "../store/devices.ts";
import { dataFolderIn } from "./datafolder.ts";
import type { Io } from "./io.ts";
import { codeInWords } from "./pair.ts";
import { chooseSetting, practiceUri, type Flags } from "./setting.ts";
import { settingsFile } from "./settingsfile.ts";

/** With the 5 s for a copy and 1 s for requests it is less than the 10 s that the unit gives. */
const endsWithinMs = 2000;

export async function run(args: readonly string[], io: Io): Promise<number> {
  const flags = await readFlags(args, io);
  const lines = logger(io);
  const log: RunSetting["log"] = (event, more) => lines.info({ event, ...more });
  const foods = foodShelf(loadFoodTable());
  const tls = await certificateOf(flags);
  const systemTime = systemClock();
  const devices = devicesIn(flags.data, () => systemTime.system());
  const { setting, uris } = await chooseSetting({ flags, foods, log });
  const service = startService(setting);
  const server = await serve({
    service: service.service,
    host: flags.host,
    port: flags.port,
    webFolder: join(import.meta.dirname, "..", "web"),
    log: lines,
    clock: service.clock,
    devices,
    tls,
    proxy: flags.proxy,
    names: [...flags.names, ...(flags.labelAddress === null ? [] : [flags.labelAddress])],
  }).catch(async (thrown: unknown) => {
    await service.close();
    throw thrown;
  });
  service.begin(uris);
  io.out(`data folder ${setting.store.folder}`);
  if (setting.practice !== null) io.out(`practice: ${setting.practice}`);
  io.out(`listening on ${server.address}`);
  for (const address of server.onTheNetwork) io.out(`on the network: ${address}`);
  if (server.isPaired) for (const line of firstCode(devices)) io.out(line);
  await interrupted(io.signal);
  await server.close();
  await service.close();
  endInSpiteOfDisks(io);
  return 0;
}

/**
 * A thread that waits for a disk of the network or a dying one cannot be ended, and Node.js waits for its threads
 * however it is asked to exit. Everything is kept and closed by now.
 */
function endInSpiteOfDisks(io: Io): void {
  const end = (): void => {
    io.err(`a disk does not answer, most likely that of the copies: ended without waiting for it`);
    process.kill(process.pid, "SIGKILL");
  };
  setTimeout(end, endsWithinMs).unref();
}

async function readFlags(args: readonly string[], io: Io): Promise<Flags> {
  const values = parsed(args);
  const read = readConfig({
    flags: {
      scales: values.scale,
      data: values.data,
      host: values.host,
      port: values.port,
      timeFactor: values["time-factor"],
      names: values.name,
      cert: values.cert,
      key: values.key,
      proxy: values.proxy,
      labelAddress: values["label-address"],
      backupTo: values["backup-to"],
      backupHours: values["backup-hours"],
      backupKeep: values["backup-keep"],
    },
    env: io.env,
    file: await settingsFile(values.config, io),
  });
  if (read.is === "problems")
    throw new Fault(
      "word.unknown-command",
      read.problems.map(({ where, detail }) => `${where}: ${detail}`).join("\n"),
    );
  const { config } = read;
  for (const uri of config.scales.filter((one) => one !== practiceUri))
    refuseAddress(uri, config.ownForms);
  const flaws = [
    ...config.names.map(flawInName),
    config.labelAddress === null ? null : flawInLabelAddress(config.labelAddress),
    config.proxy === null || isIP(config.proxy) !== 0
      ? null
      : `--proxy: "${config.proxy}" is not an IP address`,
  ].filter((flaw) => flaw !== null);
  if (flaws.length > 0) throw new Fault("word.unknown-command", flaws.join("\n"));
  return { ...config, data: config.data ?? dataFolderIn(io.env, process.platform) };
}

/** A disk that takes no code is no reason to stop weighing. */
function firstCode(devices: Devices): readonly string[] {
  try {
    return codeInWords(devices.newCode("full"));
  } catch (thrown) {
    if (!isFault(thrown)) throw thrown;
    return [`no pairing code could be made: ${thrown.message}`];
  }
}

/** Tried before anything is opened: a key that does not fit its certificate is refused at the start. */
async function certificateOf({ cert, key }: Flags): Promise<{ cert: string; key: string } | null> {
  if (cert === null || key === null) return null;
  try {
    const pair = { cert: await readFile(cert, "utf8"), key: await readFile(key, "utf8") };
    createSecureContext(pair);
    return pair;
  } catch (thrown) {
    const why = thrown instanceof Error ? thrown.message : String(thrown);
    throw new Fault("network.no-certificate", `${cert} with ${key}: ${why}`, { cause: thrown });
  }
}

function parsed(args: readonly string[]) {
  try {
    const { values } = parseArgs({
      args: [...args],
      strict: true,
      allowPositionals: false,
      options: {
        scale: { type: "string", multiple: true },
        data: { type: "string" },
        host: { type: "string" },
        port: { type: "string" },
        config: { type: "string" },
        "time-factor": { type: "string" },
        name: { type: "string", multiple: true },
        cert: { type: "string" },
        key: { type: "string" },
        proxy: { type: "string" },
        "label-address": { type: "string" },
        "backup-to": { type: "string" },
        "backup-hours": { type: "string" },
        "backup-keep": { type: "string" },
      },
    });
    return values;
  } catch (thrown) {
    throw new Fault("word.unknown-command", thrown instanceof Error ? thrown.message : "", {
      cause: thrown,
    });
  }
}

/** Lines of JSON on standard error; standard output is for what a person or a script reads. */
const logger = (io: Io) =>
  pino(
    { base: null, timestamp: pino.stdTimeFunctions.isoTime, level: io.env["LOG_LEVEL"] ?? "info" },
    pino.destination({ dest: 2, sync: true }),
  );

const interrupted = (signal: AbortSignal): Promise<void> =>
  new Promise((resolve) => {
    if (signal.aborted) resolve();
    else signal.addEventListener("abort", () => resolve(), { once: true });
  });
