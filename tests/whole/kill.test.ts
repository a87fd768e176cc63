// The power goes in the middle of the work: whatever was announced is there afterwards, and hours that nobody
// watched prove nothing until a person says that the dryer ran.
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Batch, Gap, Weighing } from "../../src/wire/batch.ts";
import { Pty } from "../rig/pty.ts";
import { Pan } from "./pan.ts";
import { dataFolder, Live, Service } from "./service.ts";

const data = dataFolder();
let line: Pty;
let pan: Pan;
let service: Service;
let live: Live;

/** Starts on the same folder as before, as of so many hours ago. */
async function start(hoursAgo: number): Promise<void> {
  service = await Service.start({ scale: line.path, data: data.path, hoursAgo });
  live = await service.live();
}

beforeAll(async () => {
  line = await Pty.start();
  pan = new Pan(line);
  await start(6);
});

afterAll(async () => {
  live.close();
  pan.stop();
  await service.stop();
  await line.close();
  data.remove();
});

const tare = 400;
const fresh = [611.4, 574.9, 640.2, 588.8];
const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));
const weighingsOf = (batch: Batch): Weighing[] => batch.trays.flatMap((tray) => tray.weighings);

async function begin(): Promise<Batch> {
  return service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: fresh.map((_, place) => ({
      name: `Tray ${place + 1}`,
      tareGrams: tare,
      food: "invented",
      waterPct: 80,
    })),
  });
}

/** Seen by a scale that was read without a break: an empty pan, then the load, until it is taken. */
async function weigh(gross: number): Promise<void> {
  const before = live.of("weighing").length;
  await live.until("an empty pan", () => live.of("reading").at(-1)?.settled === true);
  pan.place(gross);
  await live.until("the weighing", () => live.of("weighing").length > before);
  pan.lift();
  await live.until("the load to be lifted", () => live.of("lifted").length > 0);
}

test("what was announced before a kill -9 is there after it, to the last weighing", async () => {
  const { id } = await begin();
  const announced: Weighing[] = [];
  for (const [place, net] of fresh.entries()) {
    await live.until("an empty pan", () => live.of("reading").at(-1)?.settled === true);
    pan.place(tare + net);
    // From before the load settles until just after it was taken.
    if (place % 2 === 0) await live.until("the weighing", () => live.of("weighing").length > 0);
    else await pause(500 + 300 * place);
    await service.kill();
    live.close();
    announced.push(...live.of("weighing").map(({ weighing }) => weighing));
    pan.lift();
    await start(6);
    const kept = weighingsOf(await service.batch(id));
    for (const weighing of announced) expect(kept).toContainEqual(weighing);
    if (!kept.some((one) => Math.abs(one.grossGrams - tare - net) <= 0.05)) {
      await weigh(tare + net);
      announced.push(...live.of("weighing").map(({ weighing }) => weighing));
    }
  }
  const batch = await service.batch(id);
  for (const [place, net] of fresh.entries())
    expect(Math.abs((batch.trays[place]?.freshGrams ?? 0) - net)).toBeLessThanOrEqual(0.05);
  expect(weighingsOf(batch)).toHaveLength(fresh.length);
});

const openBatch = async (): Promise<Batch> => {
  const [batch] = (await service.bench()).batches;
  if (batch === undefined) throw new Error("the batch is open");
  return batch;
};
const hoursOf = ({ from, to }: Gap): number => (Date.parse(to) - Date.parse(from)) / 3_600_000;

/** The power goes while trays are in, and the service is started again three hours later. */
async function cutWhileIn(hoursAgo: number): Promise<{ gap: Gap; batch: Batch }> {
  await service.kill();
  live.close();
  await start(hoursAgo);
  const batch = await openBatch();
  const open = batch.gaps.filter((gap) => gap.dryerRan === null);
  expect(open).toHaveLength(1);
  const [gap] = open;
  if (gap === undefined) throw new Error("there is one");
  expect(hoursOf(gap)).toBeGreaterThan(2.9);
  expect(hoursOf(gap)).toBeLessThan(3.1);
  return { gap, batch };
}

test("hours of a gap do not count until a person says that the dryer ran on", async () => {
  const { id } = await openBatch();
  await service.post(`/api/batches/${id}/clock`, { is: "in" });
  const { gap, batch } = await cutWhileIn(3);
  expect(batch.clock.state).toBe("in");
  expect(batch.clock.dryingHours).toBeLessThan(0.1);
  const answered = await service.post<Batch>(`/api/gaps/${gap.id}`, { dryerRan: true });
  expect(answered.clock.dryingHours - batch.clock.dryingHours).toBeCloseTo(hoursOf(gap), 2);
  // Somebody whose page still asks says the contrary: it does not undo the answer unseen.
  const late = await service.ask("POST", `/api/gaps/${gap.id}`, { dryerRan: false });
  expect(late).toMatchObject({
    status: 412,
    body: { errors: [{ detail: "dryerRan is true now and was null" }] },
  });
  const seen = { dryerRan: true };
  const changed = await service.ask("POST", `/api/gaps/${gap.id}`, { dryerRan: false, seen });
  expect(changed.status).toBe(200);
  await service.post<Batch>(`/api/gaps/${gap.id}`, { dryerRan: true, seen: { dryerRan: false } });
});

test("a gap in which the dryer stood still is taken out of the hours for good", async () => {
  const { gap, batch } = await cutWhileIn(0);
  expect(batch.clock.dryingHours).toBeGreaterThan(2.9);
  expect(batch.clock.dryingHours).toBeLessThan(3.2);
  const answered = await service.post<Batch>(`/api/gaps/${gap.id}`, { dryerRan: false });
  expect(answered.clock.dryingHours).toBeCloseTo(batch.clock.dryingHours, 2);
  await service.kill();
  live.close();
  await start(0);
  const after = await openBatch();
  expect(after.gaps.map((one) => one.dryerRan)).toEqual([true, false]);
  expect(after.clock.dryingHours).toBeCloseTo(batch.clock.dryingHours, 2);
});

test("a service that is ended in good order ends with 0 and holds all of it", async () => {
  const before = await openBatch();
  live.close();
  expect(await service.stop()).toBe(0);
  await start(0);
  expect((await openBatch()).trays).toEqual(before.trays);
});
