/** What ended batches teach of the foods that lay on them, and when a lesson is withdrawn. */
import { isoOf } from "../clock.ts";
import { Fault } from "../faults.ts";
import { leftByDryer } from "../food/expected.ts";
import { bagCode, type Bag } from "../bag/bag.ts";
import { recheckOf, stateOf } from "../bag/state.ts";
import { fraction, grams, type Fraction, type Grams, type UtcMs } from "../units/quantity.ts";
import { folded } from "../units/written.ts";
import type { LessonShown } from "../wire/requests.ts";
import { atThickness } from "../drying/thickness.ts";
import type { TrayLog } from "../tray/weighing.ts";
import { rateSeenIn } from "../verdict/rate.ts";
import type { Batch, Bench, Change, Lesson, LessonRate, Tray } from "./bench.ts";
import { coresToCheck, weighingsOf } from "./look.ts";

/** Foods are the same by name, case ignored: a food of the table has the table's name. */
export const sameFood = (one: string, other: string): boolean => folded(one) === folded(other);

/** None where a person has turned learning off. */
export const lessonsIn = ({
  lessons,
  settings,
}: Pick<Bench, "lessons" | "settings">): readonly Lesson[] => (settings.learning ? lessons : []);

/** Water of the fresh food, from what was left of it when a working dryer could take no more. */
const waterOf = ({ fresh, end }: Pick<Lesson, "fresh" | "end">): Fraction =>
  fraction(1 - end / (1 + leftByDryer.mean) / fresh);

/** The water that each lesson of this food found, oldest first; those that were withdrawn are left out. */
export const watersOf = (lessons: readonly Lesson[], food: string): readonly Fraction[] =>
  lessons.filter((one) => one.counts && sameFood(one.food, food)).map(waterOf);

/**
 * A batch teaches when every tray was stable at its last weighing, every thickest piece was broken since and found dry,
 * and no figure contradicts another: one lesson for each food, of all its trays together, because they are one lot.
 * `logs`: what the judgment was given, so that a lesson rests on the same masses as the verdict did.
 */
export function lessonsOf(
  batch: Batch,
  logs: readonly TrayLog[],
  { firstId, at, limit }: Lessons,
): readonly Lesson[] {
  if (batch.practice || !isProved(batch)) return [];
  const loads = batch.trays.flatMap((tray) => loadOf(tray, logs) ?? []);
  const foods = [...new Set(loads.map((load) => folded(load.food)))];
  return foods.map((name, index) => {
    const same = loads.filter((load) => sameFood(load.food, name));
    const sum = (pick: (load: Load) => number): Grams =>
      grams(same.reduce((total, load) => total + pick(load), 0));
    return {
      id: firstId + index,
      batchId: batch.id,
      batchNumber: batch.number,
      food: same[0]!.food,
      fresh: sum((load) => load.fresh),
      end: sum((load) => load.end),
      rate: rateOf(same, limit),
      at,
      counts: true,
      why: null,
    };
  });
}

type Lessons = { readonly firstId: number; readonly at: UtcMs; readonly limit: Fraction };

/** Of trays that were cut alike, as far as anybody said. */
function rateOf(loads: readonly Load[], limit: Fraction): LessonRate | null {
  const thicknesses = new Set(loads.map(({ tray }) => tray.thicknessMm));
  if (thicknesses.size !== 1) return null;
  const seen = rateSeenIn(
    loads.map(({ log }) => log),
    limit,
  );
  return seen === null ? null : { ...seen, thicknessMm: loads[0]!.tray.thicknessMm };
}

export type FoodRate = LessonRate & { readonly food: string };

/** Of the lessons that count. */
export const ratesIn = (bench: Pick<Bench, "lessons" | "settings">): readonly FoodRate[] =>
  lessonsIn(bench).flatMap(({ counts, food, rate }) =>
    counts && rate !== null ? [{ ...rate, food }] : [],
  );

/** A log with what the lessons of its food showed of the rate, brought to the thickness of its pieces. */
export function withRates(log: TrayLog, rates: readonly FoodRate[]): TrayLog {
  const { food, thicknessMm = null } = log;
  if (food === null) return log;
  const ratesSeen = rates.flatMap((one) =>
    sameFood(one.food, food.name) ? (atThickness(one, one.thicknessMm, thicknessMm) ?? []) : [],
  );
  return ratesSeen.length === 0 ? log : { ...log, ratesSeen };
}

type Load = {
  readonly tray: Tray;
  readonly log: TrayLog;
  readonly food: string;
  readonly fresh: Grams;
  readonly end: Grams;
};

