/**
 * What a service announced, held against the file that it left: `hear` takes any answer or message of it, `asked` and
 * `answered` count the acts, `compare` names in sentences what is missing, altered or there twice.
 */
import Database from "better-sqlite3";
import type { Bag, BagWeighing } from "../../src/wire/bag.ts";
import type { Batch, ClockMoment, Weighing } from "../../src/wire/batch.ts";
import type { Alert } from "../../src/wire/bench.ts";

/** Acts of which each adds one row, or one set of rows, of its own. */
const actNames = [
  ...(["batch", "clock", "weigh", "correct", "core", "plan", "weigh bag"] as const),
  ...(["correct bag", "fate", "end"] as const),
] as const;
export type Act = (typeof actNames)[number];

/** How often each was kept: whatever the scale took by itself is not among typed weighings. */
const keptSql: Record<Act, string> = {
  batch: "SELECT count(*) FROM batch",
  clock: "SELECT count(*) FROM moment WHERE implied = 0 AND supersedes IS NULL",
  weigh: "SELECT count(*) FROM weighing WHERE source = 'typed' AND supersedes IS NULL",
  correct: "SELECT count(*) FROM weighing WHERE supersedes IS NOT NULL",
  core: "SELECT count(*) FROM core_check",
  plan: "SELECT count(DISTINCT plan) FROM bag",
  "weigh bag": "SELECT count(*) FROM bag_weighing WHERE source = 'typed' AND supersedes IS NULL",
  "correct bag": "SELECT count(*) FROM bag_weighing WHERE supersedes IS NOT NULL",
  fate: "SELECT count(*) FROM bag_fate",
  end: "SELECT count(*) FROM batch WHERE ended_at_utc_ms IS NOT NULL",
};

/** One current weighing of each kind for a tray that is dried once, and for a bag; struck ones were taken back. */
const doublesSql = [
  `SELECT 'tray ' || tray_id || ' has ' || count(*) || ' weighings ' || kind FROM weighing AS one
   WHERE struck = 0 AND NOT EXISTS (SELECT 1 FROM weighing WHERE supersedes = one.id)
   GROUP BY tray_id, kind HAVING count(*) > 1`,
  `SELECT gross_mg || ' mg was weighed ' || count(*) || ' times' FROM weighing
   WHERE supersedes IS NULL GROUP BY gross_mg HAVING count(*) > 1`,
  `SELECT 'bag ' || bag_id || ' has ' || count(*) || ' weighings ' || kind FROM bag_weighing AS one
   WHERE struck = 0 AND NOT EXISTS (SELECT 1 FROM bag_weighing WHERE supersedes = one.id)
   GROUP BY bag_id, kind HAVING count(*) > 1`,
  `SELECT 'batch ' || batch_id || ' has ' || count(*) || ' moments ' || went FROM moment
   GROUP BY batch_id, went HAVING count(*) > 1`,
];

type Row = Readonly<Record<string, string | number | null>>;
type Seen = { readonly table: string; readonly id: number; readonly row: Row };

export class Announced {
  readonly #seen = new Map<string, Seen>();
  readonly #ended = new Set<number>();
  readonly #fates = new Map<number, number>();
  readonly #asked = new Map<Act, number>();
  readonly #answered = new Map<Act, number>();

  get rows(): number {
    return this.#seen.size;
  }

  count(table: string): number {
    return [...this.#seen.values()].filter((one) => one.table === table).length;
  }

  asked(act: Act): void {
    this.#asked.set(act, (this.#asked.get(act) ?? 0) + 1);
  }

  answered(act: Act): void {
    this.#answered.set(act, (this.#answered.get(act) ?? 0) + 1);
  }

  hear(said: unknown): void {
    if (Array.isArray(said)) return said.forEach((one) => this.hear(one));
    if (typeof said !== "object" || said === null) return;
    if ("phase" in said && "moments" in said) this.#hearBatch(said as Batch);
    else if ("plan" in said && "fates" in said) this.#hearBag(said as Bag);
    else if ("grossGrams" in said && "tray" in said && "current" in said)
      this.#hearWeighing(said as Weighing);
    else if ("figures" in said && "code" in said) {
      const { id, code } = said as Alert;
      this.#keep("alert", id, { code });
    } else for (const part of Object.values(said)) this.hear(part);
  }

  #keep(table: string, id: number, row: Row): void {
    this.#seen.set(`${table} ${id}`, { table, id, row });
  }

  #hearBatch(batch: Batch): void {
    this.#keep("batch", batch.id, { number: batch.number, dryer: batch.dryer });
    if (batch.endedAt !== null) this.#ended.add(batch.id);
    for (const tray of batch.trays) {
      this.#keep("tray", tray.id, { batch_id: batch.id });
      tray.weighings.forEach((one) => this.#hearWeighing(one));
    }
    for (const moment of batch.moments) this.#hearMoment(batch.id, moment);
  }

