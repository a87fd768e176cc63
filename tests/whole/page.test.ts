// A batch as a person does it: with a scale on a serial line and a page in Chromium. Words are looked up in the
// page's own catalogue, so that a reworded page is still found.
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Browser, Page } from "playwright-core";
import { en } from "../../web/src/texts/en.ts";
import { Pty } from "../rig/pty.ts";
import { openBrowser } from "../web/browser.ts";
import { trueNet, type Load } from "./load.ts";
import { Pan } from "./pan.ts";
import { dataFolder, eventually, Service } from "./service.ts";

const timeFactor = 36_000;
const trays: readonly Load[] = [
  { name: "1", tare: 402.4, fresh: 611.8, waterPct: 72 },
  { name: "2", tare: 431.0, fresh: 587.5, waterPct: 74 },
];

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
  page.setDefaultTimeout(8000);
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

const press = (name: string): Promise<void> =>
  page.getByRole("button", { name, exact: true }).click();
const goTo = (name: string): Promise<void> =>
  page.getByRole("navigation", { name: en.nav.label }).getByRole("link", { name }).click();
/** As British English shows it on this page, with a comma between thousands. */
const shown = (grams: number): string =>
  `${grams.toLocaleString("en-GB", { minimumFractionDigits: 1, maximumFractionDigits: 1 })}\u00a0g`;

async function plan(): Promise<void> {
  await goTo(en.nav.plan);
  await page.getByLabel(en.plan.dryer, { exact: true }).fill("Cellar");
  const rows = page.getByRole("group").filter({ has: page.getByRole("combobox") });
  while ((await rows.count()) < trays.length) await press(en.plan.add);
  for (let last = await rows.count(); last > trays.length; last--)
    await press(en.plan.remove(en.trayNumbered(String(last))));
  for (const [place, { name, tare, waterPct }] of trays.entries()) {
    const row = rows.nth(place);
    await row.getByLabel(en.plan.trayName, { exact: true }).fill(name);
    await row.getByRole("combobox").fill("invented food");
    await row.getByLabel(en.plan.water).fill(String(waterPct));
    await row.getByLabel(en.plan.tare("g")).fill(String(tare));
  }
  await press(en.plan.start);
}

/** Puts the tray on that the page asks for, and sees it taken; the mass may be one step of the scale away. */
async function weigh(name: string, gross: number): Promise<void> {
  const main = page.getByRole("main");
  const steps = [-0.1, 0, 0.1].map((step) => shown(gross + step));
  pan.place(gross);
  const taken = steps.map((mass) => en.weigh.taken(en.trayNumbered(name), mass));
  await main.getByText(anyOf(taken)).waitFor();
  pan.lift();
  await main.getByText(en.look.empty, { exact: true }).first().waitFor();
}

const anyOf = (texts: readonly string[]): RegExp =>
  new RegExp(texts.map((text) => text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")).join("|"));

async function dryFor(hours: number): Promise<number> {
  const [batch] = (await service.bench()).batches;
  const id = batch?.id ?? 0;
  await eventually(
    `${hours} drying hours`,
    () => service.batch(id),
    (now) => now.clock.dryingHours >= hours,
    20_000,
  );
  await press(en.weigh.act.out);
  const out = await eventually(
    "trays out",
    () => service.batch(id),
    (now) => now.clock.state === "out",
  );
  return out.clock.dryingHours;
}

test("a person plans, loads, dries, weighs, reads the words, ends the batch and finds it again", async () => {
  await page.goto(service.url);
  await page.getByText(en.practice.banner).first().waitFor();
  await plan();
  for (const { name, tare, fresh } of trays) await weigh(name, tare + fresh);

  await press(en.weigh.act.start);
  const first = await dryFor(8);
  for (const load of trays) await weigh(load.name, load.tare + trueNet(load, first));
  await page
    .getByText(/still losing/i)
    .first()
    .waitFor();
  await goTo(en.nav.batch);
  await page.getByText(en.batch.words.losing, { exact: true }).first().waitFor();

  await goTo(en.nav.weigh);
  await press(en.weigh.act.back);
  const second = await dryFor(72);
  for (const load of trays) await weigh(load.name, load.tare + trueNet(load, second));
  await page
    .getByText(/stable weight reached/i)
    .first()
    .waitFor();
  await goTo(en.nav.batch);
  await page.getByText(en.batch.words.stable, { exact: true }).first().waitFor();

  for (const { name } of trays) {
    const question = page.getByText(en.batch.core.title(en.trayNumbered(name))).first();
    await question.waitFor();
    await page
      .getByRole("button", { name: en.batch.core.findings.dry, exact: true })
      .first()
      .click();
    await question.waitFor({ state: "hidden" });
  }
  await page.getByText(en.batch.end.open).click();
  await press(en.batch.end.button);

  // Ended, the page shows the batch in the record; it is found there again from the list.
  await page.getByRole("link", { name: en.record.back }).click();
  await page.getByRole("main").getByRole("link", { name: /1/ }).first().click();
  await page.getByRole("link", { name: en.record.back }).waitFor();
  await page.getByText(en.batch.words.stable, { exact: true }).first().waitFor();
  await page.locator(".plot canvas").first().waitFor();
  expect((await service.bench()).batches).toEqual([]);
  const ended = await service.batch(1);
  expect(ended.trays.map((tray) => tray.coreCheck?.finding)).toEqual(trays.map(() => "dry"));
  expect(ended.moments.map((moment) => moment.is)).toEqual(["in", "out", "in", "out"]);
  expect(complaints).toEqual([]);
}, 150_000);
