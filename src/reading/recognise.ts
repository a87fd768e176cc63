/**
 * Which form a stream has. In: its last lines and bytes, and what a person declared. Out: a form that explains
 * them all with one meaning, or a question with its answers, or why none fits. Nothing is guessed: two forms
 * that give different masses for one line, or a fact that the lines leave open, are asked for.
 */
import type { Candidate, Facts, Form, FormName, Said } from "./form.ts";
import { formNamed, forms } from "./forms.ts";
import { framesIn } from "./frame.ts";
import { commaShownBy } from "./number.ts";
import { partsOf, said, withoutEighthBit, type Piece } from "./piece.ts";
import { questionFor, whichOf } from "./question.ts";

type Heard = {
  /** Whole lines, oldest first. */
  readonly lines: readonly Piece[];
  /** The bytes that they were cut from, as latin1, for the forms that come in frames. */
  readonly text: string;
};

export type Declared = {
  readonly form: FormName | null;
  readonly facts: Facts;
  /** Forms of the settings file, beside those that are built in. */
  readonly own?: readonly Form[];
};

export type Recognition =
  | { readonly is: "early" }
  | {
      readonly is: "decided";
      readonly form: FormName;
      readonly facts: Facts;
      /** The eighth bit is a parity bit and must be taken off. */
      readonly masked: boolean;
      readonly why: string | null;
    }
  | {
      readonly is: "ask";
      readonly question: string;
      readonly candidates: readonly Candidate[];
    }
  | { readonly is: "none"; readonly why: string };

/** One form's account of what was heard. */
export type Account = {
  readonly form: Form;
  readonly share: number;
  /** Pieces that show a weight, or would if a fact were known. */
  readonly weights: number;
  readonly pieces: readonly { readonly piece: Piece; readonly what: Said | null }[];
};

export const linesNeeded = 8;
export const linesKept = 20;
const weightsNeeded = 3;
const shareNeeded = 0.95;
const highBitShare = 0.2;
const printableShare = 0.8;

export function recognise(heard: Heard, declared: Declared): Recognition {
  const high = shareOf(heard.text, (code) => code >= 0x80);
  if (high < highBitShare) {
    const plain = fromText(heard, declared);
    // Odd parity leaves blanks and half of the figures as they are: few bytes are high, yet all agree.
    if (plain.is !== "none" || high === 0 || parityOf(heard.text) === null) return plain;
  }
  const lines = heard.lines.map((line) => ({ ...line, raw: withoutEighthBit(line.raw) }));
  const masked = fromText({ lines, text: withoutEighthBit(heard.text) }, declared);
  if (masked.is === "decided") {
    const why = `the eighth bit of the bytes is a parity bit: ${parityAdvice(heard.text)}`;
    return { ...masked, masked: true, why };
  }
  if (masked.is !== "none") return masked;
  const percent = Math.round(high * 100);
  return {
    is: "none",
    why: `${percent} % of the bytes have the eighth bit set and no form fits without it: the speed (baud) or the parity is set wrong`,
  };
}

function fromText(heard: Heard, declared: Declared): Recognition {
  const shown = commaShownBy(heard.lines.map((line) => line.raw));
  const facts = { ...declared.facts, comma: declared.facts.comma ?? shown };
  if (declared.form !== null)
    return fromDeclared(heard, formNamed(declared.form, declared.own), facts);
  if (heard.lines.length < linesNeeded) return { is: "early" };

  const known: readonly Form[] = [...forms, ...(declared.own ?? [])];
  const accounts = known.map((form) => accountOf(form, heard, facts));
  const most = Math.max(...accounts.map(({ weights }) => weights));
  const fitting = accounts.filter(
    ({ share, weights }) => share >= shareNeeded && weights >= shareNeeded * most,
  );
  const best = fitting
    .filter(({ weights }) => weights >= weightsNeeded)
    .toSorted(
      (a, b) => asksFirst(a) - asksFirst(b) || ownLast(a) - ownLast(b) || b.share - a.share,
    )[0];
  if (!best) {
    return { is: "none", why: fitting.length > 0 ? onlyOverload : whyNone(heard, accounts) };
  }
  const rivals = fitting.filter((other) => differ(best, other));
  if (rivals.length > 0) return whichOf([best, ...rivals], facts);
  const question = questionFor(best, facts, { confirmed: false });
  return question ?? decided(best.form, facts);
}

/** A declared form is taken at its word; only facts that it leaves open are asked for. */
function fromDeclared(heard: Heard, form: Form, facts: Facts): Recognition {
  const account = accountOf(form, heard, facts);
  if (account.weights > 0) {
    return questionFor(account, facts, { confirmed: true }) ?? decided(form, facts);
  }
  if (heard.lines.length < linesNeeded) return { is: "early" };
  return { is: "none", why: `none of the lines is of the declared form ${form.name}` };
}

const decided = (form: Form, facts: Facts): Recognition => ({
  is: "decided",
  form: form.name,
  facts,
  masked: false,
  why: null,
});

const asksFirst = ({ form }: Account): number => (form.confirm === undefined ? 0 : 1);

const isOwn = ({ form }: Account): boolean => form.steps !== undefined;