  #hearMoment(batchId: number, { id, is, at, implied }: ClockMoment): void {
    const row = {
      batch_id: batchId,
      went: is,
      at_utc_ms: Date.parse(at),
      implied: Number(implied),
    };
    this.#keep("moment", id, row);
  }

  #hearWeighing(one: Weighing): void {
    this.#keep("weighing", one.id, {
      batch_id: one.batch,
      tray_id: one.tray,
      kind: one.kind,
      gross_mg: Math.round(one.grossGrams * 1000),
      at_utc_ms: Date.parse(one.at),
      supersedes: one.supersedes,
      struck: Number(one.struck),
    });
  }

  #hearBag(bag: Bag): void {
    this.#keep("bag", bag.id, { batch_id: bag.batch, plan: bag.plan });
    this.#fates.set(bag.id, Math.max(this.#fates.get(bag.id) ?? 0, bag.fates.length));
    bag.weighings.forEach((one) => this.#hearBagWeighing(one));
  }

  #hearBagWeighing(one: BagWeighing): void {
    this.#keep("bag_weighing", one.id, {
      bag_id: one.bag,
      kind: one.kind,
      gross_mg: Math.round(one.grossGrams * 1000),
      at_utc_ms: Date.parse(one.at),
      supersedes: one.supersedes,
      struck: Number(one.struck),
    });
  }

  /** The file may hold more than was announced: what was asked for and not answered yet. */
  compare(file: string): string[] {
    const db = new Database(file, { readonly: true });
    try {
      return [...this.#missingIn(db), ...this.#countedIn(db), ...doublesIn(db)];
    } finally {
      db.close();
    }
  }

  *#missingIn(db: Database.Database): Generator<string> {
    const found = new Map<string, Database.Statement<[number], Row>>();
    for (const { table, id, row } of this.#seen.values()) {
      const one =
        found.get(table) ?? db.prepare<[number], Row>(`SELECT * FROM ${table} WHERE id = ?`);
      found.set(table, one);
      const kept = one.get(id);
      if (kept === undefined) yield `${table} ${id} was announced and is not there`;
      else
        for (const [name, said] of Object.entries(row))
          if (kept[name] !== said)
            yield `${table} ${id}: ${name} was announced as ${said} and is ${kept[name]}`;
    }
    for (const id of this.#ended)
      if (db.prepare("SELECT 1 FROM batch WHERE id = ? AND ended_at_utc_ms IS NULL").get(id))
        yield `batch ${id} was announced as ended and is open`;
    const fates = db.prepare<[number], number>("SELECT count(*) FROM bag_fate WHERE bag_id = ?");
    for (const [bag, said] of this.#fates) {
      const kept = fates.pluck().get(bag) ?? 0;
      if (kept < said) yield `bag ${bag}: ${said} fates were announced, ${kept} are there`;
    }
  }

  *#countedIn(db: Database.Database): Generator<string> {
    for (const act of actNames) {
      const kept = db.prepare<[], number>(keptSql[act]).pluck().get() ?? 0;
      const [answered, asked] = [this.#answered.get(act) ?? 0, this.#asked.get(act) ?? 0];
      if (kept < answered) yield `${act}: ${answered} answered as kept, ${kept} there`;
      if (kept > asked) yield `${act}: ${asked} asked for, ${kept} there`;
    }
  }
}

const doublesIn = (db: Database.Database): string[] =>
  doublesSql.flatMap((sql) => db.prepare<[], string>(sql).pluck().all());

type Standing = { readonly clock: string; readonly ended: boolean; readonly bags: string[] };

/** The state of every batch as it follows from its rows alone: nothing of the program's own is asked. */
export function standingsIn(file: string): ReadonlyMap<number, Standing> {
  const db = new Database(file, { readonly: true });
  try {
    const batches = db
      .prepare<[], { id: number; ended: number; went: string | null }>(
        `SELECT id, ended_at_utc_ms IS NOT NULL AS ended,
           (SELECT went FROM moment WHERE batch_id = batch.id ORDER BY at_utc_ms DESC, id DESC LIMIT 1) AS went
         FROM batch`,
      )
      .all();
    const bags = db.prepare<[number], string>(
      `SELECT coalesce(
         (SELECT fate FROM bag_fate WHERE bag_id = bag.id ORDER BY id DESC LIMIT 1),
         (SELECT CASE max(CASE kind WHEN 'sealed' THEN 3 WHEN 'shelf' THEN 3 WHEN 'filled' THEN 2 ELSE 1 END)
            WHEN 3 THEN 'sealed' WHEN 2 THEN 'filled' ELSE 'planned' END
          FROM bag_weighing AS one WHERE bag_id = bag.id AND struck = 0
            AND NOT EXISTS (SELECT 1 FROM bag_weighing WHERE supersedes = one.id)),
         'planned') FROM bag WHERE batch_id = ? ORDER BY id`,
    );
    return new Map(
      batches.map(({ id, ended, went }) => [
        id,
        { clock: went ?? "waiting", ended: ended === 1, bags: bags.pluck().all(id) },
      ]),
    );
  } finally {
    db.close();
  }
}
