import { createHash } from "node:crypto";
import type { CDPSession, Locator, Page } from "playwright-core";
import { PNG } from "pngjs";
import { describe, expect, test } from "vitest";
import { barriers, openPage, show, sizes, tablet, turnTo } from "./browser.ts";
import { alert, bench, next, scale, scenes, taken, task, whichTray } from "./scenes.ts";
import {
  flawsOf,
  hiddenByTab,
  heardOn,
  liveRegionsOf,
  misfitsOf,
  narrowest,
  tabTo as tabToOn,
} from "./looks.ts";
import { browser, opened, sceneOf, setStage, stub, withPage } from "./stage.ts";

setStage();

/** Of so many readings, each with another mass; beside them what else may come: how the whole bench stands. */
async function delaysOf(page: Page, readings: number): Promise<readonly number[]> {
  const delays: number[] = [];
  for (let count = 0; count < readings; count++) {
    if (count % 4 === 0) stub.bench({});
    const drawn = page.evaluate(drawnAfter);
    // The watch has to stand before the reading is sent.
    await page.evaluate(() => undefined);
    stub.reading(20.1 + count / 2, false, 0.1);
    delays.push(await drawn);
  }
  return delays;
}

/** Notes, by the page's own clock, when the message of a reading arrived or the socket closed, before the page hears of it. */
function watchMessages(): void {
  window.WebSocket = class extends WebSocket {
    constructor(address: string | URL, protocols?: string | string[]) {
      super(address, protocols);
      this.addEventListener("message", ({ data }) => {
        if (typeof data !== "string" || !data.includes('"type":"reading"')) return;
        const arrived = performance.now();
        Object.assign(window, { arrived });
        const { slowMs = 0 } = window as unknown as { slowMs?: number };
        while (performance.now() < arrived + slowMs);
      });
      this.addEventListener("close", () => {
        if (!("closedMs" in window)) Object.assign(window, { closedMs: performance.now() });
      });
    }
  };
}

/** Milliseconds from the message that changed the figures to the frame that shows them, its drawing counted in. */
function drawnAfter(): Promise<number> {
  const figures = (): string => document.querySelector(".figures")?.textContent ?? "";
  const before = figures();
  return new Promise((done) => {
    const watch = new MutationObserver(() => {
      if (figures() === before) return;
      watch.disconnect();
      const { arrived } = window as unknown as { arrived: number };
      // A task after the next frame: by then it was painted.
      requestAnimationFrame(() => {
        const { port1, port2 } = new MessageChannel();
        port1.onmessage = () => done(performance.now() - arrived);
        port2.postMessage(null);
      });
    });
    watch.observe(document.body, { childList: true, subtree: true, characterData: true });
  });
}

/** Notes every tone that the page starts. */
const countSounds = (page: Page) =>
  page.addInitScript(() => {
    const played: number[] = [];
    Object.assign(window, { played });
    window.OscillatorNode = class extends OscillatorNode {
      override start(when?: number): void {
        played.push(when ?? 0);
        super.start(when);
      }
    };
  });
const soundsOf = (page: Page): Promise<number> =>
  page.evaluate(() => (window as unknown as { played: number[] }).played.length);

const misfits = (): Promise<string[]> => misfitsOf(opened.page);

test("a scene stays, however late the page hears of the scenes before it", async () => {
  const { context, page } = await openPage(browser, stub);
  await show(page, stub, sceneOf("labels"));
  try {
    stub.late(150);
    await turnTo(page, stub, sceneOf("weigh-which-tray"));
    await turnTo(page, stub, sceneOf("batch-twelve-trays"));
    await page.waitForTimeout(400);
    expect(page.url()).toMatch(/#\/batch$/);
  } finally {
    stub.late(0);
    await context.close();
  }
});

describe("each screen in each state", () => {
  withPage("weigh-no-batch");

  test.each(scenes)(
    "$name: no barrier by WCAG 2.2 AA in light and dark, nothing cut off, nothing too small",
    async (scene) => {
      await turnTo(opened.page, stub, scene);
      expect(await flawsOf(opened.page)).toEqual([]);
    },
  );

  test("the search for barriers finds one that is planted", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("weigh-taken"));
    await page.evaluate(() => {
      const faint = document.createElement("p");
      faint.id = "planted";
      faint.textContent = "faint";
      faint.style.color = "#999";
      faint.style.background = "#aaa";
      document.querySelector("main")?.append(faint, document.createElement("input"));
    });
    const found = await barriers(page);
    await show(page, stub, sceneOf("weigh-taken"));
    expect(found.some((one) => one.startsWith("color-contrast: #planted"))).toBe(true);
    expect(found.some((one) => one.startsWith("label: "))).toBe(true);
    expect(found).toHaveLength(2);
  });

  test("a main act, a weight and a contrast that are too small would be found", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("weigh-start-drying"));
    await page.evaluate(() => {
      document.querySelector<HTMLElement>(".main")!.style.cssText = "min-height: 0; padding: 0";
      document.querySelector<HTMLElement>(".digits")!.style.cssText =
        "font-size: 90px; color: #777";
    });
    const found = await flawsOf(page);
    await show(page, stub, sceneOf("weigh-taken"));
    for (const said of [/^360 px: low: /, /^digits of \d+ px/, /^light: figures 4\.\d to 1/])
      expect(found.filter((one) => said.test(one))).toHaveLength(1);
  });
});

