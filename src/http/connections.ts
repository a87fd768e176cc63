/**
 * How many connections may be open: each costs a file handle, and without handles the store and the scales cannot be
 * opened any more. Most systems give a program 1,024.
 */
import type { Server } from "node:net";
import { isLoopback } from "./places.ts";

/** Our choice: 50 pages, each with the six that a browser opens and its websocket, are 350. */
export const mostConnections = 400;
/** From one address of the network, so that one device cannot take them all. */
export const mostFromOne = 60;

/** `proxy`: an address through which many come. */
export function limitConnections(server: Server, proxy: string | null): void {
  server.maxConnections = mostConnections;
  const open = new Map<string, number>();
  server.on("connection", (socket) => {
    const from = socket.remoteAddress?.replace(/^::ffff:/, "");
    if (from === undefined || isLoopback(from) || from === proxy) return;
    const count = (open.get(from) ?? 0) + 1;
    if (count > mostFromOne) {
      socket.destroy();
      return;
    }
    open.set(from, count);
    socket.once("close", () => {
      const left = (open.get(from) ?? 1) - 1;
      if (left > 0) open.set(from, left);
      else open.delete(from);
    });
  });
}
