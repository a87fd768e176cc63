import { EventEmitter, once } from "node:events";
import { connect, createServer, type AddressInfo, type Server, type Socket } from "node:net";
import { expect, test } from "vitest";
import { limitConnections, mostConnections, mostFromOne } from "../../src/http/connections.ts";

class Line extends EventEmitter {
  destroyed = false;
  constructor(readonly remoteAddress: string) {
    super();
  }
  destroy(): void {
    this.destroyed = true;
    this.emit("close");
  }
}

function limited(proxy: string | null = null) {
  const server = new EventEmitter();
  limitConnections(server as unknown as Server, proxy);
  return (from: string): Line => {
    const line = new Line(from);
    server.emit("connection", line);
    return line;
  };
}

test("one device of the network gets so many connections, and another its own", () => {
  const open = limited();
  const lines = Array.from({ length: mostFromOne }, () => open("192.168.1.7"));
  expect(lines.every(({ destroyed }) => !destroyed)).toBe(true);
  expect(open("::ffff:192.168.1.7").destroyed).toBe(true);
  expect(open("192.168.1.8").destroyed).toBe(false);
  lines[0]?.destroy();
  expect(open("192.168.1.7").destroyed).toBe(false);
  expect(open("192.168.1.7").destroyed).toBe(true);
});

test.each([
  ["this computer", "127.0.0.1", null],
  ["the proxy through which all come", "10.0.0.1", "10.0.0.1"],
])("%s is not counted as one device", (_what, from, proxy) => {
  const open = limited(proxy);
  const lines = Array.from({ length: 2 * mostFromOne }, () => open(from));
  expect(lines.every(({ destroyed }) => !destroyed)).toBe(true);
});

test("all together get no more than the program's handles allow", async () => {
  const server = createServer();
  const there = new Set<Socket>();
  server.on("connection", (socket) => {
    there.add(socket);
    socket.on("error", () => undefined);
    socket.on("close", () => there.delete(socket));
  });
  limitConnections(server, null);
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  const { port } = server.address() as AddressInfo;
  const lines = Array.from({ length: mostConnections + 20 }, () => connect(port, "127.0.0.1"));
  await Promise.all(lines.map((line) => once(line, "connect")));
  let refused = 0;
  const left = lines.map((line) => once(line.resume(), "close").then(() => void refused++));
  for (const line of lines) line.on("error", () => undefined);
  await expect.poll(() => refused).toBe(20);
  expect(there.size).toBe(mostConnections);
  for (const line of lines) line.destroy();
  await Promise.all(left);
  server.close();
});
