import { once } from "node:events";
import { createServer, type AddressInfo, type Server, type Socket } from "node:net";
import { expect, test } from "vitest";
import { openScale } from "../../src/port/scale.ts";
import type { Reading } from "../../src/reading/reading.ts";
import { clock, openSockets, unanswering } from "./fakes.ts";

async function listening(server: Server, port = 0): Promise<number> {
  server.listen(port, "127.0.0.1");
  await once(server, "listening");
  return (server.address() as AddressInfo).port;
}

test("a scale behind a converter is read, lost and found again", async () => {
  const sockets: Socket[] = [];
  const serve = (): Server =>
    createServer((socket) => {
      sockets.push(socket);
      socket.on("error", () => undefined);
      socket.write("?\r\n");
      for (let at = 0; at < 9; at++) socket.write("ST,GS,+    123.4 g\r\n");
    });
  let server = serve();
  const port = await listening(server);
  const readings: Reading[] = [];
  const scale = openScale(`tcp://127.0.0.1:${port}`, clock, {
    reading: (reading) => readings.push(reading),
    link: () => undefined,
  });
  try {
    await expect.poll(() => readings.length).toBe(9);
    sockets[0]?.destroy();
    server.close();
    await expect.poll(() => scale.state().link).toBe("searching");
    await expect.poll(() => scale.state().why).toContain("refuses connections");
    server = serve();
    await listening(server, port);
    await expect.poll(() => readings.length).toBe(18);
    expect(readings.every((one) => one.is === "weight" && one.mass === 123.4)).toBe(true);
  } finally {
    await scale.close();
    for (const socket of sockets) socket.destroy();
    server.close();
  }
});

test("a converter that does not answer leaves nothing to wait for when its scale is closed", async () => {
  const port = await unanswering();
  const before = openSockets();
  const scale = openScale(`tcp://127.0.0.1:${port}`, clock, {
    reading: () => undefined,
    link: () => undefined,
  });
  await expect.poll(openSockets).toBe(before + 1);
  const from = performance.now();
  await scale.close();
  expect(performance.now() - from).toBeLessThan(1000);
  await expect.poll(openSockets).toBe(before);
});
