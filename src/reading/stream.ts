/**
 * What one scale sends, over one connection after another. In: chunks, each with the lines that it completed,
 * and a person's word. Out: readings in order, and a report when the form, the unit or the question changes.
 * Until the form is known nothing is read; the lines that it was recognised by are read then.
 */
import { grams, type Grams, type MonoMs } from "../units/quantity.ts";
import { afterMass, stepsApart, type StepsSeen } from "./division.ts";
import type { Candidate, Facts, Form, FormChoice, FormName, Said } from "./form.ts";
import { formNamed } from "./forms.ts";
import { framesIn, type Framed } from "./frame.ts";
import { latin1, said, toReading, withoutEighthBit, type Piece } from "./piece.ts";
import type { Reading, ScaleUnit } from "./reading.ts";
import { linesKept, linesNeeded, recognise, type Declared } from "./recognise.ts";
import {
  afterFits,
  afterPiece,
  hasChanged,
  isClean,
  missesOf,
  noTally,
  type Tally,
} from "./tally.ts";
import { joined, remember, stampAt, type Stamp, type Text } from "./texts.ts";

export type FormReport = {
  readonly form: FormName | null;
  readonly unit: ScaleUnit | null;
  readonly why: string | null;
  readonly question: string | null;
  readonly candidates: readonly Candidate[];
};

type Live = {
  readonly form: Form;
  readonly facts: Facts;
  readonly masked: boolean;
};

export type Stream = {
  readonly declared: Declared;
  readonly live: Live | null;
  /** While recognising: the last lines. Live: the lines since the last one that fitted. */
  readonly lines: readonly Piece[];
  /** The last line that has been read already, so that a recognition does not read it twice. */
  readonly readThrough: Piece | null;
  readonly texts: readonly Text[];
  readonly linesSeen: number;
  readonly bytesSeen: number;
  readonly triedAt: MonoMs | null;
  /** Live on frames: the start of one that has not ended, and the bytes since the last one. */
  readonly rest: string;
  readonly skipped: number;
  readonly tally: Tally;
  readonly steps: StepsSeen | null;
  /** The division that this scale had before; null: nothing is known of it. */
  readonly known: Grams | null;
  readonly report: FormReport;
};

export type Step = {
  readonly stream: Stream;
  readonly readings: readonly Reading[];
  /** Null when nothing changed. */
  readonly report: FormReport | null;
};

const nothingKnown: FormReport = {
  form: null,
  unit: null,
  why: null,
  question: null,
  candidates: [],
};

const strays = "many of the last lines are not of the form that was declared";

const bytesWithoutLine = 512;
const triesApartMs = 500;

export const startStream = (declared: Declared): Stream => ({
  declared,
  live: null,
  lines: [],
  readThrough: null,
  texts: [],
  linesSeen: 0,
  bytesSeen: 0,
  triedAt: null,
  rest: "",
  skipped: 0,
  tally: noTally,
  steps: null,
  known: null,
  report: nothingKnown,
});

/** `lines`: latin1, without terminators, those that this chunk completed. */
export function afterChunk(
  stream: Stream,
  chunk: Stamp & { readonly bytes: Uint8Array },
  lines: readonly string[],
): Step {
  const stamp = { atMonoMs: chunk.atMonoMs, atUtcMs: chunk.atUtcMs };
  const readings: Reading[] = [];
  let next = stream;
  if (next.live === null) next = overhear(next, { ...stamp, text: latin1(chunk.bytes) });
  else if (next.live.form.cut !== "line") {
    next = readFrames(next, next.live, latin1(chunk.bytes), stamp, readings);
  }
  for (let at = 0; at < lines.length; at++) {
    const plain = readPlainLines(next, lines, at, stamp, readings);
    next = plain.stream;
    at = plain.end;
    const raw = lines[at];
    if (raw === undefined) break;
    const piece = { raw, ...stamp };
    next = next.live === null ? tryAgain(next, piece, readings) : readLine(next, piece, readings);
  }
  if (next.live === null && next.linesSeen === 0 && next.bytesSeen >= bytesWithoutLine) {
    next = ask(next, { why: "bytes come but no end of line: the speed (baud) may be set wrong" });
  }
  return answer(stream, next, readings);
}

/** The connection broke: half a line and half a recognition are void, the form and the display's step are not. */
export const afterBreak = (stream: Stream): Stream => ({
  ...startStream(stream.declared),
  live: stream.live,
  steps: stream.steps,
  known: stream.known,
  report: stream.report,
});

