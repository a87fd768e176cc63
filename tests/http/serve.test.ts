import { EventEmitter, once } from "node:events";
import { request as httpRequest } from "node:http";
import { connect } from "node:net";
import { afterEach, describe, expect, test } from "vitest";
import { WebSocket } from "ws";
import { isFault } from "../../src/faults.ts";
import { serve, type Serving } from "../../src/http/serve.ts";
import type { ServerOptions } from "../../src/http/server.ts";
import type { Shown } from "../../src/service/service.ts";
import type { Problem } from "../../src/wire/requests.ts";
import { at, fakeService, listening, serverOptions } from "./fake.ts";

const open: Serving[] = [];
const sockets: WebSocket[] = [];
afterEach(async () => {
  for (const socket of sockets.splice(0)) socket.terminate();
  await Promise.all(open.splice(0).map((one) => one.close()));
});

async function start(more: Partial<ServerOptions> = {}, service = fakeService()) {
  const serving = await serve(serverOptions(service, { port: 0, ...more }));
  open.push(serving);
  return { ...serving, service, port: Number(new URL(serving.address).port) };
}

type Told = { type: string; seq: number };

function live(address: string, headers: Record<string, string> = {}, path = "/api/live") {
  const socket = new WebSocket(`${address.replace("http", "ws")}${path}`, { headers });
  sockets.push(socket);
  const told: Told[] = [];
  socket.on("message", (data: Buffer) => {
    const { type, seq } = JSON.parse(data.toString()) as Told;
    told.push({ type, seq });
  });
  socket.on("error", () => undefined);
  return { socket, told };
}

const until = async (isSo: () => boolean, what: string): Promise<void> => {
  const end = performance.now() + 20_000;
  while (!isSo()) {
    if (performance.now() > end) throw new Error(`never: ${what}`);
    await new Promise((resume) => setTimeout(resume, 5));
  }
};

/** The status with which an upgrade is refused, or 101. */
const upgrade = (address: string, headers: Record<string, string>, path?: string) =>
  new Promise<{ status: number; body: string }>((resolve, reject) => {
    const { socket } = live(address, headers, path);
    socket.on("open", () => resolve({ status: 101, body: "" }));
    socket.on("unexpected-response", (_request, response) => {
      const chunks: Buffer[] = [];
      response.on("data", (chunk: Buffer) => chunks.push(chunk));
      response.on("end", () =>
        resolve({ status: response.statusCode ?? 0, body: Buffer.concat(chunks).toString() }),
      );
    });
    setTimeout(() => reject(new Error("no answer to the upgrade")), 20_000).unref();
  });

/** What the server answers to bytes that no client would send. */
const raw = (port: number, text: string) =>
  new Promise<string>((resolve, reject) => {
    const socket = connect(port, "127.0.0.1", () => socket.write(text));
    const chunks: Buffer[] = [];
    socket.on("data", (chunk) => chunks.push(chunk));
    socket.on("close", () => resolve(Buffer.concat(chunks).toString("latin1")));
    socket.on("error", reject);
    socket.setTimeout(20_000, () => socket.destroy(new Error("the server kept silent")));
  });

const settled: Shown = {
  type: "settled",
  at,
  scale: "practice",
  grams: 1,
  division: 0.1,
  zeroSeen: true,
};

describe("where it listens", () => {
  test.each(["127.0.0.1", "localhost", "::1", "[::1]"])(
    "%s: the page opens there",
    async (host) => {
      const { address } = await start({ host });
      expect(address).toMatch(/^http:\/\/(127\.0\.0\.1|localhost|\[::1\]):\d+$/);
      const answer = await fetch(address);
      expect(answer.status).toBe(200);
      expect(await answer.text()).toContain("The page");
    },
  );

  test("a port that is taken is named, and the service is let go", async () => {
    const { port } = await start();
    const service = fakeService();
    const refusal = await start({ port }, service).catch((error: unknown) => error);
    expect(isFault(refusal, "network.cannot-listen")).toBe(true);
    expect(String(refusal)).toContain(`another program listens at 127.0.0.1, port ${port}`);
    expect(service.listeners()).toBe(0);
  });

  // RFC 6761, section 6.4: no name under "invalid" is ever there.
  test("a host that is no computer is named", async () => {
    const refusal = await start({ host: "scale.invalid" }).catch((error: unknown) => error);
    expect(isFault(refusal, "network.cannot-listen")).toBe(true);
    expect(String(refusal)).toContain("no computer is known as scale.invalid");
  });
});

