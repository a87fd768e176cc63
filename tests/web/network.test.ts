/** The page over plain http from another computer: what browsers then refuse is said, with another way each time. */
import { PNG } from "pngjs";
import type { Browser } from "playwright-core";
import { afterAll, afterEach, beforeAll, expect, test } from "vitest";
import { onTheNetwork, openBrowser, openPage, show, turnTo, type Opened } from "./browser.ts";
import { scale } from "./scenes.ts";
import { sceneOf } from "./stage.ts";
import { startStub, type Stub } from "./stub.ts";

let browser: Browser;
let stub: Stub;
let opened: Opened;

beforeAll(async () => {
  stub = await startStub(sceneOf("setup").world);
  browser = await openBrowser(onTheNetwork);
  opened = await openPage(browser, stub);
  const address = `http://dryer.lan:${new URL(stub.address).port}/`;
  await show(opened.page, stub, sceneOf("setup"), address);
});
afterEach(() => {
  expect(opened.complaints.splice(0)).toEqual([]);
});
afterAll(async () => {
  await browser.close();
  await stub.close();
});

test("the browser takes the address for an insecure one", async () => {
  expect(await opened.page.evaluate(() => [location.hostname, isSecureContext])).toEqual([
    "dryer.lan",
    false,
  ]);
});

test.each([
  ["notifications", "Notifications on this device", /Only over https.*Use the webhook or MQTT/],
  ["the screen that stays on", "Screen stays on while weighing", /Only over https.*time-out/],
  ["installing", "On the home screen", /Only over https.*bookmark/],
  [
    "a scale at this device",
    "A scale plugged into this device",
    /Only Chromium.*over https \(--cert, --key\)/,
  ],
])("Set up says of %s why not, and names another way", async (_, heading, said) => {
  const { page } = opened;
  const title = page.getByRole("heading", { name: heading });
  expect(await title.count()).toBe(1);
  const below = await title.evaluate((element) => element.nextElementSibling?.textContent ?? "");
  expect(below).toMatch(said);
});

test("Shelf says why the camera reads no codes, and a number typed finds the bag", async () => {
  const { page } = opened;
  await turnTo(page, stub, sceneOf("shelf-find"));
  await page
    .getByText(/only in some browsers, over https or on the computer itself. Type the number/)
    .waitFor();
  await page.getByLabel("Number on the label").fill("17-1");
  await page.keyboard.press("Enter");
  await page.locator(".shelf-verdict").waitFor();
});

test("the live weight comes, a weighing is undone, and a photograph is kept all the same", async () => {
  const { page } = opened;
  await turnTo(page, stub, sceneOf("weigh-taken"));
  stub.reading(640, false);
  await page.getByText("640", { exact: true }).waitFor();
  await page.getByRole("button", { name: "Undo" }).click();
  await expect.poll(() => stub.asked.map(({ path }) => path)).toEqual(["weighings/900"]);
  await turnTo(page, stub, sceneOf("batch-losing"));
  await page.getByText("Photographs").click();
  const sent = page.waitForRequest((request) => request.method() === "POST");
  await page.getByLabel("Add a photograph").setInputFiles({
    name: "tray.png",
    mimeType: "image/png",
    buffer: PNG.sync.write(new PNG({ width: 40, height: 20, colorType: 2 })),
  });
  expect(new URL((await sent).url()).pathname).toBe("/api/batches/1/photos");
});

test("a scale that another device reads is shown here as any other", async () => {
  const { page } = opened;
  const scene = sceneOf("weigh-taken");
  const scales = [{ ...scale(), uri: "page:tablet?baud=9600", grams: 512, settled: true }];
  const { world } = scene;
  await turnTo(page, stub, {
    ...scene,
    world: { ...world, bench: { ...world.bench, scales } },
  });
  await page.locator(".digits").getByText("512").waitFor();
});
