/**
 * The speed of a serial line whose address leaves it open. In: what comes at the speed that is tried. Out: whether
 * another is to be tried, and which. Nothing is sent, and a line on which nothing comes is left as it is. Parity and
 * the number of data bits need no search: seven bits with a parity are recognised from eight.
 */
import { isOfWrongSpeed } from "../reading/recognise.ts";
import { latin1 } from "../reading/piece.ts";

/** Those that scales are seen with, the usual one first; common practice, no source. */
export const usualSpeeds = [9600, 4800, 2400, 19_200, 1200, 38_400, 57_600, 115_200] as const;

const mostKept = 512;
/** Noise without end must not open the port without end. */
const leastMs = 200;

export class SpeedSearch {
  #at = 0;
  #text = "";
  #tried = 0;
  #isProven = false;

  get baud(): number {
    return usualSpeeds[this.#at % usualSpeeds.length] ?? usualSpeeds[0];
  }

  /** Speeds that were given up since the last one that was right. */
  get tried(): number {
    return this.#tried;
  }

  /** Forgets what came, not the speed: the connection is a new one. */
  begin(): void {
    this.#text = "";
  }

  /** The form is known, or a person can be asked: what comes is text at this speed. */
  found(): void {
    this.#tried = 0;
    this.#isProven = true;
    this.#text = "";
  }

  /** True when what came looks like another speed; the next one is then in force. */
  isWrong(bytes: Uint8Array, openForMs: number): boolean {
    this.#text = (this.#text + latin1(bytes.subarray(-mostKept))).slice(-mostKept);
    if (openForMs < leastMs) return false;
    // A spark on a line that was understood is no reason to leave its speed.
    if (this.#isProven && this.#text.length < mostKept) return false;
    if (!isOfWrongSpeed(this.#text)) return false;
    this.#isProven = false;
    this.#at += 1;
    this.#tried += 1;
    this.#text = "";
    return true;
  }
}