/** A person's word: takes effect on the lines at hand, and then holds. */
export function choose(stream: Stream, choice: FormChoice): Step {
  const facts = {
    ...stream.declared.facts,
    ...(choice.unit && { unit: choice.unit }),
    ...(choice.division && { division: choice.division }),
  };
  const declared = { ...stream.declared, form: choice.form, facts };
  const readings: Reading[] = [];
  const last = stream.lines.at(-1);
  const readThrough = stream.live === null ? stream.readThrough : (last ?? null);
  const fresh = { live: null, rest: "", tally: noTally, steps: null };
  const waiting = { ...stream, ...fresh, declared, readThrough };
  const next = last ? recogniseNow(waiting, last, readings) : ask(waiting, { why: null });
  return answer(stream, next, readings);
}

function answer(before: Stream, after: Stream, readings: readonly Reading[]): Step {
  const changed = before.report !== after.report && keyOf(before.report) !== keyOf(after.report);
  return { stream: after, readings, report: changed ? after.report : null };
}

const keyOf = ({ form, unit, why, question, candidates }: FormReport): string =>
  JSON.stringify([
    form,
    unit,
    why,
    question,
    candidates.map((one) => [one.form, one.unit, one.raw]),
  ]);

const overhear = (stream: Stream, text: Text): Stream => ({
  ...stream,
  texts: remember(stream.texts, text),
  bytesSeen: stream.bytesSeen + text.text.length,
});

function tryAgain(stream: Stream, piece: Piece, readings: Reading[]): Stream {
  const next = {
    ...stream,
    lines: [...stream.lines, piece].slice(-linesKept),
    linesSeen: stream.linesSeen + 1,
  };
  if (next.declared.form === null && next.lines.length < linesNeeded) return next;
  const soon = next.linesSeen <= linesKept;
  if (!soon && next.triedAt !== null && piece.atMonoMs - next.triedAt < triesApartMs) return next;
  return recogniseNow(next, piece, readings);
}

function recogniseNow(stream: Stream, piece: Piece, readings: Reading[]): Stream {
  const text = joined(stream.texts);
  const tried = { ...stream, triedAt: piece.atMonoMs };
  const found = recognise({ lines: stream.lines, text }, stream.declared);
  if (found.is === "early") return tried;
  if (found.is === "none") {
    const settled = stream.linesSeen >= linesKept || stream.declared.form !== null;
    return settled ? ask(tried, { why: found.why }) : tried;
  }
  if (found.is === "ask") return ask(tried, { ...found, why: null });

  const live = {
    form: formNamed(found.form, stream.declared.own),
    facts: found.facts,
    masked: found.masked,
  };
  const report = { ...nothingKnown, form: found.form, unit: stream.report.unit, why: found.why };
  const started: Stream = { ...tried, live, report, lines: [], texts: [], tally: noTally };
  if (live.form.cut !== "line") return readHeardFrames(started, live, stream.texts, readings);
  const read = stream.readThrough === null ? -1 : stream.lines.indexOf(stream.readThrough);
  const unread = stream.lines.slice(read + 1);
  return unread.reduce((next, line) => readLine(next, line, readings), started);
}

const ask = (
  stream: Stream,
  report: Partial<Pick<FormReport, "question" | "candidates">> & { why: string | null },
): Stream => ({
  ...stream,
  report: {
    ...nothingKnown,
    why: report.why,
    question: report.question ?? null,
    candidates: report.candidates ?? [],
  },
});

function readLine(stream: Stream, piece: Piece, readings: Reading[]): Stream {
  const { live } = stream;
  if (live === null) return tryAgain(stream, piece, readings);
  if (live.form.cut !== "line") {
    return stream.tally.run === 0
      ? stream
      : { ...stream, lines: [...stream.lines, piece].slice(-linesKept) };
  }
  const raw = live.masked ? withoutEighthBit(piece.raw) : piece.raw;
  return take(stream, piece, said(live.form, live.facts, raw), readings);
}

/**
 * The same as `readLine` for the lines from `at` on that are of the form and say nothing new but the weight: a fast
 * scale sends many in one chunk, and they are counted together. `end`: the first line that is not such a one.
 */
