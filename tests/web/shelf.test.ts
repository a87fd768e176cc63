import type { Page } from "playwright-core";
import { PNG } from "pngjs";
import { beforeEach, describe, expect, test } from "vitest";
import { en } from "../../web/src/texts/en.ts";
import { enBags } from "../../web/src/texts/en-bags.ts";
import { aLine, bagTaken, bagTask, finding, gaining, onShelf } from "./bags.ts";
import { openPage, show, turnTo, type Opened } from "./browser.ts";
import { heardOn, tabTo } from "./looks.ts";
import { benchAt, task } from "./scenes.ts";
import { browser, opened, sceneOf, setStage, stub, withPage } from "./stage.ts";

setStage();
withPage("shelf-find");

/** As a scanner does: key after key at once, then Enter. Says whether the page took that Enter for itself. */
const scan = (page: Page, code: string): Promise<boolean> =>
  page.evaluate((text) => {
    const strike = (key: string): boolean =>
      (document.activeElement ?? document.body).dispatchEvent(
        new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }),
      );
    for (const key of text.split("")) strike(key);
    return !strike("Enter");
  }, code);
/** What the page shows as chosen there goes with it, so that another person's choice is not undone unseen. */
const seen = task().chosen;
const chosen = { path: "scales/scale-1/bag", body: { bag: 1, seen } };

