/** `stillweight listen [--scale URI] [--json] [--keep FILE]`: what a scale sends, until interrupted. */
import { parseArgs } from "node:util";
import { systemClock, type Clock } from "../clock.ts";
import { CaptureWriter, mostCaptureBytes } from "../port/capture.ts";
import { listPorts } from "../port/list.ts";
import { captureEnded } from "../port/replay.ts";
import { openScale } from "../port/scale.ts";
import { messageOf } from "../port/supervisor.ts";
import { isRefused, readAddress } from "../port/uri.ts";
import { afterLinkLost, afterReading, afterSilence, emptyPan } from "../settle/settle.ts";
import { interruptedCode } from "./asked.ts";
import { inJson, inWords, type Telling } from "./heard.ts";
import type { Io } from "./io.ts";

const usage = `usage: stillweight listen [--scale URI] [--json] [--keep FILE]
  --scale URI  the scale's address; without it the one scale that is plugged in
  --json       one JSON object a line
  --keep FILE  also keeps the bytes in a new file of up to 50 MB, which --scale replay:FILE plays again`;

/** Exit code: 0 a replay has ended, 1 the work failed, 2 wrong usage, 130 interrupted. */
export async function listen(args: readonly string[], io: Io): Promise<number> {
  const asked = readArgs(args);
  if (asked === "help") {
    io.out(usage);
    return 0;
  }
  if ("wrong" in asked) {
    io.err(`${asked.wrong}\n${usage}`);
    return 2;
  }
  const uri = asked.scale ?? (await onlyScale(io));
  if (uri === null) return 1;
  const address = readAddress(uri);
  if (isRefused(address)) {
    io.err(`${address.why}\n${usage}`);
    return 2;
  }
  const clock = systemClock();
  const keeper = keeperOf(asked.keep, uri, clock, io);
  if (keeper === "failed") return 1;
  try {
    return await hear(uri, clock, asked.json ? inJson(io.out) : inWords(io.out), keeper, io);
  } catch (error) {
    io.err(`listening to ${uri} failed: ${messageOf(error)}`);
    return 1;
  } finally {
    keeper?.close();
  }
}

type Asked =
  | "help"
  | { readonly wrong: string }
  | { readonly scale: string | null; readonly json: boolean; readonly keep: string | null };

function readArgs(args: readonly string[]): Asked {
  try {
    const { values } = parseArgs({
      args: [...args],
      options: {
        scale: { type: "string" },
        json: { type: "boolean" },
        keep: { type: "string" },
        help: { type: "boolean", short: "h" },
      },
    });
    if (values.help) return "help";
    return {
      scale: values.scale ?? null,
      json: values.json ?? false,
      keep: values.keep ?? null,
    };
  } catch (error) {
    return { wrong: messageOf(error) };
  }
}

async function onlyScale(io: Pick<Io, "err">): Promise<string | null> {
  const { ports, why } = await listPorts();
  const plugged = ports.filter((port) => port.plugged);
  const [only] = plugged;
  if (only && plugged.length === 1) {
    io.err(`listening to ${only.uri}`);
    return only.uri;
  }
  io.err(
    plugged.length === 0
      ? "no serial device is plugged in: plug the scale in, or name it with --scale"
      : "several serial devices are plugged in: name the scale with --scale",
  );
  for (const { uri, name } of ports) io.err(`  ${uri}  ${name}`);
  if (why !== null) io.err(why);
  return null;
}

function keeperOf(
  file: string | null,
  uri: string,
  clock: Clock,
  io: Pick<Io, "err">,
): CaptureWriter | null | "failed" {
  if (file === null) return null;
  try {
    return new CaptureWriter(file, uri, { mono: clock.mono(), utc: clock.utc() });
  } catch (error) {
    io.err(`cannot keep the bytes in ${file}: ${messageOf(error)}`);
    return "failed";
  }
}

/** Rejects when the bytes can no longer be kept. */
async function hear(
  uri: string,
  clock: Clock,
  tell: Telling,
  keeper: CaptureWriter | null,
  { signal, err }: Pick<Io, "signal" | "err">,
): Promise<number> {
  let pan = emptyPan;
  let end: (code: number) => void = () => undefined;
  let fail: (why: unknown) => void = () => undefined;
  const ended = new Promise<number>((resolve, reject) => {
    end = resolve;
    fail = reject;
  });
  let toldFull = false;
  const kept = (work: () => void): void => {
    try {
      work();
    } catch (error) {
      fail(error);
    }
    if (toldFull || !keeper?.isFull) return;
    toldFull = true;
    err(
      `the file holds ${mostCaptureBytes / 1024 ** 2} MB and is full: from now on nothing more is kept; listening goes on`,
    );
  };
  const scale = openScale(uri, clock, {
    chunk: (chunk) => {
      kept(() => keeper?.chunk(chunk));
      tell({ is: "bytes", chunk });
    },
    reading: (reading) => {
      const step = afterReading(pan, reading);
      pan = step.pan;
      tell({ is: "reading", reading, settled: pan.settled });
      for (const event of step.events) {
        tell(event.is === "settled" ? event : { is: "lifted", atUtcMs: reading.atUtcMs });
      }
    },
    link: (report) => {
      kept(() => keeper?.link(report.link, clock.mono()));
      if (report.link === "silent") pan = afterSilence(pan, clock.mono());
      else if (report.link !== "up") pan = afterLinkLost(pan);
      tell({ is: "link", report, atUtcMs: clock.utc() });
      if (report.why === captureEnded) end(0);
    },
  });
  signal.addEventListener("abort", () => end(interruptedCode), { once: true });
  if (signal.aborted) end(interruptedCode);
  try {
    return await ended;
  } finally {
    await scale.close();
  }
}
