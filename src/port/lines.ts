/**
 * Cuts bytes into lines at the edge of the program. In: bytes as they come. Out: whole lines in latin1, so that
 * the eighth bit survives. A line ends with CR, LF, ETX or EOT, with or without a parity bit; empty ones are
 * left out and blanks are kept. A run longer than any weight line is thrown away and counted, so that noise
 * cannot fill the memory; so is the half line that a connection may begin with. A tail without an end is never
 * a line.
 */
import { ReadlineParser } from "@serialport/parser-readline";

export const longestLine = 256;
const newline = Buffer.from("\n");
/** One for each byte that ends a line. */
const isEnd = new Uint8Array(256);
for (const end of [0x03, 0x04, 0x0a, 0x0d, 0x83, 0x84, 0x8a, 0x8d]) isEnd[end] = 1;

export class LineCutter {
  /** Bytes of overlong runs and of half lines. */
  discardedBytes = 0;
  /** Joins the parts of a line that came in several chunks. */
  #parser = newParser();
  /** Of a run that has begun; its bytes lie in the parser, and then nothing else does. */
  #heldLength = 0;
  #skipping = false;

  /** `midLine`: the connection may have begun inside a line, so nothing counts before the first end. */
  reset(midLine: boolean): void {
    this.#parser = newParser();
    this.#heldLength = 0;
    this.#skipping = midLine;
  }

  cut(bytes: Uint8Array): readonly string[] {
    const chunk = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length);
    const lines: string[] = [];
    let start = 0;
    for (let at = 0; at < chunk.length; at++) {
      if (isEnd[chunk[at]!] !== 1) continue;
      const line = this.#end(chunk, start, at);
      if (line !== null) lines.push(line);
      start = at + 1;
    }
    if (start < chunk.length) this.#hold(chunk.subarray(start));
    return lines;
  }

  /** What lies between these two places ends a run; most runs begin there, too. */
  #end(chunk: Buffer, start: number, end: number): string | null {
    const isLine = this.#mayGoOn(end - start);
    this.#skipping = false;
    if (!isLine) return null;
    if (this.#heldLength === 0) return end > start ? chunk.toString("latin1", start, end) : null;
    this.#parser.write(chunk.subarray(start, end));
    this.#parser.write(newline);
    this.#heldLength = 0;
    return String(this.#parser.read());
  }

  #hold(part: Buffer): void {
    if (!this.#mayGoOn(part.length)) return;
    this.#parser.write(part);
    this.#heldLength += part.length;
  }

  /** Throws away what is too long for a line, and all that follows it up to the next end. */
  #mayGoOn(more: number): boolean {
    const tooLong = this.#heldLength + more > longestLine;
    if (!this.#skipping && !tooLong) return true;
    this.discardedBytes += this.#heldLength + more;
    if (this.#heldLength > 0) this.#parser = newParser();
    this.#heldLength = 0;
    this.#skipping = true;
    return false;
  }
}

const newParser = (): ReadlineParser =>
  new ReadlineParser({ delimiter: "\n", encoding: "latin1", readableObjectMode: true });
