// Two foods on one tray with tare between, and a bag's food that is dried again, at the built service with a scale on
// a line, until every tray is stable; then what each gave. The masses are invented.
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Bag } from "../../src/wire/bag.ts";
import type { Batch } from "../../src/wire/batch.ts";
import type { Bench } from "../../src/wire/bench.ts";
import type { Yields } from "../../src/wire/yield.ts";
import { Pty } from "../rig/pty.ts";
import { Pan } from "./pan.ts";
import { dataFolder, eventually, type Live, recordIn, Service } from "./service.ts";

const data = dataFolder();
let line: Pty;
let pan: Pan;
let service: Service;
let live: Live;

beforeAll(async () => {
  line = await Pty.start();
  pan = new Pan(line);
  service = await Service.start({ scale: line.path, data: data.path, timeFactor: 36_000 });
  live = await service.live();
});

afterAll(async () => {
  live.close();
  pan.stop();
  await service.stop();
  await line.close();
  data.remove();
});

const taken = (): number => live.of("weighing").length;
async function put(gross: number): Promise<void> {
  const before = taken();
  pan.place(gross);
  await live.until(`${gross} g to be taken`, () => taken() > before);
}
async function lift(): Promise<void> {
  const before = live.of("lifted").length;
  pan.lift();
  await live.until("the load to be lifted", () => live.of("lifted").length > before);
}
const pourNow = () => live.of("bench").at(-1)?.bench.tasks[0]?.pour ?? null;
const lastWeighing = () => live.of("weighing").at(-1)?.weighing;

/** A bag of an earlier batch, typed: 50 g dry, sealed at 60 g. */
async function damp(): Promise<Bag> {
  const batch = await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    number: 41,
    trays: [{ name: "Old", tareGrams: 400, food: "Strawberries, raw" }],
  });
  const tray = batch.trays[0]?.id;
  await service.post("/api/weighings", { tray, kind: "fresh", value: 900 });
  await service.post(`/api/batches/${batch.id}/clock`, { is: "in" });
  await eventually(
    "some drying hours",
    () => service.batch(batch.id),
    ({ clock }) => clock.dryingHours > 5,
  );
  await service.post(`/api/batches/${batch.id}/clock`, { is: "out" });
  await service.post("/api/weighings", { tray, kind: "dry", value: 450 });
  const [bag] = await service.post<Bag[]>(`/api/batches/${batch.id}/bags`, {
    trays: [{ tray }],
    divide: { count: 1 },
    container: "soft",
    volumeMl: 946,
    tareGrams: 8,
    although: "a test",
  });
  for (const [kind, value] of [
    ["filled", 58],
    ["sealed", 60],
  ] as const)
    await service.post(`/api/bags/${bag?.id}/weighings`, { kind, value });
  await service.post(`/api/batches/${batch.id}/end`, {});
  return service.get<Bag>(`/api/bags/${bag?.id}`);
}

