// A log kept by hand, brought into the record of the built service in a real browser. The masses are invented.
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Browser, Page } from "playwright-core";
import { PNG } from "pngjs";
import type { Photo } from "../../src/wire/photo.ts";
import type { Batch, BatchSummary } from "../../src/wire/batch.ts";
import { parseTable } from "../../src/units/csv.ts";
import { enKitchen } from "../../web/src/texts/en-kitchen.ts";
import { en } from "../../web/src/texts/en.ts";
import { openBrowser } from "../web/browser.ts";
import { dataFolder, recordIn, Service } from "./service.ts";

const texts = enKitchen.record.bringIn;
const data = dataFolder();
let service: Service;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  // An address where no scale is: the real folder, with nothing attached.
  const scale = "/dev/serial/by-id/none";
  [service, browser] = await Promise.all([
    Service.start({ scale, data: data.path }),
    openBrowser(),
  ]);
  page = await browser.newPage({ viewport: { width: 820, height: 1180 }, locale: "en-GB" });
  page.setDefaultTimeout(30_000);
  await page.goto(`${service.url}/#/record`);
});

afterAll(async () => {
  await browser.close();
  await service.stop();
  data.remove();
});

const rows = [
  "batch,tray,hours,grams,fresh_g,resolution_g,food,at",
  "Spring,A,20,90.1,700,0.1,09316,2026-04-02T20:00:00Z",
  "Spring,A,24,64.4,700,0.1,09316,2026-04-03T01:00:00Z",
  "Spring,A,30,64.1,700,0.1,09316,2026-04-03T08:00:00Z",
];
const choose = (lines: readonly string[]) =>
  page.getByLabel(texts.file).setInputFiles({
    name: "log.csv",
    mimeType: "text/csv",
    buffer: Buffer.from(lines.join("\n")),
  });
const look = () => page.getByRole("button", { name: texts.look }).click();
const kept = () => service.get<BatchSummary[]>("/api/batches?state=all");

test("a log with a bad row is refused by its line, and nothing of it is kept", async () => {
  await page.getByText(texts.title).click();
  await choose([...rows, "Spring,A,-3,64,700,0.1,09316,2026-04-03T09:00:00Z"]);
  await page.getByLabel(en.plan.dryer).fill("kitchen");
  await look();
  await page.getByText(texts.line(5)).waitFor();
  expect(await page.getByRole("button", { name: texts.keep(1) }).count()).toBe(0);
  const refused = await service.ask("POST", "/api/imports", {
    csv: [...rows, "Spring,A,-3,64,700"].join("\n"),
    dryer: "kitchen",
  });
  expect(refused.status).toBe(400);
  expect(JSON.stringify(refused.body)).toContain("line 5: ");
  expect(await kept()).toEqual([]);
});

test("a good log is looked at, brought in, and found in the record with its curve", async () => {
  await choose(rows);
  await look();
  await page.getByRole("button", { name: texts.keep(1) }).click();
  await page.getByText(texts.kept(1)).waitFor();
  await page.getByRole("link", { name: /Spring/ }).waitFor();
  const [summary] = await kept();
  expect(summary).toMatchObject({
    name: "Spring",
    dryer: "kitchen",
    freshGrams: 700,
    netGrams: 64.1,
  });
  const batch = await service.get<Batch>(`/api/batches/${summary?.id}`);
  expect(batch).toMatchObject({ phase: "ended", startedAt: "2026-04-02T00:00:00.000Z" });
  const [tray] = batch.trays;
  expect(tray?.weighings.map((one) => one.dryingHours)).toEqual([null, 20, 24, 30]);
  expect(tray?.weighings.every((one) => one.source === "typed")).toBe(true);
  expect(tray?.verdict?.verdict).toBeDefined();
});

test("a log that tells of a break is kept with it", async () => {
  const told = [`${rows[0]},stretch`, ...rows.slice(1).map((row, place) => `${row},${place >> 1}`)];
  const csv = told.join("\n").replaceAll("Spring", "Cut");
  const { status } = await service.ask("POST", "/api/imports", { csv, dryer: "kitchen" });
  expect(status).toBe(200);
  const id = (await kept()).find(({ name }) => name === "Cut")?.id;
  const { interruptions } = await service.get<Batch>(`/api/batches/${id}`);
  expect(interruptions).toMatchObject([
    { from: "2026-04-03T01:59:59.999Z", to: "2026-04-03T02:00:00.000Z" },
  ]);
  const log = await fetch(`${service.url}/api/batches/${id}/weighings.csv`);
  const [header, ...cells] = parseTable(await log.text(), ",");
  const column = header?.cells.indexOf("stretch") ?? -1;
  expect(cells.map((row) => row.cells[column])).toEqual(["", "0", "0", "1"]);
});

test("a photograph of a tray is made small, kept, shown, and taken away again", async () => {
  const photos = en.batch.photos;
  await page.getByRole("link", { name: /Spring/ }).click();
  await page.getByText(photos.title).click();
  await page.getByText(photos.none).waitFor();
  await page.getByLabel(photos.of).selectOption({ index: 1 });
  const large = new PNG({ width: 2400, height: 1200 });
  large.data.fill(180);
  const buffer = PNG.sync.write(large);
  const file = { name: "tray.png", mimeType: "image/png", buffer };
  await page.getByLabel(photos.add).setInputFiles(file);
  const picture = page.getByRole("img", { name: /^Photograph of / });
  await expect
    .poll(() => picture.evaluate((image: HTMLImageElement) => image.naturalWidth).catch(() => 0))
    .toBe(1600);
  const [photo] = await service.get<Photo[]>("/api/batches/1/photos");
  expect(photo).toMatchObject({ tray: 1, type: "image/jpeg" });
  await page.getByRole("button", { name: /^Take away/ }).click();
  await page.getByText(photos.none).waitFor();
  expect((await service.ask("GET", `/api/photos/${photo?.id}`)).status).toBe(404);
});

test("what was brought in announced no verdict, and the record is whole", () => {
  expect(recordIn(data.path)).toEqual({ problems: [], verdicts: { checked: 0, older: 0 } });
});
