/** A real browser, and the ways in which these tests look at the page. */
import { existsSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import {
  chromium,
  type Browser,
  type BrowserContext,
  type Page,
  type Request,
} from "playwright-core";
import { expect } from "vitest";
import { isLanguage, textsOf, type Texts } from "../../web/src/texts.ts";
import { deKitchen } from "../../web/src/texts/de-kitchen.ts";
import { enKitchen } from "../../web/src/texts/en-kitchen.ts";
import { inRound } from "./bag-scenes.ts";
import type { Scene } from "./scenes.ts";
import type { Stub } from "./stub.ts";

type Scheme = "light" | "dark";
export type Size = { readonly width: number; readonly height: number };
export const sizes: readonly Size[] = [
  { width: 360, height: 780 },
  { width: 820, height: 1180 },
  { width: 1440, height: 900 },
];
export const tablet: Size = { width: 820, height: 1180 };

const installed = (...names: readonly string[]): string | undefined =>
  names.map((name) => `/usr/bin/${name}`).find(existsSync);
/** Debian calls it by the first name, others by the second. */
const whole = installed("chromium", "chromium-browser") ?? "";
/** The same browser without windows around its pages, where it is installed: less than half the work for each page. */
const bare = installed("chromium-headless-shell") ?? whole;

/** For the many pages of `tests/web`. */
export const openBrowser = (...more: readonly string[]): Promise<Browser> => launch(bare, more);
/** As a user has it. */
export const openWholeBrowser = (): Promise<Browser> => launch(whole, []);

const launch = (executablePath: string, more: readonly string[]): Promise<Browser> =>
  chromium.launch({
    executablePath,
    headless: true,
    args: [
      "--headless",
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
      ...more,
    ],
  });

/** As on a device so many times slower: `STILLWEIGHT_SLOWER=6 npx vitest run --config .ci/vitest.config.ts tests/web`. */
const timesSlower = Number(process.env["STILLWEIGHT_SLOWER"] ?? 1);

export async function slowDown(page: Page): Promise<void> {
  if (timesSlower === 1) return;
  const devtools = await page.context().newCDPSession(page);
  await devtools.send("Emulation.setCPUThrottlingRate", { rate: timesSlower });
}

export type Opened = {
  readonly context: BrowserContext;
  readonly page: Page;
  /** What the browser complained of: errors of scripts, refusals of the content policy, other hosts. */
  readonly complaints: string[];
  /** What the page has asked for and not got yet. */
  readonly inFlight: ReadonlySet<Request>;
};

/** The number of the last bench that each page was told. */
const benchHeard = new WeakMap<Page, number>();

export async function openPage(
  browser: Browser,
  stub: Stub,
  size: Size = tablet,
  scheme: Scheme = "light",
  locale = "en-GB",
): Promise<Opened> {
  const context = await browser.newContext({
    viewport: { ...size },
    colorScheme: scheme,
    locale,
    timezoneId: "UTC",
    reducedMotion: "reduce",
  });
  const page = await context.newPage();
  page.setDefaultTimeout(20_000);
  page.on("websocket", (socket) =>
    socket.on("framereceived", ({ payload }) => {
      const number = /^\{"v":\d+,"seq":(\d+),"at":"[^"]+","type":"bench"/.exec(
        String(payload),
      )?.[1];
      if (number !== undefined) benchHeard.set(page, Number(number));
    }),
  );
  await slowDown(page);
  const complaints: string[] = [];
  page.on("console", (message) => {
    // A socket or a request that was cut on purpose is no fault of the page.
    const isCut = /WebSocket connection|ERR_CONNECTION|ERR_EMPTY_RESPONSE|status of (4|503)/.test(
      message.text(),
    );
    if (message.type() === "error" && !isCut) complaints.push(message.text());
  });
  page.on("pageerror", (error) => complaints.push(String(error)));
  page.on("request", (request) => {
    const { port } = new URL(stub.address);
    if (!hosts.some((host) => request.url().startsWith(`http://${host}:${port}/`)))
      complaints.push(`asked ${request.url()}`);
  });
  const inFlight = new Set<Request>();
  page.on("request", (request) => inFlight.add(request));
  for (const end of ["requestfinished", "requestfailed"] as const)
    page.on(end as "requestfinished", (request) => inFlight.delete(request));
  return { context, page, complaints, inFlight };
}

/** The stand-in by its own address, and by a name as a computer of the network has. */
const hosts = ["127.0.0.1", "dryer.lan"];
export const onTheNetwork = "--host-resolver-rules=MAP dryer.lan 127.0.0.1";

/** Shows a scene from the start, as somebody who opens the address. */
export async function show(
  page: Page,
  stub: Stub,
  scene: Scene,
  address = stub.address,
): Promise<void> {
  stub.letIn();
  stub.set(scene.world);
  await page.goto("about:blank");
  await page.goto(address + scene.hash);
  await settle(page, stub, scene);
}