describe("finding a bag", () => {
  beforeEach(() => turnTo(opened.page, stub, sceneOf("shelf-find")));

  test("a scanner is heard wherever the focus is, and its Enter presses no button", async () => {
    const { page } = opened;
    await page.getByRole("button", { name: "Shelf round" }).focus();
    expect(await scan(page, "17-1")).toBe(true);
    await page.locator(".shelf-verdict").waitFor();
    expect(page.url()).toContain("#/shelf/1");
    await expect.poll(() => stub.asked).toMatchObject([chosen]);
  });

  test("a label's address opens its bag: scanned, and as the page's own address on a phone", async () => {
    const { page } = opened;
    expect(await scan(page, "http://scale.lan:4680/#/shelf/17-1")).toBe(true);
    await page.locator(".shelf-verdict").waitFor();
    await expect.poll(() => stub.asked).toMatchObject([chosen]);
    await turnTo(page, stub, sceneOf("shelf-find"));
    await page.evaluate(() => (location.hash = "#/shelf/17-1"));
    await page.locator(".shelf-verdict").waitFor();
    expect(page.url()).toMatch(/#\/shelf\/1$/);
  });

  test("what no label says leaves Enter to the button that has the focus", async () => {
    await opened.page.getByRole("button", { name: "Shelf round" }).focus();
    expect(await scan(opened.page, "4006381333931")).toBe(false);
    expect(await scan(opened.page, "")).toBe(false);
    expect(stub.asked).toEqual([]);
  });

  test("by its number, typed", async () => {
    const { page } = opened;
    await tabTo(page, /^Number on the label/);
    await page.keyboard.type("17-1", { delay: 5 });
    await page.keyboard.press("Enter");
    await expect.poll(() => stub.asked).toMatchObject([chosen]);
  });

  test("a label that is none is said so in words", async () => {
    const { page } = opened;
    await page.getByLabel("Number on the label").fill("strawberries");
    await page.getByRole("button", { name: "Find" }).click();
    await page.getByText("A label's number reads like 12-3.").waitFor();
    await page.getByLabel("Number on the label").fill("99-9");
    await page.getByRole("button", { name: "Find" }).click();
    await page.getByText("No bag kept here has the label 99-9.").waitFor();
    expect(stub.asked).toEqual([]);
  });

  test("a browser without a reader of codes says so and names other ways", async () => {
    await opened.page.getByText("This browser reads no codes with the camera").waitFor();
  });
});

describe("the camera", () => {
  /** A browser with a camera and a detector, both made up: what a real one decodes is not tried here. */
  const withCamera = async (isAllowed: boolean, reads: string): Promise<Opened> => {
    const other = await openPage(browser, stub);
    await other.page.addInitScript(
      ({ allowed, text }) => {
        Object.assign(window, {
          BarcodeDetector: class {
            detect = () => Promise.resolve([{ rawValue: text }]);
          },
        });
        const canvas = document.createElement("canvas");
        canvas.getContext("2d");
        Object.defineProperty(navigator, "mediaDevices", {
          value: {
            getUserMedia: () =>
              allowed ? Promise.resolve(canvas.captureStream()) : Promise.reject(new Error("no")),
          },
        });
        HTMLMediaElement.prototype.play = () => Promise.resolve();
      },
      { allowed: isAllowed, text: reads },
    );
    await show(other.page, stub, sceneOf("shelf-find"));
    await other.page.getByRole("button", { name: "Read it with the camera" }).click();
    return other;
  };

  test("finds a bag by its code and is closed at once", async () => {
    const { page, context, complaints } = await withCamera(true, "17-1");
    await page.locator(".shelf-verdict").waitFor();
    expect(await page.locator("video").count()).toBe(0);
    await expect.poll(() => stub.asked).toMatchObject([chosen]);
    expect(complaints).toEqual([]);
    await context.close();
  });

  test("a code of something else is said to be none of ours", async () => {
    const { page, context } = await withCamera(true, "https://example.org");
    await page.getByText("That code is not the label of a bag.").waitFor();
    expect(stub.asked).toEqual([]);
    await context.close();
  });

  test("a camera that is refused leaves the number as a way", async () => {
    const { page, context } = await withCamera(false, "");
    await page.getByText("The camera may not be used").waitFor();
    await context.close();
  });

  test("over plain http to another computer it says why there is none", async () => {
    const { page, context } = await openPage(browser, stub);
    await page.addInitScript(() =>
      Object.defineProperty(window, "isSecureContext", { value: false }),
    );
    await show(page, stub, sceneOf("shelf-find"));
    await page.getByText("The camera reads codes only in some browsers, over https").waitFor();
    await context.close();
  });
});

describe("a bag on the scale", () => {
  test("its verdict is told at once in large text and to those who do not see it", async () => {
    const { page } = opened;
    const scene = sceneOf("shelf-put");
    const bags = [{ ...scene.world.store.bags[0]!, shelf: gaining }];
    await turnTo(page, stub, {
      ...scene,
      world: { ...scene.world, store: { ...scene.world.store, bags } },
    });
    stub.bench({
      tasks: [task({ bagTaken: bagTaken({ kind: "shelf", grossGrams: 66, finding: gaining }) })],
    });
    const word = page.locator(".shelf-verdict .verdict-word");
    await word.waitFor();
    expect(await word.textContent()).toBe("Gaining moisture");
    const size = await word.evaluate((element) => parseFloat(getComputedStyle(element).fontSize));
    expect(size).toBeGreaterThanOrEqual(80);
    await heardOn(page, "polite", /^Taken: bag 17-1 with 66.0\sg. Gaining moisture$/);
    const main = await page.locator("main").textContent();
    for (const said of [
      /Gain: 2.5\sg \(4.9\s%\) of the dry mass/,
      /could prove: 0.3\sg/,
      /Gain in a month: 1.0 to 1.2\sg/,
      /1.7 months until 10\s% moisture \(0.9 to 2.6\)/,
      /A weight does not show oxygen/,
    ])
      expect(main).toMatch(said);
  });

  test("no figure is finer than the scale that it is from, and a bound stays one", async () => {
    const { page } = opened;
    const scene = sceneOf("shelf-gaining");
    const said = async (seen: Parameters<typeof finding>[0]): Promise<string> => {
      const bags = [onShelf(1, { ...gaining, ...seen })];
      const store = { ...scene.world.store, bags };
      await turnTo(page, stub, { ...scene, world: { ...scene.world, store } });
      await page.getByText("Gain in a month").waitFor();
      return (await page.locator("main").textContent()) ?? "";
    };
    const coarse = await said({
      divisionGrams: 1,
      provableGrams: 2.14,
      baselineGrams: 63.4,
      buoyancyGrams: 0.22,
    });
    for (const figure of [
      /Gain: 3\sg \(5\s%\)/,
      /could prove: 3\sg/,
      /Baseline: 63\sg/,
      /Up to 1\sg can come/,
    ])
      expect(coarse).toMatch(figure);
    const fine = await said({ divisionGrams: 0.01, gainGrams: 2.504, provableGrams: 0.031 });
    for (const figure of [/Gain: 2.50\sg \(4.9\s%\)/, /could prove: 0.04\sg/])
      expect(fine).toMatch(figure);
  });

  test("the baseline is asked for with its days", async () => {
    await turnTo(opened.page, stub, sceneOf("shelf-not-checked"));
    await opened.page.getByText("Weigh it again between 16 Mar 2026 and 21 Mar 2026.").waitFor();
    await opened.page.getByText("Not checked yet").waitFor();
    // A jar is drawn in by nothing, nor is a bag without absorbers.
    expect(await opened.page.locator("main").textContent()).not.toContain("absorbers have");
  });

  test("a pace is told no finer than its range, and one that may be none by its upper end alone", async () => {
    const { page } = opened;
    const pace = async (low: number, high: number): Promise<string> => {
      const scene = sceneOf("shelf-no-gain");
      const estimate = (low + high) / 2;
      const seen = finding({ gainPerMonthGrams: { estimate, low, high } });
      const bags = [onShelf(1, seen)];
      const store = { ...scene.world.store, bags };
      await turnTo(page, stub, { ...scene, world: { ...scene.world, store } });
      const said = page.getByText(/^Gain in a month/);
      await said.waitFor();
      return ((await said.textContent()) ?? "").replaceAll("\u00a0", " ");
    };
    // Seen once, two days after the baseline, on a 0.1 g scale.
    expect(await pace(-0.71, 1.35)).toBe("Gain in a month: at most 1 g");
    expect(await pace(0.21, 3.4)).toBe("Gain in a month: 0 to 3 g");
    expect(await pace(1.14, 1.42)).toBe("Gain in a month: 1.1 to 1.4 g");
    expect(await pace(-1.2, -0.4)).toBe("Gain in a month: at most 0.0 g");
  });

  test("a gain that was seen once is asked for a second time by the main act", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("shelf-watch"));
    await page.getByText("put it on the scale a second time").waitFor();
    await page.locator("button.main").click();
    await expect
      .poll(() => stub.asked)
      .toMatchObject([{ ...chosen, body: { bag: 1, kind: "shelf", seen } }]);
  });

  test("what a weight that was typed says of the bag is shown at once", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("shelf-no-gain"));
    await page.locator(".verdict-word").getByText("No gain seen").waitFor();
    const typed: unknown[] = [];
    stub.onAsked(({ path, body }) => {
      if (path !== "bags/1/weighings") return;
      typed.push(body);
      stub.set(sceneOf("shelf-gaining").world);
    });
    await page.getByText("No scale here? Type a weight").click();
    await page.getByLabel("Scale shows (g)").fill("66");
    await page.getByRole("button", { name: "Keep this weight" }).click();
    await page.locator(".verdict-word").getByText("Gaining moisture").waitFor();
    expect(typed).toMatchObject([{ kind: "shelf", value: 66 }]);
  });

  test("what somebody else says of the bag meanwhile is shown at once", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("shelf-no-gain"));
    await page.locator(".verdict-word").getByText("No gain seen").waitFor();
    stub.set(sceneOf("shelf-used").world);
    stub.bench({ bagsAsOf: 72 });
    await page.getByRole("button", { name: "Not used: take that back" }).waitFor();
  });

  test("an opened bag is sealed again for a new baseline", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("shelf-opened"));
    await page.getByRole("button", { name: "Seal it again" }).click();
    await expect
      .poll(() => stub.asked)
      .toMatchObject([{ ...chosen, body: { bag: 1, kind: "sealed", seen } }]);
  });

  test("what becomes of it is asked once more before it is kept, by keyboard alone", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("shelf-gaining"));
    await tabTo(page, /^Given away$/);
    await page.keyboard.press("Enter");
    await page.getByText("Bag 17-1: given away?").waitFor();
    await page.getByText("It leaves the stock.").waitFor();
    expect(stub.asked).toEqual([]);
    await tabTo(page, /^No$/);
    await page.keyboard.press("Enter");
    await tabTo(page, /^Thrown away$/);
    await page.keyboard.press("Enter");
    await tabTo(page, /^Thrown away$/);
    await page.keyboard.press("Enter");
    await expect
      .poll(() => stub.asked)
      .toMatchObject([{ method: "PATCH", path: "bags/1", body: { fate: "thrown-away" } }]);
  });

  test("nothing more can become of a bag that is gone, but it is taken back with one touch", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("shelf-used"));
    await page.getByRole("heading", { name: "Bag 17-1, Strawberries, raw" }).waitFor();
    expect(await page.locator(".fates, button.main").count()).toBe(0);
    await page.getByRole("button", { name: "Not used: take that back" }).click();
    await expect
      .poll(() => stub.asked)
      .toMatchObject([
        { method: "POST", path: "bags/1/back", body: { seen: { state: "used", last: 71 } } },
      ]);
    // Its food lies on a tray: that is not taken back here.
    await turnTo(page, stub, sceneOf("shelf-redried"));
    await page.getByRole("link", { name: "Its food was dried again: tray 2, batch 19" }).waitFor();
    expect(await page.getByRole("button", { name: /take that back/ }).count()).toBe(0);
  });

  test("a scanned bag that is gone is looked at, and nothing is asked of the scale", async () => {
    const { page } = opened;
    const { world } = sceneOf("shelf-used");
    const lines = world.store.lines.map((line) => ({ ...line, state: "used" as const }));
    await turnTo(page, stub, {
      ...sceneOf("shelf-used"),
      world: { ...world, store: { ...world.store, lines } },
    });
    await scan(page, "17-1");
    await page.getByRole("heading", { name: "Bag 17-1, Strawberries, raw" }).waitFor();
    await page.waitForLoadState("networkidle");
    expect(stub.asked).toEqual([]);
  });

  test("a photograph of the bag is taken from its own page, made small and kept with it", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("shelf-no-gain"));
    await page.getByText("Photographs").click();
    await page.getByText("No photograph yet.").waitFor();
    const sent = page.waitForRequest((request) => request.method() === "POST");
    const picture = PNG.sync.write(new PNG({ width: 2400, height: 1200, colorType: 2 }));
    await page
      .getByLabel("Add a photograph")
      .setInputFiles({ name: "bag.png", mimeType: "image/png", buffer: picture });
    const request = await sent;
    expect(new URL(request.url()).pathname + new URL(request.url()).search).toBe(
      "/api/batches/1/photos?bag=1",
    );
    expect(request.headers()["content-type"]).toBe("image/jpeg");
  });

  test("a bag to be dried again says how, and once it went onto a tray, where", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("shelf-redry"));
    await page.getByText(/^The plan of a batch offers bag 17-1 for one of its trays/).waitFor();
    expect(await page.getByRole("link", { name: "Plan a batch" }).count()).toBe(1);
    await turnTo(page, stub, sceneOf("shelf-redried"));
    const link = page.getByRole("link", { name: "Its food was dried again: tray 2, batch 19" });
    expect(await link.getAttribute("href")).toBe("#/batch/1");
  });

  test("the moisture to which months are counted is the person's choice", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("shelf-gaining"));
    const asked = page.waitForRequest((request) => request.url().includes("bags/1?limitPct=5"));
    await page.getByLabel("Count months until").selectOption("5");
    await asked;
    await page.getByLabel("Count months until").selectOption("10");
  });
});

