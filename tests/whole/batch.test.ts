// A whole batch of four trays, as bytes on a serial line and hours that pass in seconds. The masses are invented;
// what they are compared with is a curve of the test that the program does not know.
import { randomBytes } from "node:crypto";
import { expect, test } from "vitest";
import type { Batch } from "../../src/wire/batch.ts";
import type { FromService, WeighingMessage } from "../../src/wire/messages.ts";
import { atScale } from "./atscale.ts";
import { clearOfMidway, trueNet, type Load } from "./load.ts";
import { divisionGrams } from "./pan.ts";
import { eventually, recordIn } from "./service.ts";

const firstPullHours = 8;
const secondPullHours = 72;

const trays: readonly Load[] = [
  { name: "North", tare: 402.37, fresh: 611.82, waterPct: 72 },
  { name: "East", tare: 431.04, fresh: 587.46, waterPct: 74 },
  { name: "South", tare: 378.9, fresh: 640.11, waterPct: 70 },
  { name: "West", tare: 455.63, fresh: 598.75, waterPct: 73 },
];

const at = atScale({ timeFactor: 36_000 });

/** Puts a load down and waits until it is taken; a question which tray it is gets its answer. */
async function putDown(gross: number, tray: number): Promise<WeighingMessage> {
  const before = at.live.of("weighing").length;
  at.pan.place(gross);
  const [scale] = (await at.service.bench()).scales;
  let answered = 0;
  await at.live.until(`a weighing of ${gross} g`, () => {
    if (at.live.of("weighing").length > before) return true;
    const task = at.live
      .of("bench")
      .at(-1)
      ?.bench.tasks.find((one) => one.scale === scale?.id);
    const load = task?.question?.load ?? 0;
    if (load > answered) {
      answered = load;
      void at.service.post(`/api/scales/${encodeURIComponent(scale?.id ?? "")}/answer`, {
        load,
        tray,
      });
    }
    return false;
  });
  const taken = at.live.of("weighing").at(-1);
  if (taken === undefined) throw new Error("the weighing was there a moment ago");
  return taken;
}

const setClock = (batch: Batch, is: "in" | "out"): Promise<Batch> =>
  at.service.post<Batch>(`/api/batches/${batch.id}/clock`, { is });

/** Lets the trays dry until so many hours, takes them out, and tells the hours that they had. */
async function dryUntil(batch: Batch, dryingHours: number): Promise<number> {
  await setClock(batch, "in");
  await eventually(
    `${dryingHours} drying hours`,
    () => at.service.batch(batch.id),
    (now) => now.clock.dryingHours >= dryingHours,
  );
  return (await setClock(batch, "out")).clock.dryingHours;
}

const isReading = (message: FromService) => message.type === "reading";

const verdictCodes = ["stable", "needs-more", "stalled", "gaining", "unsure"];
const verdictAlerts = (): string[] =>
  at.live
    .of("alert")
    .map(({ alert }) => alert.code)
    .filter((code) => verdictCodes.includes(code));