/** A tray that was planned and never loaded has nothing to be proved. */
function isProved(batch: Batch): boolean {
  const { judged } = batch;
  const loaded = batch.trays.filter((tray) =>
    weighingsOf(batch, tray.id).some(({ kind }) => kind !== "tare"),
  );
  const sound = judged?.trays.every(
    (tray) => tray.verdict === "stable" && tray.contradiction === null,
  );
  if (sound !== true || judged?.trays.length !== loaded.length) return false;
  if (coresToCheck(batch).length > 0) return false;
  return loaded.every(
    (tray) => batch.coreChecks.findLast((check) => check.trayId === tray.id)?.finding === "dry",
  );
}

function loadOf(tray: Tray, logs: readonly TrayLog[]): Load | null {
  // Of a mixture nobody knows which part held what, and what was dried before is no fresh food.
  if (tray.portions.length > 1 || tray.portions.some(({ fromBag }) => fromBag !== null))
    return null;
  const log = logs.find((one) => one.tray === tray.name);
  const last = log?.weighings.at(-1);
  // Nor does what was taken off a tray tell what it held.
  if (log?.weighings.some(({ foodTaken }) => foodTaken) === true) return null;
  if (tray.foodName === null || last === undefined || !log?.fresh) return null;
  return { tray, log, food: tray.foodName, fresh: log.fresh.net, end: last.net };
}

export const showLesson = (lesson: Lesson): LessonShown => ({
  id: lesson.id,
  batch: lesson.batchId,
  batchNumber: lesson.batchNumber,
  food: lesson.food,
  freshGrams: lesson.fresh,
  dryGrams: lesson.end,
  waterPct: waterOf(lesson) * 100,
  ratePerHour: lesson.rate === null ? null : Math.exp(lesson.rate.lnRate),
  thicknessMm: lesson.rate?.thicknessMm ?? null,
  at: isoOf(lesson.at),
  counts: lesson.counts,
  why: lesson.why,
});

/** Why a lesson no longer counts whose masses are no longer those of its batch: for good. */
export const putRightSince = "a weighing was put right after the batch had ended";

/** A person lets a lesson count or not; the reason stays on the record. */
export function editLesson(
  bench: Bench,
  lessonId: number,
  edit: { readonly counts: boolean; readonly reason: string },
  at: UtcMs,
): readonly Change[] {
  const lesson = bench.lessons.find(({ id }) => id === lessonId);
  if (lesson === undefined)
    throw new Fault("lesson.not-found", `no lesson has the number ${lessonId}`);
  if (lesson.why === putRightSince) throw new Fault("batch.ended", putRightSince);
  return [{ is: "lesson-changed", lessonId, counts: edit.counts, reason: edit.reason, at }];
}

const hasToBeDried = (bag: Bag): string => `bag ${bagCode(bag)} has to be dried again`;
const gained = (bag: Bag): string => `bag ${bagCode(bag)} gained moisture`;

/** Lessons of a batch of which a bag gained moisture or has to be dried again: its dryness is in doubt. */
export function lessonsWithdrawn(
  changes: readonly Change[],
  { before, after: bench }: { readonly before: Bench; readonly after: Bench },
  at: UtcMs,
): readonly Change[] {
  return changes.flatMap((change) => {
    const bagId = doubtful(change);
    // A bag that is gone is no longer on the bench.
    const bag = [...bench.bags, ...before.bags].find((one) => one.id === bagId);
    if (bag === undefined) return [];
    const isDamp =
      change.is === "bag-fate" ||
      recheckOf(bag, bench.settings.limit, at, bench.kitchen.comparisons)?.word ===
        "gaining-moisture";
    if (!isDamp) return [];
    const reason = change.is === "bag-fate" ? hasToBeDried(bag) : gained(bag);
    return bench.lessons
      .filter((lesson) => lesson.counts && lesson.batchId === bag.batchId)
      .map(({ id }): Change => ({ is: "lesson-changed", lessonId: id, counts: false, reason, at }));
  });
}

/** Why a batch is in doubt that ends after one of its bags was; null: none was. */
export function inDoubtBy(bench: Bench, bagged: readonly Bag[], at: UtcMs): string | null {
  for (const bag of bagged) {
    if (stateOf(bag) === "re-dry") return hasToBeDried(bag);
    const found = recheckOf(bag, bench.settings.limit, at, bench.kitchen.comparisons);
    if (found?.word === "gaining-moisture") return gained(bag);
  }
  return null;
}

function doubtful(change: Change): number | null {
  if (change.is === "bag-fate") {
    const { fate, bagId, takesBack } = change.fate;
    return fate === "re-dry" && takesBack === null ? bagId : null;
  }
  if (change.is !== "bag-weighed") return null;
  return change.weighing.kind === "shelf" ? change.weighing.bagId : null;
}
