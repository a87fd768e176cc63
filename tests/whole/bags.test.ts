// From a dried tray to labelled bags on the shelf, at the built service with a scale on a line. The masses are invented.
import { spawnSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Bag, BagLine, StockLine } from "../../src/wire/bag.ts";
import type { Batch } from "../../src/wire/batch.ts";
import type { Bench } from "../../src/wire/bench.ts";
import { Pty } from "../rig/pty.ts";
import { Pan } from "./pan.ts";
import { dataFolder, type Live, Service } from "./service.ts";

const data = dataFolder();
let line: Pty;
let pan: Pan;
let service: Service;
let live: Live;

beforeAll(async () => {
  line = await Pty.start();
  pan = new Pan(line);
  service = await Service.start({ scale: line.path, data: data.path, timeFactor: 3600 });
  live = await service.live();
});

afterAll(async () => {
  live.close();
  pan.stop();
  await service.stop();
  await line.close();
  data.remove();
});

const taskNow = () => live.of("bench").at(-1)?.bench.tasks[0];
async function put(gross: number, kind: string): Promise<void> {
  const before = taskNow()?.bagTaken?.weighing ?? 0;
  pan.place(gross);
  await live.until(`${gross} g to be taken as ${kind}`, () => {
    const taken = taskNow()?.bagTaken;
    return taken?.kind === kind && taken.weighing > before;
  });
}
async function lift(): Promise<void> {
  const before = live.of("lifted").length;
  pan.lift();
  await live.until("the load to be lifted", () => live.of("lifted").length > before);
}

async function driedTray(): Promise<Batch> {
  const batch = await service.post<Batch>("/api/batches", {
    dryer: "Dryer",
    trays: [{ name: "A", tareGrams: 400, food: "09316" }],
  });
  const [tray] = batch.trays;
  await service.post("/api/weighings", { tray: tray?.id, kind: "fresh", value: 1307.2 });
  await service.post(`/api/batches/${batch.id}/clock`, { is: "in" });
  // An hour of the service's clock is a second.
  await live.until("some drying hours", () => live.of("reading").length > 12);
  await service.post(`/api/batches/${batch.id}/clock`, { is: "out" });
  return service.post<Batch>("/api/weighings", { tray: tray?.id, kind: "dry", value: 502.1 });
}

test("a tray is divided at the scale, sealed, labelled, found by its label and weighed on the shelf", async () => {
  const batch = await driedTray();
  const [tray] = batch.trays;
  const asked = {
    trays: [{ tray: tray?.id }],
    divide: { count: 2 },
    container: "soft",
    volumeMl: 946,
    absorbers: { count: 1, cc: 300 },
    divisionGrams: 0.1,
  };
  const refused = await service.ask("POST", `/api/batches/${batch.id}/bags`, asked);
  expect(refused.body).toMatchObject({ type: "/problems/tray.not-dry", status: 409 });
  const although = "a test of the bags";
  const bags = await service.post<Bag[]>(`/api/batches/${batch.id}/bags`, { ...asked, although });
  expect(bags.map(({ targetGrams }) => targetGrams)).toEqual([51.1, 51]);

  const [scale] = (await service.bench()).scales;
  const choose = (bag: number | string) =>
    service.post<Bench>(`/api/scales/${scale?.id}/bag`, { bag });
  await choose(bags[0]?.id ?? 0);
  await put(8.2, "tare");
  pan.place(40);
  await live.until("what is still to go", () => /to go/.test(taskNow()?.bag?.why ?? ""));
  await put(8.2 + 51.1, "filled");
  await lift();
  await put(8.3, "tare");
  await put(8.3 + 51, "filled");
  await lift();
  await put(63.6, "sealed");
  await lift();

  const bag = await service.get<Bag>(`/api/bags/${bags[0]?.id}`);
  expect(bag).toMatchObject({ state: "sealed", although, practice: true });
  expect(bag.netGrams).toBeCloseTo(51.1, 0);
  expect(bag.sealedGrossGrams).toBeCloseTo(63.6, 0);
  const label = await fetch(`${service.url}/api/bags/${bag.id}/label.pdf?stock=70x37`);
  expect(label.headers.get("content-type")).toBe("application/pdf");
  const file = join(data.path, "label.pdf");
  writeFileSync(file, Buffer.from(await label.arrayBuffer()));
  const read = spawnSync("pdftotext", ["-raw", file, "-"], { encoding: "utf8" }).stdout;
  expect(read).toContain(bag.code);
  expect(read).toContain("PRACTICE");

  await choose(bag.code);
  await put(63.6, "shelf");
  await lift();
  const [found] = await service.get<BagLine[]>(`/api/bags?q=${bag.code}`);
  expect(found).toMatchObject({ id: bag.id, state: "sealed" });
  const stock = await service.get<StockLine[]>("/api/stock");
  expect(stock.map(({ bags: own }) => own.map(({ code }) => code))).toEqual([[bag.code]]);
  const used = await service.ask("PATCH", `/api/bags/${bag.id}`, { fate: "used" });
  expect(used.body).toMatchObject({ state: "used" });
  expect(await service.get<StockLine[]>("/api/stock")).toEqual([]);
});

test("labels asked for without end are refused before they cost memory, and the service goes on", async () => {
  const [bag] = await service.get<BagLine[]>("/api/bags?state=all");
  const asked = Array.from({ length: 40 }, () =>
    fetch(`${service.url}/api/bags/${bag?.id}/label.pdf?stock=62x29`).then(async (answer) => {
      await answer.arrayBuffer();
      return answer.status;
    }),
  );
  const statuses = await Promise.all(asked);
  expect(new Set(statuses)).toEqual(new Set([200, 503]));
  expect(statuses.filter((status) => status === 200).length).toBeGreaterThanOrEqual(20);
  const label = await fetch(`${service.url}/api/bags/${bag?.id}/label.pdf?stock=62x29`);
  expect(label.status).toBe(200);
}, 30_000);

test("bags are there again after the service was killed", async () => {
  const before = await service.get<BagLine[]>("/api/bags?state=all");
  expect(before.length).toBeGreaterThan(1);
  await service.kill();
  service = await Service.start({ scale: line.path, data: data.path, timeFactor: 3600 });
  expect(await service.get<BagLine[]>("/api/bags?state=all")).toEqual(before);
});
