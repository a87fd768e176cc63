// The computer's clock jumps under the running service, and between two runs: drying hours stay what they are, the
// jump is said on the page, and the weighings that it touches carry a mark.
import { afterAll, expect, test } from "vitest";
import type { Batch, Weighing } from "../../src/wire/batch.ts";
import { dataFolder, eventually, Service } from "./service.ts";

const data = dataFolder();
const scale = "tcp://127.0.0.1:9";
let service: Service;
afterAll(async () => {
  await service.stop();
  data.remove();
});

const weigh = async (value: number, kind = "dry"): Promise<Weighing> => {
  const batch = await service.post<Batch>("/api/weighings", { tray: 1, kind, value });
  const [last] = batch.trays[0]?.weighings.slice(-1) ?? [];
  if (last === undefined) throw new Error("it is there");
  return last;
};
const clock = (is: "in" | "out") => service.post<Batch>("/api/batches/1/clock", { is });
const noticed = (what: RegExp | null) =>
  eventually(
    `the clock to be ${what}`,
    () => service.bench(),
    ({ clockJump }) => (what === null ? clockJump === null : what.test(clockJump ?? "")),
  );

test.each([
  ["forward", 5],
  ["back", -5],
])(
  "a jump %s changes no drying hours and marks what is weighed after it",
  async (way, jumpHours) => {
    const folder = dataFolder();
    service = await Service.start({ data: folder.path, scale, jumpHours });
    await service.post("/api/batches", { dryer: "Cellar", trays: [{ name: "A", tareGrams: 400 }] });
    expect((await weigh(900, "fresh")).clockDoubt).toBeNull();
    await clock("in");
    service.jump();
    await noticed(way === "back" ? /behind/ : /ahead of/);
    const { clock: after } = await clock("out");
    expect(after.dryingHours).toBeGreaterThanOrEqual(0);
    expect(after.dryingHours).toBeLessThan(0.01);
    const touched = await weigh(700);
    expect(touched.clockDoubt).toBe("time-of-day");
    expect(touched.dryingHours).toBeGreaterThanOrEqual(0);
    expect(touched.dryingHours).toBeLessThan(0.01);
    const { weighings } = (await service.batch(1)).trays[0] ?? { weighings: [] };
    expect(weighings.map(({ clockDoubt }) => clockDoubt)).toEqual([null, "time-of-day"]);
    await service.stop();
    folder.remove();
  },
);

test("a restart in the middle of a batch goes on by the batch's clock, with the mark", async () => {
  // The first run believes that it is long ago, as a board without a battery does, until network time comes.
  service = await Service.start({ data: data.path, scale, hoursAgo: 400_000, jumpHours: 399_997 });
  await service.post("/api/batches", { dryer: "Cellar", trays: [{ name: "A", tareGrams: 400 }] });
  await weigh(900, "fresh");
  await clock("in");
  service.jump();
  await noticed(/ahead of/);
  await service.stop();
  service = await Service.start({ data: data.path, scale });
  const { batches } = await noticed(/ahead of/);
  // Off for three hours by the computer's clock, and not for 45 years; nobody watched them.
  const [gap] = batches[0]?.gaps ?? [];
  const offHours = (Date.parse(gap?.to ?? "") - Date.parse(gap?.from ?? "")) / 3_600_000;
  expect(offHours).toBeCloseTo(3, 1);
  await service.post(`/api/gaps/${gap?.id}`, { dryerRan: true });
  await clock("out");
  const { dryingHours, clockDoubt } = await weigh(700);
  expect(dryingHours).toBeCloseTo(3, 1);
  expect(clockDoubt).toBe("time-of-day");
});

test("a start in the past after a stop says that hours may be missing", async () => {
  await clock("in");
  await service.stop();
  service = await Service.start({ data: data.path, scale, hoursAgo: 200 });
  await clock("out");
  const { dryingHours, clockDoubt } = await weigh(690);
  expect(dryingHours).toBeGreaterThanOrEqual(3);
  expect(dryingHours).toBeLessThan(3.1);
  expect(clockDoubt).toBe("hours-missing");
});

test("with no batch open the next start takes the computer's time over, and nothing is in doubt", async () => {
  await service.post("/api/batches/1/end", {});
  await service.stop();
  service = await Service.start({ data: data.path, scale });
  await noticed(null);
  await service.post("/api/batches", { dryer: "Cellar", trays: [{ name: "B", tareGrams: 400 }] });
  const batch = await service.post<Batch>("/api/weighings", { tray: 2, kind: "fresh", value: 900 });
  expect(batch.trays[0]?.weighings[0]?.clockDoubt).toBeNull();
  await service.stop();
});

test("a program that was held and then asleep with its computer asks once about both", async () => {
  await service.stop();
  const folder = dataFolder();
  service = await Service.start({ data: folder.path, scale, heldHours: 1, sleptHours: 2 });
  await service.post("/api/batches", { dryer: "Cellar", trays: [{ name: "A", tareGrams: 400 }] });
  await weigh(900, "fresh");
  await clock("in");
  service.jump();
  const { batches } = await eventually(
    "the absence to be asked about",
    () => service.bench(),
    (bench) => (bench.batches[0]?.gaps ?? []).length > 0,
  );
  const gaps = (batches[0]?.gaps ?? []).map(
    ({ from, to }) => (Date.parse(to) - Date.parse(from)) / 3_600_000,
  );
  expect(gaps).toEqual([expect.closeTo(3, 1)]);
  await service.stop();
  await service.stop();
  folder.remove();
});
