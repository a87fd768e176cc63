/** `stillweight listen [--scale URI] [--json] [--keep FILE]`: what a scale sends, until interrupted. */
import { parseArgs } from "node:util";
import { systemClock, type Clock } from "../clock.ts";
import { readConfig } from "../config/config.ts";
import { isFault } from "../faults.ts";
import { CaptureWriter, mostCaptureBytes } from "../port/capture.ts";
import type { Chunk } from "../port/port.ts";
import { listPorts } from "../port/list.ts";
import { captureEnded } from "../port/replay.ts";
import { openScale, type ScaleListener } from "../port/scale.ts";
import { messageOf } from "../port/supervisor.ts";
import { isRefused, readAddress } from "../port/uri.ts";
import { LineCutter } from "../port/lines.ts";
import { noFacts, type Form } from "../reading/form.ts";
import { formNamed, forms, isFormName } from "../reading/forms.ts";
import { framesIn } from "../reading/frame.ts";
import { latin1 } from "../reading/piece.ts";
import { tryOut } from "../reading/tryout.ts";
import { nearest } from "../units/nearest.ts";
import { afterLinkLost, afterReading, afterSilence, emptyPan } from "../settle/settle.ts";
import { interruptedCode } from "./asked.ts";
import { fileTrouble } from "./filetrouble.ts";
import { inJson, inWords, type Telling } from "./heard.ts";
import type { Io } from "./io.ts";
import { settingsFile } from "./settingsfile.ts";

const usage = `usage: stillweight listen [--scale URI] [--json] [--keep FILE] [--form NAME] [--config FILE]
  --scale URI    the scale's address; without it the one scale that is plugged in
  --json         one JSON object a line
  --keep FILE    also keeps the bytes in a new file of up to 50 MB, which --scale replay:FILE plays again
  --form NAME    tries one form out: of each line which parts match, and what is left over
  --config FILE  the settings file with forms of your own; else the usual one`;

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
  const own = await ownForms(asked.config, io);
  if (own === null) return 2;
  const form = asked.form === null ? null : tried(asked.form, own);
  if (form !== null && "wrong" in form) {
    io.err(form.wrong);
    return 2;
  }
  const address = readAddress(uri, own);
  if (isRefused(address)) {
    io.err(`${address.why}\n${usage}`);
    return 2;
  }
  const clock = systemClock();
  const keeper = keeperOf(asked.keep, uri, clock, io);
  if (keeper === "failed") return 1;
  try {
    const tell = asked.json ? inJson(io.out) : inWords(io.out);
    const isReplay = address.place.is === "replay";
    return await hear({ uri, own, form, isReplay }, clock, tell, keeper, io);
  } catch (error) {
    io.err(`listening to ${uri} failed: ${fileTrouble(error)}`);
    return 1;
  } finally {
    keeper?.close();
  }
}

type Asked =
  | "help"
  | { readonly wrong: string }
  | {
      readonly scale: string | null;
      readonly json: boolean;
      readonly keep: string | null;
      readonly form: string | null;
      readonly config: string | undefined;
    };

function readArgs(args: readonly string[]): Asked {
  try {
    const { values } = parseArgs({
      args: [...args],
      options: {
        scale: { type: "string" },
        json: { type: "boolean" },
        keep: { type: "string" },
        form: { type: "string" },
        config: { type: "string" },
        help: { type: "boolean", short: "h" },
      },
    });
    if (values.help) return "help";
    return {
      scale: values.scale ?? null,
      json: values.json ?? false,
      keep: values.keep ?? null,
      form: values.form ?? null,
      config: values.config,
    };
  } catch (error) {
    return { wrong: messageOf(error) };
  }
}

/** The forms that the settings file describes; null when it cannot be used, which is then said. */
async function ownForms(named: string | undefined, io: Io): Promise<readonly Form[] | null> {
  try {
    const read = readConfig({ flags: {}, env: {}, file: await settingsFile(named, io) });
    if (read.is === "config") return read.config.ownForms;
    for (const { where, detail } of read.problems) io.err(`${where}: ${detail}`);
  } catch (thrown) {
    if (!isFault(thrown)) throw thrown;
    io.err(thrown.message);
  }
  return null;
}

/** A form by its name; one of the settings file also without `own:`. */
function tried(name: string, own: readonly Form[]): Form | { readonly wrong: string } {
  for (const one of [name, `own:${name}`]) if (isFormName(one, own)) return formNamed(one, own);
  const known = [...forms, ...own].map((form) => form.name);
  return { wrong: `no form is called "${name}"; the nearest is "${nearest(name, known)}"` };
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
    io.err(`cannot keep the bytes in ${file}: ${fileTrouble(error)}`);
    return "failed";
  }
}

/** Rejects when the bytes can no longer be kept. */
async function hear(
  {
    uri,
    own,
    form,
    isReplay,
  }: { uri: string; own: readonly Form[]; form: Form | null; isReplay: boolean },
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
  const cutter = new LineCutter();
  let rest = "";
  /** Lines, or frames and what lies between them. */
  const piecesIn = (tried: Form, { bytes }: Chunk): readonly string[] => {
    if (tried.cut === "line") return cutter.cut(bytes);
    const framed = framesIn(tried, rest + latin1(bytes));
    ({ rest } = framed);
    return framed.found.map(({ raw }) => raw);
  };
  const listener: ScaleListener = {
    chunk: (chunk) => {
      kept(() => keeper?.chunk(chunk));
      tell({ is: "bytes", chunk });
      if (form === null) return;
      for (const raw of piecesIn(form, chunk)) {
        const tried = tryOut(form, noFacts, raw);
        tell({ is: "tried", form: form.name, raw, tried, atUtcMs: chunk.atUtcMs });
      }
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
      if (report.link !== "up" && report.link !== "silent") {
        cutter.reset(true);
        rest = "";
      }
      if (report.link === "silent") pan = afterSilence(pan, clock.mono());
      else if (report.link !== "up") pan = afterLinkLost(pan);
      tell({ is: "link", report, atUtcMs: clock.utc() });
      if (report.why === captureEnded) end(0);
      // A scale that is denied may come back; a file that cannot be played does not.
      if (isReplay && report.link === "denied") fail(new Error(report.why ?? report.link));
    },
  };
  const scale = openScale(uri, clock, listener, undefined, own);
  signal.addEventListener("abort", () => end(interruptedCode), { once: true });
  if (signal.aborted) end(interruptedCode);
  try {
    return await ended;
  } finally {
    await scale.close();
  }
}
