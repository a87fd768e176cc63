/** Stands in for the service: serves the built page under its strict content policy and speaks API and websocket. */
import { createServer, type IncomingMessage, type ServerResponse } from "node:http";
import { existsSync, readFileSync } from "node:fs";
import type { AddressInfo } from "node:net";
import { extname, join } from "node:path";
import { WebSocketServer, type WebSocket } from "ws";
import { builtIn } from "../../.ci/build.mjs";
import type { Bench } from "../../src/wire/bench.ts";
import type { PairingState } from "../../src/wire/device.ts";
import type { FromService, HereMessage } from "../../src/wire/messages.ts";
import { wireVersion } from "../../src/wire/version.ts";
import { codePicture } from "../../src/label/code.ts";
import { aBag, type StoreOfBags } from "./bags.ts";
import { batch as batchOf, benchAt, summaries, type World } from "./scenes.ts";

const built = join(builtIn(join(import.meta.dirname, "../..")), "web");
const types: Readonly<Record<string, string>> = {
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".svg": "image/svg+xml",
  ".webmanifest": "application/manifest+json",
};
const policy =
  "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

type Asked = { readonly method: string; readonly path: string; readonly body: unknown };
type Unsent<M> = M extends unknown ? Omit<M, "v" | "seq" | "at"> : never;
export type Unnumbered = Unsent<FromService | HereMessage>;
/** How what is only read goes wrong: the line is cut, no answer ever comes, a proxy refuses, or with this status. */
type Failing = "cut" | "silent" | "proxy" | 404 | 503;
type Refusing = { readonly status: number; readonly detail: string; readonly hint: string };

export type Stub = {
  readonly address: string;
  /** Every request that asked for a change, in order. */
  readonly asked: Asked[];
  /** Every request that only read, by its path, in order. */
  readonly reads: string[];
  set(world: World): void;
  bench(change: Partial<Bench>): void;
  /** As what the service knows the device of the page from now on. */
  pairing(state: PairingState): void;
  /** The number of the last message that was sent to any page. */
  told(): number;
  /** What is sent from now on reaches the pages so much later. */
  late(ms: number): void;
  /** Tells every page how things stand, as one that connects is told. */
  tellAll(): void;
  send(message: Unnumbered): void;
  reading(grams: number, settled: boolean, division?: number): void;
  /** Cuts every socket; with `stay` no new one is let in until `letIn`. */
  cut(stay: boolean): void;
  letIn(): void;
  refuse(refusal: Refusing | null): void;
  /** How what a page reads for one of its parts goes wrong from now on; the websocket and the bench stay. */
  fail(failing: Failing | null): void;
  /** How a change of the person is answered beyond being noted; what it returns is sent as the body. */
  onAsked(answer: (asked: Asked) => unknown): void;
  sockets(): number;
  close(): Promise<void>;
};

