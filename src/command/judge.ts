/** `stillweight judge FILE.csv [--json]`: the drying judgment on a hand-kept log. */
import { readFile } from "node:fs/promises";
import { setImmediate } from "node:timers/promises";
import { parseArgs } from "node:util";
import { loadFoodTable } from "../foodtable.ts";
import { fraction } from "../units/quantity.ts";
import { judgeBatch } from "../verdict/judge.ts";
import { readLog, type BatchLog } from "../verdict/log.ts";
import {
  placementsFrom,
  seriesInLogs,
  withPlacementsIn,
  type Placement,
} from "../verdict/placement.ts";
import type { BatchVerdict } from "../verdict/verdict.ts";
import { interruptedCode } from "./asked.ts";
import { fileTrouble } from "./filetrouble.ts";
import { documentOf, type JudgedBatch } from "./judgejson.ts";
import { reportOf } from "./judgetext.ts";
import type { Columns } from "./layout.ts";

/** What a command needs of the world. */
type CommandIo = {
  readonly out: (text: string) => void;
  readonly err: (text: string) => void;
  /** Standard input to its end. */
  readonly input: () => Promise<string>;
  readonly errIsTerminal: boolean;
  /** Of the terminal that the answer goes to. */
  readonly outColumns: Columns;
  /** Aborted when a person interrupts the program. */
  readonly signal: AbortSignal;
};

/** Of one tray: so many are judged within half a minute, and one a minute through a long batch is fewer. */
const mostRows = 5000;

/** Excess water, share of dry mass, that counts as dry. */
const limit = fraction(0.01);

const usage = `usage: stillweight judge FILE.csv [--json]
  FILE.csv  a log with the columns hours and grams, and as you have them unit, tray, batch, tare_g,
            resolution_g, fresh_g, food, water_pct, water_sd_pct, thickness_mm,
            minutes_out, stretch, food_taken, at; - reads standard input
  --json    one JSON document instead of a table
`;

/** Exit code: 0 judged, 1 the log cannot be read, 2 wrong usage, 130 interrupted. */
export async function judge(args: readonly string[], io: CommandIo): Promise<number> {
  const asked = readArgs(args);
  if (asked === "help") {
    io.out(usage);
    return 0;
  }
  if ("wrong" in asked) {
    io.err(`${asked.wrong}\n${usage}`);
    return 2;
  }
  const text = await textOf(asked.file, io);
  if (text === null) return 1;
  const { batches, problems, notes } = readLog(text, loadFoodTable());
  if (problems.length > 0) {
    for (const problem of problems)
      io.err(`${asked.file}: line ${problem.line}: ${problem.text}\n`);
    io.err(`${problems.length} of the lines cannot be read; nothing was judged\n`);
    return 1;
  }
  const long = batches.flatMap(({ logs }) => logs).find((log) => log.weighings.length > mostRows);
  if (long !== undefined) {
    io.err(
      `${asked.file}: line ${long.weighings[mostRows]!.ref}: ${long.weighings.length} weighings of ${long.tray === "" ? "one tray" : `tray ${long.tray}`}: at most ${mostRows} can be judged; leave out every other row, or more\n`,
    );
    return 1;
  }
  for (const note of notes) io.err(`note: ${note}\n`);
  const placements = placementsFrom(seriesInLogs(batches.flatMap(({ logs }) => logs)));
  for (const one of placements) io.err(`note: ${placementNote(one)}\n`);
  const judged = await judgeAll(
    batches.map((one) => ({
      ...one,
      logs: one.logs.map((log) => withPlacementsIn(log, placements)),
    })),
    io,
  );
  if (judged === null) return interruptedCode;
  io.out(
    asked.json
      ? `${JSON.stringify(documentOf(judged), null, 2)}\n`
      : reportOf(judged, io.outColumns),
  );
  return 0;
}

const placementNote = ({ division, u, repeats }: Placement): string =>
  `placement ${Number(u.toPrecision(2))} g on the scale of ${division} g, from ${repeats} repeated ${repeats === 1 ? "weighing" : "weighings"}`;

type Asked =
  { readonly file: string; readonly json: boolean } | { readonly wrong: string } | "help";

function readArgs(args: readonly string[]): Asked {
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      options: { json: { type: "boolean" }, help: { type: "boolean", short: "h" } },
      allowPositionals: true,
    });
    if (values.help === true) return "help";
    const [file, ...more] = positionals;
    if (file === undefined || file === "") return { wrong: "no file was given" };
    if (more.length > 0) return { wrong: `one file at a time; ${more[0]} is a second one` };
    return { file, json: values.json === true };
  } catch (error) {
    return { wrong: error instanceof Error ? error.message : String(error) };
  }
}

async function textOf(file: string, io: CommandIo): Promise<string | null> {
  try {
    return file === "-" ? await io.input() : await readFile(file, "utf8");
  } catch (error) {
    io.err(`cannot read ${file}: ${fileTrouble(error)}\n`);
    return null;
  }
}

const progressEveryMs = 10_000;

/** null: a person interrupted it. */
async function judgeAll(
  batches: readonly BatchLog[],
  io: CommandIo,
): Promise<readonly JudgedBatch[] | null> {
  const trays = batches.reduce((sum, { logs }) => sum + logs.length, 0);
  const started = performance.now();
  let told = started;
  let done = 0;
  const judged: JudgedBatch[] = [];
  for (const { batch, logs } of batches) {
    const verdict: BatchVerdict = judgeBatch(logs, { limit });
    judged.push({ batch, logs, verdict });
    done += logs.length;
    const now = performance.now();
    if (now - told > (io.errIsTerminal ? 100 : progressEveryMs)) {
      told = now;
      io.err(io.errIsTerminal ? `\r${bar(done, trays)}` : `${done} of ${trays} trays\n`);
    }
    // A signal is heard between two batches only.
    await setImmediate();
    if (io.signal.aborted) return null;
  }
  if (io.errIsTerminal && told !== started) io.err(`\r${" ".repeat(60)}\r`);
  return judged;
}

function bar(done: number, all: number): string {
  const width = 30;
  const filled = Math.round((width * done) / all);
  return `[${"#".repeat(filled)}${".".repeat(width - filled)}] ${done} of ${all} trays`;
}