test("a round goes from bag to bag with no hand on the page, and ends with a list", async () => {
  const { page } = opened;
  await turnTo(page, stub, sceneOf("shelf-find"));
  let weighing = 1000;
  /** The service: a bag that was chosen waits; put on, it is taken. */
  const waits = (bag: number) =>
    task({ bag: bagTask({ bag, code: `17-${bag}`, kind: "shelf" }), bagTaken: null });
  stub.onAsked(({ path, body }) => {
    const { bag } = body as { bag: number | null };
    if (path !== "scales/scale-1/bag") return;
    stub.bench({ tasks: [bag === null ? task() : waits(bag)] });
  });
  const put = (bag: number, found = finding()): void => {
    const taken = bagTaken({
      weighing: ++weighing,
      bag,
      code: `17-${bag}`,
      kind: "shelf",
      at: new Date(benchAt.getTime() + weighing).toISOString(),
      finding: found,
    });
    stub.bench({ tasks: [task({ bagTaken: taken })] });
  };
  await page.getByRole("button", { name: "Shelf round" }).click();
  // The one that is due comes first.
  await page.getByRole("heading", { name: "Put bag 17-1 on the scale" }).waitFor();
  put(1);
  await page.getByRole("heading", { name: "Put bag 17-4 on the scale" }).waitFor();
  await page.locator(".shelf-verdict").getByText("No gain seen").waitFor();
  await page.getByRole("button", { name: "Pass over bag 17-4" }).click();
  await page.getByRole("heading", { name: "Put bag 17-2 on the scale" }).waitFor();
  put(2, gaining);
  await page.getByRole("heading", { name: "Round over: 2 bags, 1 gaining moisture" }).waitFor();
  const rows = await page.locator(".round-list li").allTextContents();
  expect(rows.map((row) => /Bag 17-\d/.exec(row)?.[0])).toEqual(["Bag 17-2", "Bag 17-1"]);
  expect(await page.getByText("1 bag passed over").count()).toBe(1);
  expect(stub.asked.map(({ body }) => (body as { bag: number | null }).bag)).toEqual([
    1,
    4,
    2,
    null,
  ]);
  await page.getByRole("button", { name: "Done" }).click();
  await page.getByRole("heading", { name: "Which bag?" }).waitFor();
  // Loaded anew, or on another phone: what was weighed stays weighed, and what was passed over is asked for.
  await page.reload();
  await page.getByText("2 bags so far").waitFor();
  await page.getByRole("button", { name: "Shelf round" }).click();
  await page.getByRole("heading", { name: "Put bag 17-4 on the scale" }).waitFor();
  put(4);
  await page.getByRole("heading", { name: "Round over: 3 bags, 1 gaining moisture" }).waitFor();
  await page.getByRole("button", { name: "Done" }).click();
  // All are weighed: the next round is another.
  await page.getByText("Bag after bag, hands free").waitFor();
});

