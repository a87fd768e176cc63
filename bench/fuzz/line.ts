/** A scale behind a network address that says what it is told to, while the service's clock is moved on with it. */
import { once } from "node:events";
import { createServer, type AddressInfo, type Server, type Socket } from "node:net";

const stepMs = 100;
const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

export class FuzzLine {
  readonly #server: Server;
  readonly #sockets = new Set<Socket>();

  private constructor(server: Server) {
    this.#server = server;
    server.on("connection", (socket) => {
      this.#sockets.add(socket);
      socket.on("error", () => undefined);
      socket.on("data", () => undefined);
      socket.on("close", () => this.#sockets.delete(socket));
    });
  }

  static async start(): Promise<FuzzLine> {
    const server = createServer();
    server.listen(0, "127.0.0.1");
    await once(server, "listening");
    return new FuzzLine(server);
  }

  get uri(): string {
    return `tcp://127.0.0.1:${(this.#server.address() as AddressInfo).port}`;
  }

  get isRead(): boolean {
    return this.#sockets.size > 0;
  }

  /** Says one weight for so many tenths of a second of the service's time. */
  async show(grams: number, times: number, pass: (ms: number) => void): Promise<void> {
    for (let n = 0; n < times; n++) {
      const text = `ST,GS,+${grams.toFixed(1).padStart(7)} g\r\n`;
      for (const socket of this.#sockets) socket.write(text);
      await wait(2);
      pass(stepMs);
    }
  }

  close(): void {
    for (const socket of this.#sockets) socket.destroy();
    this.#server.close();
  }
}
