// Two scales at the built service: one load on both, a tray weighed on both, ids that last; and a scale that says
// nothing until a person agrees that it is asked.
import { once } from "node:events";
import { createServer, type Socket } from "node:net";
import type { AddressInfo } from "node:net";
import { test as inTurn, type TestContext } from "vitest";
import type { Batch } from "../../src/wire/batch.ts";
import type { Bench } from "../../src/wire/bench.ts";
import type { Kitchen } from "../../src/wire/kitchen.ts";
import { NetScale } from "./netscale.ts";
import { dataFolder, eventually, Service } from "./service.ts";

/** The tests run beside each other. What each puts up it takes down at its end, the last first. */
const test = inTurn.concurrent;
type Undo = TestContext["onTestFinished"];

const folder = (undo: Undo): string => {
  const data = dataFolder();
  undo(() => data.remove());
  return data.path;
};
async function start(undo: Undo, data: string, scale?: string): Promise<Service> {
  const service = await Service.start({ data, ...(scale === undefined ? {} : { scale }) });
  undo(async () => void (await service.stop()));
  return service;
}
async function netScale(undo: Undo): Promise<NetScale> {
  const scale = await NetScale.start();
  undo(() => scale.close());
  return scale;
}
const until = (service: Service, what: string, fits: (bench: Bench) => boolean): Promise<Bench> =>
  eventually(what, () => service.bench(), fits);

test("two scales are compared by one load, keep their ids, and a tray weighed on both says so", async ({
  expect,
  onTestFinished: undo,
}) => {
  const [one, other] = [await netScale(undo), await netScale(undo)];
  const data = folder(undo);
  const service = await start(undo, data, one.uri);
  await service.post("/api/scales", { uri: other.uri });
  await until(service, "both scales", ({ scales }) => scales.every(({ form }) => form !== null));
  const ids = (await service.bench()).scales.map(({ id }) => id);
  expect(ids).toEqual(["scale-1", "scale-2"]);

  await service.post("/api/scales/scale-1/compare", { with: "scale-2" });
  one.place(850);
  const first = await until(
    service,
    "the first",
    ({ comparing }) => comparing?.first?.grams === 850,
  );
  expect(first.comparing?.first).toEqual({ scale: "scale-1", grams: 850 });
  one.lift();
  await until(service, "an empty pan", ({ scales }) => scales[0]?.grams === 0);
  other.place(851.7);
  await until(service, "the offset", ({ comparing }) => comparing === null);
  other.lift();
  const { offsets } = await service.get<Kitchen>("/api/kitchen");
  expect(offsets).toMatchObject([{ from: "scale-2", to: "scale-1", count: 1, atGrams: 850 }]);
  expect(offsets[0]?.offsetGrams).toBeCloseTo(1.7, 6);

  const trays = [{ name: "A", tareGrams: 400, food: "strawberries, raw" }];
  const batch = await service.post<Batch>("/api/batches", { name: "", dryer: "D", trays });
  await until(service, "both empty", ({ scales }) => scales.every(({ grams }) => grams === 0));
  one.place(1307.2);
  const of = (): Promise<Batch> => service.get<Batch>(`/api/batches/${batch.id}`);
  await eventually("the fresh mass", of, ({ trays: [a] }) => (a?.freshGrams ?? null) !== null);
  one.lift();
  await service.stop();

  // Started with the second alone on the command line: the ids are those of before.
  const again = await start(undo, data, other.uri);
  const after = await until(again, "both again", ({ scales }) => scales.length === 1);
  expect(after.scales.map(({ id, uri }) => [id, uri])).toEqual([["scale-2", other.uri]]);
  expect((await again.get<Kitchen>("/api/kitchen")).offsets).toEqual(offsets);
});

test("what a display counts in is known from the first tray on after a restart", async ({
  expect,
  onTestFinished: undo,
}) => {
  const scale = await netScale(undo);
  const data = folder(undo);
  const service = await start(undo, data, scale.uri);
  const masses = [1005, 1110, 1035, 1220, 1090, 1155, 1275, 1060];
  const trays = masses.map((_, place) => ({ name: String(place + 1), tareGrams: 400 }));
  await service.post<Batch>("/api/batches", { dryer: "D", trays });
  const divisions = async (at: Service): Promise<readonly number[]> =>
    (await at.batch(1)).trays.flatMap(({ weighings }) =>
      weighings.map(({ divisionGrams }) => divisionGrams),
    );
  const weigh = async (at: Service, place: number): Promise<void> => {
    scale.lift();
    await until(at, "an empty pan", ({ scales: [one] }) => one?.grams === 0 && one.settled);
    scale.place(masses[place] ?? 0);
    await eventually(
      `tray ${place + 1}`,
      () => divisions(at),
      ({ length }) => length > place,
    );
  };
  for (let place = 0; place < 7; place++) await weigh(service, place);
  // It writes tenths, and moves by fives.
  expect((await divisions(service)).at(0)).toBe(0.1);
  expect((await divisions(service)).at(-1)).toBe(5);
  await service.stop();
  const again = await start(undo, data, scale.uri);
  await weigh(again, 7);
  expect((await divisions(again)).at(-1)).toBe(5);
});

/** A scale that answers SI alone, and counts what it is told. */
async function answering(undo: Undo): Promise<{ uri: string; heard: () => readonly string[] }> {
  const heard: string[] = [];
  const lines = new Set<Socket>();
  const server = createServer((line) => {
    lines.add(line);
    line.on("error", () => undefined);
    line.on("data", (bytes) => {
      heard.push(bytes.toString("latin1"));
      if (bytes.toString("latin1") === "SI\r\n") line.write("S S    412.60 g\r\n");
    });
  });
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  undo(() => {
    for (const line of lines) line.destroy();
    server.close();
  });
  return {
    uri: `tcp://127.0.0.1:${(server.address() as AddressInfo).port}`,
    heard: () => heard,
  };
}

test("a silent scale is offered to be asked, is asked only after a yes, and the yes outlives a restart", async ({
  expect,
  onTestFinished: undo,
}) => {
  const scale = await answering(undo);
  const data = folder(undo);
  const service = await start(undo, data);
  await service.post("/api/scales", { uri: scale.uri });
  const silent = await until(service, "silence", ({ scales }) => scales[0]?.offersAsking === true);
  expect(silent.scales[0]).toMatchObject({ link: "silent", asking: null, grams: null });
  expect(scale.heard()).toEqual([]);
  const no = await service.post<Bench>("/api/scales/scale-1/asking", { ask: null });
  expect(no.scales[0]).toMatchObject({ offersAsking: false, asking: { ask: null } });
  await service.post("/api/scales/scale-1/asking", { ask: "SI\r\n", everyMs: 200 });
  await until(service, "an answer", ({ scales }) => scales[0]?.grams === 412.6);
  await service.stop();
  const again = await start(undo, data);
  const bench = await until(again, "an answer", ({ scales }) => scales[0]?.grams === 412.6);
  expect(bench.scales[0]?.asking).toEqual({ ask: "SI\r\n", everyMs: 200 });
  expect(new Set(scale.heard())).toEqual(new Set(["SI\r\n"]));
});
