/**
 * A scale behind a network address that shows at once what was put on it: twenty lines a second, without a swing. For
 * tests that weigh often; `Pan` is the one that moves as a pan does.
 */
import { createServer, type Server, type Socket } from "node:net";
import { once } from "node:events";
import type { AddressInfo } from "node:net";

const periodMs = 50;

export class NetScale {
  readonly #server: Server;
  readonly #lines = new Set<Socket>();
  readonly #timer: NodeJS.Timeout;
  #gross = 0;

  private constructor(server: Server) {
    this.#server = server;
    server.on("connection", (line) => {
      this.#lines.add(line);
      line.on("error", () => undefined);
      line.on("close", () => this.#lines.delete(line));
    });
    this.#timer = setInterval(() => {
      for (const line of this.#lines) line.write(this.#text());
    }, periodMs);
  }

  static async start(): Promise<NetScale> {
    const server = createServer();
    server.listen(0, "127.0.0.1");
    await once(server, "listening");
    return new NetScale(server);
  }

  get uri(): string {
    return `tcp://127.0.0.1:${(this.#server.address() as AddressInfo).port}`;
  }

  /** Grams on the pan, to a tenth. */
  get gross(): number {
    return this.#gross;
  }

  place(grossGrams: number): void {
    this.#gross = grossGrams;
  }

  lift(): void {
    this.place(0);
  }

  close(): void {
    clearInterval(this.#timer);
    for (const line of this.#lines) line.destroy();
    this.#server.close();
  }

  #text = (): string => `ST,GS,+${this.#gross.toFixed(1).padStart(7)} g\r\n`;
}