describe("on a tablet", () => {
  withPage();

  test("figures keep their place while they change", async () => {
    await show(opened.page, stub, sceneOf("weigh-put-fresh"));
    const rightOf = async (grams: number): Promise<number> => {
      stub.reading(grams, false, 0.1);
      await opened.page.getByText(grams.toFixed(1), { exact: true }).waitFor();
      const box = await opened.page.locator(".digits").boundingBox();
      return (box?.x ?? 0) + (box?.width ?? 0);
    };
    const first = await rightOf(99.9);
    expect(await rightOf(111.1)).toBeCloseTo(first, 0);
    expect(await rightOf(1000)).toBeCloseTo(first, 0);
  });

  test.each(["weigh-put-fresh", "weigh-taken", "pack-pour"])(
    "%s: a reading is drawn within 50 ms of its message, in nine of ten cases",
    async (name) => {
      const { page } = opened;
      await page.addInitScript(watchMessages);
      await show(page, stub, sceneOf(name));
      // The best of five: the machine may be busy with something else, a page that is slow never is quick.
      let sorted: readonly number[] = [];
      for (let tries = 0; tries < 5 && !((sorted[35] ?? Infinity) <= 50); tries++) {
        sorted = (await delaysOf(page, 40)).toSorted((a, b) => a - b);
        console.log(
          `${name}: message to picture, ms: median ${sorted[20]?.toFixed(1)}, nine of ten ${sorted[35]?.toFixed(1)}, most ${sorted[39]?.toFixed(1)}`,
        );
      }
      expect(sorted[35]).toBeLessThanOrEqual(50);
    },
  );

  test("a page that takes 60 ms over a message would be found out", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("weigh-put-fresh"));
    await page.evaluate(() => Object.assign(window, { slowMs: 60 }));
    expect(Math.min(...(await delaysOf(page, 5)))).toBeGreaterThan(50);
  });

  test("a lost connection is told at once, the old weight is not shown as live, and all comes back", async () => {
    const { page } = opened;
    await page.addInitScript(watchMessages);
    await show(page, stub, sceneOf("weigh-taken"));
    await page.evaluate(() => Object.assign(window, { notReloaded: true }));
    // By the page's own clock: from the moment that its socket is closed.
    const told = page.evaluate(
      () =>
        new Promise<number>((done) => {
          new MutationObserver((_, watch) => {
            if (!document.body.textContent.includes("No connection to the program.")) return;
            watch.disconnect();
            const { closedMs } = window as unknown as { closedMs: number };
            done(performance.now() - closedMs);
          }).observe(document.body, { childList: true, subtree: true, characterData: true });
        }),
    );
    await page.evaluate(() => undefined);
    stub.cut(true);
    await page.getByText("No connection to the program.").waitFor();
    expect(await told).toBeLessThan(1000);
    await expect.poll(() => page.locator(".digits").textContent()).toBe("–");
    await page.getByText(/Last seen: 812\sg/).waitFor();
    await page.getByText(/These figures are [1-9]\d*\ss old/).waitFor();
    stub.letIn();
    await expect.poll(() => page.locator(".digits").textContent()).toBe("812");
    expect(await page.locator(".trouble").count()).toBe(0);
    expect(await page.evaluate(() => "notReloaded" in window)).toBe(true);
  });

  test("a load that comes while a batch waits takes a reader to Weigh", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("weigh-put-fresh"));
    await page.getByRole("link", { name: "Batch" }).click();
    await page.getByRole("heading", { name: "Strawberries and stew" }).waitFor();
    stub.reading(640, false);
    await page.locator(".weight").waitFor();
    expect(page.url()).toContain("#/weigh");
  });

  test("a load does not take the page from somebody who types", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("weigh-put-fresh"));
    await page.getByRole("link", { name: "Plan", exact: true }).click();
    await page.getByLabel("Dryer").fill("kit");
    stub.reading(640, false);
    await page.waitForTimeout(300);
    expect(page.url()).toContain("#/plan");
    await page.getByLabel("Dryer").pressSequentially("chen");
    expect(await page.getByLabel("Dryer").inputValue()).toBe("kitchen");
  });

  test("a load does not take the page from an open question", async () => {
    const { page } = opened;
    const scene = sceneOf("batch-gap");
    const waits = { ...scene.world.bench, tasks: [task({ next: next(2) })] };
    await show(page, stub, { ...scene, world: { ...scene.world, bench: waits } });
    stub.reading(640, false);
    await page.waitForTimeout(300);
    expect(page.url()).toContain("#/batch");
  });

  test("a plan survives a visit to Weigh", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("plan"));
    await page.getByLabel("Name of the batch").fill("Herbs");
    await page.getByRole("link", { name: "Weigh" }).click();
    await page.locator(".weight").waitFor();
    await page.getByRole("link", { name: "Plan", exact: true }).click();
    expect(await page.getByLabel("Name of the batch").inputValue()).toBe("Herbs");
  });

  test("what was taken is said in one polite region, and undone by striking that weighing", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("weigh-moving"));
    const { bench: known } = sceneOf("weigh-moving").world;
    stub.bench({ ...known, tasks: [task({ next: next(3), taken: taken() })] });
    await page.getByRole("heading", { name: "Taken: tray 2 with 812 g" }).waitFor();
    expect(await page.locator("p.unseen[role=status]").textContent()).toMatch(
      /Taken: tray 2 with 812\sg/,
    );
    await page.getByRole("button", { name: "Undo" }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]).toMatchObject({
      method: "PATCH",
      path: "weighings/900",
      body: { struck: true },
    });
  });

  test("a refusal is shown in words beside the button, with what to do", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("weigh-taken"));
    stub.refuse({ status: 409, detail: "That load is gone", hint: "Put it on the scale again" });
    await page.getByRole("button", { name: "Undo" }).click();
    const said = page.getByRole("alert").filter({ hasText: "That load is gone" });
    await said.waitFor();
    expect(await said.textContent()).toContain("Put it on the scale again");
  });

  test("an alert sounds until it is acknowledged", async () => {
    const { page } = opened;
    await countSounds(page);
    await show(page, stub, sceneOf("weigh-time-to-weigh"));
    stub.onAsked(({ path }) => {
      if (path.endsWith("acknowledge")) stub.bench({ alerts: [] });
    });
    await page.getByRole("button", { name: "Turn sound on" }).click();
    await expect.poll(() => soundsOf(page)).toBeGreaterThan(0);
    await page.getByRole("button", { name: "Understood" }).click();
    await expect.poll(() => page.locator(".alert").count()).toBe(0);
    expect(stub.asked.map(({ path }) => path)).toContain("alerts/31/acknowledge");
  });

  test("while a tray is loaded the bar follows the scale, turns at the goal, and says so in words", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("weigh-pour-begin"));
    const bar = page.getByRole("progressbar", { name: "Poured so far" });
    expect(await bar.getAttribute("aria-valuenow")).toBe("0");
    stub.reading(709, false);
    await expect.poll(() => bar.getAttribute("aria-valuetext")).toMatch(/^300\sg to go$/);
    expect(await page.locator(".digits").textContent()).toBe("300");
    stub.reading(1003, false);
    await expect.poll(() => page.locator(".pour-enough").count()).toBe(1);
    await page.getByRole("heading", { name: "Let it come to rest" }).waitFor();
    stub.reading(1079, true);
    await page.getByRole("heading", { name: "Take some off" }).waitFor();
    expect(await bar.getAttribute("aria-valuetext")).toMatch(/^70\sg too much$/);
  });

  test("what rests short of its goal is taken as it is by the keyboard alone", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("weigh-pour-by-hand"));
    await page.getByRole("button", { name: "Take it as it is" }).focus();
    await page.keyboard.press("Enter");
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]).toMatchObject({
      path: "scales/scale-1/answer",
      body: { load: 31, tray: 2, kind: "fresh", portion: 1 },
    });
    await page.getByRole("button", { name: "I pressed the scale's tare key" }).focus();
    await page.keyboard.press("Enter");
    await expect
      .poll(() => stub.asked[1])
      .toMatchObject({
        path: "scales/scale-1/tared",
        body: { pressed: true },
      });
  });

  test("a full tray where the empty one was asked for is asked about, and one touch says that it is empty", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("weigh-which-tray"));
    const candidate = { ...whichTray.candidates[1]!, kind: "tare", netGrams: null } as const;
    const why = "It is much heavier than the empty trays known so far: is food on it already?";
    const question = { ...whichTray, why, candidates: [candidate] };
    stub.bench({ tasks: [task({ next: next(2, "tare"), question })] });
    await page.getByRole("heading", { name: "Is tray 2 empty?" }).waitFor();
    await page.getByText(why).waitFor();
    expect(await page.locator(".ask button").allInnerTexts()).toEqual([
      "Yes, it is tray 2\nempty tray",
      "No",
    ]);
    await page.getByRole("button", { name: "Yes, it is tray 2" }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]).toMatchObject({
      path: "scales/scale-1/answer",
      body: { load: whichTray.load, tray: 2, kind: "tare" },
    });
  });

  test("which tray it is can be answered by one touch", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("weigh-which-tray"));
    await page
      .getByRole("button", { name: /Tray 2/ })
      .first()
      .click();
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]).toMatchObject({
      path: "scales/scale-1/answer",
      body: { load: whichTray.load, tray: 2, kind: "dry" },
    });
  });

  test("a tray that joins a batch under way is typed in fresh, and the others dry", async () => {
    const { page } = opened;
    const scene = sceneOf("weigh-which-tray");
    const world = structuredClone(scene.world);
    const [batch] = world.bench.batches;
    const [first, second] = batch!.trays;
    batch!.trays = [first!, { ...second!, freshGrams: null, netGrams: null, weighings: [] }];
    batch!.round = { ...batch!.round, weighed: [first!.id], waiting: [] };
    await show(page, stub, { ...scene, world });
    await page.getByText("Type a weight instead").click();
    const kinds: string[] = [];
    for (const { name } of batch!.trays) {
      await page.getByLabel("Tray", { exact: true }).selectOption({ label: name });
      kinds.push(await page.getByLabel("What is weighed").inputValue());
    }
    expect(kinds).toEqual(["dry", "fresh"]);
    // What was said of one weighing is not said of the next.
    await page.getByLabel("What is weighed").selectOption("tare");
    await page.getByLabel("Scale shows").fill("412");
    await page.getByRole("button", { name: "Keep this weight" }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]).toMatchObject({ path: "weighings", body: { kind: "tare", value: 412 } });
    await page.getByText("Kept:").waitFor();
    expect(await page.getByLabel("What is weighed").inputValue()).toBe("fresh");
  });

  test("a form without a unit asks for the unit before it is taken", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("weigh-which-form"));
    await page.getByRole("button", { name: /^812.5/ }).click();
    await page.getByRole("button", { name: "ounces", exact: true }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]).toMatchObject({
      path: "scales/scale-1/form",
      body: { form: "bare", unit: "oz" },
    });
  });

  test("swapped trays are put right in one act that names the reason", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("batch-unsure-contradiction"));
    await page.getByRole("button", { name: "Swap the weighings of tray 2 and tray 1" }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    const [asked] = stub.asked;
    expect(asked).toMatchObject({
      method: "POST",
      body: { reason: "Trays were swapped on the scale" },
    });
    expect(asked?.path).toMatch(/^weighings\/\d+\/swap$/);
    expect(Object.keys(asked?.body ?? {})).toEqual(["with", "reason"]);
  });

  test("a mass in the wrong unit is put right in one tap that names the reason", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("batch-unit-mixed"));
    await page.getByRole("button", { name: /^It was 812.* of food$/ }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    const [asked] = stub.asked;
    expect(asked).toMatchObject({
      body: { grossGrams: 1212, reason: "It was 812\u00a0g of food" },
    });
    expect(asked?.path).toMatch(/^weighings\/\d+$/);
  });

  test("that food was taken off a tray is said in one tap", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("batch-food-taken"));
    await page.getByRole("button", { name: "Food was taken off" }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    const [asked] = stub.asked;
    expect(asked).toMatchObject({ method: "PATCH" });
    expect(asked?.body).toEqual({ foodTaken: true, reason: "Food was taken off" });
    expect(asked?.path).toMatch(/^weighings\/\d+$/);
  });

  test("a forgotten moment of the drying clock is set right with its time and its reason", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("batch-losing"));
    await page.getByText("Drying clock: set right what was forgotten").click();
    await page.getByRole("button", { name: /Set right: Out of the dryer/ }).click();
    await page.getByLabel("It was at").first().fill("2026-03-14T15:20");
    await page.getByLabel("Why").fill("forgot to press");
    await page.getByRole("button", { name: "Keep", exact: true }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]).toMatchObject({
      method: "PATCH",
      path: "batches/1/clock/2",
      body: { at: "2026-03-14T15:20:00.000Z", reason: "forgot to press" },
    });
  });

  test("the picture of a curve has the same figures behind it as a table", async () => {
    const { page } = opened;
    const scene = sceneOf("batch-losing");
    await show(page, stub, scene);
    await page.getByText("The same as a table").click();
    const rows = await page.locator("table tbody tr").count();
    const curve = scene.world.curves.find((one) => one.tray === 3);
    expect(rows).toBe(curve?.points.length);
    const last = await page.locator("table tbody tr").last().textContent();
    expect(last).toMatch(new RegExp(`${curve?.points.at(-1)?.netGrams ?? "none"}\\sg`));
  });
});

