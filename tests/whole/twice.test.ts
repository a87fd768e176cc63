// The program is killed after a change was kept and before it was answered: whoever asks again does not change it twice.
import { afterAll, afterEach, expect, test } from "vitest";
import type { Batch } from "../../src/wire/batch.ts";
import type { Bench } from "../../src/wire/bench.ts";
import { dataFolder, eventually, recordIn, Service } from "./service.ts";

/** Ends the program, as a power cut would, where it is about to answer a request that asks for it. */
const diesBeforeAnswer =
  "data:text/javascript,import http from 'node:http';const write=http.ServerResponse.prototype.writeHead;" +
  "http.ServerResponse.prototype.writeHead=function(...all){if(this.req.headers['x-die'])process.kill(process.pid,'SIGKILL');" +
  "return write.apply(this,all)}";

const data = dataFolder();
let service: Service;
const start = async (isToDie: boolean): Promise<void> => {
  const within = isToDie ? ["env", `NODE_OPTIONS=--import="${diesBeforeAnswer}"`] : [];
  service = await Service.start({ data: data.path, scale: "tcp://127.0.0.1:9", within });
};
afterEach(() => service.stop());
afterAll(() => data.remove());

async function change(path: string, key: string, body: unknown, dies: boolean) {
  const answer = await fetch(service.url + path, {
    method: "POST",
    headers: {
      "content-type": "application/json",
      "idempotency-key": key,
      ...(dies ? { "x-die": "1" } : {}),
    },
    body: JSON.stringify(body),
  }).catch(() => null);
  return answer === null ? null : { status: answer.status, body: (await answer.json()) as unknown };
}

/** Kept without an answer, then asked for again of the program that was started after. */
async function twice(path: string, body: unknown): Promise<void> {
  const key = `tap ${path}`;
  await start(true);
  expect(await change(path, key, body, true)).toBe(null);
  await eventually(
    "the kill",
    async () => service.isUp(),
    (isUp) => !isUp,
  );
  await start(false);
  const again = await change(path, key, body, false);
  expect(again).toMatchObject({ status: 409, body: { type: "/problems/change.kept-before" } });
  expect(await change(path, key, body, false)).toEqual({
    status: 409,
    body: { ...(again?.body as object), instance: expect.any(String) as string },
  });
}

test("a batch, a tray and a weighing that were kept without an answer are there once", async () => {
  const tray = { name: "A", tareGrams: 400, food: "invented", waterPct: 80 };
  await twice("/api/batches", { dryer: "Cellar", trays: [tray] });
  const [batch] = (await service.get<Bench>("/api/bench")).batches;
  expect((await service.get<Batch[]>("/api/batches?state=all")).length).toBe(1);
  await service.stop();
  await twice(`/api/batches/${batch?.id}/trays`, { ...tray, name: "B" });
  const { trays } = await service.batch(batch?.id ?? 0);
  expect(trays.map(({ name }) => name)).toEqual(["A", "B"]);
  await service.stop();
  await twice("/api/weighings", { tray: trays[0]?.id, kind: "fresh", value: 900 });
  expect((await service.batch(batch?.id ?? 0)).trays[0]?.weighings).toHaveLength(1);
  expect(recordIn(data.path).problems).toEqual([]);
});

test("killed before it was kept, it is done when it is asked for again", async () => {
  await start(false);
  const before = (await service.get<Batch[]>("/api/batches?state=all")).length;
  await service.kill();
  const body = { dryer: "Cellar", trays: [] };
  expect(await change("/api/batches", "tap", body, false)).toBe(null);
  await start(false);
  expect(await change("/api/batches", "tap", body, false)).toMatchObject({ status: 201 });
  expect((await service.get<Batch[]>("/api/batches?state=all")).length).toBe(before + 1);
});
