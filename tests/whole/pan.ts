/**
 * A scale's pan on a pseudo-terminal, played in real time: ten lines a second with a stability mark, a mode, a
 * signed number, a unit; a load rings when it is put down. The noise is seeded and a fifth of a division.
 */
import type { Pty } from "../rig/pty.ts";

export const divisionGrams = 0.1;
const noiseGrams = 0.02;
const periodMs = 100;

export class Pan {
  readonly #line: Pty;
  readonly #timer: NodeJS.Timeout;
  #state = 20_261_125;
  #before = 0;
  #now = 0;
  #since = performance.now();
  #shown: number[] = [];
  #hidden = 0;

  constructor(line: Pty) {
    this.#line = line;
    this.#timer = setInterval(() => this.#line.send(this.#next()), periodMs);
  }

  place(grossGrams: number): void {
    this.#before = this.#felt();
    this.#now = grossGrams;
    this.#since = performance.now();
  }

  lift(): void {
    this.place(0);
  }

  /** The scale's own tare key: what lies there now shows as nothing, and as net from then on. */
  tare(): void {
    this.#hidden = this.#now;
  }

  stop(): void {
    clearInterval(this.#timer);
  }

  /** A swing of 3 Hz that is down to a division of a kilogram's load after 0.6 seconds. */
  #felt(): number {
    const s = (performance.now() - this.#since) / 1000;
    return this.#now + (this.#before - this.#now) * Math.exp(-16 * s) * Math.cos(6 * Math.PI * s);
  }

  #next(): string {
    const felt = this.#felt() - this.#hidden + noiseGrams * this.#normal();
    const figure = Math.round(felt / divisionGrams) / 10;
    this.#shown = [...this.#shown, figure].slice(-4);
    const still = Math.max(...this.#shown) - Math.min(...this.#shown) <= divisionGrams * 1.01;
    const sign = figure < 0 ? "-" : "+";
    const mode = this.#hidden === 0 ? "GS" : "NT";
    return `${still ? "ST" : "US"},${mode},${sign}${Math.abs(figure).toFixed(1).padStart(7)} g\r\n`;
  }

  /** The sum of twelve even draws less six: close to normal, from a generator of Park and Miller (1988). */
  #normal(): number {
    let sum = -6;
    for (let draw = 0; draw < 12; draw++) {
      this.#state = (this.#state * 16_807) % 2_147_483_647;
      sum += this.#state / 2_147_483_647;
    }
    return sum;
  }
}