test("a batch goes from fresh to stable, over an unplug and a burst of garbage", async () => {
  await at.live.until("the scale to be read", () =>
    at.live.of("reading").some((reading) => reading.state === "weight"),
  );
  const begun = await at.service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: trays.map(({ name, tare, waterPct }) => ({
      name,
      tareGrams: tare,
      food: "invented",
      waterPct,
    })),
  });
  const ids = begun.trays.map((tray) => tray.id);
  const placed: number[] = [];
  const weighed: { readonly message: WeighingMessage; readonly gross: number }[] = [];
  const weigh = async (place: number, gross: number): Promise<void> => {
    placed.push(gross);
    weighed.push({ message: await putDown(gross, ids[place] ?? 0), gross });
  };

  for (const [place, { tare, fresh }] of trays.entries()) {
    await weigh(place, tare + fresh);
    await at.lift();
  }
  const loaded = await at.service.batch(begun.id);
  for (const [place, { fresh }] of trays.entries())
    expect(Math.abs((loaded.trays[place]?.freshGrams ?? 0) - fresh)).toBeLessThanOrEqual(
      divisionGrams / 2,
    );

  // Nothing can be said of it yet, and nothing was.
  expect([loaded.verdict, ...loaded.trays.map(({ verdict }) => verdict)]).toEqual(
    [null, ...trays].map(() => null),
  );
  const [listed] = await at.service.get<{ verdict: unknown }[]>("/api/batches?state=open");
  expect(listed?.verdict).toBeNull();
  expect(at.live.of("verdict")).toEqual([]);

  // Ten hours go by in a second: a slow machine takes the trays out late, and they would be dry by then.
  const first = Math.min(await dryUntil(begun, firstPullHours), firstPullHours + 2);
  for (const [place, load] of trays.entries()) {
    await weigh(place, clearOfMidway(load.tare + trueNet(load, first)));
    if (place === 1) await unplugWithLoad();
    await at.lift();
  }
  await at.live.until("the first verdict alert", () => verdictAlerts().length === 1);
  expect((await at.service.batch(begun.id)).verdict).toBe("losing");
  expect(verdictAlerts()).toEqual(["needs-more"]);

  const second = await dryUntil(begun, secondPullHours);
  for (const [place, load] of trays.entries()) {
    if (place === 2) at.line.send(randomBytes(4096));
    await weigh(place, clearOfMidway(load.tare + trueNet(load, second)));
    await at.lift();
  }
  await at.live.until("the second verdict alert", () => verdictAlerts().length === 2);
  const dried = await at.service.batch(begun.id);
  expect(dried.verdict).toBe("stable");
  expect(dried.trays.map((tray) => tray.verdict?.verdict)).toEqual(trays.map(() => "stable"));
  expect(verdictAlerts()).toEqual(["needs-more", "stable"]);
  const alertIds = at.live.of("alert").map(({ alert }) => alert.id);
  expect(new Set(alertIds).size).toBe(alertIds.length);

  for (const { message, gross } of weighed)
    expect(Math.abs(message.weighing.grossGrams - gross)).toBeLessThanOrEqual(divisionGrams / 2);
  expect(weighed.map(({ message }) => message.weighing.tray)).toEqual([...ids, ...ids, ...ids]);

  const settled = at.live.of("settled").map(({ grams }) => grams);
  expect(settled).toHaveLength(placed.length);
  for (const [place, gross] of placed.entries())
    expect(Math.abs((settled[place] ?? 0) - gross)).toBeLessThanOrEqual(divisionGrams / 2);
  expect(at.live.of("lifted")).toHaveLength(placed.length);

  await findAgain(begun, weighed.length);
}, 300_000);

/** Pulls the plug under a load that was announced, and puts it back: the load is not announced again. */
async function unplugWithLoad(): Promise<void> {
  const links = (): string[] => at.live.of("link").map(({ link }) => link);
  await at.line.pull();
  await at.live.until("the loss of the scale", () => links().at(-1) !== "up");
  await at.line.plug();
  await at.live.until("the scale's return", () => links().at(-1) === "up");
  await at.live.until(
    "rest after the return",
    () => at.live.of("reading").at(-1)?.settled === true,
  );
}

/** Breaks the pieces, ends the batch and looks it up in the record. */
async function findAgain(batch: Batch, weighings: number): Promise<void> {
  for (const tray of batch.trays)
    await at.service.post(`/api/trays/${tray.id}/core`, { finding: "dry" });
  await at.service.post(`/api/batches/${batch.id}/end`, {});
  expect((await at.service.bench()).batches).toEqual([]);
  const ended = await at.service.get<Batch[]>("/api/batches?state=ended");
  expect(ended.map(({ id, practice }) => ({ id, practice }))).toEqual([
    { id: batch.id, practice: true },
  ]);
  const curves = await at.service.get<{ points: unknown[] }[]>(`/api/batches/${batch.id}/curves`);
  expect(curves.map(({ points }) => points.length)).toEqual(trays.map(() => weighings / 4));
  expect(verdictAlerts()).toEqual(["needs-more", "stable"]);
}

test("what a load was taken for is told before its weight is shown at rest", () => {
  const { messages } = at.live;
  const loads = messages.flatMap((message, index) => (message.type === "settled" ? [index] : []));
  expect(loads.length).toBeGreaterThan(trays.length);
  const before = loads.map((index) => messages.slice(0, index).findLast(isReading)?.settled);
  expect(before).toEqual(loads.map(() => false));
  const after = loads.map((index) => messages[index + 1]?.type);
  expect(after.filter((type) => type !== "weighing" && type !== "bench")).toEqual([]);
});

test("every verdict that was given follows from the weighings kept", async () => {
  const { problems, verdicts } = recordIn(at.data);
  expect(problems).toEqual([]);
  expect(verdicts.older).toBe(0);
  expect(verdicts.checked).toBeGreaterThanOrEqual(10);
});
