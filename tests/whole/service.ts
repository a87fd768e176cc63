/**
 * The built service as a child process, with a client for its API and its websocket:
 * `const service = await Service.start({ scale: line.path, timeFactor: 1000 })`, then `service.get("/api/bench")`,
 * `service.live()`, `await service.stop()`.
 */
import { spawn, type ChildProcess } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import WebSocket from "ws";
import { newestIn } from "../../.ci/build.mjs";
import { replay, type Replayed } from "../../src/service/replay.ts";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import type { Batch } from "../../src/wire/batch.ts";
import type { Bench } from "../../src/wire/bench.ts";
import type { FromService } from "../../src/wire/messages.ts";

const root = join(import.meta.dirname, "..", "..");
const program = join(root, "dist", "main.js");
const startWithinMs = 60_000;
/** Ends what hangs; says nothing of how quick anything is. */
const patienceMs = 30_000;
const turnMs = 50;

export type Started = {
  readonly scale?: string;
  readonly data: string;
  readonly timeFactor?: number;
  /** Lets the service believe that it is so much earlier, to play what happened hours ago. */
  readonly hoursAgo?: number;
  /** The command within which the program runs. */
  readonly within?: readonly string[];
  /** By how much `jump` moves the computer's clock. */
  readonly jumpHours?: number;
  /** For how long, at a `jump`, the program was held with the computer awake, and then asleep with it. */
  readonly heldHours?: number;
  readonly sleptHours?: number;
  /** Further options of `run`. */
  readonly more?: readonly string[];
};

/** The service asks for the time by these three calls alone; each SIGUSR2 moves them on. */
const earlier = ({ hoursAgo = 0, jumpHours = 0, heldHours = 0, sleptHours = 0 }: Started): string =>
  `data:text/javascript,${encodeURIComponent(`
    import os from "node:os";
    import { syncBuiltinESMExports } from "node:module";
    const { now } = Date;
    const { uptime } = os;
    const elapsed = performance.now.bind(performance);
    let [date, mono, up] = [${-hoursAgo}, 0, 0];
    Date.now = () => now() + date * 3_600_000;
    performance.now = () => elapsed() + mono * 3_600_000;
    os.uptime = () => uptime() + up * 3_600;
    syncBuiltinESMExports();
    process.on("SIGUSR2", () => {
      date += ${jumpHours + heldHours + sleptHours};
      mono += ${heldHours};
      up += ${heldHours + sleptHours};
    });
  `)}`;

/** An old build would be tested in place of what is written now. */
function refuseStaleBuild(): void {
  const built = join(root, "dist", ".built");
  if (existsSync(built) && statSync(built).mtimeMs >= newestIn(root)) return;
  throw new Error("dist/ is older than the sources: run npm run build, then the tests again");
}

/** A fresh data folder, and the way to take it away. */
export function dataFolder(): { readonly path: string; remove(): void } {
  const path = mkdtempSync(join(tmpdir(), "stillweight-whole-"));
  return { path, remove: () => rmSync(path, { recursive: true, force: true }) };
}

export type Answer = { readonly status: number; readonly type: string; readonly body: unknown };

export class Service {
  readonly url: string;
  readonly #child: ChildProcess;
  readonly #said: string[];

  private constructor(url: string, child: ChildProcess, said: string[]) {
    this.url = url;
    this.#child = child;
    this.#said = said;
  }

  static async start(asked: Started): Promise<Service> {
    const { scale, data, timeFactor, more = [], within = [] } = asked;
    refuseStaleBuild();
    const args = [program, "run", "--data", data, "--port", "0", ...more];
    if (scale !== undefined) args.push("--scale", scale);
    if (timeFactor !== undefined) args.push("--time-factor", String(timeFactor));
    const node = ["--enable-source-maps", "--import", earlier(asked)];
    const [command = "", ...rest] = [...within, process.execPath, ...node, ...args];
    const child = spawn(command, rest, {
      stdio: ["ignore", "pipe", "pipe"],
    });
    const said: string[] = [];
    child.stderr?.on("data", (bytes: Buffer) => said.push(bytes.toString()));
    const url = await new Promise<string>((resolve, reject) => {
      const give = (why: string): void => {
        child.kill("SIGKILL");
        reject(new Error(`${why}\n${said.join("")}`));
      };
      const timer = setTimeout(() => give("the service did not start in time"), startWithinMs);
      child.once("exit", (code) => {
        clearTimeout(timer);
        give(`the service ended with ${code} at its start`);
      });
      child.stdout?.on("data", (bytes: Buffer) => {
        said.push(bytes.toString());
        const found = /listening on (https?:\/\/\S+)/.exec(said.join(""));
        if (found?.[1] === undefined) return;
        clearTimeout(timer);
        child.removeAllListeners("exit");
        // "Everywhere" is no name under which anybody asks.
        resolve(found[1].replace(/\/$/, "").replace("//0.0.0.0:", "//127.0.0.1:"));
      });
    });
    return new Service(url, child, said);
  }

  /** Sets the computer's clock, as network time or a person would. */
  jump(): void {
    this.#child.kill("SIGUSR2");
  }

  get pid(): number {
    return this.#child.pid ?? 0;
  }

  /** What it has printed so far. */
  said(): string {
    return this.#said.join("");
  }

