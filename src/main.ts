#!/usr/bin/env node
/** Reads the command's name, runs it, and turns its outcome into an exit code. */
import { text } from "node:stream/consumers";
import type { Io } from "./command/io.ts";
import { plain } from "./command/plain.ts";
import { programFolder, programVersion } from "./command/version.ts";
import { isFault, faults, type FaultCode } from "./faults.ts";

type Command = (args: readonly string[], io: Io) => Promise<number>;

/** Each command is loaded when it is called: a judgment of a file needs no web server. */
const commands: Readonly<Record<string, () => Promise<Command>>> = {
  run: async () => (await import("./command/run.ts")).run,
  judge: async () => {
    const { judge } = await import("./command/judge.ts");
    return (args, { signal }) => judge(args, { ...asText, signal });
  },
  listen: async () => (await import("./command/listen.ts")).listen,
  check: async () => (await import("./command/check.ts")).check,
  backup: async () => (await import("./command/backup.ts")).backup,
  restore: async () => (await import("./command/restore.ts")).restore,
  pair: async () => (await import("./command/pair.ts")).pair,
};

const asText = {
  out: (text: string) => void process.stdout.write(plain(text)),
  err: (text: string) => void process.stderr.write(plain(text)),
  input: () => text(process.stdin),
  errIsTerminal: process.stderr.isTTY,
  outColumns: process.stdout.isTTY ? process.stdout.columns : null,
};

const help = `stillweight: is the freeze-dried food dry? By weight.

  stillweight run [--scale URI]... [--data DIR] [--host H] [--port N] [--config FILE]
                  [--time-factor N] [--name NAME]... [--cert FILE --key FILE] [--proxy ADDRESS]
                  [--backup-to DIR] [--backup-hours N] [--backup-keep N] [--label-address ADDRESS]
      the service and its page (the default when no command is given)
  stillweight judge FILE.csv [--json]
      the drying judgment on a hand-kept log; - reads standard input
  stillweight listen [--scale URI] [--json] [--keep FILE] [--form NAME] [--config FILE]
      what a scale sends: bytes, form, readings, settled or not
  stillweight check [--data DIR]
      verifies the store from end to end
  stillweight backup FILE [--data DIR]
  stillweight restore FILE [--data DIR]
      a consistent copy of the store; back again
  stillweight pair [--data DIR] [--read-only]
      a code with which a device on the network is let in

  --help, --version

A scale's address: /dev/ttyUSB0, serial:///dev/serial/by-id/NAME?baud=9600, serial:COM3, tcp://host:port,
hid:, page:NAME (a device that shows the page), replay:FILE (kept by listen --keep), practice:
Exit codes: 0 done; 1 the work failed; 2 wrong usage; 130 interrupted.
`;

/** These say more of themselves than the list of all. */
const withHelpOfTheirOwn = ["judge", "listen"];

const hintAtTerminal = (code: FaultCode): string => {
  const fault = faults[code];
  return "hintOfCommand" in fault ? fault.hintOfCommand : fault.hint;
};

/**
 * What to run where a package is not there, or was compiled for another Node.js than the one that a system's upgrade
 * brought: its own words name a module, a version of its interface and a command that may not mend it. null: it is
 * something else.
 */
function lackOfPackages(thrown: unknown): string | null {
  if (!(thrown instanceof Error)) return null;
  const code = "code" in thrown ? thrown.code : null;
  const isMissing =
    code === "ERR_MODULE_NOT_FOUND" ||
    code === "MODULE_NOT_FOUND" ||
    // Of the package that looks for the store's library, which gives it no code.
    thrown.message.startsWith("Could not locate the bindings file");
  if (!isMissing && code !== "ERR_DLOPEN_FAILED") return null;
  const [why = ""] = thrown.message.replaceAll(/\s+/g, " ").split(". ");
  return `the packages that the program needs are not there, or were made for another Node.js than this ${process.versions.node} (${why}). As the user who installed it, run: cd "${programFolder()}" && npm run ensure. Then start it again; the record was not touched`;
}

async function main(args: readonly string[]): Promise<number> {
  const [first, ...rest] = args;
  // Whoever reads may have seen enough, as `head` has.
  process.stdout.on("error", (error: NodeJS.ErrnoException) => {
    if (error.code !== "EPIPE") throw error;
    process.exit(0);
  });
  const interrupted = new AbortController();
  for (const signal of ["SIGINT", "SIGTERM"] as const)
    process.on(signal, () => {
      if (interrupted.signal.aborted) process.exit(130);
      interrupted.abort(signal);
    });
  const io: Io = {
    out: (line) => void process.stdout.write(`${plain(line)}\n`),
    err: (line) => void process.stderr.write(`${plain(line)}\n`),
    // A person at a terminal is told in sentences; a journal keeps the events as well.
    env: { LOG_LEVEL: process.stderr.isTTY ? "warn" : "info", ...process.env },
    signal: interrupted.signal,
  };
  const asksForHelp = args.some((one) => one === "--help" || one === "-h") || first === "help";
  if (asksForHelp && !withHelpOfTheirOwn.includes(first ?? "")) {
    process.stdout.write(help);
    return 0;
  }
  if (first === "--version") {
    io.out(programVersion());
    return 0;
  }
  const named = first !== undefined && !first.startsWith("-");
  const load = commands[named ? first : "run"];
  if (load === undefined || (named && !Object.hasOwn(commands, first))) {
    io.err(`there is no command ${first}: stillweight --help lists them`);
    return 2;
  }
  const command = await load();
  return command(named ? rest : args, io);
}

main(process.argv.slice(2)).then(
  (code) => {
    process.exitCode = code;
  },
  (thrown: unknown) => {
    const known = isFault(thrown);
    const lack = lackOfPackages(thrown);
    process.stderr.write(
      known
        ? `${thrown.message.replace(/\.$/, "")}. ${hintAtTerminal(thrown.code)}\n`
        : `${lack ?? (thrown instanceof Error ? (thrown.stack ?? thrown.message) : String(thrown))}\n`,
    );
    process.exit(known && thrown.code === "word.unknown-command" ? 2 : 1);
  },
);
