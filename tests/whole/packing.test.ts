// From a dried tray to a bag that gains on the shelf, as a person does it: a scale on a serial line, a page in Chromium,
// a scanner that types. The masses are invented.
import { spawnSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import jsqr from "jsqr";
import { PNG } from "pngjs";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Bag, BagLine } from "../../src/wire/bag.ts";
import type { Batch } from "../../src/wire/batch.ts";
import { en } from "../../web/src/texts/en.ts";
import { enBags } from "../../web/src/texts/en-bags.ts";
import { Pty } from "../rig/pty.ts";
import { openBrowser } from "../web/browser.ts";
import { Pan } from "./pan.ts";
import { dataFolder, eventually, Service } from "./service.ts";

/** Four hours a second: the second day after sealing comes within twelve, the seventh half a minute later. */
const timeFactor = 14_400;

const data = dataFolder();
let line: Pty;
let pan: Pan;
let service: Service;
let browser: Browser;
let page: Page;
const complaints: string[] = [];

beforeAll(async () => {
  line = await Pty.start();
  pan = new Pan(line);
  [service, browser] = await Promise.all([
    Service.start({ scale: line.path, data: data.path, timeFactor }),
    openBrowser(),
  ]);
  const context = await browser.newContext({
    viewport: { width: 820, height: 1180 },
    locale: "en-GB",
  });
  page = await context.newPage();
  page.setDefaultTimeout(10_000);
  page.on("pageerror", (error) => complaints.push(String(error)));
  page.on("console", (message) => {
    if (message.type() === "error") complaints.push(message.text());
  });
});

afterAll(async () => {
  await browser.close();
  pan.stop();
  await service.stop();
  await line.close();
  data.remove();
});

const heading = (text: string) => page.getByRole("heading", { name: text, exact: true }).waitFor();
const press = (name: string | RegExp) =>
  page.getByRole("button", { name, exact: typeof name === "string" }).click();
const lift = async (): Promise<void> => {
  pan.lift();
  await eventually(
    "an empty pan",
    () => service.bench(),
    ({ scales, tasks }) =>
      Math.abs(scales[0]?.grams ?? 1) < 0.3 &&
      scales[0]?.settled === true &&
      tasks[0]?.bag?.needsLift !== true,
  );
};

/** A tray that went from 907.2 g to 102 g: two pounds of strawberries, which is what common practice has of them. */
async function driedTray(): Promise<Batch> {
  const batch = await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [{ name: "1", tareGrams: 400, food: "09316" }],
  });
  const [tray] = batch.trays;
  await service.post("/api/weighings", { tray: tray?.id, kind: "fresh", value: 1307.2 });
  await service.post(`/api/batches/${batch.id}/clock`, { is: "in" });
  await eventually(
    "a day of drying",
    () => service.batch(batch.id),
    ({ clock }) => clock.dryingHours > 20,
  );
  await service.post(`/api/batches/${batch.id}/clock`, { is: "out" });
  return service.post<Batch>("/api/weighings", { tray: tray?.id, kind: "dry", value: 502 });
}

