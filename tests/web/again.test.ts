/** What the page could not fetch for a reason that passes comes by itself; what is refused is said once. */
import type { Request } from "playwright-core";
import { afterEach, expect, test } from "vitest";
import { openPage, show, turnTo } from "./browser.ts";
import { browser, opened, sceneOf, setStage, stub, withPage } from "./stage.ts";

setStage();
withPage("weigh-taken");
afterEach(() => {
  stub.fail(null);
});

const message = () => opened.page.locator("main .refused");
const goTo = (hash: string) => opened.page.evaluate((to) => (location.hash = to), hash);
const readsOf = (path: string): number => stub.reads.filter((one) => one === path).length;

test("an ended batch that is opened while the service restarts comes once it is back", async () => {
  const { page } = opened;
  await turnTo(page, stub, { ...sceneOf("record-batch"), hash: "#/setup" });
  stub.cut(true);
  await page.locator(".trouble").waitFor();
  await goTo("#/record/7");
  await message().getByText("did not answer. It is asked again by itself").waitFor();
  stub.letIn();
  await page.getByRole("heading", { name: "Apples and pears" }).waitFor();
  expect(await message().count()).toBe(0);
});

test.each(["cut", 503] as const)(
  "where the link stays and a request fails (%s), it is asked again, more and more seldom",
  async (how) => {
    const { page } = opened;
    await turnTo(page, stub, { ...sceneOf("record-batch"), hash: "#/setup" });
    stub.fail(how);
    // What the page asks: where a kept line is cut, the browser itself tries others.
    let asked = 0;
    const count = (request: Request): void => {
      if (request.url().endsWith("/api/batches/7")) asked++;
    };
    page.on("request", count);
    await goTo("#/record/7");
    await message().waitFor();
    await page.waitForTimeout(2500);
    page.off("request", count);
    // At once, then 0.5, 1 and 2 s after a failure.
    expect(asked).toBeGreaterThanOrEqual(2);
    expect(asked).toBeLessThanOrEqual(3);
    stub.fail(null);
    await page.getByRole("heading", { name: "Apples and pears" }).waitFor();
    expect(await message().count()).toBe(0);
  },
);

test("a request that gets no answer is asked anew when the link has been lost and is back", async () => {
  const { page } = opened;
  await turnTo(page, stub, { ...sceneOf("record-batch"), hash: "#/setup" });
  stub.fail("silent");
  await goTo("#/record/7");
  await expect.poll(() => readsOf("batches/7")).toBe(1);
  stub.fail(null);
  stub.cut(false);
  await page.getByRole("heading", { name: "Apples and pears" }).waitFor();
});

test("what there is not is said once with what to do, and never asked for again", async () => {
  const { page } = opened;
  await turnTo(page, stub, { ...sceneOf("record-batch"), hash: "#/setup" });
  stub.fail(404);
  await goTo("#/record/7");
  await message().getByText("Look elsewhere.").waitFor();
  stub.cut(true);
  await page.locator(".trouble").waitFor();
  stub.letIn();
  await expect.poll(() => page.locator(".trouble").count()).toBe(0);
  await page.waitForTimeout(2500);
  expect(readsOf("batches/7")).toBe(1);
  expect(await message().count()).toBe(1);
});

test("what a proxy refuses in words of its own is said once with its status, and never asked for again", async () => {
  const { page } = opened;
  await turnTo(page, stub, { ...sceneOf("record-batch"), hash: "#/setup" });
  const before = readsOf("batches/7");
  stub.fail("proxy");
  await goTo("#/record/7");
  await message().getByText("HTTP 403 Forbidden").waitFor();
  await page.waitForTimeout(2500);
  expect(readsOf("batches/7")).toBe(before + 1);
});

