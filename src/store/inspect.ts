/** Looks at a store's file from end to end without changing it; may run beside the service. */
import Database from "better-sqlite3";
import { statSync } from "node:fs";
import { Fault } from "../faults.ts";
import type { Batch, Tray } from "../service/bench.ts";
import type { Replayed } from "../service/replay.ts";
import type { ScaleComparison } from "../tray/offset.ts";
import { utcMs, type UtcMs } from "../units/quantity.ts";
import { followChain, type ChainReport } from "./chain.ts";
import { applicationId, refuseNewer } from "./database.ts";
import { loadBatch } from "./load.ts";
import { readMark } from "./mark.ts";
import { nounsIn } from "./nouns.ts";
import { layoutOf, layoutOfSteps, stepOf, stepsFolder, stepsIn } from "./steps.ts";
import { isNoDatabase, mayNotWriteBeside, refusalOf } from "./trouble.ts";

export type Holding = {
  readonly practice: boolean;
  readonly batches: number;
  readonly openBatches: number;
  readonly trays: number;
  readonly weighings: ChainReport;
  readonly corrections: number;
  readonly moments: ChainReport;
  readonly verdicts: number;
  /** null: it was not asked for. */
  readonly replayed: Replayed | null;
  readonly bags: number;
  readonly bagWeighings: ChainReport;
  readonly bagFates: ChainReport;
  readonly bagGains: ChainReport;
  /** Of weighings. */
  readonly firstAt: UtcMs | null;
  readonly lastAt: UtcMs | null;
};

export type StoreReport = {
  readonly file: string;
  readonly bytes: number;
  readonly layout: number;
  /** null: an older layout, or too damaged to be counted. */
  readonly holds: Holding | null;
  /** Sentences; empty when everything is as it was kept. */
  readonly problems: readonly string[];
};

const mostNamed = 20;

/** Judges a batch's verdicts anew; `traysAt`: the trays as they were at a moment. */
type Replay = (
  batch: Batch,
  traysAt: (at: UtcMs) => readonly Tray[],
  comparisons: readonly ScaleComparison[],
) => Replayed;

/**
 * With a replay, verdicts are judged anew as well: some milliseconds for each tray and round. Throws store.not-ours and
 * store.newer-than-program; damage is reported, not thrown.
 */
export function inspectStore(file: string, replay: Replay | null = null): StoreReport {
  const steps = stepsIn(stepsFolder);
  const db = openToRead(file);
  try {
    const layout = stepOf(db);
    refuseNewer(file, layout, steps.length);
    // One snapshot for all that follows, whatever the service writes meanwhile.
    db.exec("BEGIN");
    const report = { file, bytes: statSync(file).size, layout };
    try {
      const problems = [...damageIn(db), ...strayRowsIn(db)];
      if (layout < steps.length) return { ...report, holds: null, problems };
      if (layoutOf(db).join("\n") !== layoutOfSteps(steps).join("\n"))
        problems.push("tables, indexes or triggers are not those that this program makes");
      const holds = holdingOf(db);
      const replayed = replay === null ? null : replayedIn(db, replay);
      return {
        ...report,
        holds: { ...holds, replayed },
        problems: [
          ...problems,
          ...shortened(
            [
              holds.weighings,
              holds.moments,
              holds.bagWeighings,
              holds.bagFates,
              holds.bagGains,
            ].flatMap(({ breaks }) => breaks),
          ),
          ...shortened(replayed?.problems ?? []),
        ],
      };
    } catch (thrown) {
      if (!(thrown instanceof Database.SqliteError)) throw thrown;
      return { ...report, holds: null, problems: [`it cannot be read: ${thrown.message}`] };
    }
  } finally {
    db.close();
  }
}