describe("earlier batches laid over a curve", () => {
  withPage();

  test("each over its own drying time ends at 100 %, and over hours where it ended", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("batch-past"));
    const box = page.getByLabel("Each over its own drying time");
    await box.check();
    const plot = page.locator("figure.curve", { has: box });
    await plot.getByText(/over the share of each one.s own drying time/).waitFor();
    // The axes change with the box: a key that is pressed before the new picture is drawn goes nowhere.
    const afterEnd = async () => {
      await plot.locator("[tabindex='0']").first().focus();
      await page.keyboard.press("End");
      return plot.textContent();
    };
    await expect.poll(afterEnd).toMatch(/after 100\s%/);
    await box.uncheck();
    await plot.getByText(/over drying hours/).waitFor();
  });
});

describe("a curve looked at closely", () => {
  withPage();

  const isWhole = (): Promise<boolean> =>
    opened.page
      .getByRole("button", { name: "Whole curve" })
      .first()
      .evaluate((button) => button.getAttribute("aria-disabled") === "true");
  const picture = (): Promise<string> =>
    opened.page
      .locator(".plot canvas")
      .first()
      .evaluate((canvas) => (canvas as HTMLCanvasElement).toDataURL())
      .then((drawn) => createHash("sha256").update(drawn).digest("hex"));

  test("is zoomed by button, key and drag, and shown whole again by each", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("batch-losing"));
    const plot = page.locator(".plot").first();
    const field = page.locator(".u-over").first();
    const whole = await picture();
    const drag = async (): Promise<void> => {
      const box = await field.boundingBox();
      if (box === null) throw new Error("no field");
      await page.mouse.move(box.x + 0.4 * box.width, box.y + 50);
      await page.mouse.down();
      await page.mouse.move(box.x + 0.8 * box.width, box.y + 60, { steps: 4 });
      await page.mouse.up();
    };
    const ways: readonly (readonly [() => Promise<void>, () => Promise<void>])[] = [
      [
        () => page.getByRole("button", { name: "Closer" }).first().click(),
        () => page.getByRole("button", { name: "Whole curve" }).first().click(),
      ],
      [() => plot.press("+"), () => plot.press("0")],
      [drag, () => field.dblclick()],
    ];
    for (const [nearer, wholeAgain] of ways) {
      expect(await isWhole()).toBe(true);
      await nearer();
      await expect.poll(isWhole).toBe(false);
      expect(await picture()).not.toBe(whole);
      await wholeAgain();
      await expect.poll(isWhole).toBe(true);
      expect(await picture()).toBe(whole);
    }
  });

  test("tells the values under the pointer, but only those of the keyboard aloud", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("batch-losing"));
    const box = await page.locator(".u-over").first().boundingBox();
    if (box === null) throw new Error("no field");
    await page.mouse.move(box.x + 0.3 * box.width, box.y + 40);
    await expect
      .poll(() => page.locator(".readout").first().textContent())
      .toMatch(/^After \d+\sh.*: line \d[\d,]*\sg, tint \d/);
    const aloud = page.locator(".under-plot [role=status]").first();
    expect(await aloud.textContent()).toBe("");
    await page.locator(".plot").first().press("End");
    await expect.poll(() => aloud.textContent()).toMatch(/^After 23\sh\s30\smin: \d+\sg ± /);
  });

  test("keeps the weighing that is stepped to in view while zoomed", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("batch-losing"));
    const plot = page.locator(".plot").first();
    for (const key of ["End", "+", "+", "+", "Home"]) await plot.press(key);
    await expect.poll(isWhole).toBe(false);
    const left = await page
      .locator(".u-cursor-x")
      .first()
      .evaluate((line) => new DOMMatrix(getComputedStyle(line).transform).m41);
    const width = (await page.locator(".u-over").first().boundingBox())?.width ?? 0;
    expect(left).toBeGreaterThan(0);
    expect(left).toBeLessThan(width);
  });

  test("earlier batches of the same food are laid over it, and which is the person's choice", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("batch-past"));
    const rows = page.locator("table.words tbody tr");
    await expect.poll(() => rows.count()).toBe(3);
    await page.getByRole("checkbox", { name: /Strawberries again/ }).check();
    await expect.poll(() => rows.count()).toBe(5);
    await page.getByRole("checkbox", { name: /Apples/ }).uncheck();
    await expect.poll(() => rows.count()).toBe(3);
    expect(await rows.nth(1).textContent()).toContain("Strawberries again");
  });
});