function readPlainLines(
  stream: Stream,
  lines: readonly string[],
  at: number,
  stamp: Stamp,
  readings: Reading[],
): { readonly stream: Stream; readonly end: number } {
  const { live, report, declared } = stream;
  const isPlain = live?.form.cut === "line" && !live.masked && report.why !== strays;
  if (!isPlain || !isClean(stream.tally)) return { stream, end: at };
  let { steps } = stream;
  let end = at;
  for (; end < lines.length; end++) {
    const raw = lines[end]!;
    const what = said(live.form, live.facts, raw);
    if (what?.is !== "weight" || what.unit !== report.unit) break;
    if (declared.facts.division === null)
      steps = afterMass(steps, what.mass, what.division, stream.known);
    const reading = toReading({ raw, ...stamp }, what);
    const apart = declared.facts.division === null ? stepsApart(steps) : 1;
    const isCoarse = apart > 1 && reading.is === "weight";
    readings.push(isCoarse ? { ...reading, division: grams(reading.division * apart) } : reading);
  }
  if (end === at) return { stream, end };
  const tally = afterFits(stream.tally, end - at, stamp.atMonoMs);
  return { stream: { ...stream, tally, steps, lines: [] }, end };
}

function readFrames(
  stream: Stream,
  live: Live,
  text: string,
  stamp: Stamp,
  readings: Reading[],
): Stream {
  const { found, rest } = framesIn(live.form, stream.rest + unmasked(live, text));
  const next = found.reduce((now, one) => readFramed(now, live, one, stamp, readings), stream);
  return { ...next, rest };
}

/** The bytes that the form was recognised by; each frame has the time of the chunk in which it ended. */
function readHeardFrames(
  stream: Stream,
  live: Live,
  texts: readonly Text[],
  readings: Reading[],
): Stream {
  const { found, rest } = framesIn(live.form, unmasked(live, joined(texts)));
  const next = found.reduce((now, one) => {
    const stamp = stampAt(texts, one.end);
    return stamp ? readFramed(now, live, one, stamp, readings) : now;
  }, stream);
  return { ...next, rest };
}

function readFramed(
  stream: Stream,
  live: Live,
  one: Framed,
  { atMonoMs, atUtcMs }: Stamp,
  readings: Reading[],
): Stream {
  if (stream.live !== live) return stream;
  const piece = { raw: one.raw.slice(0, 64), atMonoMs, atUtcMs };
  if (one.is === "frame") {
    const what = said(live.form, live.facts, one.raw);
    return take({ ...stream, skipped: 0 }, piece, what, readings);
  }
  const skipped = stream.skipped + one.raw.length;
  if (live.form.cut === "line" || skipped < live.form.cut.length) return { ...stream, skipped };
  return take({ ...stream, skipped: 0 }, piece, null, readings);
}

const unmasked = (live: Live, text: string): string =>
  live.masked ? withoutEighthBit(text) : text;

/** One line or frame has been read: counts it, watches unit and step, and gives up a form that no longer fits. */
function take(stream: Stream, piece: Piece, what: Said | null, readings: Reading[]): Stream {
  const fits = what !== null && !(what.is === "unreadable" && what.lacks !== undefined);
  const tally = afterPiece(stream.tally, fits, piece.atMonoMs);
  const lines = fits ? [] : [...stream.lines, piece].slice(-linesKept);
  const counted = { ...stream, tally, lines };
  const reading = toReading(piece, what);
  const { next, seen } =
    reading.is === "weight" ? watch(counted, reading) : { next: counted, seen: reading };
  readings.push(seen);
  return hasChanged(tally) ? formGone(next, piece, readings) : settledAgain(next);
}

function watch(
  stream: Stream,
  reading: Extract<Reading, { is: "weight" }>,
): { next: Stream; seen: Reading } {
  const declared = stream.declared.facts.division !== null;
  const steps = declared
    ? null
    : afterMass(stream.steps, reading.mass, reading.division, stream.known);
  const division = grams(reading.division * stepsApart(steps));
  const before = stream.report.unit;
  const report =
    before === reading.unit
      ? stream.report
      : {
          ...stream.report,
          unit: reading.unit,
          why:
            before === null
              ? stream.report.why
              : `the unit changed from ${before} to ${reading.unit}`,
        };
  return { next: { ...stream, steps, report }, seen: { ...reading, division } };
}

/** A declared form stays in force, with a warning; a recognised one is looked for again. */
function formGone(stream: Stream, piece: Piece, readings: Reading[]): Stream {
  if (stream.declared.form !== null) {
    return { ...stream, report: { ...stream.report, why: strays } };
  }
  const again: Stream = {
    ...startStream(stream.declared),
    lines: stream.lines,
    readThrough: piece,
    linesSeen: stream.lines.length,
    report: { ...nothingKnown, why: "the form of the lines changed" },
  };
  return again.lines.length < linesNeeded ? again : recogniseNow(again, piece, readings);
}

/** Takes the warning of a declared form back once the last minute is clean but for a spark or two. */
function settledAgain(stream: Stream): Stream {
  if (stream.report.why !== strays || missesOf(stream.tally) > 0) return stream;
  return { ...stream, report: { ...stream.report, why: null } };
}
