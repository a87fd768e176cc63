/**
 * Recognition tried on every form, at three rates, on clean and on spoilt streams, through the program's own
 * cutter and reader. `right`: the form was found and every whole line read as it was sent. `asks`: a person was
 * asked, the true answer was among those offered, and with it every whole line read as it was sent. `refuses`:
 * no form, and the reason said. `wrong`: a whole line read as another weight, or a weight from no weight line.
 */
import { LineCutter } from "../../src/port/lines.ts";
import { noFacts, type Candidate, type BuiltInName } from "../../src/reading/form.ts";
import { forms } from "../../src/reading/forms.ts";
import { withoutEighthBit } from "../../src/reading/piece.ts";
import type { Reading } from "../../src/reading/reading.ts";
import { afterChunk, choose, startStream, type Step } from "../../src/reading/stream.ts";
import { monoMs, utcMs } from "../../src/units/quantity.ts";
import { play, seeded, type Script, type TimedLine } from "../../tests/rig/scale.ts";
import { atOtherSpeed, withParity } from "./wire.ts";

export const rates = [2, 10, 50] as const;
export const spoils = [
  "clean",
  "mid-line",
  "1 % damaged",
  "start-up text",
  "eighth bit",
  "wrong speed",
] as const;
export type Spoil = (typeof spoils)[number];
export type Outcome = "right" | "asks" | "refuses" | "wrong";
type Case = {
  readonly form: BuiltInName;
  readonly linesPerS: number;
  readonly spoil: Spoil;
  readonly seed: number;
};
export type Tried = {
  readonly outcome: Outcome;
  readonly why: string;
  /** Lines that came in before the form was known or the question was asked. */
  readonly linesBefore: number | null;
  /** Damaged lines that were read as some weight. */
  readonly slipped: number;
};

export const formNames: readonly BuiltInName[] = forms.map(({ name }) => name);

const scales = [
  { unit: "g", step: 0.1 },
  { unit: "g", step: 1 },
  { unit: "kg", step: 0.001 },
  { unit: "kg", step: 0.005 },
  { unit: "oz", step: 0.05 },
  { unit: "lb", step: 0.01 },
  { unit: "g", step: 0.01 },
] as const satisfies Pick<Script, "unit" | "step">[];

const gramsPer = { g: 1, kg: 1000, oz: 28.349523125, lb: 453.59237 } as const;
const linesPlayed = 120;

/** Made-up texts of a scale that starts. */
const startUp = [
  "Model 12-B",
  "Ver 3.01",
  "S/N 00123456",
  "Max 6000g d=0.1g",
  "SELF TEST OK",
  "2026-01-01 08:15",
  "----",
  "READY.",
  "(c) nobody",
  "8888888",
];

type Sent = { readonly atMs: number; readonly bytes: Uint8Array };

export function tryCase(one: Case): Tried {
  const chance = seeded(
    0x9e3779b1 ^ (one.seed * 7919 + one.linesPerS * 31 + hash(one.form + one.spoil)),
  );
  for (let at = 0; at < 8; at++) chance();
  const script = scriptOf(one, chance);
  const lines = play(script);
  const truth = new Map(lines.map((line) => [keyOf(line.line), line]));
  const sent = spoilt(lines, one, chance);
  const listener = new Listener(one, script.unit, truth);
  for (const { atMs, bytes } of sent) {
    for (const part of cutAtRandom(bytes, chance)) listener.hear(part, atMs);
  }
  return listener.tried();
}

function scriptOf({ form, linesPerS, seed }: Case, chance: () => number): Script {
  const scale =
    form === "pounds-ounces"
      ? ({ unit: "oz", step: 0.1 } as const)
      : scales[Math.floor(chance() * scales.length)]!;
  const everyMs = 1000 / linesPerS;
  const forMs = everyMs * linesPlayed;
  const stepGrams = scale.step * gramsPer[scale.unit];
  const most = Math.min(9000 * stepGrams, 5000);
  const at = (share: number, grams: number) => ({ atMs: forMs * share, grams });
  return {
    form,
    ...scale,
    noiseGrams: stepGrams * 0.3,
    everyMs,
    forMs,
    seed: 1 + seed * 104729 + linesPerS,
    actions: [
      at(0, chance() < 0.5 ? 0 : most * chance()),
      at(0.1 + 0.3 * chance(), most * (0.2 + 0.8 * chance())),
      at(0.5, most * chance()),
      at(0.8, 0),
    ],
  };
}

function spoilt(lines: readonly TimedLine[], one: Case, chance: () => number): readonly Sent[] {
  const sent = lines.map(({ atMs, line }) => ({
    atMs,
    bytes: Buffer.from(line, "latin1") as Uint8Array,
  }));
  switch (one.spoil) {
    case "clean":
      return sent;
    case "mid-line": {
      const [first, ...rest] = sent;
      const cut = 1 + Math.floor(chance() * (first!.bytes.length - 1));
      return [{ ...first!, bytes: first!.bytes.subarray(cut) }, ...rest];
    }
    case "1 % damaged":
      return sent.map((line) =>
        chance() < 0.01 ? { ...line, bytes: damaged(line.bytes, chance) } : line,
      );
    case "start-up text": {
      const from = Math.floor(chance() * startUp.length);
      const texts = [0, 1, 2, 3, 4].map((at) => `${startUp[(from + at) % startUp.length]}\r\n`);
      return [...texts.map((text) => ({ atMs: 0, bytes: Buffer.from(text, "latin1") })), ...sent];
    }
    case "eighth bit": {
      const parity = (["even", "odd", "mark"] as const)[one.seed % 3]!;
      return sent.map((line) => ({ ...line, bytes: withParity(line.bytes, parity) }));
    }
    case "wrong speed": {
      const faster = [0.25, 0.5, 2, 4, 0.125, 8, 0.75, 12][one.seed % 8]!;
      const restBits = Math.floor(one.seed / 8) % 3;
      return sent.map((line) => ({ ...line, bytes: atOtherSpeed(line.bytes, faster, restBits) }));
    }
  }
}