export async function startStub(first: World): Promise<Stub> {
  if (!existsSync(join(built, "index.html")))
    throw new Error("the page is not built: run npm run build");
  let world = first;
  let seq = 0;
  let isShut = false;
  let refusal: Refusing | null = null;
  let answer: (asked: Asked) => unknown = () => undefined;
  let failing: Failing | null = null;
  let lateMs = 0;
  const asked: Asked[] = [];
  const reads: string[] = [];
  const started = Date.now();
  const sockets = new Set<WebSocket>();

  const now = (): string =>
    new Date(benchAt.getTime() + (Date.now() - started) * world.bench.timeFactor).toISOString();
  const envelope = (message: Unnumbered): string =>
    JSON.stringify({ v: wireVersion, seq: ++seq, at: now(), ...message });
  const sendTo = (socket: WebSocket, message: Unnumbered): void => {
    const text = envelope(message);
    if (lateMs === 0) socket.send(text);
    else setTimeout(() => socket.send(text), lateMs);
  };
  const sendAll = (message: Unnumbered): void => {
    for (const socket of sockets) sendTo(socket, message);
  };
  const readingOf = (scale: Bench["scales"][number]): Unnumbered => ({
    type: "reading",
    scale: scale.id,
    state: scale.state,
    grams: scale.grams,
    settled: scale.settled,
    division: scale.divisionGrams,
    unit: scale.unit,
  });

  const server = createServer((request, response) => {
    void handle(request, response);
  });
  const handle = async (request: IncomingMessage, response: ServerResponse): Promise<void> => {
    const url = new URL(request.url ?? "/", "http://stub");
    if (!url.pathname.startsWith("/api/")) return serveFile(url.pathname, response);
    const path = url.pathname.slice("/api/".length);
    const method = request.method ?? "GET";
    if (path.endsWith("/code.svg")) {
      response.writeHead(200, { "content-type": "image/svg+xml" });
      return void response.end(codePicture("17-1"));
    }
    if (isShut) return void request.socket.destroy();
    if (method === "GET") {
      const isOfPart = path !== "pairing";
      if (isOfPart) reads.push(path);
      if (isOfPart && failing !== null) return failRead(request, response, failing);
      return reply(response, 200, read(path, url.searchParams));
    }
    const noted = { method, path, body: await bodyOf(request) };
    if (path.endsWith("/bags/preview")) return reply(response, 200, world.store.preview);
    // A plan is looked at with every letter; that changes nothing.
    if (path !== "batches/look") asked.push(noted);
    if (refusal !== null) {
      const { status, detail, hint } = refusal;
      const problem = { type: "/problems/stub", title: detail, status, detail, hint };
      return reply(response, status, problem, "application/problem+json");
    }
    const own = await answer(noted);
    if (typeof own === "object" && own !== null) return reply(response, 200, own);
    if (path === "alerts/try") return reply(response, 200, { sent: false, why: "no broker there" });
    if (path === "pairing/code")
      return reply(response, 200, { code: "1234-5678", access: "full", until: now() });
    if (path.startsWith("devices/")) {
      const devices = world.devices.filter(({ id }) => path !== `devices/${id}`);
      world = { ...world, devices };
      return reply(response, 200, devices);
    }
    if (path === "batches/look") return reply(response, 200, world.look);
    if (path === "kitchen/dish") return reply(response, 200, world.dish);
    if (path.startsWith("kitchen/")) return reply(response, 200, world.kitchen);
    const isOfBatch = /^(batches|trays|gaps|weighings)/.test(path);
    if (/^batches\/\d+\/bags$/.test(path)) return reply(response, 200, world.bench.packing);
    if (path.startsWith("bags/")) return reply(response, 200, world.store.bags[0] ?? aBag());
    const batch = world.bench.batches[0] ?? world.ended[0] ?? batchOf([]);
    return reply(response, 200, isOfBatch ? batch : world.bench);
  };

  const failRead = (request: IncomingMessage, response: ServerResponse, how: Failing): void => {
    if (how === "cut") request.socket.destroy();
    else if (how === "proxy")
      response.writeHead(403, { "content-type": "text/html" }).end("<h1>Not from here</h1>");
    else if (how !== "silent") {
      const problem = { title: `Answered with ${how}`, status: how, hint: "Look elsewhere." };
      reply(response, how, problem, "application/problem+json");
    }
  };

  const read = (path: string, query: URLSearchParams): unknown => {
    const [noun, id, part] = path.split("/");
    if (path === "bench") return world.bench;
    if (path === "pairing") return world.pairing;
    if (path === "devices") return world.devices;
    if (path === "ports") return world.ports;
    if (noun === "lessons") return world.lessons;
    if (noun === "foods") {
      const typed = (query.get("q") ?? "").toLowerCase();
      return world.foods.filter((food) => food.name.toLowerCase().includes(typed));
    }
    if (noun === "kitchen") return world.kitchen;
    if (part === "yields") return world.yields;
    const { store } = world;
    if (noun === "labels") return store.labels;
    if (noun === "lots") return store.lots;
    if (noun === "stock") return store.stock;
    if (noun === "bags" && query.get("state") === "to-dry")
      return store.lines.filter(({ state }) => state === "re-dry");
    if (noun === "bags" && id === undefined) return store.lines;
    if (noun === "bags") return store.bags.find((one) => String(one.id) === id) ?? store.bags[0];
    if (part === "unpacked") return store.unpacked;
    const all = [...world.bench.batches, ...world.ended];
    if (id === undefined) return summaries(query.get("state") === "ended" ? world.ended : all);
    if (part === "curves") return world.curves;
    if (part === "history") return world.history;
    if (part === "photos") return [];
    return all.find((batch) => String(batch.id) === id);
  };

  const live = new WebSocketServer({ server, path: "/api/live", verifyClient: () => !isShut });
  const tell = (socket: WebSocket): void => {
    for (const scale of world.bench.scales) {
      const { link, form, unit, why } = scale;
      sendTo(socket, { type: "link", scale: scale.id, link, form, unit, why });
      sendTo(socket, readingOf(scale));
    }
    sendTo(socket, { type: "bench", bench: world.bench });
  };
  live.on("connection", (socket) => {
    sockets.add(socket);
    socket.on("close", () => sockets.delete(socket));
    tell(socket);
  });
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  const { port } = server.address() as AddressInfo;
  // A scale that rests goes on sending; without that the page would rightly call it silent.
  const beat = setInterval(() => {
    for (const scale of world.bench.scales) if (scale.link === "up") sendAll(readingOf(scale));
    sendAll({ type: "here" });
  }, 200);

  const stub: Stub = {
    address: `http://127.0.0.1:${port}/`,
    asked,
    reads,
    set: (other) => {
      world = other;
      asked.length = 0;
      reads.length = 0;
      failing = null;
      refusal = null;
      answer = () => undefined;
    },
    bench: (change) => {
      const bench = { ...world.bench, ...change };
      world = {
        ...world,
        bench,
        store: { ...world.store, stock: knowing(world.store.stock, bench) },
      };
      sendAll({ type: "bench", bench: world.bench });
    },
    pairing: (state) => {
      world = { ...world, pairing: state };
    },
    told: () => seq,
    late: (ms) => {
      lateMs = ms;
    },
    tellAll: () => {
      for (const socket of sockets) tell(socket);
    },
    send: sendAll,
    reading: (grams, settled, division = 1) => {
      const scales = world.bench.scales.map((scale) => ({
        ...scale,
        grams,
        settled,
        divisionGrams: division,
        state: "weight" as const,
      }));
      world = { ...world, bench: { ...world.bench, scales } };
      for (const scale of scales) sendAll(readingOf(scale));
    },
    cut: (stay) => {
      isShut = stay;
      for (const socket of sockets) socket.terminate();
    },
    letIn: () => {
      isShut = false;
    },
    refuse: (other) => {
      refusal = other;
    },
    fail: (how) => {
      failing = how;
    },
    onAsked: (other) => {
      answer = other;
    },
    sockets: () => sockets.size,
    close: async () => {
      clearInterval(beat);
      stub.cut(true);
      live.close();
      await new Promise((done) => server.close(done));
    },
  };
  return stub;
}

