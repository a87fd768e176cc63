/**
 * Asks a scale that only answers when asked: once, then `everyMs` after each answer, or again when none comes within a
 * second. No more than one question is ever under way, so that none pile up before a scale that is slow or gone.
 */
export const usualEveryMs = 100;
const unansweredMs = 1000;

export class Asker {
  readonly #ask: () => Promise<void>;
  readonly #everyMs: number;
  #timer: NodeJS.Timeout | null = null;
  #answered = true;
  /** A question that the port has not taken yet. */
  #isUnderWay = false;

  constructor(ask: () => Promise<void>, everyMs: number = usualEveryMs) {
    this.#ask = ask;
    this.#everyMs = everyMs;
  }

  start(): void {
    this.stop();
    this.#next(0);
  }

  /** A line came. */
  answered(): void {
    if (this.#timer === null || this.#answered) return;
    this.#answered = true;
    this.#next(this.#everyMs);
  }

  stop(): void {
    if (this.#timer) clearTimeout(this.#timer);
    this.#timer = null;
    this.#answered = true;
  }

  #next(waitMs: number): void {
    if (this.#timer) clearTimeout(this.#timer);
    this.#timer = setTimeout(() => {
      this.#answered = false;
      this.#send();
      this.#next(Math.max(unansweredMs, this.#everyMs));
    }, waitMs);
  }

  #send(): void {
    if (this.#isUnderWay) return;
    this.#isUnderWay = true;
    // A request that cannot be sent is a lost link, which the port tells itself.
    void this.#ask()
      .catch(() => undefined)
      .finally(() => (this.#isUnderWay = false));
  }
}