describe("by keyboard alone", () => {
  withPage();

  const tabTo = (name: RegExp): Promise<void> => tabToOn(opened.page, name);

  test("a batch is planned, a food found, and started", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("weigh-no-batch"));
    await tabTo(/^Plan$/);
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "Plan a batch" }).waitFor();
    // The dryer that was used last is filled in once it is known.
    await expect.poll(() => page.getByLabel("Dryer").inputValue()).not.toBe("");
    await tabTo(/^Dryer/);
    await page.keyboard.type("kitchen");
    await tabTo(/^Food on it/);
    await page.keyboard.type("strawb");
    await page.getByRole("option").first().waitFor();
    await page.keyboard.press("ArrowDown");
    await page.keyboard.press("Enter");
    expect(await page.getByRole("combobox").first().inputValue()).toBe("Strawberries, raw");
    // As thick as the last time, until somebody says otherwise.
    expect(
      await page
        .getByLabel(/^Pieces, mm/)
        .first()
        .inputValue(),
    ).toBe("8");
    await page.keyboard.press("Enter");
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]).toMatchObject({
      path: "batches",
      body: {
        dryer: "kitchen",
        trays: [{ name: "1", food: "09316", thicknessMm: 8 }, { name: "2" }, { name: "3" }],
      },
    });
    await page.locator(".weight").waitFor();
  });

  test("a weighing is undone, another tray chosen, the trays put back", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("weigh-taken"));
    await tabTo(/^Undo$/);
    await page.keyboard.press("Enter");
    await tabTo(/^Tray 4/);
    await page.keyboard.press("Space");
    await page.keyboard.press("Shift+Tab");
    await expect
      .poll(() => stub.asked.map(({ path }) => path))
      .toEqual(["weighings/900", "scales/scale-1/task"]);
  });

  test("a whole batch, from an empty bench to its end", async () => {
    const { page } = opened;
    const done: string[] = [];
    /** The service goes on to a state; what was asked so far is noted. */
    const goOn = async (name: string): Promise<void> => {
      await expect.poll(() => stub.asked.length).toBeGreaterThan(0);
      done.push(...stub.asked.map(({ path }) => path));
      await turnTo(page, stub, sceneOf(name));
    };
    await show(page, stub, sceneOf("weigh-no-batch"));
    await tabTo(/^Plan a batch$/);
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "Plan a batch" }).waitFor();
    // The dryer that was used last is filled in once it is known.
    await expect.poll(() => page.getByLabel("Dryer").inputValue()).not.toBe("");
    await tabTo(/^Dryer/);
    await page.keyboard.type("kitchen");
    await tabTo(/^Start the batch/);
    await page.keyboard.press("Enter");
    await goOn("weigh-start-drying");
    await tabTo(/^Start drying$/);
    await page.keyboard.press("Enter");
    await goOn("weigh-in-dryer");
    await tabTo(/^Trays out$/);
    await page.keyboard.press("Enter");
    await goOn("weigh-which-tray");
    await tabTo(/^Tray 2/);
    await page.keyboard.press("Enter");
    await goOn("weigh-time-to-weigh");
    await tabTo(/^Understood/);
    await page.keyboard.press("Enter");
    await goOn("batch-stable");
    await tabTo(/^Dry$/);
    await page.keyboard.press("Enter");
    await goOn("batch-stable");
    await tabTo(/^End this batch$/);
    await page.keyboard.press("Enter");
    await tabTo(/^End the batch$/);
    await page.keyboard.press("Enter");
    // The page goes to the record by itself once it is answered; a turn before that would be undone by it.
    await page.locator("main.page-record").waitFor();
    await goOn("record");
    expect(done).toEqual([
      "batches",
      "batches/1/clock",
      "batches/1/clock",
      "scales/scale-1/answer",
      "alerts/31/acknowledge",
      expect.stringMatching(/^trays\/\d+\/core$/),
      "batches/1/end",
    ]);
  });

  test("the values of a curve are read with the arrow keys", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("batch-losing"));
    await tabTo(/^Drying curve of tray 3/);
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("ArrowRight");
    await expect.poll(() => page.locator(".readout").textContent()).toMatch(/After 12\sh: \d+\sg/);
  });

  test("the focus is seen, and not hidden behind the way about", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("batch-twelve-trays"));
    expect(await hiddenByTab(page, 24)).toEqual([]);
  });
});

