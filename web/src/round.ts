/**
 * A round along the shelf: bag after bag, each with what was found, and which comes next. What was weighed in it is told
 * by the weighings themselves, so that it goes on where it was on a page that was loaded anew, and on another phone.
 */
import type { BagLine, BagTaken, ShelfWord, StockLine } from "../../src/wire/bag.ts";

export type RoundLine = {
  readonly bag: number;
  readonly code: string;
  readonly product: string;
  readonly word: ShelfWord;
  readonly gainGrams: number;
  readonly gainPct: number;
  readonly divisionGrams: number;
};

export type Round = {
  /** What was weighed later is of this round. Milliseconds since 1970, of the service's clock. */
  readonly afterMs: number;
  /** Bags that a person passed over. */
  readonly passed: readonly number[];
  /** The bag that was asked for a second time because a gain was seen once. */
  readonly again: number | null;
};

type Stock = readonly StockLine[];

/** After so long without a weighing another round begins. Our choice. */
const pauseMs = 12 * 3_600_000;

const bagsIn = (stock: Stock): readonly BagLine[] => stock.flatMap(({ bags }) => bags);
const msOf = (at: string | null): number => (at === null ? 0 : Date.parse(at));
const byWeighing = (a: BagLine, b: BagLine): number => msOf(a.weighedAt) - msOf(b.weighedAt);

/** Those of the round that were weighed, the last of them last. */
const weighedIn = ({ afterMs }: Round, stock: Stock): readonly BagLine[] =>
  bagsIn(stock)
    .filter(({ weighedAt }) => msOf(weighedAt) > afterMs)
    .sort(byWeighing);

export const doneIn = (round: Round, stock: Stock): readonly RoundLine[] =>
  weighedIn(round, stock).map((line) => ({
    bag: line.id,
    code: line.code,
    product: line.product,
    word: line.finding ?? "not-checked",
    gainGrams: line.gainGrams ?? 0,
    gainPct: line.gainPct ?? 0,
    divisionGrams: line.divisionGrams ?? 1,
  }));

/** The round that the last weighings on the shelf belong to; null: none is under way, or all bags were weighed in it. */
export function roundUnderWay(stock: Stock, nowMs: number): Round | null {
  let afterMs = nowMs;
  for (const bag of [...bagsIn(stock)].sort(byWeighing).reverse()) {
    const at = msOf(bag.weighedAt);
    if (at > afterMs) continue;
    if (afterMs - at > pauseMs) break;
    afterMs = at;
  }
  const round = { afterMs: afterMs - 1, passed: [], again: null };
  const last = weighedIn(round, stock).at(-1);
  if (last === undefined || nextInRound(round, stock) === null) return null;
  return { ...round, again: last.weighAgain && last.finding === "watch" ? last.id : null };
}

/** One that all bags are weighed in. */
export const newRound = (stock: Stock): Round => ({
  afterMs: Math.max(0, ...bagsIn(stock).map(({ weighedAt }) => msOf(weighedAt))),
  passed: [],
  again: null,
});

const sawOnce = ({ finding }: BagTaken): boolean =>
  finding?.reasons.some(({ code }) => code === "once-only") ?? false;

export const afterWeighing = (round: Round, taken: BagTaken): Round => ({
  ...round,
  again: sawOnce(taken) && round.again !== taken.bag ? taken.bag : null,
});

/** Whether the stock was asked for after this bag was weighed on the shelf. */
export function isToldOf({ kind, bag, at }: BagTaken, stock: Stock): boolean {
  const line = bagsIn(stock).find(({ id }) => id === bag);
  return kind !== "shelf" || line === undefined || msOf(line.weighedAt) >= msOf(at);
}

/** A gain that was seen once is looked at again at once; then those that are due, then what was weighed longest ago. */
export function nextInRound(round: Round, stock: Stock): number | null {
  if (round.again !== null) return round.again;
  const seen = new Set([...weighedIn(round, stock).map(({ id }) => id), ...round.passed]);
  const waiting = bagsIn(stock)
    .filter(({ id, state }) => state === "sealed" && !seen.has(id))
    .sort((a, b) => Number(b.weighAgain) - Number(a.weighAgain) || lastOnScale(a) - lastOnScale(b));
  return waiting[0]?.id ?? null;
}

const lastOnScale = ({ weighedAt, sealedAt }: BagLine): number => msOf(weighedAt ?? sealedAt);

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