/** A form of the settings file never beats one that is built in, however many lines it fits. */
const ownLast = (account: Account): number => (isOwn(account) ? 1 : 0);

function accountOf(form: Form, heard: Heard, facts: Facts): Account {
  const pieces = piecesOf(form, heard).map((piece) => ({
    piece,
    what: said(form, facts, piece.raw),
  }));
  const fits = pieces.filter(({ what }) => what !== null).length;
  const weights = pieces.filter(
    ({ what }) => what?.is === "weight" || (what?.is === "unreadable" && what.lacks !== undefined),
  ).length;
  const parts = pieces.map(({ piece }) => partsOf(form, piece.raw)).filter((one) => one !== null);
  const shown = form.shownBy === undefined || form.shownBy(parts);
  const share = shown && pieces.length > 0 ? fits / pieces.length : 0;
  return { form, share, weights, pieces };
}

/**
 * As many frames as there are lines, so that it does not matter how much more one chunk has brought. A stretch
 * between frames is a piece that did not fit, unless it is as short as a checksum or a line end.
 */
function piecesOf(form: Form, heard: Heard): readonly Piece[] {
  if (form.cut === "line") return heard.lines;
  const last = heard.lines.at(-1);
  if (last === undefined) return [];
  const { length } = form.cut;
  const whole = framesIn(form, heard.text)
    .found.slice(1)
    .filter((one) => one.is === "frame" || one.raw.length >= length / 2)
    .map((one) => ({ ...last, raw: one.raw }));
  const count = heard.lines.length;
  return count < linesKept ? whole.slice(0, count) : whole.slice(-count);
}

function differ(one: Account, other: Account): boolean {
  if (one === other) return false;
  const withOwn = isOwn(one) || isOwn(other);
  if (one.form.cut !== other.form.cut) return withOwn;
  return one.pieces.some(({ what: a }, at) => {
    const b = other.pieces[at]?.what ?? null;
    if (a === null || b === null) return false;
    if (a.is !== "weight" || b.is !== "weight") return kindOf(a) !== kindOf(b);
    if (withOwn && (a.basis !== b.basis || a.scaleSaysStill !== b.scaleSaysStill)) return true;
    return Math.abs(a.mass - b.mass) > 1e-6;
  });
}

const kindOf = (what: Said): string =>
  what.is === "unreadable" ? `unreadable ${what.lacks ?? ""}` : what.is;

const onlyOverload =
  "the scale has shown no weight yet, only over, under or errors: take the load off the pan";

function whyNone(heard: Heard, accounts: readonly Account[]): string {
  if (shareOf(heard.text, isText) < printableShare) {
    return "most of the bytes are no text: the speed (baud) is set wrong, or the scale sends binary counts";
  }
  const nearest = accounts.toSorted((a, b) => b.share - a.share)[0];
  const last = heard.lines.at(-1)?.raw.trim() ?? "";
  if (!nearest || nearest.share === 0) return `no form known fits lines such as "${last}"`;
  const percent = Math.round(nearest.share * 100);
  return `no form fits all lines; the nearest (${nearest.form.title}) fits ${percent} % of them. The last line is "${last}"`;
}

const bytesToDoubt = 48;
const bytesWithoutEnd = 512;

/**
 * Whether these bytes are no text at all, with or without a parity bit, or text without an end of line: as from a
 * line that is read at another speed than it is sent.
 */
export function isOfWrongSpeed(text: string): boolean {
  if (text.length < bytesToDoubt) return false;
  const high = shareOf(text, (code) => code >= 0x80);
  const isMarked = high >= shareNeeded || (high > 0 && parityOf(text) !== null);
  const seven = isMarked ? withoutEighthBit(text) : text;
  if (shareOf(seven, isText) < printableShare) return true;
  if (["\r", "\n", "\u0003", "\u0004"].some((end) => seven.includes(end))) return false;
  // Much too slow, a whole line is one byte or two, always the same.
  return text.length >= bytesWithoutEnd || new Set(seven).size <= 2;
}

/** Blank to tilde, and the control characters that frame lines. */
const isText = (code: number): boolean =>
  (code >= 0x20 && code <= 0x7e) || (code >= 1 && code <= 4) || code === 0x0a || code === 0x0d;

function shareOf(text: string, is: (code: number) => boolean): number {
  if (text.length === 0) return 0;
  let count = 0;
  for (let at = 0; at < text.length; at++) if (is(text.charCodeAt(at))) count += 1;
  return count / text.length;
}

function parityAdvice(text: string): string {
  const parity = parityOf(text);
  return parity === null
    ? "set bits=7 and the parity of the scale so that it is checked"
    : `set bits=7&parity=${parity} so that it is checked`;
}

/** The parity that nearly all bytes have; text without a parity bit has neither. */
function parityOf(text: string): "even" | "odd" | null {
  const even = shareOf(text, (code) => onesIn(code) % 2 === 0);
  if (even >= shareNeeded) return "even";
  return even <= 1 - shareNeeded ? "odd" : null;
}

function onesIn(code: number): number {
  let ones = 0;
  for (let left = code; left > 0; left >>= 1) ones += left & 1;
  return ones;
}