/** Opens a file that says it is ours; nothing in it can be changed through this connection. */
export function openToRead(file: string): Database.Database {
  if (isFolder(file))
    throw new Fault("store.not-ours", `${file} is a folder; name the file of a store`);
  let db: Database.Database | null = null;
  try {
    db = new Database(file, { readonly: true, timeout: 5000 });
    if (Number(db.pragma("application_id", { simple: true })) === applicationId) return db;
  } catch (thrown) {
    db?.close();
    if (mayNotWriteBeside(thrown))
      throw new Fault(
        "store.unwritable",
        `${file} cannot be opened: the right to read it is missing, or to make a file beside it (${String(thrown)})`,
        { cause: thrown },
      );
    if (!isNoDatabase(thrown)) throw refusalOf(thrown, file);
    throw new Fault("store.not-ours", `${file} is not a store, or its beginning is destroyed`, {
      cause: thrown,
    });
  }
  db.close();
  throw new Fault("store.not-ours", `${file} was not made by this program`);
}

/** Throws a Fault where there is nothing, or nothing that may be looked at. */
function isFolder(file: string): boolean {
  try {
    return statSync(file).isDirectory();
  } catch (thrown) {
    const code = thrown instanceof Error && "code" in thrown ? thrown.code : null;
    if (code === "ENOENT" || code === "ENOTDIR")
      throw new Fault("store.not-ours", `there is no store at ${file}`, { cause: thrown });
    throw new Fault("store.unwritable", `${file} cannot be read (${String(thrown)})`, {
      cause: thrown,
    });
  }
}

function damageIn(db: Database.Database): string[] {
  const said = db.prepare<[], string>(`PRAGMA integrity_check(${mostNamed})`).pluck().all();
  return said.length === 1 && said[0] === "ok" ? [] : said.map((line) => `damaged: ${line}`);
}

function strayRowsIn(db: Database.Database): string[] {
  const stray = db
    .prepare<[], { table: string; rowid: number; parent: string }>("PRAGMA foreign_key_check")
    .all();
  return shortened(
    stray.map(
      ({ table, rowid, parent }) => `row ${rowid} of ${table} names no ${parent} that is there`,
    ),
  );
}

const shortened = (sentences: readonly string[]): string[] =>
  sentences.length <= mostNamed
    ? [...sentences]
    : [...sentences.slice(0, mostNamed), `and ${sentences.length - mostNamed} more of this kind`];

function replayedIn(db: Database.Database, replay: Replay): Replayed {
  const nouns = nounsIn(db);
  const comparisons = nouns.kitchen.comparisons();
  const done = nouns.batches.list("all").map(({ id, number }): Replayed => {
    try {
      const batch = loadBatch(id, nouns);
      if (batch === null) throw new Error("it was listed a moment ago");
      return replay(batch, (at) => nouns.trays.ofBatchAt(id, at), comparisons);
    } catch (thrown) {
      if (thrown instanceof Database.SqliteError || !(thrown instanceof Error)) throw thrown;
      // What a program kept can be judged: where that fails, something was altered.
      const problem = `batch ${number} cannot be judged anew: ${thrown.message}`;
      return { checked: 0, older: 0, problems: [problem] };
    }
  });
  return {
    checked: done.reduce((sum, { checked }) => sum + checked, 0),
    older: done.reduce((sum, { older }) => sum + older, 0),
    problems: done.flatMap(({ problems }) => problems),
  };
}

function holdingOf(db: Database.Database): Holding {
  const count = (what: string): number =>
    db.prepare<[], number>(`SELECT count(*) FROM ${what}`).pluck().get() ?? 0;
  const time = (which: "min" | "max"): UtcMs | null => {
    const at = db
      .prepare<[], number | null>(`SELECT ${which}(at_utc_ms) FROM weighing`)
      .pluck()
      .get();
    return at === undefined || at === null ? null : utcMs(at);
  };
  return {
    practice: readMark(db)?.practice ?? false,
    batches: count("batch"),
    openBatches: count("batch WHERE ended_at_utc_ms IS NULL"),
    trays: count("tray"),
    weighings: followChain(db, "weighing"),
    corrections: count("weighing WHERE supersedes IS NOT NULL"),
    moments: followChain(db, "moment"),
    verdicts: count("verdict"),
    replayed: null,
    bags: count("bag"),
    bagWeighings: followChain(db, "bag_weighing"),
    bagFates: followChain(db, "bag_fate"),
    bagGains: followChain(db, "bag_gain"),
    firstAt: time("min"),
    lastAt: time("max"),
  };
}