/** A bag that was just weighed on the shelf stands in the stock with what was found. */
const knowing = (stock: StoreOfBags["stock"], { tasks }: Bench): StoreOfBags["stock"] =>
  stock.map((food) => ({
    ...food,
    bags: food.bags.map((line) => {
      const taken = tasks.find(({ bagTaken }) => bagTaken?.bag === line.id)?.bagTaken;
      if (taken?.kind !== "shelf" || taken.finding === null) return line;
      const { word, gainGrams, gainPct } = taken.finding;
      return { ...line, weighedAt: taken.at, finding: word, gainGrams, gainPct };
    }),
  }));

async function bodyOf(request: IncomingMessage): Promise<unknown> {
  const parts: Buffer[] = [];
  for await (const part of request) parts.push(part as Buffer);
  const text = Buffer.concat(parts).toString();
  const isJson = request.headers["content-type"]?.includes("json") ?? false;
  return isJson && text !== "" ? JSON.parse(text) : null;
}

function reply(
  response: ServerResponse,
  status: number,
  body: unknown,
  type = "application/json",
): void {
  response.writeHead(body === undefined ? 404 : status, { "content-type": type });
  response.end(JSON.stringify(body ?? { title: "Not found", status: 404 }));
}

function serveFile(path: string, response: ServerResponse): void {
  const file = join(built, path === "/" ? "index.html" : path);
  if (!file.startsWith(built) || !existsSync(file)) {
    response.writeHead(404).end();
    return;
  }
  response.writeHead(200, {
    "content-type": types[extname(file)] ?? "application/octet-stream",
    "content-security-policy": policy,
    "cache-control": "no-store",
  });
  response.end(readFileSync(file));
}
