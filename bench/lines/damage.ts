/** Lines that are whole, damaged or nonsense, the same ones for the same seed, and what the forms make of them. */
import { LineCutter } from "../../src/port/lines.ts";
import { noFacts, type Form, type BuiltInName, type Said } from "../../src/reading/form.ts";
import { forms } from "../../src/reading/forms.ts";
import { framesIn } from "../../src/reading/frame.ts";
import { said } from "../../src/reading/piece.ts";
import { afterChunk, startStream, type Stream } from "../../src/reading/stream.ts";
import { grams, monoMs, utcMs } from "../../src/units/quantity.ts";
import { lineOf } from "../../tests/rig/scale.ts";

type Chance = () => number;

const shows = [
  { unit: "g", step: 0.1 },
  { unit: "g", step: 1 },
  { unit: "kg", step: 0.001 },
  { unit: "oz", step: 0.05 },
  { unit: "lb", step: 0.01 },
] as const;

/** One whole line or frame of a form, with its line end. */
export function wholeLine(form: BuiltInName, chance: Chance): string {
  const show =
    form === "pounds-ounces" ? ({ unit: "oz", step: 0.1 } as const) : pick(shows, chance);
  const counts = Math.floor(chance() * 9000) - (chance() < 0.2 ? 4500 : 0);
  return lineOf({ form, ...show }, counts * show.step, chance() < 0.5);
}

/** A piece as the forms get it: frames whole, lines without their end. */
export const pieceOf = (form: Form, line: string): string =>
  form.cut === "line" ? line.split(/\r|\n/).join("") : line;

const someBytes = " +-.,:0123456789gkozlbtSTUNGOLDQRIEMw\0\x01\x02\x03\x04\r\n\x7f\xff";

/** Changed, lost, doubled and swapped bytes, `blows` of them, or a line of nonsense. */
export function mutated(line: string, blows: number, chance: Chance): string {
  let text = line;
  for (let blow = 0; blow < blows; blow++) {
    const at = Math.floor(chance() * (text.length + 1));
    const byte =
      chance() < 0.5
        ? pick(someBytes.split(""), chance)
        : String.fromCharCode(Math.floor(chance() * 256));
    const [before, after] = [text.slice(0, at), text.slice(at)];
    switch (Math.floor(chance() * 5)) {
      case 0:
      case 1:
        text = before + byte + after.slice(1);
        break;
      case 2:
        text = before + after.slice(1);
        break;
      case 3:
        text = before + byte + after;
        break;
      default:
        text = before + after.slice(0, 3) + after;
    }
  }
  return text;
}

export function nonsense(chance: Chance): string {
  const length = Math.floor(chance() * (chance() < 0.1 ? 300 : 40));
  const all = chance() < 0.3;
  return Array.from({ length }, () =>
    all ? String.fromCharCode(Math.floor(chance() * 256)) : pick(someBytes.split(""), chance),
  ).join("");
}

/** Why an answer of a form cannot be; null when it is in order. Throws what the form throws. */
function whyImpossible(form: Form, raw: string, what: Said | null): string | null {
  if (what === null || what.is !== "weight") return null;
  if (!Number.isFinite(what.mass) || Object.is(what.mass, -0)) return `a mass of ${what.mass}`;
  if (!(what.division > 0) || !Number.isFinite(what.division)) return `a step of ${what.division}`;
  if (form.cut !== "line" && raw.length !== form.cut.length)
    return `a weight from ${raw.length} bytes instead of ${form.cut.length}`;
  if (form.cut === "line" && raw.length > 256) return `a weight from ${raw.length} bytes`;
  return null;
}

const facts = { ...noFacts, unit: "g", division: grams(0.1) } as const;

/** The first complaint about one raw line, from all forms. */
export function complaint(raw: string): string | null {
  for (const form of forms) {
    for (const given of [noFacts, facts]) {
      const why = whyImpossible(form, raw, said(form, given, raw));
      if (why !== null) return `${form.name}: ${why} from ${JSON.stringify(raw)}`;
    }
  }
  return null;
}

export const checked = forms.filter(({ name }) => name.startsWith("xor-") || name.endsWith("-sum"));

/** Each byte of a frame replaced by each other value: those that the form still takes for a weight. */
export function singleBytesTaken(form: Form, frame: string): readonly string[] {
  const taken: string[] = [];
  for (let at = 0; at < frame.length; at++) {
    for (let byte = 0; byte < 256; byte++) {
      if (byte === frame.charCodeAt(at)) continue;
      const spoilt = frame.slice(0, at) + String.fromCharCode(byte) + frame.slice(at + 1);
      if (said(form, noFacts, spoilt) !== null) taken.push(spoilt);
    }
  }
  return taken;
}

/** Share of chance with which a random check byte agrees. */
export const checkShare = (form: Form): number =>
  form.name.startsWith("xor-") ? 1 / 256 : 1 / 128;

/** Frames in a run of bytes, as the program finds them. */
export const framesFound = (form: Form, bytes: string): readonly string[] =>
  framesIn(form, bytes).found.flatMap((one) => (one.is === "frame" ? [one.raw] : []));

/** Bytes pushed through the program's cutter and reader; what is kept of them is told, in characters. */
export class Mill {
  readonly cutter = new LineCutter();
  stream: Stream;
  readings = 0;
  #nowMs = 0;

  constructor(form: BuiltInName | null) {
    this.stream = startStream({ form, facts });
  }

  push(text: string): void {
    this.#nowMs += 20;
    const bytes = Buffer.from(text, "latin1");
    const stamp = { atMonoMs: monoMs(this.#nowMs), atUtcMs: utcMs(this.#nowMs) };
    const step = afterChunk(this.stream, { bytes, ...stamp }, this.cutter.cut(bytes));
    this.stream = step.stream;
    this.readings += step.readings.length;
  }

  keptCharacters(): number {
    const { lines, texts, rest, report } = this.stream;
    return [
      rest,
      ...lines.map(({ raw }) => raw),
      ...texts.map(({ text }) => text),
      ...report.candidates.map(({ raw }) => raw),
    ].reduce((sum, text) => sum + text.length, 0);
  }
}

export const mostKept = 20 * 256 + 4096 + 4096 + 20 * 256;

const pick = <T>(list: readonly T[], chance: Chance): T =>
  list[Math.floor(chance() * list.length)]!;