  isUp(): boolean {
    return this.#child.exitCode === null && this.#child.signalCode === null;
  }

  async ask(method: string, path: string, body?: unknown): Promise<Answer> {
    const answer = await fetch(this.url + path, {
      method,
      ...(body === undefined
        ? {}
        : { headers: { "content-type": "application/json" }, body: JSON.stringify(body) }),
    });
    const text = await answer.text();
    const type = answer.headers.get("content-type") ?? "";
    return { status: answer.status, type, body: type.includes("json") ? JSON.parse(text) : text };
  }

  async get<T>(path: string): Promise<T> {
    return this.#fine<T>("GET", path);
  }

  async post<T>(path: string, body: unknown): Promise<T> {
    return this.#fine<T>("POST", path, body);
  }

  bench(): Promise<Bench> {
    return this.get<Bench>("/api/bench");
  }

  batch(id: number): Promise<Batch> {
    return this.get<Batch>(`/api/batches/${id}`);
  }

  async #fine<T>(method: string, path: string, body?: unknown): Promise<T> {
    const answer = await this.ask(method, path, body);
    if (answer.status >= 300)
      throw new Error(`${method} ${path}: ${answer.status} ${JSON.stringify(answer.body)}`);
    return answer.body as T;
  }

  live(): Promise<Live> {
    return Live.open(this.url);
  }

  /** As a person would, with Ctrl+C; resolves to the exit code. */
  async stop(): Promise<number | null> {
    if (!this.isUp()) return this.#child.exitCode;
    const ended = once(this.#child, "exit");
    this.#child.kill("SIGINT");
    const killer = setTimeout(() => this.#child.kill("SIGKILL"), patienceMs);
    await ended;
    clearTimeout(killer);
    return this.#child.exitCode;
  }

  /** As a power cut would. */
  async kill(): Promise<void> {
    const ended = once(this.#child, "exit");
    this.#child.kill("SIGKILL");
    await ended;
  }
}

/** Collects what the websocket says, in order. */
export class Live {
  readonly messages: FromService[] = [];
  readonly socket: WebSocket;
  #listeners = new Set<() => void>();
  #isGone = false;
  #closedWith: number | null = null;

  private constructor(socket: WebSocket) {
    this.socket = socket;
    socket.on("close", (code) => (this.#closedWith = code));
    socket.on("message", (data: Buffer) => {
      this.messages.push(JSON.parse(data.toString()) as FromService);
      for (const listener of this.#listeners) listener();
    });
  }

  static async open(url: string): Promise<Live> {
    const live = new Live(new WebSocket(`${url.replace("http", "ws")}/api/live`, { origin: url }));
    await once(live.socket, "open");
    return live;
  }

  of<T extends FromService["type"]>(type: T): Extract<FromService, { type: T }>[] {
    return this.messages.filter(
      (message): message is Extract<FromService, { type: T }> => message.type === type,
    );
  }

  /** Resolves once `seen` holds, at the latest after `withinMs`; fails then with what was waited for. */
  until(what: string, seen: () => boolean, withinMs = patienceMs): Promise<void> {
    return new Promise((resolve, reject) => {
      const done = (): void => {
        clearInterval(timer);
        this.#listeners.delete(look);
      };
      const look = (): void => {
        if (this.#isGone) {
          done();
          reject(new Error(`the service is gone: ${what}`));
        } else if (seen()) {
          done();
          resolve();
        }
      };
      // Counted in turns of its own, so that a time in which the whole machine stood still is not held against it.
      let turns = 0;
      const timer = setInterval(() => {
        if (++turns < withinMs / turnMs) return;
        done();
        const last = this.messages
          .slice(-3)
          .map((message) => JSON.stringify(message).slice(0, 300));
        const closed = this.#closedWith === null ? "" : ` (closed with ${this.#closedWith})`;
        reject(
          new Error(`not within ${withinMs} ms${closed}: ${what}; last heard: ${last.join("\n")}`),
        );
      }, turnMs);
      this.#listeners.add(look);
      look();
    });
  }

  close(): void {
    this.socket.close();
  }

  /** Nothing more will come: whoever still waits is told so at once. */
  gone(): void {
    this.#isGone = true;
    for (const listener of this.#listeners) listener();
  }
}

/** What `check` finds of a folder's record; may be asked while the service runs. */
export function recordIn(folder: string): {
  readonly problems: readonly string[];
  readonly verdicts: Pick<Replayed, "checked" | "older">;
} {
  const { problems, holds } = inspectStore(databaseIn(folder), replay);
  return {
    problems,
    verdicts: { checked: holds?.replayed?.checked ?? 0, older: holds?.replayed?.older ?? 0 },
  };
}

/** Asks again every 50 ms until `fits` holds. */
export async function eventually<T>(
  what: string,
  ask: () => Promise<T>,
  fits: (seen: T) => boolean,
  withinMs = patienceMs,
): Promise<T> {
  for (let turns = 0; ; turns++) {
    const seen = await ask();
    if (fits(seen)) return seen;
    if (turns > withinMs / turnMs)
      throw new Error(`not within ${withinMs} ms: ${what}; last seen: ${JSON.stringify(seen)}`);
    await new Promise((resolve) => setTimeout(resolve, turnMs));
  }
}