describe("in a grey picture", () => {
  withPage();

  type Bitmap = readonly boolean[];

  /** What is inked of an element when all colour is taken out: darker than halfway between paper and ink. */
  async function inked(element: Locator): Promise<Bitmap> {
    await opened.page.evaluate(() => (document.documentElement.style.filter = "grayscale(1)"));
    // On whole pixels, so that pictures of one size come out of elements of one size.
    await element.evaluate((seen: HTMLElement) => {
      seen.style.translate = "";
      const { x, y } = seen.getBoundingClientRect();
      seen.style.translate = `${Math.round(x) - x}px ${Math.round(y) - y}px`;
    });
    const { data } = PNG.sync.read(await element.screenshot());
    const greys = Array.from({ length: data.length / 4 }, (_, at) => data[at * 4] ?? 0);
    const middle = (Math.max(...greys) + Math.min(...greys)) / 2;
    return greys.map((grey) => grey < middle);
  }
  const count = (bitmap: Bitmap): number => bitmap.filter(Boolean).length;
  /** The share of ink that only one of two pictures of the same size has. */
  const unlike = (one: Bitmap, other: Bitmap): number => {
    expect(one.length).toBe(other.length);
    const differing = one.filter((isInked, at) => isInked !== other[at]).length;
    return differing / (count(one) + count(other));
  };

  test("the five verdict marks have five shapes", async () => {
    const marks: Bitmap[] = [];
    for (const name of [
      "batch-losing",
      "batch-stable",
      "batch-gaining",
      "batch-stalled",
      "batch-unsure-contradiction",
    ]) {
      await show(opened.page, stub, sceneOf(name));
      marks.push(await inked(opened.page.locator(".verdict .mark")));
    }
    for (const [at, mark] of marks.entries()) {
      expect(count(mark)).toBeGreaterThan(100);
      expect(unlike(mark, mark)).toBe(0);
      for (const other of marks.slice(at + 1)) expect(unlike(mark, other)).toBeGreaterThan(0.4);
    }
  });

  test("two verdicts told by colour alone would be found out", async () => {
    await show(opened.page, stub, sceneOf("batch-losing"));
    const mark = opened.page.locator(".verdict .mark");
    const losing = await inked(mark);
    await mark.evaluate((element) => element.classList.replace("mark-losing", "mark-gaining"));
    expect(unlike(losing, await inked(mark))).toBeLessThan(0.1);
  });

  test("what a bag's weight says on the shelf has four shapes", async () => {
    const marks: Bitmap[] = [];
    for (const name of ["shelf-no-gain", "shelf-watch", "shelf-gaining", "shelf-not-checked"]) {
      await show(opened.page, stub, sceneOf(name));
      marks.push(await inked(opened.page.locator(".shelf-verdict .mark")));
    }
    for (const [at, mark] of marks.entries()) {
      expect(count(mark)).toBeGreaterThan(100);
      for (const other of marks.slice(at + 1)) expect(unlike(mark, other)).toBeGreaterThan(0.4);
    }
  });

  test("a lost connection, a scale that is lost and one that may not be opened are told by words", async () => {
    const words: (string | null)[] = [];
    for (const name of [
      "weigh-connection-lost",
      "weigh-scale-lost",
      "weigh-denied",
      "weigh-over",
    ]) {
      await show(opened.page, stub, sceneOf(name));
      words.push(await opened.page.locator(".no-word").textContent());
      stub.letIn();
    }
    expect(new Set(words).size).toBe(4);
  });

  test("settled and not yet stand apart without colour", async () => {
    await show(opened.page, stub, sceneOf("weigh-put-fresh"));
    const rests: Bitmap[] = [];
    for (const isSettled of [true, false]) {
      stub.reading(812, isSettled);
      await opened.page.locator(isSettled ? ".rest-settled" : ".rest-moving").waitFor();
      rests.push(await inked(opened.page.locator(".rest")));
    }
    const [settled = [], moving = []] = rests;
    expect(unlike(settled, moving)).toBeGreaterThan(0.4);
  });
});

