/** Asks a scale that only answers when asked, at most ten times a second, and again when no answer comes. */
const afterAnswerMs = 100;
const unansweredMs = 1000;

export class Asker {
  readonly #ask: () => Promise<void>;
  #timer: NodeJS.Timeout | null = null;
  #answered = true;

  constructor(ask: () => Promise<void>) {
    this.#ask = ask;
  }

  start(): void {
    this.stop();
    this.#next(0);
  }

  /** A line came. */
  answered(): void {
    if (this.#timer === null || this.#answered) return;
    this.#answered = true;
    this.#next(afterAnswerMs);
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
      // A request that cannot be sent is a lost link, which the port tells itself.
      this.#ask().catch(() => undefined);
      this.#next(unansweredMs);
    }, waitMs);
  }
}
