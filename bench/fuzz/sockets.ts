/** Rubbish over real sockets: as frames of a websocket that is open, and as the bytes of a request. */
import { once } from "node:events";
import { connect } from "node:net";
import { WebSocket } from "ws";
import { below, letters, type Chance } from "./cases.ts";
import type { Fault } from "./routes.ts";

const bytes = (length: number, chance: Chance): Buffer =>
  Buffer.from(Array.from({ length }, () => below(256, chance)));

/** `address`: http://127.0.0.1:port of a running service, which has to be there after each case. */
export async function fuzzSockets(
  address: string,
  cases: number,
  chance: Chance,
): Promise<{ readonly cases: number; readonly faults: readonly Fault[] }> {
  const faults: Fault[] = [];
  const { port } = new URL(address);
  for (let sent = 0; sent < cases;) {
    const socket = new WebSocket(`${address.replace("http", "ws")}/api/live`);
    socket.on("error", () => undefined);
    await once(socket, "open");
    // Messages until the service has enough of this client, raw bytes beside the protocol now and then.
    for (let n = 0; n < 200 && socket.readyState === WebSocket.OPEN && sent < cases; n++) {
      sent += 1;
      if (n % 50 === 49) rawSocket(socket).write(bytes(1 + below(40, chance), chance));
      else if (chance() < 0.5) socket.send(letters(below(200, chance), chance));
      else socket.send(bytes(below(200, chance), chance));
      if (n % 20 === 19) await new Promise(setImmediate);
    }
    socket.terminate();
    const plain = connect(Number(port), "127.0.0.1");
    plain.on("error", () => undefined);
    plain.end(
      `${letters(1 + below(5, chance), chance)} /${letters(below(30, chance), chance)} HTTP/1.1\r\n${letters(below(90, chance), chance)}\r\n\r\n`,
      "latin1",
    );
    plain.resume();
    plain.setTimeout(3000, () => plain.destroy());
    await once(plain, "close");
    sent += 1;
    const { status } = await fetch(`${address}/api/bench`);
    if (status !== 200) faults.push({ asked: "the present, after rubbish", what: String(status) });
  }
  return { cases, faults };
}

/** The connection below the protocol: frames with reserved bits, unmasked, cut short. */
const rawSocket = (socket: WebSocket): NodeJS.WritableStream =>
  (socket as unknown as { readonly _socket: NodeJS.WritableStream })._socket;