test("which lot leaks more often is told with the range that so few bags allow", async () => {
  const { page } = opened;
  await turnTo(page, stub, sceneOf("shelf-find"));
  await page.getByText("Which bags leak more often?").click();
  await page.getByText(/^8 of 12 gain moisture: 35\s% to 90\s% of such bags/).waitFor();
  expect(await page.locator(".lots .due-now").allTextContents()).toEqual([
    "more often than all others",
  ]);
  await page.getByText("2 bags, none weighed so that it could be told").waitFor();
});

test("what is in store stands there by food, the oldest first", async () => {
  const { page } = opened;
  await turnTo(page, stub, sceneOf("shelf-find"));
  await page.locator(".food h3").nth(1).waitFor();
  const foods = await page.locator(".food h3").allTextContents();
  expect(foods[0]).toMatch(/^Beef stew, homemade: 1 bag, 318\sg, oldest 10 Jan 2026$/);
  const bags = await page.locator(".food").nth(1).locator("li .strong").allTextContents();
  expect(bags).toEqual(["Bag 15-1", "Bag 17-1", "Bag 17-2"]);
  await page.getByRole("link", { name: /^Bag 17-1/ }).click();
  await page.locator(".shelf-verdict").waitFor();
  // Looking at a bag asks nothing of the scale.
  expect(stub.asked).toEqual([]);
});