describe("as a screen reader hears it", () => {
  withPage();

  const liveRegions = () => liveRegionsOf(opened.page);
  const heard = (live: "polite" | "assertive", said: RegExp) => heardOn(opened.page, live, said);

  test("a weight that was taken, once and politely", async () => {
    const { bench: known } = sceneOf("weigh-moving").world;
    await show(opened.page, stub, sceneOf("weigh-moving"));
    expect((await liveRegions()).some(({ text }) => text.includes("Taken"))).toBe(false);
    stub.bench({ ...known, tasks: [task({ next: next(3), taken: taken() })] });
    await heard("polite", /^Taken: tray 2 with 812\sg$/);
  });

  test("an alert, a lost connection and a store that keeps nothing, at once", async () => {
    await show(opened.page, stub, sceneOf("weigh-time-to-weigh"));
    await heard("assertive", /time to take the trays out/);
    stub.bench({ recording: false, notRecordingWhy: "the disk is full" });
    await heard("assertive", /Nothing is being kept\..*The disk is full/);
    stub.cut(true);
    await heard("assertive", /^Connection lost$/);
    stub.letIn();
  });

  test("the live weight itself is not read out at every reading", async () => {
    await show(opened.page, stub, sceneOf("weigh-put-fresh"));
    stub.reading(777, false);
    await opened.page.getByText("777", { exact: true }).waitFor();
    expect((await liveRegions()).filter(({ text }) => text.includes("777"))).toEqual([]);
  });
});

describe("a store that keeps nothing", () => {
  withPage();

  test("sounds until somebody has heard it, and stays on the page", async () => {
    const { page } = opened;
    await countSounds(page);
    await show(page, stub, sceneOf("weigh-not-recording"));
    await page.getByRole("button", { name: "Turn sound on" }).click();
    await expect.poll(() => soundsOf(page)).toBeGreaterThan(0);
    await page.getByRole("button", { name: "Understood, no more sound" }).click();
    await expect.poll(() => page.getByText("no more sound").count()).toBe(0);
    expect(await page.getByText("Nothing is being kept.").count()).toBe(1);
    const soFar = await soundsOf(page);
    stub.bench({ recording: true, notRecordingWhy: null });
    await expect.poll(() => page.getByText("Nothing is being kept.").count()).toBe(0);
    stub.bench({ recording: false, notRecordingWhy: "the disk is full" });
    await expect.poll(() => soundsOf(page)).toBeGreaterThan(soFar);
  });
});

describe("alerts that go elsewhere", () => {
  withPage();

  test("a broker is set without its password ever coming back, and a trial tells what failed", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("setup"));
    const password = page.getByLabel("Password");
    expect(await password.inputValue()).toBe("");
    await page.getByRole("button", { name: "MQTT: Keep" }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]?.body).toEqual({
      mqtt: { url: "mqtt://192.168.1.9", prefix: "stillweight", user: "cook" },
      seen: {
        mqtt: {
          url: "mqtt://192.168.1.9",
          prefix: "stillweight",
          user: "cook",
          hasPassword: true,
        },
      },
    });
    await password.fill("new one");
    await page.getByRole("button", { name: "MQTT: Keep" }).click();
    await expect.poll(() => stub.asked.length).toBe(2);
    expect(stub.asked[1]?.body).toMatchObject({ mqtt: { password: "new one" } });
    await expect.poll(() => password.inputValue()).toBe("");
    await page.getByRole("button", { name: "MQTT: Try it" }).click();
    await page.getByText("The last try failed: no broker there").waitFor();
    expect(stub.asked.at(-1)).toMatchObject({ path: "alerts/try", body: { channel: "mqtt" } });
  });

  test("an alert that waits for its receiver is said to wait, and one that was sent late to have been late", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("setup"));
    await page.getByText("within 5 s. The alert waits and is tried again.").waitFor();
    expect(await page.getByText(/Not authorized$/).count()).toBe(1);
    const at = new Date().toISOString();
    stub.bench({
      sending: [
        { channel: "mqtt", at, lateMinutes: 0, failed: null, waiting: 0 },
        { channel: "webhook", at, lateMinutes: 185, failed: null, waiting: 0 },
      ],
    });
    await page.getByText(/^Webhook: Last sent .*\d\d:\d\d, 3\sh\s5\smin late\.$/).waitFor();
    await page.getByText(/^MQTT: Last sent .*\d\d:\d\d\.$/).waitFor();
    expect(await page.getByText("tried again").count()).toBe(0);
  });

  test("a notification is tried where it is allowed, and a refusal is told with what to do", async () => {
    const { page, context } = opened;
    await context.grantPermissions(["notifications"], { origin: new URL(stub.address).origin });
    await page.addInitScript(() => {
      const shown: string[] = [];
      Object.assign(window, { shown });
      Object.defineProperty(window, "Notification", {
        value: class {
          static permission = "granted";
          constructor(_: string, more: { body: string }) {
            shown.push(more.body);
          }
        },
      });
    });
    await show(page, stub, sceneOf("setup"));
    await page.getByRole("button", { name: "Show one now" }).click();
    await page.getByText("Shown. If you saw nothing").waitFor();
    expect(await page.evaluate(() => (window as unknown as { shown: string[] }).shown)).toEqual([
      "A trial alert: this is how an alert will look.",
    ]);
    await page.addInitScript(() => Object.assign(window.Notification, { permission: "denied" }));
    await page.reload();
    await page.getByText("Blocked in this browser.").waitFor();
  });
});