test("a bag that cannot be fetched anew stays, with what was typed about it", async () => {
  const { page } = opened;
  await turnTo(page, stub, sceneOf("shelf-gaining"));
  const { tasks } = sceneOf("shelf-gaining").world.bench;
  await page.getByText("No scale here? Type a weight").click();
  const field = page.getByLabel("Scale shows (g)");
  await field.fill("63.5");
  stub.fail("cut");
  stub.bench({ tasks: tasks.map((one) => ({ ...one, bagTaken: null })) });
  await message().first().waitFor();
  expect(await field.inputValue()).toBe("63.5");
  stub.fail(null);
  await expect.poll(() => message().count()).toBe(0);
  expect(await field.inputValue()).toBe("63.5");
});

test("the batch to be copied is offered on Plan although it could not be fetched at first", async () => {
  const { page } = opened;
  await turnTo(page, stub, { ...sceneOf("plan"), hash: "#/setup" });
  stub.fail("cut");
  await goTo("#/plan");
  await expect.poll(() => readsOf("batches")).toBeGreaterThan(0);
  stub.fail(null);
  await page.getByRole("button", { name: "Copy the trays of the last batch" }).waitFor();
});

test("a device that is not let in is asked for its code although the service restarted as it came", async () => {
  const { context, page } = await openPage(browser, stub);
  try {
    stub.set(sceneOf("weigh-taken").world);
    stub.pairing({ needed: true, device: null });
    stub.cut(true);
    await page.goto(stub.address);
    await page.locator(".trouble").waitFor();
    stub.letIn();
    await page.getByRole("heading", { name: "Pair this device" }).waitFor();
  } finally {
    await context.close();
  }
  await show(opened.page, stub, sceneOf("weigh-taken"));
});

test("a change whose answer is lost is sent again under the same key, and another change under another", async () => {
  const { page } = opened;
  await turnTo(page, stub, sceneOf("weigh-taken"));
  const keys: (string | undefined)[] = [];
  await page.route("**/api/weighings/*", async (route) => {
    keys.push(route.request().headers()["idempotency-key"]);
    if (keys.length === 1) await route.abort("connectionreset");
    else await route.continue();
  });
  const undo = page.getByRole("button", { name: "Undo" });
  await undo.click();
  await expect.poll(() => stub.asked.length).toBe(1);
  expect(keys).toEqual([keys[0], keys[0]]);
  expect(keys[0]).toMatch(/^.{10,100}$/);
  expect(await message().count()).toBe(0);
  await undo.click();
  await expect.poll(() => keys.length).toBe(3);
  expect(keys[2]).not.toBe(keys[0]);
  await page.unroute("**/api/weighings/*");
});

test("a change that is sent again says how long ago it was touched", async () => {
  const { page } = opened;
  await turnTo(page, stub, sceneOf("weigh-taken"));
  const ago: number[] = [];
  await page.route("**/api/weighings/*", async (route) => {
    ago.push(Number(route.request().headers()["asked-seconds-ago"]));
    if (ago.length > 1) return route.continue();
    await new Promise((resolve) => setTimeout(resolve, 900));
    return route.abort("connectionreset");
  });
  await page.getByRole("button", { name: "Undo" }).click();
  await expect.poll(() => stub.asked.length).toBe(1);
  expect(ago[0]).toBe(0);
  // 0.9 s until it is lost, and half a second of patience.
  expect(ago[1]).toBeGreaterThanOrEqual(1);
  expect(ago[1]).toBeLessThanOrEqual(9);
  await page.unroute("**/api/weighings/*");
});

test("a change that nobody answers is given up after three tries, and the page says what to look for", async () => {
  const { page } = opened;
  await turnTo(page, stub, sceneOf("weigh-taken"));
  let tries = 0;
  await page.route("**/api/weighings/*", async (route) => {
    tries++;
    await route.abort("connectionreset");
  });
  await page.getByRole("button", { name: "Undo" }).click();
  await message().getByText("Look whether it was done before you try again").waitFor();
  expect(tries).toBe(3);
  await page.unroute("**/api/weighings/*");
});
