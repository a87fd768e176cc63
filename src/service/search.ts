/** Batches found by what a person remembers of them: a food, a name, a date, a number, or a bag's label. */
import { numberScanned } from "../label/scan.ts";
import { folded } from "../units/written.ts";
import type { BatchSummary } from "../wire/batch.ts";

export type BatchSearch = {
  /** Every word has to be found somewhere in the batch. */
  readonly q: string;
  /** Days, as ISO 8601 writes them; the batch began on one of these or between them. */
  readonly from: string | null;
  readonly to: string | null;
};

const bagLabel = /^(?:practice-)?(\d{1,9})-\d{1,6}$/i;
/** 14.3.2026, as many write it. */
const dayFirst = /^(\d{1,2})\.(\d{1,2})\.(\d{4})$/;
const batchNumber = /^(?:no\.?|nr\.?|#)?(\d{1,9})$/i;

export function findBatches(
  all: readonly BatchSummary[],
  { q, from, to }: BatchSearch,
): BatchSummary[] {
  const words = folded(q)
    .split(" ")
    .filter((word) => word !== "");
  return all.filter(
    (batch) =>
      words.every((word) => fits(batch, word)) &&
      (from === null || batch.startedAt.slice(0, 10) >= from) &&
      (to === null || batch.startedAt.slice(0, 10) <= to),
  );
}

/** A bare number is the batch's own, or part of a name or of a date; a bag's label names its batch. */
function fits(batch: BatchSummary, word: string): boolean {
  const ofBag = bagLabel.exec(numberScanned(word) ?? "")?.[1];
  if (ofBag !== undefined && Number(ofBag) === batch.number) return true;
  const number = batchNumber.exec(word)?.[1];
  if (number !== undefined && Number(number) === batch.number) return true;
  const text = folded([batch.name, batch.dryer, ...batch.foods].join(" "));
  if (text.includes(word)) return true;
  // 2026, 2026-03, 2026-03-14.
  const date = word.replace(
    dayFirst,
    (_, day: string, month: string, year: string) =>
      `${year}-${month.padStart(2, "0")}-${day.padStart(2, "0")}`,
  );
  return /^\d{4}(-\d\d){0,2}$/.test(date) && batch.startedAt.startsWith(date);
}