describe("a device that is not let in yet", () => {
  withPage();
  const outside = { needed: true, device: null };
  const openOutside = async (): Promise<void> => {
    stub.letIn();
    stub.set({ ...sceneOf("setup").world, pairing: outside });
    await opened.page.goto("about:blank");
    await opened.page.goto(stub.address);
    await opened.page.getByRole("heading", { name: "Pair this device" }).waitFor();
  };

  test("is shown nothing but the way in: no barrier, nothing cut off, targets of 44 px", async () => {
    await openOutside();
    expect(stub.sockets()).toBe(0);
    expect(await opened.page.getByRole("navigation").count()).toBe(0);
    const found: string[] = [];
    for (const colorScheme of ["light", "dark"] as const) {
      await opened.page.emulateMedia({ colorScheme });
      found.push(...(await barriers(opened.page)));
    }
    for (const size of [...sizes, narrowest]) {
      await opened.page.setViewportSize(size);
      found.push(...(await misfits()));
    }
    await opened.page.setViewportSize(tablet);
    await opened.page.emulateMedia({ colorScheme: "light" });
    expect(found).toEqual([]);
  });

  test("gets in by keyboard alone, with the code and a name, and is told of a wrong code", async () => {
    await openOutside();
    const { keyboard } = opened.page;
    await keyboard.press("Tab");
    await keyboard.type("9999-9999");
    await keyboard.press("Enter");
    await opened.page.getByRole("status").getByText("Type the code, and a name").waitFor();
    // The field that is empty has the focus, and says why.
    const name = opened.page.getByRole("textbox", { description: /Type the code, and a name/ });
    await expect.poll(() => name.evaluate((field) => field === document.activeElement)).toBe(true);
    await keyboard.type("Phone");
    stub.refuse({ status: 403, detail: "that code is wrong", hint: "make a new one" });
    await keyboard.press("Enter");
    await opened.page.getByText("That code is wrong").waitFor();
    stub.refuse(null);
    stub.onAsked(() => stub.pairing(sceneOf("setup").world.pairing));
    await keyboard.press("Enter");
    await opened.page.getByRole("navigation").waitFor();
    expect(stub.asked.at(-1)).toEqual({
      method: "POST",
      path: "pairing",
      body: { code: "9999-9999", name: "Phone" },
    });
  });

  test("a pairing that is taken back leads back here by itself", async () => {
    await show(opened.page, stub, sceneOf("setup"));
    stub.pairing(outside);
    stub.cut(false);
    await opened.page.getByRole("heading", { name: "Pair this device" }).waitFor();
    await expect.poll(() => stub.sockets()).toBe(0);
  });

  test("a paired one lists the devices, shuts one out, and makes a code for the next", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("setup"));
    await page.getByRole("button", { name: "Shut out Tablet on the wall" }).click();
    await expect.poll(() => page.getByText("Tablet on the wall").count()).toBe(0);
    expect(stub.asked.at(-1)).toMatchObject({ method: "DELETE", path: "devices/2" });
    await page.getByRole("button", { name: "A code for another device" }).click();
    await page.getByRole("status").getByText("Code 1234-5678").waitFor();
    expect(stub.asked.at(-1)).toMatchObject({ path: "pairing/code", body: { access: "full" } });
  });

  test("one that may only look says so on every page, and offers no devices", async () => {
    const scene = sceneOf("setup");
    const [, tabletOnly = null] = scene.world.devices;
    const looking = { ...scene.world, pairing: { needed: true, device: tabletOnly } };
    await show(opened.page, stub, { ...scene, world: looking });
    await opened.page.getByText("This device may look and change nothing.").waitFor();
    expect(await opened.page.getByText("Devices that are let in").count()).toBe(0);
    expect(await barriers(opened.page)).toEqual([]);
  });

  test("on the computer itself Set up tells how devices are let in", async () => {
    const scene = sceneOf("setup");
    const alone = { ...scene.world, pairing: { needed: false, device: null } };
    await show(opened.page, stub, { ...scene, world: alone });
    await opened.page.getByText("start the program with --host 0.0.0.0").waitFor();
  });
});

describe("in German", () => {
  withPage("weigh-no-batch", "de-AT");

  test.each(scenes)("$name: nothing cut off by longer words, no barrier", async (scene) => {
    const { page } = opened;
    await turnTo(page, stub, scene);
    expect(await page.evaluate(() => document.documentElement.lang)).toBe("de");
    const found = (await barriers(page)).slice();
    for (const size of [...sizes, narrowest]) {
      await page.setViewportSize(size);
      for (const misfit of await misfits()) found.push(`${size.width} px: ${misfit}`);
    }
    await page.setViewportSize(tablet);
    expect(found).toEqual([]);
  });

  test("a reason of the judgment is told in German with its figures", async () => {
    await turnTo(opened.page, stub, sceneOf("batch-losing"));
    const reason = opened.page.locator(".reasons", { hasText: "verloren" }).first();
    expect(await reason.textContent()).toContain(
      "Hat in 2\u00a0h\u00a030\u00a0min 9,2\u00a0g verloren",
    );
    expect(await opened.page.locator(".reasons [lang=en]").count()).toBe(0);
  });

  test("English is chosen in Set up, for this device, and holds when the page is opened again", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("setup"));
    await page.getByLabel("Sprache dieses Geräts").selectOption("en");
    await page.getByRole("heading", { name: "Set up" }).waitFor();
    await page.reload();
    await page.getByRole("heading", { name: "Set up" }).waitFor();
    expect(await page.evaluate(() => document.documentElement.lang)).toBe("en");
    await page.getByLabel("Language of this device").selectOption("");
    await page.getByRole("heading", { name: "Einrichten" }).waitFor();
  });
});

