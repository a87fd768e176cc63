// Practice at the built service: it begins by itself and is marked wherever it shows.
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Bag, StockLine } from "../../src/wire/bag.ts";
import type { Batch } from "../../src/wire/batch.ts";
import type { Bench } from "../../src/wire/bench.ts";
import { practiceDryer, practiceLoads } from "../../src/practice/dryer.ts";
import { dataFolder, eventually, recordIn, Service } from "./service.ts";

const data = dataFolder();
let service: Service;

beforeAll(async () => {
  service = await Service.start({ scale: "practice:", data: data.path });
});

afterAll(async () => {
  expect(await service.stop()).toBe(0);
  data.remove();
});

const openBatch = async (): Promise<Batch | undefined> => (await service.bench()).batches[0];
const isLoaded = (batch: Batch | undefined): boolean =>
  batch?.trays.every((tray) => tray.freshGrams !== null) === true;

test("the practice hand loads a batch by itself, to within half a division of what lies there", async () => {
  const batch = await eventually("four fresh masses", openBatch, isLoaded, 90_000);
  for (const [place, { freshGrams }] of practiceLoads.entries())
    expect(Math.abs((batch?.trays[place]?.freshGrams ?? 0) - freshGrams)).toBeLessThanOrEqual(0.05);
});

test("practice is said of the bench, the scale, the batch, its dryer and foods, and its export", async () => {
  const bench = await service.bench();
  expect(bench.practice).not.toBeNull();
  expect(bench.dataFolder).not.toBe(data.path);
  expect(bench.scales.map((scale) => scale.practice)).toEqual([true]);
  const [batch] = bench.batches;
  expect(batch).toMatchObject({ practice: true, dryer: practiceDryer });
  for (const tray of batch?.trays ?? []) expect(tray.food).toMatch(/practice/i);
  const csv = await service.get<string>(`/api/batches/${batch?.id}/weighings.csv`);
  const [, ...rows] = csv.trimEnd().split("\r\n");
  expect(rows).toHaveLength(practiceLoads.length);
  for (const row of rows) expect(row).toMatch(/^Practice batch \d+,/);
});

test("a person takes over: the hand rests, and a tray is put on and taken off by request", async () => {
  await service.post<Bench>("/api/practice", { works: false });
  const batch = await openBatch();
  const tray = batch?.trays[0]?.id;
  const grams = async (): Promise<number | null> =>
    (await service.bench()).scales[0]?.grams ?? null;
  await service.post("/api/practice", { place: null });
  await eventually("an empty pan", grams, (seen) => seen !== null && Math.abs(seen) < 0.3);
  await service.post("/api/practice", { place: { tray, empty: true } });
  const tare = practiceLoads[0]?.tareGrams ?? 0;
  await eventually("the empty tray", grams, (seen) => Math.abs((seen ?? 0) - tare) < 0.3);
  expect((await service.bench()).practiceHand?.works).toBe(false);
});

test("every page is told at once that a person took over, while nothing else happens", async () => {
  await service.post<Bench>("/api/practice", { works: false });
  const live = await service.live();
  const told = (works: boolean) =>
    live.until(
      `works: ${works}`,
      () => live.of("bench").at(-1)?.bench.practiceHand?.works === works,
      900,
    );
  await service.post<Bench>("/api/practice", { works: true });
  await told(true);
  await service.post<Bench>("/api/practice", { works: false });
  await told(false);
  live.close();
});

test("the hand fills and seals bags that were planned, and weighs one back", async () => {
  await service.post<Bench>("/api/practice", { works: false });
  await service.post("/api/practice", { place: null });
  const batch = await service.post<Batch>("/api/batches", {
    dryer: "Another dryer",
    trays: [{ name: "1", tareGrams: 400, food: "09316" }],
  });
  const tray = batch.trays[0]?.id ?? 0;
  await service.post("/api/weighings", { tray, kind: "fresh", value: 1307.2 });
  await service.post(`/api/batches/${batch.id}/clock`, { is: "in" });
  await service.post(`/api/batches/${batch.id}/clock`, { is: "out" });
  await service.post("/api/weighings", { tray, kind: "dry", value: 502 });
  await service.post(`/api/batches/${batch.id}/end`, {});
  await service.post(`/api/batches/${batch.id}/bags`, {
    trays: [{ tray }],
    divide: { count: 2 },
    container: "soft",
    volumeMl: 946,
    absorbers: { count: 1, cc: 300 },
    divisionGrams: 0.1,
    although: "practice",
  });
  await service.post<Bench>("/api/practice", { works: true });
  const stock = () => service.get<StockLine[]>("/api/stock");
  await eventually("two sealed bags", stock, ([line]) => line?.bags.length === 2, 90_000);
  const first = (await stock())[0]?.bags[0]?.id ?? 0;
  const shown = await eventually(
    "one weighed back",
    () => service.get<Bag>(`/api/bags/${first}`),
    ({ weighings }) => weighings.some(({ kind }) => kind === "shelf"),
    60_000,
  );
  expect(shown.code).toMatch(/^PRACTICE-/);
  expect(shown.netGrams).toBeCloseTo(51, 0);
  expect(shown.shelf?.word).not.toBe("gaining-moisture");
}, 300_000);

test("every verdict that was given follows from the weighings kept", async () => {
  const { problems, verdicts } = recordIn((await service.bench()).dataFolder);
  expect(problems).toEqual([]);
  expect(verdicts.older).toBe(0);
  expect(verdicts.checked).toBeGreaterThan(0);
});
