/**
 * Plays a scale into a real serial path: `const line = await Pty.start()`, open `line.path` with the program
 * under test, then `line.send("ST,GS,+  1.0 g\r\n")`, `line.every(100, lines)`, `await line.pull()`,
 * `await line.plug()`, and `await line.close()` at the end. `path` is a symbolic link that stays the same over
 * pulls, as /dev/serial/by-id does. `got()` is what the program has sent to the scale.
 */
import { spawn, type ChildProcess } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";

type Answer = {
  readonly plugged?: string;
  readonly pulled?: true;
  readonly got?: string;
  readonly done?: string;
};

export class Pty {
  readonly path: string;
  /** The device that `path` stands for at present; another one after every plug. */
  device = "";
  readonly #folder: string;
  readonly #child: ChildProcess;
  readonly #received: Buffer[] = [];
  #waiting: { name: keyof Answer; resolve: () => void; reject: (why: Error) => void }[] = [];

  private constructor(rigFolder: string) {
    this.#folder = mkdtempSync(join(tmpdir(), "stillweight-line-"));
    this.path = join(this.#folder, "scale");
    this.#child = spawn("python3", [join(rigFolder, "pty.py"), this.path], {
      stdio: ["pipe", "pipe", "inherit"],
    });
    createInterface({ input: this.#child.stdout! }).on("line", (line) => {
      this.#hear(JSON.parse(line) as Answer);
    });
    this.#child.on("exit", (code) => {
      for (const one of this.#waiting) one.reject(new Error(`the rig ended with ${code}`));
      this.#waiting = [];
    });
    this.#child.on("error", (error) => {
      for (const one of this.#waiting) one.reject(error);
      this.#waiting = [];
    });
    this.#child.stdin!.on("error", () => undefined);
  }

  /** `rigFolder`: where pty.py lies, for a caller that was compiled to another place. */
  static async start(rigFolder: string = import.meta.dirname): Promise<Pty> {
    const line = new Pty(rigFolder);
    await line.#answer("plugged");
    return line;
  }

  /** Latin1 text or bytes, at once. */
  send(what: string | Uint8Array): void {
    this.#tell({ hex: Buffer.from(what as string, "latin1").toString("hex") });
  }

  /** After `ms` since the last `zero()` or the start. */
  sendAt(ms: number, what: string | Uint8Array): void {
    this.#tell({ at_ms: ms, hex: Buffer.from(what as string, "latin1").toString("hex") });
  }

  zero(): void {
    this.#tell({ zero: true });
  }

  /** One of `texts` after the other every `ms`, round and round, also over a pull and a plug. */
  every(ms: number, texts: readonly string[]): void {
    this.#tell({ every_ms: ms, texts });
  }

  async stop(): Promise<void> {
    this.#tell({ stop: true });
    await this.#answer("done");
  }

  async pull(): Promise<void> {
    this.#tell({ pull: true });
    await this.#answer("pulled");
  }

  async plug(): Promise<void> {
    this.#tell({ plug: true });
    await this.#answer("plugged");
  }

  got(): string {
    return Buffer.concat(this.#received).toString("latin1");
  }

  async close(): Promise<void> {
    if (this.#child.exitCode === null) {
      const ended = once(this.#child, "exit");
      this.#child.stdin!.end();
      await ended;
    }
    rmSync(this.#folder, { recursive: true, force: true });
  }

  #tell(command: object): void {
    this.#child.stdin!.write(`${JSON.stringify(command)}\n`);
  }

  #answer(name: keyof Answer): Promise<void> {
    return new Promise((resolve, reject) => this.#waiting.push({ name, resolve, reject }));
  }

  #hear(answer: Answer): void {
    if (answer.plugged !== undefined) this.device = answer.plugged;
    if (answer.got !== undefined) this.#received.push(Buffer.from(answer.got, "hex"));
    const next = this.#waiting.find((one) => answer[one.name] !== undefined);
    if (!next) return;
    this.#waiting = this.#waiting.filter((one) => one !== next);
    next.resolve();
  }
}
