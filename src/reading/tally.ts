/** How many lines of the last minute were of the form in force, second by second. */
import type { MonoMs } from "../units/quantity.ts";

type Second = { readonly second: number; readonly fits: number; readonly misses: number };

export type Tally = {
  readonly now: Second;
  /** The seconds of the last minute before `now`, oldest first. */
  readonly earlier: readonly Second[];
  /** Sums over the last minute, so that a line costs no look at each second. */
  readonly fits: number;
  readonly misses: number;
  /** Lines in a row that did not fit. */
  readonly run: number;
};

const noLines = (second: number): Second => ({ second, fits: 0, misses: 0 });

export const noTally: Tally = { now: noLines(-Infinity), earlier: [], fits: 0, misses: 0, run: 0 };

const minuteSeconds = 60;
const linesNeeded = 20;
const missShare = 0.05;
/** One or two spoilt lines are a spark on the cable, not another form. */
const missesNeeded = 3;
const missesInARow = 10;

export const afterPiece = (tally: Tally, fits: boolean, at: MonoMs): Tally =>
  counted(tally, at, fits ? 1 : 0, fits ? 0 : 1);

/** `count` lines of one chunk, all of the form in force. */
export const afterFits = (tally: Tally, count: number, at: MonoMs): Tally =>
  count === 0 ? tally : counted(tally, at, count, 0);

function counted(tally: Tally, at: MonoMs, fits: number, misses: number): Tally {
  const second = Math.floor(at / 1000);
  const before = second === tally.now.second ? tally : intoSecond(tally, second);
  return {
    now: { second, fits: before.now.fits + fits, misses: before.now.misses + misses },
    earlier: before.earlier,
    fits: before.fits + fits,
    misses: before.misses + misses,
    run: fits > 0 ? 0 : tally.run + misses,
  };
}

function intoSecond(tally: Tally, second: number): Tally {
  const earlier = [...tally.earlier, tally.now].filter(
    (one) => one.second > second - minuteSeconds,
  );
  return {
    ...tally,
    now: noLines(second),
    earlier,
    fits: earlier.reduce((sum, one) => sum + one.fits, 0),
    misses: earlier.reduce((sum, one) => sum + one.misses, 0),
  };
}

/** Not one line of the last minute was of another form. */
export const isClean = (tally: Tally): boolean => tally.misses === 0;

/** Share of the last minute's lines that did not fit; 0 while they are too few to tell. */
export function missesOf({ fits, misses }: Tally): number {
  const tooFew = fits + misses < linesNeeded || misses < missesNeeded;
  return tooFew ? 0 : misses / (fits + misses);
}

/** The scale now sends something else: a button was pressed, another scale was plugged in, the line is bad. */
export const hasChanged = (tally: Tally): boolean =>
  tally.run >= missesInARow || missesOf(tally) >= missShare;
