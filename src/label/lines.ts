/**
 * Text as it stands on paper: broken into lines (Unicode's UAX #14), each put in the order in which it is seen, so
 * that Hebrew and Arabic run from right to left and numbers within them do not (UAX #9). In: a text, what measures a
 * piece of it, the width of its box. Out: lines of pieces from left to right. Letters within a piece are shaped and
 * turned by the library that draws it, which goes by the script alone.
 */
import makeBidi, { type Bidi, type EmbeddingLevels } from "bidi-js";
import LineBreaker from "linebreak";

export type Line = {
  /** From left to right, each to be drawn by itself. */
  readonly pieces: readonly string[];
  /** The paragraph runs from right to left: its lines begin at the right edge. */
  readonly fromRight: boolean;
};
type Measure = (piece: string) => number;

// The package's types speak of `default`; its file, CommonJS, is the function itself.
const bidi = (makeBidi as unknown as () => Bidi)();
const segmenter = new Intl.Segmenter();
const clusters = (text: string): string[] =>
  Array.from(segmenter.segment(text), (one) => one.segment);

/** What says how the text runs or joins, and has no form of its own. */
const unseen = /\p{Cf}/gu;
export const seen = (text: string): string => text.replaceAll(unseen, "");

/** Scripts of the labels' fonts that the drawing library turns from right to left. */
const turnedScript = /[\p{Script=Arabic}\p{Script=Hebrew}\p{Script=Nko}]/u;
const ownScript = /[^\p{Script=Common}\p{Script=Inherited}]/u;
const mayTurn = /[\p{Script=Arabic}\p{Script=Hebrew}\p{Script=Nko}\u061C\u200F\u202B\u202E\u2067]/u;

type Word = { readonly text: string; readonly width: number; readonly withoutSpace: number };
export type Measured = {
  readonly text: string;
  /** Up to each place where a line may end. */
  readonly words: readonly Word[];
  readonly widthOf: Measure;
};

/** Measured once, however many widths are tried. */
export function measured(text: string, widthOf: Measure): Measured {
  const words = wordsOf(text).map((word) => wordOf(word, widthOf));
  return { text, words, widthOf };
}

const wordOf = (text: string, widthOf: Measure): Word => ({
  text,
  width: widthOf(seen(text)),
  withoutSpace: widthOf(seen(text.trimEnd())),
});

export function linesOf({ text, words, widthOf }: Measured, width: number): Line[] {
  const found = bidi.getEmbeddingLevels(text);
  const fromRight = (found.paragraphs[0]?.level ?? 0) % 2 === 1;
  const turns = mayTurn.test(text);
  let start = 0;
  return broken({ text, words, widthOf }, width).map((line) => {
    const end = start + line.replace(/[\s\p{Cf}]+$/u, "").length;
    const pieces = turns ? inSight(text, found, start, end) : [seen(text.slice(start, end))];
    start += line.length;
    return { pieces, fromRight };
  });
}

/** The text cut into lines. Nothing is left out: a word that is wider than a line is broken. */
export function broken({ words, widthOf }: Measured, width: number): string[] {
  const lines: string[] = [];
  let line = "";
  let taken = 0;
  for (const word of words.flatMap((one) =>
    one.withoutSpace <= width ? [one] : cut(one, width, widthOf),
  )) {
    if (line !== "" && taken + word.withoutSpace > width) {
      lines.push(line);
      line = "";
      taken = 0;
    }
    line += word.text;
    taken += word.width;
  }
  return line === "" ? lines : [...lines, line];
}

function wordsOf(text: string): string[] {
  const breaker = new LineBreaker(text);
  const words: string[] = [];
  let start = 0;
  for (let at = breaker.nextBreak(); at !== null; at = breaker.nextBreak()) {
    words.push(text.slice(start, at.position));
    start = at.position;
  }
  return words;
}

function cut({ text }: Word, width: number, widthOf: Measure): Word[] {
  const parts: Word[] = [];
  for (const cluster of clusters(text)) {
    const longer = wordOf(`${parts.at(-1)?.text ?? ""}${cluster}`, widthOf);
    if (parts.length > 0 && longer.withoutSpace <= width) parts[parts.length - 1] = longer;
    else parts.push(wordOf(cluster, widthOf));
  }
  return parts;
}

/** A line, or a part of one, in pieces from left to right. */
function inSight(text: string, found: EmbeddingLevels, start: number, end: number): string[] {
  const order = bidi.getReorderedIndices(text, found, start, end - 1).slice(start, end);
  const mirrored = bidi.getMirroredCharactersMap(text, found.levels, start, end - 1);
  const runs: { first: number; last: number; isTurned: boolean }[] = [];
  for (const index of order) {
    const isTurned = found.levels[index]! % 2 === 1;
    const run = runs.at(-1);
    if (run?.isTurned !== isTurned) runs.push({ first: index, last: index, isTurned });
    else if (isTurned && index === run.first - 1) run.first = index;
    else if (!isTurned && index === run.last + 1) run.last = index;
    else runs.push({ first: index, last: index, isTurned });
  }
  return runs.flatMap(({ first, last, isTurned }) => {
    const letters = Array.from({ length: last + 1 - first }, (_, index) => {
      return mirrored.get(first + index) ?? text[first + index];
    }).join("");
    const pieces = piecesOf(letters).map((piece) => asDrawn(piece, isTurned));
    return isTurned ? pieces.reverse() : pieces;
  });
}

/**
 * The library takes the script of a piece from its first letter and shapes by that alone, so that scripts part, and so
 * do letters that are kept from joining (U+200C).
 */
const piecesOf = (run: string): string[] =>
  (run.match(/ +|[^ \u200C]+/gu) ?? [])
    .flatMap((word) =>
      word.split(
        /(?<=\p{Script=Hebrew})(?=\p{Script=Arabic})|(?<=\p{Script=Arabic})(?=\p{Script=Hebrew})/u,
      ),
    )
    .map(seen)
    .filter((piece) => piece !== "");

/** Turned beforehand where the library would draw it the other way. */
function asDrawn(piece: string, isTurned: boolean): string {
  const first = ownScript.exec(piece)?.[0] ?? "";
  return turnedScript.test(first) === isTurned ? piece : clusters(piece).reverse().join("");
}