/** Goes on to a scene on a page that is open already: quicker, and no page may need to be loaded again. */
export async function turnTo(page: Page, stub: Stub, scene: Scene): Promise<void> {
  const before = stub.told();
  stub.letIn();
  stub.set(scene.world);
  await page.evaluate(() => (location.hash = "#/setup"));
  stub.tellAll();
  // A question or a load takes the person to Weigh; heard after the next step, one would take the page off the scene.
  await expect.poll(() => benchHeard.get(page) ?? 0, { interval: 5 }).toBeGreaterThan(before);
  await page.evaluate((hash) => (location.hash = hash), scene.hash);
  await settle(page, stub, scene);
}

async function settle(page: Page, stub: Stub, scene: Scene): Promise<void> {
  await page.waitForFunction(() => !document.querySelector(".trouble:not([role=alert])"));
  await page
    .locator(`main.page-${scene.hash.split("/")[1] ?? ""} :is(h1, .weight)`)
    .first()
    .waitFor();
  const lang = await page.evaluate(() => document.documentElement.lang);
  const language = isLanguage(lang) ? lang : "en";
  const texts: Texts = await textsOf(language);
  const kitchen = language === "de" ? deKitchen : enKitchen;
  switch (scene.act) {
    case "lose-connection":
      stub.cut(true);
      await page.locator(".trouble").waitFor();
      break;
    case "type-food":
      await page.getByRole("combobox").first().fill("straw");
      await page.getByRole("option").first().waitFor();
      break;
    case "add-foods":
      await page.getByRole("combobox").first().fill("Aunt's strawberries");
      await page.getByLabel(texts.plan.target("g"), { exact: true }).first().fill("600");
      await page.getByRole("button", { name: kitchen.plan.anotherFood }).first().click();
      await page.getByRole("combobox").nth(1).fill("Bananas");
      break;
    case "list-ports":
      await page.getByRole("button", { name: kitchen.setup.listPorts }).click();
      await page.getByRole("button", { name: /FTDI FT232R USB UART/ }).waitFor();
      break;
    case "open-past":
      await page.getByText(texts.batch.past.open).click();
      await page.locator(".curve .plot canvas").nth(1).waitFor();
      // The touch scrolled the page to where anything may lie half under the way about.
      await page.evaluate(() => scrollTo(0, 0));
      break;
    case "open-folds":
      await page.evaluate(() => {
        for (const fold of document.querySelectorAll("details")) fold.open = true;
      });
      break;
    case "start-packing":
      await page.locator(".pack-preview").waitFor();
      await page.locator("button[type=submit].main").click();
      await page.locator(".ask").waitFor();
      break;
    case "ask-fate":
      await page.locator(".fates button").nth(1).click();
      await page.locator(".ask").waitFor();
      break;
    case "begin-round":
    case "end-round":
      await page.locator(".begin-round, .round-step").first().waitFor();
      // A round outlives the page that it was begun on.
      if ((await page.locator(".begin-round").count()) > 0)
        await page.locator(".begin-round button").click();
      await page.locator(".round-step").waitFor();
      stub.bench({ tasks: [inRound] });
      await page.locator(".shelf-verdict").waitFor();
      if (scene.act === "begin-round") break;
      await page.locator(".round-step button").last().click();
      await page.locator(".round-list li").waitFor();
      break;
    case undefined:
      break;
  }
  const hasDried = scene.world.curves.some(({ points }) => points.length > 2);
  if (hasDried && /#.(batch|record.)/.test(scene.hash) && scene.name !== "batches-two")
    await page.locator(".plot canvas").first().waitFor();
}

const axeSource = readFileSync(
  createRequire(import.meta.url).resolve("axe-core/axe.min.js"),
  "utf8",
);
const tags = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"];

/** What axe-core finds against WCAG 2.2 AA, one line each. */
export async function barriers(page: Page): Promise<string[]> {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axeSource);
  return page.evaluate(async (values) => {
    // What the page measures of itself is known to it a frame later.
    for (let frames = 0; frames < 2; frames++) await new Promise(requestAnimationFrame);
    const { axe } = window as unknown as { axe: typeof import("axe-core") };
    // What stays in sight covers half of a control, or none, by where the page is scrolled to: what has the focus is told
    // of by `hiddenByTab`, sizes by `misfitsOf`. Here it lies where it stands on the page.
    const staying = [...document.querySelectorAll<HTMLElement>("#page > nav, .foot, .at-hand")];
    for (const one of staying) one.style.position = "static";
    const { violations } = await axe.run(document, {
      runOnly: { type: "tag", values },
      resultTypes: ["violations"],
    });
    for (const one of staying) one.style.position = "";
    return violations.flatMap((violation) =>
      violation.nodes.map(
        (node) => `${violation.id}: ${node.target.join(" ")} ${node.failureSummary ?? ""}`,
      ),
    );
  }, tags);
}