/** One byte changed, lost or doubled. */
function damaged(bytes: Uint8Array, chance: () => number): Uint8Array {
  const at = Math.floor(chance() * bytes.length);
  const how = Math.floor(chance() * 3);
  const middle =
    how === 0 ? [Math.floor(chance() * 256)] : how === 1 ? [] : [bytes[at]!, bytes[at]!];
  return Uint8Array.from([...bytes.subarray(0, at), ...middle, ...bytes.subarray(at + 1)]);
}

function cutAtRandom(bytes: Uint8Array, chance: () => number): readonly Uint8Array[] {
  const cut = Math.floor(chance() * (bytes.length + 1));
  return [bytes.subarray(0, cut), bytes.subarray(cut)].filter((part) => part.length > 0);
}

class Listener {
  readonly #case: Case;
  readonly #truth: ReadonlyMap<string, TimedLine>;
  readonly #unit: Script["unit"];
  readonly #cutter = new LineCutter();
  #stream = startStream({ form: null, facts: noFacts });
  #asked = false;
  #lines = 0;
  #linesBefore: number | null = null;
  #slipped = 0;
  #wrong: string | null = null;

  constructor(one: Case, unit: Script["unit"], truth: ReadonlyMap<string, TimedLine>) {
    this.#unit = unit;
    this.#case = one;
    this.#truth = truth;
    this.#cutter.reset(one.spoil === "mid-line");
  }

  hear(bytes: Uint8Array, atMs: number): void {
    const lines = this.#cutter.cut(bytes);
    this.#lines += lines.length;
    const stamp = { atMonoMs: monoMs(atMs), atUtcMs: utcMs(atMs) };
    this.#take(afterChunk(this.#stream, { bytes, ...stamp }, lines));
    // A person answers within the lines played, once there is something on the pan to compare.
    for (let asked = 0; asked < 3 && this.#stream.report.question !== null; asked++) {
      this.#asked = true;
      const answer = this.#stream.report.candidates.find((one) => this.#agrees(one));
      if (!answer) return;
      this.#take(
        choose(this.#stream, {
          form: answer.form,
          ...(answer.unit && { unit: answer.unit }),
          ...(answer.division && { division: answer.division }),
        }),
      );
    }
  }

  tried(): Tried {
    const { form, why, question } = this.#stream.report;
    const done = { linesBefore: this.#linesBefore, slipped: this.#slipped };
    if (this.#wrong !== null) return { ...done, outcome: "wrong", why: this.#wrong };
    if (question !== null || (this.#asked && form !== null))
      return { ...done, outcome: "asks", why: question ?? "" };
    if (form !== null) return { ...done, outcome: "right", why: form };
    return why === null && this.#case.spoil !== "wrong speed"
      ? { ...done, outcome: "wrong", why: "neither a form, nor a question, nor a reason" }
      : { ...done, outcome: "refuses", why: why ?? "too few lines" };
  }

  #take(step: Step): void {
    this.#stream = step.stream;
    for (const reading of step.readings) this.#judge(reading);
    const { form, question } = step.stream.report;
    if (form !== null || question !== null) this.#linesBefore ??= this.#lines;
  }

  #judge(reading: Reading): void {
    if (reading.is !== "weight") return;
    const line = this.#truth.get(keyOf(reading.raw));
    if (line === undefined && this.#case.spoil === "1 % damaged") this.#slipped += 1;
    else if (line === undefined)
      this.#wrong ??= `${JSON.stringify(reading.raw)} is no line of the scale`;
    else if (Math.abs(reading.mass - line.grams) > 1e-6)
      this.#wrong ??= `${JSON.stringify(reading.raw)} is ${line.grams} g, read as ${reading.mass} g`;
    else if (reading.scaleSaysStill !== null && reading.scaleSaysStill !== line.still)
      this.#wrong ??= `${JSON.stringify(reading.raw)}: still read as ${reading.scaleSaysStill}`;
  }

  /** What a person sees who compares an offered answer with the display. */
  #agrees(one: Candidate): boolean {
    const line = this.#truth.get(keyOf(one.raw));
    if (line === undefined) return false;
    // A question for the unit alone, while the point is open too.
    if (one.reading.is !== "weight") return one.unit === this.#unit;
    return line.grams !== 0 && Math.abs(one.reading.mass - line.grams) < 1e-6;
  }
}

const keyOf = (raw: string): string => withoutEighthBit(raw).replaceAll(/^[\n\r]+|[\n\r]+$/g, "");

function hash(text: string): number {
  let sum = 17;
  for (const letter of text) sum = (sum * 31 + letter.charCodeAt(0)) | 0;
  return sum;
}
