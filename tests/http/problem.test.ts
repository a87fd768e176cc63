import { afterAll, describe, expect, test } from "vitest";
import { Fault, faults } from "../../src/faults.ts";
import { problemFor, rawRefusal } from "../../src/http/problem.ts";
import { readsPerMinute, writesPerMinute } from "../../src/http/server.ts";
import type { Service } from "../../src/service/service.ts";
import type { Problem } from "../../src/wire/requests.ts";
import { fakeService, host, listening, makeTestServer } from "./fake.ts";

describe("whatever is thrown becomes a problem", () => {
  test("a refusal says what its code stands for and what happened in this case", () => {
    const fault = new Fault("weighing.impossible", "tray 5 cannot weigh 3 g", {
      errors: [{ pointer: "#/grossGrams", detail: "less than the empty tray" }],
    });
    expect(problemFor(fault, "r1")).toEqual({
      type: "/problems/weighing.impossible",
      title: faults["weighing.impossible"].title,
      status: 422,
      detail: "tray 5 cannot weigh 3 g",
      hint: faults["weighing.impossible"].hint,
      errors: [{ pointer: "#/grossGrams", detail: "less than the empty tray" }],
      instance: "/requests/r1",
    });
  });

  const hostile = new Proxy(new Error("x"), {
    get: () => {
      throw new Error("even reading it fails");
    },
    getPrototypeOf: () => {
      throw new Error("even asking what it is fails");
    },
  });
  const posing = Object.assign(new Error("secret"), { statusCode: 413 });
  test.each([
    ["an error", new TypeError("secret")],
    ["text", "secret"],
    ["nothing", undefined],
    ["null", null],
    ["an error that poses as the server's", posing],
    ["an error whose parts cannot be read", hostile],
  ])("%s is a bug: the status and the id, and nothing of its text", (_name, thrown) => {
    const problem = problemFor(thrown, "r1");
    expect(problem).toMatchObject({
      type: "about:blank",
      title: "Internal Server Error",
      status: 500,
      instance: "/requests/r1",
    });
    expect(JSON.stringify(problem)).not.toContain("secret");
  });

  test("a connection that never became a request gets a whole HTTP answer", () => {
    const [head, body] = rawRefusal(431).split("\r\n\r\n");
    expect(head).toContain("HTTP/1.1 431 Request Header Fields Too Large");
    expect(head).toContain(`content-length: ${body?.length}`);
    expect(JSON.parse(body ?? "")).toMatchObject({ status: 431, type: "about:blank" });
  });
});