describe("the websocket's door", () => {
  test.each([
    ["no Origin: a script on this computer", {}],
    ["its own page", { own: "yes" }],
  ])("%s comes in", async (_name, { own }: { own?: string }) => {
    const { address } = await start();
    const headers: Record<string, string> = own === undefined ? {} : { origin: address };
    expect((await upgrade(address, headers)).status).toBe(101);
  });

  test.each([
    ["a page of another site", { origin: "http://evil.example" }],
    ["a page of another port", { origin: "http://localhost:3000" }],
    ["a page from nowhere", { origin: "null" }],
    ["a name that was made to point here", { host: "rebind.example" }],
    ["a request that the browser calls cross-site", { "sec-fetch-site": "cross-site" }],
  ])("%s stays outside", async (_name, headers: Record<string, string>) => {
    const { address, service } = await start();
    const { status, body } = await upgrade(address, headers);
    expect(status).toBe(403);
    expect(JSON.parse(body)).toMatchObject({ type: "/problems/network.forbidden" });
    expect(service.calls).toEqual([]);
  });

  test("a websocket to another address is turned away, and the service goes on", async () => {
    const { address, port } = await start();
    for (const path of ["/", "/nowhere", "/api/bench", "/api/weighings"])
      expect((await upgrade(address, {}, path)).status).toBe(404);
    expect((await upgrade(address, {}, "/%zz")).status).toBe(400);
    const handshake = `GET /api/live HTTP/1.1\r\nhost: 127.0.0.1:${port}\r\nconnection: upgrade\r\nupgrade: websocket\r\n`;
    const wrongKey = "sec-websocket-version: 13\r\nsec-websocket-key: short\r\n\r\n";
    expect(await raw(port, handshake + wrongKey)).toMatch(/^HTTP\/1\.1 400 /);
    expect((await fetch(`${address}/api/health`)).status).toBe(200);
  });
});

describe("the websocket", () => {
  test("tells the present, then each message in order with rising numbers", async () => {
    const { address, service } = await start();
    const { told } = live(address);
    await until(() => told.length === 3, "the present");
    for (let n = 0; n < 100; n++) service.show(settled);
    await until(() => told.length === 103, "100 messages");
    expect(told.slice(0, 3).map((message) => message.type)).toEqual(["link", "reading", "bench"]);
    const seq = told.map((message) => message.seq);
    expect(seq).toEqual(seq.toSorted((a, b) => a - b));
    expect(new Set(seq).size).toBe(seq.length);
  });

  test("lives through rubbish of every kind", async () => {
    const { address, service } = await start();
    const chatty = live(address);
    await once(chatty.socket, "open");
    for (const rubbish of ["", "{", "null", '{"type":"reading"}', "\0", Buffer.alloc(16_000, 0xff)])
      chatty.socket.send(rubbish);
    await until(() => chatty.told.some((one) => one.type === "problem"), "an answer");

    const big = live(address);
    await once(big.socket, "open");
    big.socket.send("x".repeat(16 * 1024 + 1));
    expect((await once(big.socket, "close"))[0]).toBe(1009);

    const broken = live(address);
    await once(broken.socket, "open");
    // A frame with reserved bits set, unmasked: against RFC 6455, sections 5.1 and 5.2.
    (broken.socket as unknown as { _socket: NodeJS.WritableStream })._socket.write(
      Buffer.from([0xff, 0xff, 0xff, 0xff]),
    );
    await once(broken.socket, "close");

    service.show(settled);
    await until(() => chatty.told.at(-1)?.type === "settled", "life goes on");
    expect(chatty.told.filter((one) => one.type === "problem")).toHaveLength(1);
  });

  test("a bug in the service closes the socket and nothing else", async () => {
    const { log, lines } = listening();
    const service = fakeService({
      bench: () => {
        throw new TypeError("planted");
      },
    });
    const { address } = await start({ log }, service);
    const { socket } = live(address);
    await once(socket, "close");
    expect(JSON.stringify(lines)).toContain("planted");
    expect((await fetch(`${address}/api/health`)).status).toBe(200);
  });

  test("a page that stops reading is let go, and memory stays as it was", async () => {
    const { address, service } = await start();
    const stalled = live(address);
    const awake = live(address);
    await until(() => stalled.told.length >= 3 && awake.told.length >= 3, "both in");
    stalled.socket.pause();
    const pages = async () =>
      /pages_open (\d+)/.exec(await (await fetch(`${address}/metrics`)).text())?.[1];
    const text = "x".repeat(10_000);
    const alert = {
      id: 1,
      code: "stalled",
      batch: 3,
      round: 1,
      text,
      at,
      figures: {},
      acknowledged: null,
    } as const;
    // Of what it has told only the number is kept: this process is the one whose memory is looked at.
    let told = awake.told.length;
    awake.socket.removeAllListeners("message");
    awake.socket.on("message", () => void told++);
    const before = process.memoryUsage().rss;
    let shown = 0;
    // 10 kB at a time until it is gone; the kernel's own buffers take some megabytes first, on some machines many.
    while ((await pages()) === "2" && shown < 20_000) {
      for (let n = 0; n < 20; n++) service.show({ type: "alert", at, alert });
      shown += 20;
      await until(() => told >= 3 + shown, "the other one keeps up");
    }
    expect(await pages()).toBe("1");
    const grownMiB = (process.memoryUsage().rss - before) / 2 ** 20;
    expect(grownMiB).toBeLessThan(50);
    expect(told).toBe(3 + shown);
  });
});

