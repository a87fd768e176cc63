// A change sent again because its answer was lost. The header is that of draft-ietf-httpapi-idempotency-key-header
// (IETF, "The Idempotency-Key HTTP Header Field"): the same answer again, and 422 for another request under one key.
import { beforeEach, expect, test } from "vitest";
import { keptForMs, mostKept } from "../../src/http/once.ts";
import type { Api } from "../../src/http/api.ts";
import type { Service } from "../../src/service/service.ts";
import { batch, fakeService, host, makeTestServer } from "./fake.ts";

let monoMs = 0;
let times = 0;
let api: Api;
const typeWeighing = (): ReturnType<Service["typeWeighing"]> => ({ ...batch, number: ++times });
const clock = { mono: () => monoMs, utc: () => 0 } as never;
beforeEach(async () => {
  times = 0;
  api = await makeTestServer(fakeService({ typeWeighing }), { clock });
});

async function type(key: string | null, value = 812.6): Promise<{ status: number; body: unknown }> {
  const { statusCode, body } = await api.inject({
    method: "POST",
    url: "/api/weighings",
    headers: { host, ...(key === null ? {} : { "idempotency-key": key }) },
    payload: { tray: 1, kind: "dry", value },
  });
  return { status: statusCode, body: JSON.parse(body) };
}

test("without a key each one counts; under one key it is done once, with the answer of the first time", async () => {
  await type(null);
  await type(null);
  expect(times).toBe(2);
  const first = await type("tap-1");
  expect(first).toMatchObject({ status: 200, body: { number: 3 } });
  expect(await type("tap-1")).toEqual(first);
  expect(await type("tap-1")).toEqual(first);
  expect(times).toBe(3);
  await type("tap-2");
  expect(times).toBe(4);
});

test("something else under the same key is refused and not done", async () => {
  await type("tap-1");
  expect(await type("tap-1", 812.7)).toMatchObject({ status: 422 });
  expect(times).toBe(1);
});

test("trays that a person touched a while ago went in then; a time that no key is kept for is refused", async () => {
  const told: unknown[] = [];
  const setClock: Service["setClock"] = (_batch, { is }, secondsAgo) => {
    told.push([is, secondsAgo]);
    return batch;
  };
  const own = await makeTestServer(fakeService({ setClock }), { clock });
  const touch = async (ago: string | null) =>
    own.inject({
      method: "POST",
      url: "/api/batches/3/clock",
      headers: {
        host,
        "idempotency-key": "tap-1",
        ...(ago === null ? {} : { "asked-seconds-ago": ago }),
      },
      payload: { is: "out" },
    });
  expect((await touch("21")).statusCode).toBe(200);
  // The first of them was done: another try, later, is the same change.
  expect((await touch("31")).statusCode).toBe(200);
  expect(told).toEqual([["out", 21]]);
  for (const wrong of ["601", "-1", "1.5", "1e2", "soon"]) {
    const refused = await touch(wrong);
    expect(refused.statusCode).toBe(400);
    expect(refused.body).toContain("#/header/asked-seconds-ago");
  }
  expect(told).toHaveLength(1);
});

test("asked again while the first is still being done, it waits for that answer", async () => {
  let answer = (_said: string | null): void => undefined;
  const tryAlert = (): Promise<string | null> => {
    times += 1;
    return new Promise((resolve) => (answer = resolve));
  };
  const slow = await makeTestServer(fakeService({ tryAlert }), { clock });
  const asking = () =>
    slow.inject({
      method: "POST",
      url: "/api/alerts/try",
      headers: { host, "idempotency-key": "tap-1" },
      payload: {},
    });
  const both = [asking(), asking()];
  await expect.poll(() => times).toBe(1);
  await new Promise((resolve) => setTimeout(resolve, 20));
  answer("no broker there");
  const [one, other] = await Promise.all(both);
  expect(one?.json()).toEqual({ sent: false, why: "no broker there" });
  expect(other?.json()).toEqual(one?.json());
  expect(times).toBe(1);
});

test("what failed for a reason of the service's own is done anew", async () => {
  let broken = true;
  const failing = await makeTestServer(
    fakeService({
      typeWeighing: () => {
        if (broken) throw new Error("a fault");
        return typeWeighing();
      },
    }),
    { clock },
  );
  const asking = () =>
    failing.inject({
      method: "POST",
      url: "/api/weighings",
      headers: { host, "idempotency-key": "tap-1" },
      payload: { tray: 1, kind: "dry", value: 812.6 },
    });
  expect((await asking()).statusCode).toBe(500);
  broken = false;
  expect((await asking()).statusCode).toBe(200);
  expect(times).toBe(1);
});

test("a key is forgotten after a while, and the oldest when there are many", async () => {
  await type("old");
  monoMs += keptForMs + 1;
  await type("newer");
  await type("old");
  expect(times).toBe(3);
  for (let n = 0; n < mostKept; n++) await type(`many-${n}`);
  const before = times;
  await type(`many-${mostKept - 1}`);
  expect(times).toBe(before);
  await type("old");
  expect(times).toBe(before + 1);
});

test("a pairing is never answered again: every wrong code counts", async () => {
  const paired = await makeTestServer(fakeService({ typeWeighing }), { clock, pairing: true });
  const ask = (code: string) =>
    paired.inject({
      method: "POST",
      url: "/api/pairing",
      headers: { host, "idempotency-key": "tap-1" },
      payload: { code, name: "Phone", for: "program" },
    });
  const answers = [await ask("0000-0000"), await ask("1111-1111")];
  expect(answers.map(({ statusCode }) => statusCode)).toEqual([403, 403]);
});

test("what was kept before the program was stopped is not done again, and the answer says so", async () => {
  const keys = new Set<string>();
  let under: string | null = null;
  const kept = {
    wasKept: (key: string) => keys.has(key),
    under: (key: string, work: () => void) => {
      under = key;
      work();
      under = null;
    },
    typeWeighing: () => {
      if (under === null) throw new Error("a change is made under its key");
      keys.add(under);
      return typeWeighing();
    },
  };
  const ask = async (server: Api, key: string, value = 812.6) => {
    const { statusCode, body } = await server.inject({
      method: "POST",
      url: "/api/weighings",
      headers: { host, "idempotency-key": key },
      payload: { tray: 1, kind: "dry", value },
    });
    return { status: statusCode, body: JSON.parse(body) as unknown };
  };
  const before = await makeTestServer(fakeService(kept), { clock });
  expect(await ask(before, "tap-1")).toMatchObject({ status: 200, body: { number: 1 } });
  const after = await makeTestServer(fakeService(kept), { clock });
  expect(await ask(after, "tap-1")).toMatchObject({
    status: 409,
    body: {
      type: "/problems/change.kept-before",
      detail: "That was done already, before the program was stopped",
    },
  });
  expect(times).toBe(1);
  // Another key, and something else under the same: nothing was kept of either.
  expect(await ask(after, "tap-2")).toMatchObject({ status: 200, body: { number: 2 } });
  expect(await ask(after, "tap-1", 640)).toMatchObject({ status: 200, body: { number: 3 } });
});
