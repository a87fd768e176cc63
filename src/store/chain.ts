/**
 * The hash chains over weighings of trays and of bags, over the moments of the drying clock, and over what became of
 * bags and was said of them; corrections are among them.
 *
 * The digest of a row is the SHA-256, in lower-case hex, of the UTF-8 text
 *
 *     <digest of the row before, or 64 zeros for the first> LF <canonical text of the row>
 *
 * The canonical text is a JSON array without white space, as JSON.stringify writes it, of
 *
 *     ["weighing", id, batch_id, tray_id, kind, gross_mg, division_ug, scale, source, zero_seen, at_utc_ms,
 *      supersedes, struck, reason]            and, where a weighing is of one portion of its tray, portion;
 *                                             where food was taken before it, food
 *     ["moment", id, batch_id, went, at_utc_ms, tray_ids, implied, supersedes, struck, reason]
 *     ["bag_weighing", id, bag_id, kind, gross_mg, division_ug, scale, source, zero_seen, at_utc_ms, supersedes,
 *      struck, reason]
 *     ["bag_fate", id, bag_id, fate, at_utc_ms, note]    and, where it takes another row back, takes_back
 *     ["bag_gain", id, bag_id, gain_mg, provable_mg, at_utc_ms]
 *
 * with the values as they stand in the table (tray_ids: its JSON text as a string). Rows are chained in the order of
 * their ids. The table `chain` holds the number of rows and the last digest of each chain, so that the loss of the
 * last rows shows as well. What became of bags was not chained at first: rows without a digest stand before the chain.
 *
 * This finds damage, a mistake and a careless edit. It does not prove anything against somebody who computes the
 * digests anew: for that, keep the last digest (`stillweight check` prints it) in another place.
 */
import type Database from "better-sqlite3";
import { createHash } from "node:crypto";

const chainNouns = ["weighing", "moment", "bag_weighing", "bag_fate", "bag_gain"] as const;
export type ChainNoun = (typeof chainNouns)[number];
type Cell = string | number | null;
type ChainRow = { readonly id: number; readonly digest: string };

const genesis = "0".repeat(64);

const columns: Record<ChainNoun, readonly string[]> = {
  weighing: [
    "id",
    "batch_id",
    "tray_id",
    "kind",
    "gross_mg",
    "division_ug",
    "scale",
    "source",
    "zero_seen",
    "at_utc_ms",
    "supersedes",
    "struck",
    "reason",
  ],
  moment: [
    "id",
    "batch_id",
    "went",
    "at_utc_ms",
    "tray_ids",
    "implied",
    "supersedes",
    "struck",
    "reason",
  ],
  bag_weighing: [
    "id",
    "bag_id",
    "kind",
    "gross_mg",
    "division_ug",
    "scale",
    "source",
    "zero_seen",
    "at_utc_ms",
    "supersedes",
    "struck",
    "reason",
  ],
  bag_fate: ["id", "bag_id", "fate", "at_utc_ms", "note"],
  bag_gain: ["id", "bag_id", "gain_mg", "provable_mg", "at_utc_ms"],
};

/** Told only where there is one, so that rows kept before there were any have the digests that they had. */
const toldIfAny: Record<ChainNoun, readonly string[]> = {
  weighing: ["portion", "food"],
  moment: [],
  bag_weighing: [],
  bag_fate: ["takes_back"],
  bag_gain: [],
};

const inWords: Record<ChainNoun, string> = {
  weighing: "weighing",
  moment: "moment",
  bag_weighing: "bag weighing",
  bag_fate: "bag fate",
  bag_gain: "bag answer",
};

function textOf(noun: ChainNoun, row: Readonly<Record<string, Cell>>): string {
  const cells = columns[noun].map((column) => {
    const cell = row[column];
    if (cell === undefined) throw new Error(`a ${noun} to be chained has no ${column}`);
    return cell;
  });
  const more = toldIfAny[noun].flatMap((column) => row[column] ?? []);
  return JSON.stringify([noun, ...cells, ...more]);
}

export const digestOf = (
  noun: ChainNoun,
  row: Readonly<Record<string, Cell>>,
  previous: string,
): string =>
  createHash("sha256")
    .update(`${previous}\n${textOf(noun, row)}`, "utf8")
    .digest("hex");

/** The last digest of each chain. */
export function headsIn(db: Database.Database): () => Readonly<Record<ChainNoun, string>> {
  const head = db.prepare<[string], string>("SELECT head FROM chain WHERE noun = ?").pluck();
  const of = (noun: ChainNoun): string => head.get(noun) ?? genesis;
  return () => ({
    weighing: of("weighing"),
    moment: of("moment"),
    bag_weighing: of("bag_weighing"),
    bag_fate: of("bag_fate"),
    bag_gain: of("bag_gain"),
  });
}

const rowsAPage = 200;

/** The rows of all chains as lines of JSON, some at a time, so that others may write in between. */
export function* chainLines(db: Database.Database): Generator<string> {
  for (const noun of chainNouns) {
    const page = db.prepare<[number], ChainRow & Record<string, Cell>>(
      `SELECT * FROM ${noun} WHERE id > ? AND digest IS NOT NULL ORDER BY id LIMIT ${rowsAPage}`,
    );
    for (let rows = page.all(0); rows.length > 0; rows = page.all(rows.at(-1)?.id ?? 0))
      yield rows
        .map((row) => JSON.stringify({ noun, text: textOf(noun, row), digest: row.digest }))
        .map((line) => `${line}\n`)
        .join("");
  }
}

export type ChainReport = {
  readonly rows: number;
  readonly head: string;
  /** Sentences; empty when the chain is whole. */
  readonly breaks: readonly string[];
};

/** Follows one chain from its first row to its end. After a break it goes on, so that only bad rows are named. */
export function followChain(db: Database.Database, noun: ChainNoun): ChainReport {
  const one = inWords[noun];
  const breaks: string[] = [];
  let previous = genesis;
  let rows = 0;
  const inOrder = db.prepare<[], ChainRow & Record<string, Cell>>(
    `SELECT * FROM ${noun} WHERE digest IS NOT NULL ORDER BY id`,
  );
  for (const row of inOrder.iterate()) {
    rows += 1;
    if (digestOf(noun, row, previous) !== row.digest)
      breaks.push(
        `${one} ${row.id} is not as it was kept, or the ${one} before it was changed or removed`,
      );
    previous = row.digest;
  }
  const end = db
    .prepare<[string], { row_count: number; head: string }>(
      "SELECT row_count, head FROM chain WHERE noun = ?",
    )
    .get(noun);
  if (end === undefined) breaks.push(`the end of the chain of ${one}s is missing`);
  else {
    if (end.row_count !== rows)
      breaks.push(`${end.row_count} ${one}s were kept, ${rows} are there`);
    if (end.head !== previous) breaks.push(`the last ${one} kept is not the last one there`);
  }
  return { rows, head: previous, breaks };
}
