/** A scale behind a serial-to-network converter, or one with a network socket of its own. */
import { connect, type Socket } from "node:net";
import type { Clock } from "../clock.ts";
import type { Port } from "./port.ts";
import { NotConnected, Supervisor, type Connection, type ConnectionEvents } from "./supervisor.ts";

const keepAliveMs = 15_000;

type TcpSettings = { readonly host: string; readonly port: number };

export const tcpPort = (settings: TcpSettings, clock: Clock): Port =>
  new Supervisor({
    clock,
    path: null,
    lostFix: "check the converter, its power and the network",
    connect: (events, givenUp) => dial(settings, events, givenUp),
  });

function dial(
  { host, port }: TcpSettings,
  events: ConnectionEvents,
  givenUp: AbortSignal,
): Promise<Connection> {
  const socket = connect({
    host,
    port,
    noDelay: true,
    keepAlive: true,
    keepAliveInitialDelay: keepAliveMs,
    // The system would go on for two minutes, and the program wait for it with its end.
    signal: givenUp,
  });
  return new Promise((resolve, reject) => {
    socket.on("error", (error: NodeJS.ErrnoException) => {
      reject(unreachable(host, port, error));
      events.lost(error.message);
    });
    socket.on("close", () => events.lost("the other side closed the connection"));
    socket.on("end", () => socket.destroy());
    socket.on("data", (bytes) => events.bytes(bytes));
    socket.once("connect", () => resolve(connectionOf(socket)));
  });
}

function unreachable(host: string, port: number, error: NodeJS.ErrnoException): NotConnected {
  if (error.code === "ECONNREFUSED") {
    return new NotConnected(
      "searching",
      `${host} refuses connections on port ${port}`,
      "check the port number in the converter's settings; most serve one program at a time",
    );
  }
  if (error.code === "ENOTFOUND" || error.code === "EAI_AGAIN") {
    return new NotConnected(
      "searching",
      `no machine is called ${host}`,
      "check the name, or use its address in numbers",
    );
  }
  return new NotConnected(
    "searching",
    `${host} port ${port} does not answer (${error.code ?? error.message})`,
    "check the converter, its power and the network",
  );
}

function connectionOf(socket: Socket): Connection {
  return {
    write: (bytes) =>
      new Promise((resolve, reject) => {
        if (!socket.writable) return reject(new Error("the connection is closed"));
        socket.write(bytes, (error) => (error ? reject(error) : resolve()));
      }),
    close: () =>
      new Promise((resolve) => {
        socket.removeAllListeners();
        socket.on("error", () => undefined);
        socket.destroy();
        resolve();
      }),
  };
}
