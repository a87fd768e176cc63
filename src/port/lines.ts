/**
 * Cuts bytes into lines at the edge of the program. In: bytes as they come. Out: whole lines in latin1, so that
 * the eighth bit survives. A line ends with CR, LF, ETX or EOT, with or without a parity bit; empty ones are
 * left out and blanks are kept. A run longer than any weight line is thrown away and counted, so that noise
 * cannot fill the memory; so is the half line that a connection may begin with. A tail without an end is never
 * a line.
 */
import { ReadlineParser } from "@serialport/parser-readline";

export const longestLine = 256;
const newline = 0x0a;
/** One for each byte that ends a line. */
const isEnd = new Uint8Array(256);
for (const end of [0x03, 0x04, 0x0a, 0x0d, 0x83, 0x84, 0x8a, 0x8d]) isEnd[end] = 1;

export class LineCutter {
  /** Bytes of overlong runs and of half lines. */
  discardedBytes = 0;
  #parser = newParser();
  #runLength = 0;
  #skipping = false;

  /** `midLine`: the connection may have begun inside a line, so nothing counts before the first end. */
  reset(midLine: boolean): void {
    this.#parser = newParser();
    this.#runLength = 0;
    this.#skipping = midLine;
  }

  cut(bytes: Uint8Array): readonly string[] {
    const kept = Buffer.allocUnsafe(bytes.length);
    let end = 0;
    let runStart = 0;
    for (const byte of bytes) {
      if (isEnd[byte] === 1) {
        if (this.#runLength > 0) kept[end++] = newline;
        this.#skipping = false;
        this.#runLength = 0;
        runStart = end;
      } else if (this.#skipping) {
        this.discardedBytes += 1;
      } else if (this.#runLength < longestLine) {
        kept[end++] = byte;
        this.#runLength += 1;
      } else {
        this.discardedBytes += this.#runLength + 1;
        // A run that began in an earlier chunk lies in the parser, and then nothing else does.
        if (this.#runLength > end - runStart) this.#parser = newParser();
        end = runStart;
        this.#runLength = 0;
        this.#skipping = true;
      }
    }
    return end > 0 ? this.#linesAfter(kept.subarray(0, end)) : [];
  }

  /** The parser answers within the call: nothing listens to it, its lines are taken out. */
  #linesAfter(bytes: Buffer): readonly string[] {
    this.#parser.write(bytes);
    const lines: string[] = [];
    for (let line: unknown = this.#parser.read(); line !== null; line = this.#parser.read()) {
      if (typeof line === "string") lines.push(line);
    }
    return lines;
  }
}

const newParser = (): ReadlineParser =>
  new ReadlineParser({ delimiter: "\n", encoding: "latin1", readableObjectMode: true });
