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
    return await hear({ uri, own, form, isReplay, clock, tell, keeper }, io);
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

type Hearing = {
  readonly uri: string;
  readonly own: readonly Form[];
  /** The form that is tried out; null: none. */
  readonly form: Form | null;
  readonly isReplay: boolean;
  readonly clock: Clock;
  readonly tell: Telling;
  readonly keeper: CaptureWriter | null;
};

/** Answers the exit code; rejects when the bytes can no longer be kept. */
async function hear(
  hearing: Hearing,
  { signal, err }: Pick<Io, "signal" | "err">,
): Promise<number> {
  let end: (code: number) => void = () => undefined;
  let fail: (why: unknown) => void = () => undefined;
  const ended = new Promise<number>((resolve, reject) => {
    end = resolve;
    fail = reject;
  });
  const keep = keepingIn(hearing.keeper, { fail, err });
  const listener = listenerFor(hearing, { keep, end, fail });
  const scale = openScale(hearing.uri, hearing.clock, listener, undefined, hearing.own);
  signal.addEventListener("abort", () => end(interruptedCode), { once: true });
  if (signal.aborted) end(interruptedCode);
  try {
    return await ended;
  } finally {
    await scale.close();
  }
}

type Keep = (what: (keeper: CaptureWriter) => void) => void;

/** Says once that the file is full; what cannot be written ends the listening. */
function keepingIn(
  keeper: CaptureWriter | null,
  { fail, err }: { readonly fail: (why: unknown) => void; readonly err: Io["err"] },
): Keep {
  let toldFull = false;
  return (what) => {
    if (keeper === null) return;
    try {
      what(keeper);
    } catch (error) {
      fail(error);
    }
    if (toldFull || !keeper.isFull) return;
    toldFull = true;
    err(
      `the file holds ${mostCaptureBytes / 1024 ** 2} MB and is full: from now on nothing more is kept; listening goes on`,
    );
  };
}

function listenerFor(
  { form, isReplay, clock, tell }: Hearing,
  on: {
    readonly keep: Keep;
    readonly end: (code: number) => void;
    readonly fail: (why: unknown) => void;
  },
): ScaleListener {
  let pan = emptyPan;
  const pieces = form === null ? null : new Pieces(form);
  return {
    chunk: (chunk) => {
      on.keep((keeper) => keeper.chunk(chunk));
      tell({ is: "bytes", chunk });
      if (form === null || pieces === null) return;
      for (const raw of pieces.in(chunk)) {
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
      on.keep((keeper) => keeper.link(report.link, clock.mono()));
      if (report.link !== "up" && report.link !== "silent") pieces?.forget();
      if (report.link === "silent") pan = afterSilence(pan, clock.mono());
      else if (report.link !== "up") pan = afterLinkLost(pan);
      tell({ is: "link", report, atUtcMs: clock.utc() });
      if (report.why === captureEnded) on.end(0);
      // A scale that is denied may come back; a file that cannot be played does not.
      if (isReplay && report.link === "denied") on.fail(new Error(report.why ?? report.link));
    },
  };
}

/** What a form is held against: lines, or frames and what lies between them. */
class Pieces {
  readonly #form: Form;
  readonly #cutter = new LineCutter();
  #rest = "";

  constructor(form: Form) {
    this.#form = form;
  }

  in({ bytes }: Chunk): readonly string[] {
    if (this.#form.cut === "line") return this.#cutter.cut(bytes);
    const { found, rest } = framesIn(this.#form, this.#rest + latin1(bytes));
    this.#rest = rest;
    return found.map(({ raw }) => raw);
  }

  /** What a lost connection left unfinished is no part of what comes next. */
  forget(): void {
    this.#cutter.reset(true);
    this.#rest = "";
  }
}
