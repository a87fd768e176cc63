import { once } from "node:events";
import { readFileSync } from "node:fs";
import { request as httpsRequest } from "node:https";
import { join } from "node:path";
import { afterEach, describe, expect, test } from "vitest";
import { WebSocket } from "ws";
import { serve, type Serving } from "../../src/http/serve.ts";
import type { ServerOptions } from "../../src/http/server.ts";
import { pairingsPerMinute } from "../../src/http/routes/devices.ts";
import type { Paired } from "../../src/wire/device.ts";
import { fakeService, listening, serverOptions } from "./fake.ts";

const open: Serving[] = [];
afterEach(async () => {
  await Promise.all(open.splice(0).map((one) => one.close()));
});

/** A service that the network can reach; asked here through loopback, which is no way round the pairing. */
async function start(more: Partial<ServerOptions> = {}) {
  const service = fakeService();
  const options = serverOptions(service, { host: "0.0.0.0", port: 0, ...more });
  const serving = await serve(options);
  open.push(serving);
  const { port } = new URL(serving.address);
  const address = `http://127.0.0.1:${port}`;
  const { devices } = options;
  const ask = (
    path: string,
    headers: Record<string, string> = {},
    method = "GET",
    body?: unknown,
  ) =>
    fetch(address + path, {
      method,
      headers: {
        ...(body === undefined ? {} : { "content-type": "application/json" }),
        ...headers,
      },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
  const token = (access: "full" | "read-only" = "full") =>
    devices.pair(devices.newCode(access).code, access);
  return { ...serving, port, address, devices, service, ask, token };
}

const bearer = (token: string) => ({ authorization: `Bearer ${token}` });
const cookie = (token: string) => ({ cookie: `other=1; stillweight-device=${token}` });

/** 101, or the status with which a websocket is refused. */
const upgrade = (address: string, headers: Record<string, string>) =>
  new Promise<number>((resolve) => {
    const socket = new WebSocket(`${address.replace("http", "ws")}/api/live`, { headers });
    socket.on("open", () => {
      socket.terminate();
      resolve(101);
    });
    socket.on("unexpected-response", (_request, response) => resolve(response.statusCode ?? 0));
    socket.on("error", () => undefined);
  });

describe("without a token", () => {
  test("every described route is shut but the pairing itself", async () => {
    const { ask, token, address } = await start();
    type Described = { paths: Record<string, Record<string, unknown>> };
    const { paths } = (await (
      await ask("/api/openapi.json", bearer(token().token))
    ).json()) as Described;
    const routes = Object.entries(paths).flatMap(([path, methods]) =>
      Object.keys(methods).map((method) => [method.toUpperCase(), path] as const),
    );
    expect(routes.length).toBeGreaterThan(40);
    const shut: string[] = [];
    for (const [method, path] of routes) {
      const answer = await ask(path.replaceAll(/\{\w+\}/g, "1"), {}, method);
      if (answer.status === 401) shut.push(`${method} ${path}`);
    }
    expect(
      routes.map(([method, path]) => `${method} ${path}`).filter((one) => !shut.includes(one)),
    ).toEqual(["GET /api/pairing", "POST /api/pairing"]);
    for (const path of [
      "/api/docs",
      "/api/docs/json",
      "/api/openapi.json",
      "/api/nothing",
      "/%61pi/bench",
    ])
      expect((await ask(path)).status, path).toBe(401);
    expect(await upgrade(address, { origin: address })).toBe(401);
  });

  test("the page opens, and says that it has to be paired", async () => {
    const { ask } = await start();
    for (const path of ["/", "/index.html", "/assets/main-abc123.js", "/some/place"])
      expect((await ask(path)).status, path).toBe(200);
    expect(await (await ask("/api/pairing")).json()).toEqual({ needed: true, device: null });
    const refused = await ask("/api/bench");
    expect(refused.headers.get("www-authenticate")).toBe("Bearer");
    expect(await refused.json()).toMatchObject({ type: "/problems/pairing.needed", status: 401 });
  });

  test.each([
    ["a wrong token", bearer("x".repeat(43))],
    ["no token", { authorization: "Bearer " }],
    ["another scheme", { authorization: "Basic eDp5" }],
    ["a wrong cookie", cookie("x".repeat(43))],
    ["an empty cookie", cookie("")],
    ["a token in the address only", {}],
  ])("%s opens nothing", async (_name, headers) => {
    const { ask, token, service } = await start();
    const good = token().token;
    expect((await ask(`/api/bench?token=${good}`, headers)).status).toBe(401);
    expect((await ask("/api/batches/1/end", headers, "POST", {})).status).toBe(401);
    expect(service.calls).toEqual([]);
  });

  test("Host and Origin are looked at all the same", async () => {
    const { ask, token, port } = await start();
    const good = bearer(token().token);
    expect((await ask("/api/bench", { ...good, origin: "http://evil.example" })).status).toBe(403);
    expect(await upgrade(`http://127.0.0.1:${port}`, { ...good, host: "evil.example" })).toBe(403);
    expect((await ask("/api/pairing", { origin: "http://evil.example" })).status).toBe(403);
  });
});

describe("pairing", () => {
  test("gives a page a cookie that no script can read, and no token", async () => {
    const { ask, devices, address } = await start();
    const { code } = devices.newCode("full");
    const answer = await ask("/api/pairing", { origin: address }, "POST", { code, name: "Phone" });
    expect(answer.status).toBe(200);
    expect(await answer.json()).toMatchObject({
      device: { id: 1, name: "Phone", access: "full" },
      token: null,
    });
    const given = answer.headers.get("set-cookie") ?? "";
    expect(given).toMatch(
      /^stillweight-device=[\w-]{43}; Path=\/; Max-Age=\d+; HttpOnly; SameSite=Strict$/,
    );
    const headers = { cookie: given.split(";")[0] ?? "", origin: address };
    expect((await ask("/api/bench", headers)).status).toBe(200);
    expect(await upgrade(address, headers)).toBe(101);
    const again = await ask("/api/pairing", headers);
    expect(await again.json()).toMatchObject({ needed: true, device: { name: "Phone" } });
    expect(again.headers.get("set-cookie")?.split(";")[0]).toBe(headers.cookie);
  });

  test("gives a program its token, which works on HTTP and on the websocket without an Origin", async () => {
    const { ask, devices, address } = await start();
    const { code } = devices.newCode("full");
    const answer = await ask("/api/pairing", {}, "POST", { code, name: "Script", for: "program" });
    expect(answer.headers.get("set-cookie")).toBeNull();
    expect(answer.headers.get("cache-control")).toBe("no-store");
    const { token } = (await answer.json()) as Paired;
    expect((await ask("/api/bench", bearer(token ?? ""))).status).toBe(200);
    expect(await upgrade(address, bearer(token ?? ""))).toBe(101);
  });

  test("a cookie without an Origin changes nothing and follows nothing", async () => {
    const { ask, token, address, service } = await start();
    const good = cookie(token().token);
    expect((await ask("/api/batches/1/end", good, "POST", {})).status).toBe(403);
    expect(await upgrade(address, good)).toBe(403);
    expect(service.calls).toEqual([]);
    expect((await ask("/api/bench", good)).status).toBe(200);
  });

  test("is tried ten times a minute and no more, also by guessing in earnest", async () => {
    const { ask, devices } = await start();
    const { code } = devices.newCode("full");
    const seen: number[] = [];
    for (let tries = 0; tries < pairingsPerMinute + 5; tries++)
      seen.push(
        (await ask("/api/pairing", {}, "POST", { code: `9${tries}`, name: "Guess" })).status,
      );
    expect(seen.filter((status) => status === 403)).toHaveLength(pairingsPerMinute);
    expect(seen.filter((status) => status === 429)).toHaveLength(5);
    expect((await ask("/api/pairing", {}, "POST", { code, name: "Late" })).status).toBe(429);
    expect(devices.list()).toEqual([]);
  });

  test("a body that is not as asked for uses up no code", async () => {
    const { ask, devices } = await start();
    const { code } = devices.newCode("full");
    for (const body of [{ code }, { code, name: "" }, { code, name: "x", admin: true }, []])
      expect((await ask("/api/pairing", {}, "POST", body)).status).toBe(400);
    expect((await ask("/api/pairing", {}, "POST", { code, name: "x" })).status).toBe(200);
  });
});

describe("a paired device", () => {
  test("that may only look can look and follow, and changes nothing", async () => {
    const { ask, token, address, service } = await start();
    const look = bearer(token("read-only").token);
    for (const path of ["/api/bench", "/api/batches", "/api/health", "/metrics"])
      expect((await ask(path, look)).status, path).toBe(200);
    expect(await upgrade(address, look)).toBe(101);
    service.calls.length = 0;
    for (const [method, path] of [
      ["POST", "/api/batches/1/end"],
      ["PATCH", "/api/settings"],
      ["DELETE", "/api/scales/practice"],
      ["POST", "/api/pairing/code"],
      ["DELETE", "/api/devices/1"],
      ["GET", "/api/devices"],
    ] as const) {
      const answer = await ask(path, look, method);
      expect(answer.status, path).toBe(403);
      expect(await answer.json()).toMatchObject({ type: "/problems/pairing.read-only" });
    }
    expect(service.calls).toEqual([]);
  });

  test("makes a code for the next one, and takes a pairing back; what that one follows ends at once", async () => {
    const { ask, token, address, devices } = await start();
    const full = bearer(token().token);
    const made = await ask("/api/pairing/code", full, "POST", { access: "read-only" });
    const { code } = (await made.json()) as { code: string };
    const other = devices.pair(code, "Lost tablet");
    const socket = new WebSocket(`${address.replace("http", "ws")}/api/live`, {
      headers: bearer(other.token),
    });
    await once(socket, "message");
    const ended = once(socket, "close");
    const list = (await (await ask("/api/devices", full)).json()) as { name: string }[];
    expect(list.map(({ name }) => name)).toEqual(["full", "Lost tablet"]);
    const left = await ask(`/api/devices/${other.device.id}`, full, "DELETE");
    expect(await left.json()).toMatchObject([{ name: "full" }]);
    expect((await ended)[0]).toBe(1008);
    expect((await ask("/api/bench", bearer(other.token))).status).toBe(401);
    expect((await ask("/api/devices/99", full, "DELETE")).status).toBe(404);
  });
});

describe("on this computer alone", () => {
  test("nobody needs to be paired, and the pairing says so", async () => {
    const { ask, isPaired } = await start({ host: "127.0.0.1" });
    expect(isPaired).toBe(false);
    expect((await ask("/api/bench")).status).toBe(200);
    expect(await (await ask("/api/pairing")).json()).toEqual({ needed: false, device: null });
  });
});

describe("behind a proxy on this computer", () => {
  const door = { host: "127.0.0.1", proxy: "127.0.0.1", names: ["https://scale.example"] };
  const from = (client: string) => ({
    "x-forwarded-for": client,
    "x-forwarded-proto": "https",
    origin: "https://scale.example",
  });

  test("pairing is needed, and the cookie is for https alone", async () => {
    const { ask, devices } = await start(door);
    expect((await ask("/api/bench", from("192.168.1.7"))).status).toBe(401);
    const { code } = devices.newCode("full");
    const answer = await ask("/api/pairing", from("192.168.1.7"), "POST", { code, name: "x" });
    expect(answer.headers.get("set-cookie")).toMatch(/; HttpOnly; SameSite=Strict; Secure$/);
  });

  test("each device has its own tries, as far as the proxy tells them apart", async () => {
    const { ask } = await start(door);
    const tries = async (client: string) =>
      (await ask("/api/pairing", from(client), "POST", { code: "1", name: "x" })).status;
    for (let n = 0; n < pairingsPerMinute; n++) expect(await tries("192.168.1.7")).toBe(403);
    expect(await tries("192.168.1.7")).toBe(429);
    expect(await tries("192.168.1.8")).toBe(403);
  });

  test("without a proxy that was named, nobody is believed", async () => {
    const { ask, devices } = await start();
    const tries = async (client: string) =>
      (await ask("/api/pairing", { "x-forwarded-for": client }, "POST", { code: "1", name: "x" }))
        .status;
    for (let n = 0; n < pairingsPerMinute; n++) expect(await tries(`192.168.1.${n}`)).toBe(403);
    expect(await tries("192.168.2.1")).toBe(429);
    expect(devices.list()).toEqual([]);
  });
});

describe("https by a given certificate", () => {
  const file = (name: string) =>
    readFileSync(join(import.meta.dirname, "../../fixtures/tls", name), "utf8");
  const tls = { cert: file("cert.pem"), key: file("key.pem") };

  test("answers page, pairing and websocket, and never plain http", async () => {
    const { port, address, devices } = await start({ tls });
    const origin = `https://localhost:${port}`;
    const ask = (method: string, path: string, headers: Record<string, string>, body = "") =>
      new Promise<{ status: number; cookie: string }>((resolve, reject) => {
        const asked = httpsRequest(
          { host: "localhost", port, ca: tls.cert, method, path, headers },
          (answer) => {
            answer.resume();
            const [given = ""] = answer.headers["set-cookie"] ?? [];
            resolve({ status: answer.statusCode ?? 0, cookie: given });
          },
        );
        asked.on("error", reject);
        asked.end(body);
      });
    expect((await ask("GET", "/", {})).status).toBe(200);
    expect((await ask("GET", "/api/bench", {})).status).toBe(401);
    const body = JSON.stringify({ code: devices.newCode("full").code, name: "Phone" });
    const json = { "content-type": "application/json", origin };
    const { status, cookie: given } = await ask("POST", "/api/pairing", json, body);
    expect(status).toBe(200);
    expect(given).toContain("; Secure");
    const headers = { cookie: given.split(";")[0] ?? "", origin };
    expect((await ask("GET", "/api/bench", headers)).status).toBe(200);
    const socket = new WebSocket(`wss://localhost:${port}/api/live`, { ca: tls.cert, headers });
    await once(socket, "message");
    socket.terminate();
    await expect(fetch(`${address}/`)).rejects.toThrow();
    expect(
      (await ask("GET", "/api/bench", { ...headers, origin: `http://localhost:${port}` })).status,
    ).toBe(403);
  });
});

test("no log line of any of this has a code or a token in it", async () => {
  const { log, lines } = listening();
  const { ask, devices, address } = await start({ log });
  const { code } = devices.newCode("full");
  const { token } = devices.pair(code, "x");
  await ask("/api/pairing", {}, "POST", { code, name: "x" });
  await ask(`/api/bench?token=${token}`, bearer(token));
  await ask(`/api/nothing/${token}`, bearer(token));
  await upgrade(address, { ...cookie(token), origin: "http://evil.example" });
  const logged = JSON.stringify(lines);
  for (const secret of [token, code, code.replace("-", "")]) expect(logged).not.toContain(secret);
});
