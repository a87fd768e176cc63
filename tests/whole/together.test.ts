// Two people, two pages, one service: nothing is taken twice, and an edit that crosses another is refused with what
// changed, never kept over it unseen.
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Batch, History } from "../../src/wire/batch.ts";
import type { Problem } from "../../src/wire/requests.ts";
import { Pty } from "../rig/pty.ts";
import { Pan } from "./pan.ts";
import { dataFolder, Service, type Answer } from "./service.ts";

const data = dataFolder();
let line: Pty;
let pan: Pan;
let service: Service;
let batch: Batch;
const times = 25;

beforeAll(async () => {
  line = await Pty.start();
  pan = new Pan(line);
  service = await Service.start({ scale: line.path, data: data.path });
  batch = await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [
      { name: "A", tareGrams: 400 },
      { name: "B", tareGrams: 401 },
    ],
  });
});
afterAll(async () => {
  pan.stop();
  await service.stop();
  await line.close();
  data.remove();
});

const trayId = (place: number): number => batch.trays[place]?.id ?? 0;
const weighings = async () =>
  (await service.get<History>(`/api/batches/${batch.id}/history`)).weighings;
const statuses = (answers: readonly Answer[]): number[] =>
  answers.map(({ status }) => status).toSorted((a, b) => a - b);
const refusedOf = (answers: readonly Answer[]): Problem =>
  answers.find(({ status }) => status >= 400)?.body as Problem;
const both = (asking: (who: string) => Promise<Answer>): Promise<Answer[]> =>
  Promise.all([asking("Ada"), asking("Ben")]);

test("a load is taken once, for one tray, and both pages are told of the same weighing", async () => {
  const pages = await Promise.all([service.live(), service.live()]);
  await pages[0].until("an empty pan", () => pages[0].of("reading").at(-1)?.settled === true);
  pan.place(1012.3);
  for (const page of pages)
    await page.until("the weighing", () => page.of("weighing").length > 0, 12_000);
  const [scale] = (await service.bench()).scales;
  const [first] = await weighings();
  // Both say at once that it is the other tray: one of them at most changes it.
  const answers = await both(() =>
    service.ask("POST", `/api/scales/${encodeURIComponent(scale?.id ?? "")}/answer`, {
      load: 1,
      tray: trayId(1),
    }),
  );
  expect(statuses(answers).filter((status) => status === 200).length).toBeLessThanOrEqual(1);
  expect(pages.map((page) => page.of("weighing")[0]?.weighing.id)).toEqual([first?.id, first?.id]);
  const counted = (await weighings()).filter(({ current, struck }) => current && !struck);
  expect(counted).toHaveLength(1);
  pan.lift();
  for (const page of pages) page.close();
}, 30_000);

test("of two corrections of one weighing one is kept, and the other told what changed", async () => {
  for (let n = 0; n < times; n++) {
    const { id } = (await weighings()).find((one) => one.current && !one.struck) ?? { id: 0 };
    const before = (await weighings()).length;
    const answers = await both((who) =>
      service.ask("PATCH", `/api/weighings/${id}`, {
        grossGrams: 1000 + n + (who === "Ada" ? 0.1 : 0.2),
        reason: `${who} looked again`,
      }),
    );
    expect(statuses(answers)).toEqual([200, 409]);
    expect(refusedOf(answers)).toMatchObject({ type: "/problems/weighing.edited-meanwhile" });
    expect(refusedOf(answers).detail).toMatch(
      /replaced by \d+\.\d g, fresh, on tray \d+ \((Ada|Ben) looked again\)/,
    );
    expect((await weighings()).length).toBe(before + 1);
  }
}, 30_000);

test("of two edits of a tray one is kept, and the other told what stands there now", async () => {
  let name = "A";
  for (let n = 0; n < times; n++) {
    const seen = { name };
    const answers = await both((who) =>
      service.ask("PATCH", `/api/batches/${batch.id}/trays/${trayId(0)}`, {
        name: `${who} ${n}`,
        seen,
      }),
    );
    expect(statuses(answers)).toEqual([200, 412]);
    const now = (await service.batch(batch.id)).trays[0]?.name ?? "";
    expect(refusedOf(answers)).toMatchObject({
      type: "/problems/edit.crossed",
      errors: [{ pointer: "#/name", detail: `name is "${now}" now and was "${name}"` }],
    });
    name = now;
  }
}, 30_000);

test("edits of different parts do not cross, and settings are guarded as trays are", async () => {
  const settings = (change: object) => service.ask("PATCH", "/api/settings", change);
  const [one, two] = await Promise.all([
    settings({ limitPct: 2, seen: { limitPct: 1 } }),
    settings({ outTooLongMinutes: 45, seen: { outTooLongMinutes: 30 } }),
  ]);
  expect([one.status, two.status]).toEqual([200, 200]);
  const crossed = await settings({ limitPct: 3, seen: { limitPct: 1 } });
  expect(crossed).toMatchObject({
    status: 412,
    body: { errors: [{ pointer: "#/limitPct", detail: "limitPct is 2 now and was 1" }] },
  });
  expect((await service.bench()).settings).toMatchObject({ limitPct: 2, outTooLongMinutes: 45 });
});
