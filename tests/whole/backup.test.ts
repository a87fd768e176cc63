// Copies made by the clock of the running service, and what it says when none can be made.
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { inspectStore } from "../../src/store/inspect.ts";
import type { Batch } from "../../src/wire/batch.ts";
import type { Health } from "../../src/wire/health.ts";
import { dataFolder, eventually, Service } from "./service.ts";

const data = dataFolder();
const scale = "tcp://127.0.0.1:9";
let service: Service;
afterAll(async () => {
  await service.stop();
  data.remove();
});

test("a copy comes by itself with the first weighing, whole, and weighing goes on beside it", async () => {
  service = await Service.start({ data: data.path, scale });
  expect((await service.bench()).backup).toMatchObject({ at: null, failed: null });
  const batch = await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [{ name: "A", tareGrams: 400 }],
  });
  const tray = batch.trays[0]?.id;
  await service.post("/api/weighings", { tray, kind: "fresh", value: 900 });
  await eventually(
    "a copy",
    () => service.bench(),
    ({ backup }) => backup?.at !== null,
  );
  const folder = join(data.path, "backups");
  const [name = "", ...others] = readdirSync(folder);
  expect(others).toEqual([]);
  expect(inspectStore(join(folder, name))).toMatchObject({
    problems: [],
    holds: { weighings: { rows: 1 } },
  });
  await service.stop();
});

test("a folder that is not there is said on the page and in health, and weighings are kept", async () => {
  const more = ["--backup-to", join(data.path, "unmounted")];
  service = await Service.start({ data: data.path, scale, more });
  const { backup } = await eventually(
    "the failure",
    () => service.bench(),
    (bench) => bench.backup?.failed !== null,
  );
  expect(backup?.failed).toContain("is its disk attached?");
  const { status, body } = await service.ask("GET", "/api/health");
  expect(status).toBe(200);
  expect((body as Health).store.backup?.failed).toBe(backup?.failed);
});
