/** Bytes cut at the edge and read, as the program does it, but with made-up times. */
import { LineCutter } from "../../src/port/lines.ts";
import { noFacts } from "../../src/reading/form.ts";
import type { Reading } from "../../src/reading/reading.ts";
import type { Declared } from "../../src/reading/recognise.ts";
import { afterChunk, startStream, type FormReport, type Stream } from "../../src/reading/stream.ts";
import { monoMs, utcMs } from "../../src/units/quantity.ts";

const auto: Declared = { form: null, facts: noFacts };

export class Ear {
  stream: Stream;
  readonly readings: Reading[] = [];
  readonly reports: FormReport[] = [];
  readonly cutter = new LineCutter();
  #nowMs = 0;

  constructor(declared: Declared = auto) {
    this.stream = startStream(declared);
  }

  hear(bytes: Uint8Array | string, afterMs = 100): this {
    this.#nowMs += afterMs;
    const chunk = {
      bytes: typeof bytes === "string" ? Buffer.from(bytes, "latin1") : bytes,
      atMonoMs: monoMs(this.#nowMs),
      atUtcMs: utcMs(this.#nowMs),
    };
    const step = afterChunk(this.stream, chunk, this.cutter.cut(chunk.bytes));
    this.stream = step.stream;
    this.readings.push(...step.readings);
    if (step.report) this.reports.push(step.report);
    return this;
  }

  get report(): FormReport {
    return this.stream.report;
  }

  masses(): readonly (number | string)[] {
    return this.readings.map((one) => (one.is === "weight" ? one.mass : one.is));
  }
}

/** The same line again and again. */
export const times = (count: number, line: string): string[] => Array<string>(count).fill(line);