describe("a page that stays open", () => {
  withPage();

  type Held = { readonly bytes: number; readonly nodes: number; readonly listeners: number };

  /**
   * What is left once everything that can go is gone: bytes of objects, arrays, closures and strings; nodes; listeners.
   * What the engine compiles and what the tools of this test note of the network grow for a while by themselves.
   */
  async function held(devtools: CDPSession): Promise<Held> {
    for (let times = 0; times < 3; times++) await devtools.send("HeapProfiler.collectGarbage");
    const parts: string[] = [];
    const hear = ({ chunk }: { readonly chunk: string }): void => void parts.push(chunk);
    devtools.on("HeapProfiler.addHeapSnapshotChunk", hear);
    await devtools.send("HeapProfiler.takeHeapSnapshot", { reportProgress: false });
    devtools.off("HeapProfiler.addHeapSnapshotChunk", hear);
    const { snapshot, nodes } = JSON.parse(parts.join("")) as Snapshot;
    const { node_fields: fields, node_types: types } = snapshot.meta;
    const own = ["object", "array", "closure", "string", "concatenated string", "sliced string"];
    let bytes = 0;
    for (let at = 0; at < nodes.length; at += fields.length)
      if (own.includes(types[0][nodes[at] ?? -1] ?? ""))
        bytes += nodes[at + fields.indexOf("self_size")] ?? 0;
    const { metrics } = await devtools.send("Performance.getMetrics");
    const metric = (name: string): number => metrics.find((one) => one.name === name)?.value ?? NaN;
    return { bytes, nodes: metric("Nodes"), listeners: metric("JSEventListeners") };
  }
  type Snapshot = {
    readonly snapshot: {
      readonly meta: {
        readonly node_fields: readonly string[];
        readonly node_types: readonly [readonly string[]];
      };
    };
    readonly nodes: readonly number[];
  };

  /** A request that waits for its answer, or is cut off and tried again, holds the page that asked. */
  const nothingIsAsked = (): Promise<void> => expect.poll(() => opened.inFlight.size).toBe(0);

  /** What happens in a kitchen in a day, in a few seconds: loads, verdicts, alerts, every page, lost connections. */
  async function day(page: Page, number: number): Promise<void> {
    const at = sceneOf("weigh-taken");
    await turnTo(page, stub, at);
    for (let count = 0; count < 600; count++)
      stub.reading(300 + ((number * 600 + count) % 700), false);
    for (let load = 0; load < 20; load++) {
      const weighing = number * 100 + load;
      stub.reading(500 + load, true);
      stub.bench({ tasks: [task({ next: next(3), taken: taken({ weighing }) })] });
      stub.bench({
        alerts: [{ ...alert("time-to-weigh", `Day ${number}, ${load}`), id: weighing }],
      });
      stub.bench({ alerts: [] });
    }
    for (const name of [
      "batch-losing",
      "batch-past",
      "plan",
      "record",
      "record-batch",
      "setup-kitchen",
      "pack-plan",
      "shelf-gaining",
      "labels",
      "weigh-which-tray",
      "batch-twelve-trays",
    ])
      await turnTo(page, stub, sceneOf(name));
    await nothingIsAsked();
    stub.cut(true);
    await page.locator(".trouble").waitFor();
    stub.letIn();
    await expect.poll(() => page.locator(".trouble").count()).toBe(0);
    await turnTo(page, stub, at);
    stub.reading(777, true);
    await page.getByText("777", { exact: true }).waitFor();
  }

  test("for a week of days holds no more at its end than in its middle", async () => {
    const { page, context } = opened;
    await show(page, stub, sceneOf("weigh-taken"));
    const devtools = await context.newCDPSession(page);
    await devtools.send("Performance.enable");
    const seen: Held[] = [];
    for (let number = 1; number <= 7; number++) {
      await day(page, number);
      await nothingIsAsked();
      if (number % 2 === 1 && number > 1) seen.push(await held(devtools));
    }
    const said = seen.map(({ bytes, nodes, listeners }) => `${bytes} B, ${nodes}, ${listeners}`);
    console.log(`own bytes, nodes, listeners after days 3, 5 and 7: ${said.join("; ")}`);
    const [third, , last] = seen as [Held, Held, Held];
    expect(last.bytes - third.bytes).toBeLessThan(50_000);
    expect(last.nodes - third.nodes).toBeLessThan(50);
    expect(last.listeners - third.listeners).toBeLessThan(10);
  }, 300_000);

  test("that kept what it was told would be found out", async () => {
    const { page, context } = opened;
    await show(page, stub, sceneOf("weigh-taken"));
    const devtools = await context.newCDPSession(page);
    await devtools.send("Performance.enable");
    const before = await held(devtools);
    // As many as the readings of four such days, each with next to nothing.
    await page.evaluate(() =>
      Object.assign(window, { kept: Array.from({ length: 2400 }, (_, at) => ({ at, and: [at] })) }),
    );
    expect((await held(devtools)).bytes - before.bytes).toBeGreaterThan(50_000);
  });
});

test("the scenes cover every verdict word and every state of the link", () => {
  const all = JSON.stringify(scenes);
  for (const word of ["losing", "stable", "gaining", "stalled", "unsure"])
    expect(all).toContain(`"verdict":"${word}"`);
  for (const link of ["up", "searching", "denied"]) expect(all).toContain(`"link":"${link}"`);
  expect(bench().scales[0]).toEqual(scale());
});