test("a bag just sealed stands in store with the day of its first check", async () => {
  const { page } = opened;
  const scene = sceneOf("shelf-find");
  const bags = [
    aLine({ finding: "not-checked", weighFrom: "2026-03-16T15:40:00.000Z" }),
    aLine({ id: 2, code: "17-2", finding: "not-checked", weighAgain: true }),
    // Its days for that went by.
    aLine({ id: 3, code: "17-3", finding: "not-checked" }),
  ];
  const [food] = scene.world.store.stock;
  if (food === undefined) throw new Error("the scene has a stock");
  const store = { ...scene.world.store, stock: [{ ...food, bags }] };
  await turnTo(page, stub, { ...scene, world: { ...scene.world, store } });
  const said = page.locator(".stock .finding");
  await expect
    .poll(() => said.allInnerTexts())
    .toEqual(["first check from 16 Mar 2026", "weigh now", "Not checked yet"]);
});

test("the last weighing of a bag can be struck out on its page at any time, and no other", async () => {
  const { page } = opened;
  const scene = sceneOf("shelf-gaining");
  const last = scene.world.store.bags[0]?.weighings.at(-1);
  await turnTo(page, stub, scene);
  await page.getByText(enBags.shelf.about.title).click();
  await page.getByRole("button", { name: `${en.batch.weighings.strike}: 66.0 g` }).click();
  await expect.poll(() => stub.asked.filter(({ method }) => method === "PATCH").length).toBe(1);
  const struck = stub.asked.find(({ method }) => method === "PATCH");
  expect(struck?.path).toBe(`bags/1/weighings/${last?.id}`);
  expect(struck?.body).toEqual({ struck: true, reason: en.batch.weighings.strike });
});