describe("bytes that no client would send", () => {
  test.each([
    ["no HTTP", "\x16\x03\x01 hello\r\n\r\n", 400],
    ["a request without Host", "GET /api/bench HTTP/1.1\r\n\r\n", 400],
    ["HTTP/1.0 without Host", "GET /api/bench HTTP/1.0\r\n\r\n", 403],
    ["headers without end", `GET / HTTP/1.1\r\nx: ${"y".repeat(20_000)}\r\n\r\n`, 431],
    [
      "two lengths",
      "POST /api/weighings HTTP/1.1\r\nhost: localhost\r\ncontent-length: 2\r\ncontent-length: 5\r\n\r\n{}",
      400,
    ],
  ])("%s is refused, and the service goes on", async (_name, text, status) => {
    const { address, port } = await start();
    expect(await raw(port, text)).toMatch(new RegExp(`^HTTP/1.1 ${status} `));
    expect((await fetch(`${address}/api/health`)).status).toBe(200);
  });

  test("a whole address as the target is not taken for a name of ours", async () => {
    const { port } = await start();
    const text = `GET http://rebind.example/api/bench HTTP/1.1\r\nhost: rebind.example\r\nconnection: close\r\n\r\n`;
    expect(await raw(port, text)).toMatch(/^HTTP\/1\.1 (400|403|404) /);
  });

  test("a body without end is refused at 64 KiB, not kept", async () => {
    const { port } = await start();
    let sent = 0;
    const status = await new Promise<number>((resolve, reject) => {
      const asking = httpRequest({
        port,
        method: "POST",
        path: "/api/weighings",
        headers: { "content-type": "application/json", "transfer-encoding": "chunked" },
      });
      const chunk = Buffer.alloc(16 * 1024, 0x20);
      const more = (): void => {
        sent += chunk.length;
        if (sent < 2 ** 30) asking.write(chunk, (error) => error ?? setImmediate(more));
      };
      asking.on("response", (response) => {
        asking.destroy();
        resolve(response.statusCode ?? 0);
      });
      asking.on("error", reject);
      more();
    });
    expect(status).toBe(413);
    expect(sent).toBeLessThan(16 * 2 ** 20);
  });
});

describe("closing", () => {
  test("says 1001 to pages, frees the port, and does not wait for those who hang", async () => {
    const { address, close, port, service } = await start();
    const { socket } = live(address);
    await once(socket, "open");
    const idle = connect(port, "127.0.0.1");
    await once(idle, "connect");
    idle.on("error", () => undefined);
    const said = once(socket, "close");
    const started = performance.now();
    await close();
    expect((await said)[0]).toBe(1001);
    expect(performance.now() - started).toBeLessThan(3000);
    expect(service.listeners()).toBe(0);
    await expect(fetch(address)).rejects.toThrow();
    idle.destroy();
  });

  test("an answer that is on its way still arrives", async () => {
    const gate = new EventEmitter();
    const service = fakeService({
      ports: async () => {
        gate.emit("asked");
        await once(gate, "answer");
        return { ports: [], why: null };
      },
    });
    const { address, close } = await start({}, service);
    const asked = once(gate, "asked");
    const answer = fetch(`${address}/api/ports`);
    await asked;
    const closing = close();
    await new Promise(setImmediate);
    gate.emit("answer");
    expect(await (await answer).json()).toEqual({ ports: [], why: null });
    await closing;
  });
});

test("every refusal over a real socket has the form of RFC 9457", async () => {
  const { address } = await start();
  const answer = await fetch(`${address}/api/nothing`);
  expect(answer.headers.get("content-type")).toBe("application/problem+json");
  expect((await answer.json()) as Problem).toMatchObject({ title: "Not Found", status: 404 });
});