describe("every error of the server has the one form", async () => {
  const { log, lines } = listening();
  const broken: Partial<Service> = {
    bench: () => {
      throw new TypeError("cannot read 'mass' of undefined at /home/ada/store.db");
    },
    batch: (id) => {
      throw new Fault("batch.not-found", `there is no batch ${id}`);
    },
    ports: () => Promise.reject(new Error("udevadm ENOENT")),
    // Not an error at all: whatever is thrown has to become an answer.
    // oxlint-disable-next-line typescript/only-throw-error
    measures: () => {
      throw "a text";
    },
    tryAlert: () => Promise.reject(undefined as unknown as Error),
  };
  const api = await makeTestServer(fakeService(broken), { log });
  afterAll(() => api.close());

  const refused = async (
    request: {
      method?: "GET" | "PATCH" | "POST" | "PUT" | "DELETE";
      url: string;
      payload?: string | Buffer;
      headers?: Record<string, string>;
    },
    status: number,
  ) => {
    const answer = await api.inject({ ...request, headers: { host, ...request.headers } });
    const problem = answer.json<Problem>();
    expect(answer.statusCode).toBe(status);
    expect(answer.headers["content-type"]).toBe("application/problem+json");
    expect(answer.headers["cache-control"]).toBe("no-store");
    expect(problem.status).toBe(status);
    expect(problem.title).not.toBe("");
    return { problem, headers: answer.headers };
  };
  const json = { "content-type": "application/json" };

  test.each(["/api/bench", "/api/ports", "/metrics", "/api/settings"])(
    "a bug behind %s: 500 with an id that the log knows, without a leak",
    async (url) => {
      lines.length = 0;
      const { problem } = await refused({ url }, 500);
      expect(Object.keys(problem).toSorted()).toEqual([
        "hint",
        "instance",
        "status",
        "title",
        "type",
      ]);
      const logged = lines.find((line) => line["event"] === "request-failed");
      expect(problem.instance).toBe(`/requests/${String(logged?.["reqId"])}`);
    },
  );

  test("a bug is logged with its stack", async () => {
    lines.length = 0;
    await refused({ url: "/api/bench" }, 500);
    expect(JSON.stringify(lines)).toContain("TypeError: cannot read 'mass'");
    expect(JSON.stringify(lines)).toMatch(/at Object\.bench|at .*problem\.test/);
  });

  test("a promise that is refused with nothing is a bug too", async () => {
    await refused({ method: "POST", url: "/api/alerts/try", payload: "{}", headers: json }, 500);
  });

  test("a refusal of the service", async () => {
    lines.length = 0;
    const { problem } = await refused({ url: "/api/batches/8" }, 404);
    expect(problem).toMatchObject({
      type: "/problems/batch.not-found",
      detail: "there is no batch 8",
    });
    expect(lines).toEqual([]);
  });

  test("an address with nothing behind it", async () => {
    const { problem } = await refused({ url: "/api/nothing?x=1" }, 404);
    expect(problem).toMatchObject({
      type: "about:blank",
      detail: "there is nothing at /api/nothing",
    });
  });

  test("an address that cannot be read", async () => {
    await refused({ url: "/api/batches/%zz" }, 400);
  });

  test("an address that is too long", async () => {
    await refused({ url: `/api/scales/${"x".repeat(300)}/task`, method: "POST" }, 414);
  });

  test.each([
    ["PUT", "/api/batches", "GET, HEAD, POST"],
    ["POST", "/api/bench", "GET, HEAD"],
    ["DELETE", "/api/batches/3", "GET, HEAD"],
    ["GET", "/api/weighings", "POST"],
    ["GET", "/api/batches/3/end", "POST"],
    ["POST", "/api/live", "GET, HEAD"],
  ] as const)("%s %s is not among %s", async (method, url, allow) => {
    const { headers } = await refused({ method, url }, 405);
    expect(headers["allow"]).toBe(allow);
  });

  test("the websocket's address without a websocket", async () => {
    const { headers } = await refused({ url: "/api/live" }, 426);
    expect(headers["upgrade"]).toBe("websocket");
  });

  test("a body that is not JSON", async () => {
    const { problem } = await refused(
      { method: "POST", url: "/api/weighings", payload: "{tray:", headers: json },
      400,
    );
    expect(problem).toMatchObject({
      type: "/problems/input.invalid",
      detail: "the body is not JSON",
    });
  });

  // The store would keep U+FFFD in its place, and the chain's digest is of the text as it came.
  test.each([
    ["a reason", { grossGrams: 500, reason: "spilt \ud83d" }],
    ["the second half", { grossGrams: 500, reason: "\udca7 spilt" }],
  ])("a character cut in half in %s", async (_name, edit) => {
    const payload = JSON.stringify(edit);
    const { problem } = await refused(
      { method: "PATCH", url: "/api/weighings/9", payload, headers: json },
      400,
    );
    expect(problem.detail).toContain("half of a character");
  });

  test.each([
    "text/plain",
    "application/x-www-form-urlencoded",
    "multipart/form-data; boundary=x",
    "application/xml",
  ])("a body sent as %s", async (type) => {
    await refused(
      { method: "POST", url: "/api/weighings", payload: "{}", headers: { "content-type": type } },
      415,
    );
  });

  test("a body of more than 64 KiB", async () => {
    const payload = JSON.stringify({ text: "x".repeat(64 * 1024) });
    await refused({ method: "POST", url: "/api/weighings", payload, headers: json }, 413);
  });

  test.each([
    ["30,000 lists in one another", "[".repeat(30_000) + "]".repeat(30_000)],
    ["a prototype", '{"__proto__":{"kind":"dry"},"tray":5}'],
    ["a NUL", '{"tray":"\\u0000"}'],
    ["half of a character", '{"tray":1,"kind":"dry","value":400,"unit":"g\\ud83d"}'],
    ["bytes that are no text", Buffer.from([0x7b, 0xff, 0xfe, 0x7d])],
  ])("a body of %s is refused and nothing breaks", async (_name, payload) => {
    await refused({ method: "POST", url: "/api/weighings", payload, headers: json }, 400);
    expect(({} as Record<string, unknown>)["kind"]).toBeUndefined();
  });
});

test("a loop that reads without end is slowed down as well, and others are not", async () => {
  const api = await makeTestServer(fakeService());
  const read = (remoteAddress = "127.0.0.1") =>
    api.inject({ url: "/api/stock", headers: { host }, remoteAddress });
  for (let n = 0; n < readsPerMinute; n++) expect((await read()).statusCode).toBe(200);
  expect((await read()).statusCode).toBe(429);
  expect((await read("192.168.1.7")).statusCode).toBe(200);
  await api.close();
});

test("a loop that writes without end is slowed down, and reading goes on", async () => {
  const api = await makeTestServer(fakeService());
  const write = () =>
    api.inject({ method: "POST", url: "/api/batches/3/end", headers: { host }, payload: {} });
  const other = () => api.inject({ method: "DELETE", url: "/api/scales/a", headers: { host } });
  for (let n = 0; n < writesPerMinute; n++) expect((await write()).statusCode).toBe(200);
  for (const answer of [await write(), await other()]) {
    expect(answer.statusCode).toBe(429);
    expect(answer.headers["content-type"]).toBe("application/problem+json");
    expect(Number(answer.headers["retry-after"])).toBeGreaterThan(0);
  }
  const read = await api.inject({ url: "/api/bench", headers: { host } });
  expect(read.statusCode).toBe(200);
  await api.close();
});