test("two foods on one tray with tare between, and a bag dried again, go to a stable weight and say what they gave", async () => {
  const bag = await damp();
  expect(bag.code).toBe("PRACTICE-41-1");
  const batch = await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [
      {
        name: "North",
        portions: [
          { food: "Strawberries, raw", targetGrams: 600 },
          { food: "Bananas, raw", targetGrams: 400 },
        ],
      },
      { name: "South", tareGrams: 380, portions: [{ bag: bag.code, targetGrams: 51 }] },
    ],
  });
  expect(batch.number).toBe(42);
  expect(await service.get<Bag>(`/api/bags/${bag.id}`)).toMatchObject({
    state: "re-dry",
    redriedIn: { batch: batch.id, batchNumber: 42, tray: "South" },
  });
  const [north, south] = batch.trays;
  expect(south?.portions[0]).toMatchObject({ fromBag: bag.id });

  // The empty tray, the first food short of its goal and then at it, the scale's tare key, and the second food.
  await put(412.3);
  expect(lastWeighing()).toMatchObject({ kind: "tare", tray: north?.id });
  const before = taken();
  pan.place(412.3 + 250);
  await live.until("the first food to rest short", () => (pourNow()?.load ?? null) !== null);
  expect(pourNow()).toMatchObject({ portion: 1, targetGrams: 600, hiddenGrams: 0 });
  expect(taken()).toBe(before);
  await put(412.3 + 603.2);
  expect(lastWeighing()).toMatchObject({ kind: "fresh", portion: 1 });
  pan.tare();
  await live.until("the tare key to be noticed", () => (pourNow()?.hiddenGrams ?? 0) > 1000);
  await put(412.3 + 603.2 + 396.7);
  expect(lastWeighing()).toMatchObject({ kind: "fresh", portion: 2 });
  expect(lastWeighing()?.grossGrams).toBeCloseTo(1412.2, 0);
  await lift();
  pan.tare();
  await eventually(
    "the display at zero",
    () => service.bench(),
    ({ scales }: Bench) => Math.abs(scales[0]?.grams ?? 1) < 0.3 && scales[0]?.settled === true,
  );
  await put(380 + 51.4);
  expect(lastWeighing()).toMatchObject({ tray: south?.id, portion: 1 });
  await lift();

  const loaded = await service.batch(batch.id);
  expect(loaded.trays.map(({ freshGrams }) => Math.round((freshGrams ?? 0) * 10) / 10)).toEqual([
    999.9, 51.4,
  ]);
  const poured = loaded.trays[0]?.portions.map(({ freshGrams }) => freshGrams ?? 0) ?? [];
  expect(poured[0]).toBeCloseTo(603.2, 0);
  expect(poured[1]).toBeCloseTo(396.7, 0);

  // 603.2 g of strawberries and 396.7 g of bananas hold 54.6 and 99.5 g of solids (USDA SR28); 2 % of water stay.
  const end = 157.2;
  const netAt = [
    [8, 430, 49.6],
    [40, end + 0.6, 48.9],
    [72, end, 48.8],
  ] as const;
  for (const [hour, inNorth, inSouth] of netAt) {
    await service.post(`/api/batches/${batch.id}/clock`, { is: "in" });
    await eventually(
      `${hour} drying hours`,
      () => service.batch(batch.id),
      ({ clock }) => clock.dryingHours >= hour,
      20_000,
    );
    await service.post(`/api/batches/${batch.id}/clock`, { is: "out" });
    await weighDry(north?.id ?? 0, 412.3 + inNorth);
    await weighDry(south?.id ?? 0, 380 + inSouth);
  }
  const dried = await service.batch(batch.id);
  expect(dried.trays[0]?.verdict?.verdict).toBe("stable");
  expect(dried.trays[1]?.verdict?.verdict).toBe("stable");

  const yields = await service.get<Yields>(`/api/batches/${batch.id}/yields`);
  const portions = yields.trays[0]?.portions.map((one) => one.yield) ?? [];
  expect(portions.map((one) => one?.isEstimate)).toEqual([true, true]);
  const shared = portions.reduce((sum, one) => sum + (one?.dryGrams ?? 0), 0);
  expect(shared).toBeCloseTo(yields.trays[0]?.yield?.dryGrams ?? 0, 1);
  expect(yields.batch?.freshGrams).toBeCloseTo(1051.3, 0);

  // One food weighed alone keeps that mass, and the other is what remains.
  const [scale] = (await service.bench()).scales;
  await service.post(`/api/scales/${encodeURIComponent(scale?.id ?? "")}/task`, {
    tray: north?.id,
    kind: "dry",
    portion: 1,
  });
  await put(412.3 + 57.5);
  await lift();
  const apart = (await service.batch(batch.id)).trays[0]?.portions ?? [];
  expect(apart[0]).toMatchObject({ dryIsEstimate: false });
  expect(apart[0]?.dryGrams).toBeCloseTo(57.5, 0);
}, 150_000);

/** A question which tray it is gets its answer. */
async function weighDry(tray: number, gross: number): Promise<void> {
  const [scale] = (await service.bench()).scales;
  const at = `/api/scales/${encodeURIComponent(scale?.id ?? "")}`;
  await service.post(`${at}/task`, { tray });
  await put(gross);
  await lift();
}

test("every verdict that was given follows from the weighings kept", async () => {
  const { problems, verdicts } = recordIn(data.path);
  expect(problems).toEqual([]);
  expect(verdicts.older).toBe(0);
  expect(verdicts.checked).toBeGreaterThan(0);
});
