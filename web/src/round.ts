/** A round along the shelf: bag after bag, each with what was found, and which comes next. */
import type { BagLine, BagTaken, ShelfWord, StockLine } from "../../src/wire/bag.ts";

export type RoundLine = {
  readonly bag: number;
  readonly code: string;
  readonly product: string;
  readonly word: ShelfWord;
  readonly gainGrams: number;
  readonly gainPct: number;
};

export type Round = {
  readonly done: readonly RoundLine[];
  /** Bags that a person passed over. */
  readonly passed: readonly number[];
  /** The bag that was asked for a second time because a gain was seen once. */
  readonly again: number | null;
};

export const newRound: Round = { done: [], passed: [], again: null };

const sawOnce = (taken: BagTaken): boolean =>
  taken.finding?.reasons.some(({ code }) => code === "once-only") ?? false;

/** A bag weighed twice stands in the list once, with what was found last. */
export function afterWeighing(round: Round, taken: BagTaken): Round {
  const { finding } = taken;
  if (taken.kind !== "shelf" || finding === null) return round;
  const line = {
    bag: taken.bag,
    code: taken.code,
    product: taken.product,
    word: finding.word,
    gainGrams: finding.gainGrams,
    gainPct: finding.gainPct,
  };
  const again = sawOnce(taken) && round.again !== taken.bag ? taken.bag : null;
  return { ...round, again, done: [...round.done.filter(({ bag }) => bag !== taken.bag), line] };
}

/** A gain that was seen once is looked at again at once; then those that are due, then the oldest. */
export function nextInRound(round: Round, stock: readonly StockLine[]): number | null {
  if (round.again !== null) return round.again;
  const seen = new Set([...round.done.map(({ bag }) => bag), ...round.passed]);
  const waiting = stock
    .flatMap(({ bags }) => bags)
    .filter(({ id, state }) => state === "sealed" && !seen.has(id))
    .sort((a, b) => Number(b.weighAgain) - Number(a.weighAgain) || ageOf(a) - ageOf(b));
  return waiting[0]?.id ?? null;
}

const ageOf = ({ sealedAt }: BagLine): number => (sealedAt === null ? 0 : Date.parse(sealedAt));

const order: readonly ShelfWord[] = [
  "gaining-moisture",
  "watch",
  "cannot-tell",
  "not-checked",
  "no-gain-seen",
];

/** What somebody has to see to comes first. */
export const byUrgency = (lines: readonly RoundLine[]): readonly RoundLine[] =>
  [...lines].sort((a, b) => order.indexOf(a.word) - order.indexOf(b.word));