test("two bags of a pound fresh are filled, sealed, labelled, scanned and weighed again, and one of them gains", async () => {
  await driedTray();
  await page.goto(`${service.url}/#/pack`);
  await page.getByRole("main").getByRole("link").first().click();

  // Divided by what it was when fresh: 102 g of 907.2 g are two bags of 51 g.
  await page.getByLabel(enBags.pack.byFresh).check();
  await page.getByLabel(enBags.pack.fresh("g")).fill("453.6");
  await page.getByText(/^2 bags of 51.0\sg, each 453.6\sg when fresh$/).waitFor();
  await press(enBags.pack.start(2));
  await page.getByText(enBags.pack.ask.title).waitFor();
  await press(enBags.pack.ask.reasons[2] ?? "");

  for (const code of codes) {
    await heading(enBags.pack.at.tare(code));
    pan.place(8.2);
    await heading(enBags.pack.at.pour(code));
    pan.place(8.2 + 30);
    await page
      .locator(".digits")
      .getByText(/^2[01]\.\d$/)
      .waitFor();
    pan.place(8.2 + 51);
    await until(code, "filled");
    // Taken back with one touch, and taken again by the person's word.
    if (code === codes[0]) {
      await press(en.weigh.undo);
      await until(code, "planned");
      await press(enBags.pack.at.asItIs);
      await until(code, "filled");
    }
    await lift();
  }
  for (const code of codes) {
    await heading(enBags.pack.at.seal(code));
    await page.getByText(enBags.absorbers(1, "300")).waitFor();
    pan.place(63.4);
    await until(code, "sealed");
    await lift();
  }
  await page.getByText(enBags.pack.allPacked).waitFor();

  // The labels, as the page links to them: read by programs of others.
  const address = await page.getByRole("link", { name: enBags.labels.file }).getAttribute("href");
  const labels = await fetch(new URL(address ?? "", service.url));
  const file = join(data.path, "labels.pdf");
  writeFileSync(file, Buffer.from(await labels.arrayBuffer()));
  const read = spawnSync("pdftotext", ["-raw", file, "-"], { encoding: "utf8" }).stdout;
  for (const said of ["PRACTICE-1-1", "PRACTICE-1-2", "It goes into the freezer", "1 lb"])
    expect(read.replaceAll(/[\s\u00a0]+/g, " ")).toContain(said);
  spawnSync("pdftoppm", [
    "-r",
    "203",
    "-png",
    "-f",
    "1",
    "-singlefile",
    file,
    join(data.path, "label"),
  ]);
  const picture = PNG.sync.read(readFileSync(join(data.path, "label.png")));
  const decoded = jsqr(new Uint8ClampedArray(picture.data), picture.width, picture.height)?.data;
  expect(decoded).toBe("PRACTICE-1-1");

  // The shelf: the label is scanned, the bag put on. The baseline is asked for from the second day to the seventh.
  await page
    .getByRole("navigation", { name: en.nav.label })
    .getByRole("link", { name: en.nav.shelf, exact: true })
    .click();
  await page.getByLabel(enBags.shelf.number).waitFor();
  // Twelve seconds after the last bag was sealed, whatever of them the steps since have taken.
  const areDue = (found: readonly BagLine[]): boolean => found.every((bag) => bag.weighAgain);
  await eventually("the second day", lines, areDue, 14_000);
  await weigh(decoded ?? "", 63.4, en.bags.shelfWords["no-gain-seen"]);
  await weigh("PRACTICE-1-2", 63.4, en.bags.shelfWords["no-gain-seen"]);
  const [, second] = await Promise.all([1, 2].map((id) => service.get<Bag>(`/api/bags/${id}`)));
  expect(second?.shelf?.baselineGrams).toBeCloseTo(63.4, 0);

  await weigh("PRACTICE-1-2", 64.9, en.bags.shelfWords.watch);
  await page.getByText(enBags.shelf.secondTime).waitFor();
  await weigh("PRACTICE-1-2", 64.9, en.bags.shelfWords["gaining-moisture"]);
  await page.getByText(/^Gain: 1\.[456]0\sg \((2\.[789]|3\.[01])\s%\) of the dry mass$/).waitFor();
  await weigh("PRACTICE-1-1", 63.4, en.bags.shelfWords["no-gain-seen"]);

  await press(enBags.fates.used);
  await press(enBags.fates.used);
  await until("PRACTICE-1-1", "used");
  expect(complaints).toEqual([]);
}, 150_000);

const codes = ["PRACTICE-1-1", "PRACTICE-1-2"] as const;
const lines = (): Promise<BagLine[]> => service.get<BagLine[]>("/api/bags?state=all");

async function until(code: string, state: BagLine["state"]): Promise<void> {
  await eventually(
    `${code} ${state}`,
    async () => (await lines()).find((one) => one.code === code)?.state,
    (now) => now === state,
  );
}

/** Scans a label, puts the bag on and reads the word. */
async function weigh(code: string, gross: number, word: string): Promise<void> {
  await page
    .getByRole("link", { name: enBags.shelf.another })
    .or(page.getByLabel(enBags.shelf.number))
    .first()
    .waitFor();
  await page.keyboard.type(code);
  await page.keyboard.press("Enter");
  await heading(enBags.shelf.put(code));
  pan.place(gross);
  await page.locator(".verdict-word").getByText(word, { exact: true }).waitFor();
  await lift();
}
