import type Database from "better-sqlite3";
import type { Fact, Lesson } from "../service/bench.ts";
import { fromMilligrams, toMilligrams } from "../units/mass.ts";
import { utcMs } from "../units/quantity.ts";
import { bit, isSet, text } from "./cell.ts";

type Row = {
  readonly id: number;
  readonly batch_id: number;
  readonly food: string;
  readonly fresh_mg: number;
  readonly end_mg: number;
  readonly ln_rate: number | null;
  readonly ln_rate_u: number | null;
  readonly thickness_mm: number | null;
  readonly at_utc_ms: number;
};
type Said = {
  readonly number: number;
  readonly counts: number | null;
  readonly reason: string | null;
};
type Changed = Extract<Fact, { is: "lesson-changed" }>;

const fromRow = (row: Row & Said): Lesson => ({
  id: row.id,
  batchId: row.batch_id,
  batchNumber: row.number,
  food: row.food,
  fresh: fromMilligrams(row.fresh_mg),
  end: fromMilligrams(row.end_mg),
  rate:
    row.ln_rate === null || row.ln_rate_u === null
      ? null
      : { lnRate: row.ln_rate, u: row.ln_rate_u, thicknessMm: row.thickness_mm },
  at: utcMs(row.at_utc_ms),
  counts: row.counts === null || isSet(row.counts),
  why: row.reason,
});

export function lessonsIn(db: Database.Database) {
  const insert = db.prepare<[Row]>(`
    INSERT INTO lesson (id, batch_id, food, fresh_mg, end_mg, ln_rate, ln_rate_u, thickness_mm,
      at_utc_ms)
    VALUES (@id, @batch_id, @food, @fresh_mg, @end_mg, @ln_rate, @ln_rate_u, @thickness_mm, @at_utc_ms)`);
  const insertChange = db.prepare<[number, number, string, number]>(
    "INSERT INTO lesson_change (lesson_id, counts, reason, at_utc_ms) VALUES (?, ?, ?, ?)",
  );
  const all = db.prepare<[], Row & Said>(`
    SELECT lesson.*, batch.number, lesson_change.counts, lesson_change.reason
    FROM lesson JOIN batch ON batch.id = lesson.batch_id
    LEFT JOIN lesson_change ON lesson_change.id =
      (SELECT max(id) FROM lesson_change WHERE lesson_id = lesson.id)
    ORDER BY lesson.id`);

  return {
    add: (lesson: Lesson): void =>
      void insert.run({
        id: lesson.id,
        batch_id: lesson.batchId,
        food: text(lesson.food),
        fresh_mg: toMilligrams(lesson.fresh),
        end_mg: toMilligrams(lesson.end),
        ln_rate: lesson.rate?.lnRate ?? null,
        ln_rate_u: lesson.rate?.u ?? null,
        thickness_mm: lesson.rate?.thicknessMm ?? null,
        at_utc_ms: lesson.at,
      }),
    change: ({ lessonId, counts, reason, at }: Changed): void =>
      void insertChange.run(lessonId, bit(counts), text(reason), at),
    /** In the order of their ids, each with what was said of it last. */
    all: (): Lesson[] => all.all().map(fromRow),
  };
}
