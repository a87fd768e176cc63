/** What has to be within reach on a small screen, and how the page says that something goes on beyond its edge. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { PNG } from "pngjs";
import { describe, expect, test } from "vitest";
import { barriers, show, sizes, tablet, type Size } from "./browser.ts";
import { drawIcon, iconFile, icons } from "./icon.ts";
import { hiddenByTab } from "./looks.ts";
import { alert, benchAt } from "./scenes.ts";
import { browser, opened, sceneOf, setStage, stub, withPage } from "./stage.ts";

setStage();
const [phone = tablet] = sizes;

/** Whether all of it lies on the screen, with nothing over it. */
const isInReach = (selector: string): Promise<boolean> =>
  opened.page
    .locator(selector)
    .first()
    .evaluate((element) => {
      const { top, bottom, left, width } = element.getBoundingClientRect();
      const isOn = (y: number): boolean =>
        element.contains(document.elementFromPoint(left + width / 2, y));
      return top >= 0 && bottom <= innerHeight && isOn(top + 3) && isOn(bottom - 3);
    });

async function at(size: Size, scene: string): Promise<void> {
  await opened.page.setViewportSize(size);
  await show(opened.page, stub, sceneOf(scene));
}

describe("the plan of a batch", () => {
  withPage();

  test.each(sizes)("can be started from where it is opened, at $width x $height", async (size) => {
    await at(size, "plan-look");
    expect(await isInReach("button.main")).toBe(true);
    expect(await opened.page.evaluate(() => scrollY)).toBe(0);
  });

  test("a button below the fold would be found", async () => {
    await at(phone, "plan-look");
    await opened.page.evaluate(
      () => (document.querySelector<HTMLElement>(".foot")!.style.position = "static"),
    );
    expect(await isInReach("button.main")).toBe(false);
  });

  test.each([phone, tablet])("says within sight what is missing, at $width px", async (size) => {
    await at(size, "plan");
    await opened.page.locator("input").first().fill("");
    await opened.page.locator("button.main").click();
    await expect.poll(() => opened.page.locator(".foot .refused").textContent()).toMatch(/dryer/i);
    expect(await isInReach(".foot .refused")).toBe(true);
    // The field that is wrong has the focus and is not covered by what says so.
    expect(await isInReach("input:focus")).toBe(true);
  });

  test.each(sizes)("covers no field that has the focus, at $width px", async (size) => {
    await at(size, "plan-foods");
    await opened.page.evaluate(() => scrollTo(0, 0));
    expect(await hiddenByTab(opened.page, 40)).toEqual([]);
  });

  test("is in nobody's way on a screen too low for it", async () => {
    await at({ width: 780, height: 360 }, "plan");
    const place = await opened.page
      .locator(".foot")
      .evaluate((element) => getComputedStyle(element).position);
    expect(place).toBe("static");
  });
});

describe("a table wider than the screen", () => {
  withPage();
  const table = (of = /What each tray gave/) =>
    opened.page.locator(".wide").filter({ has: opened.page.locator("caption", { hasText: of }) });
  const goesOn = "The table goes on";
  /** Whether its left and its right edge are drawn. */
  const edges = (of?: RegExp) =>
    table(of).evaluate((element) => {
      const { borderLeftColor, borderRightColor, borderLeftWidth } = getComputedStyle(element);
      const isDrawn = (colour: string): boolean =>
        parseFloat(borderLeftWidth) >= 3 && !/rgba\(.*, 0\)/.test(colour);
      return [borderLeftColor, borderRightColor].map(isDrawn);
    });

  test("says that it goes on, shows on which side, and is moved by keyboard", async () => {
    await at(phone, "batch-yields");
    const { page } = opened;
    await table().scrollIntoViewIfNeeded();
    await expect.poll(() => edges()).toEqual([false, true]);
    expect(await page.getByText(goesOn).count()).toBeGreaterThan(0);
    expect(await table().getAttribute("role")).toBe("region");
    expect(await table().getAttribute("aria-label")).not.toBe("");
    await table().focus();
    await page.keyboard.press("ArrowRight");
    await expect.poll(() => edges()).toEqual([true, true]);
    // The names of the rows stay.
    const name = table().locator("tbody th").first();
    await expect
      .poll(async () => (await name.boundingBox())?.x ?? -1)
      .toBeGreaterThanOrEqual((await table().boundingBox())?.x ?? 0);
    await table().evaluate((element) => (element.scrollLeft = element.scrollWidth));
    await expect.poll(() => edges()).toEqual([true, false]);
    expect(await barriers(page)).toEqual([]);
  });

  test("is a plain table where there is room for it", async () => {
    await at({ width: 1440, height: 900 }, "batch-yields");
    const curve = /Weighings of tray/;
    expect(await edges(curve)).toEqual([false, false]);
    expect(await table(curve).getAttribute("tabindex")).toBeNull();
    expect(await table(curve).locator("+ p").count()).toBe(0);
  });
});

describe("the first path", () => {
  withPage();

  test("tells a made-up scale from a real one in a folder for practice", async () => {
    const { page } = opened;
    await at(phone, "weigh-no-batch-practice");
    expect(await page.getByText("A practice scale is at work").count()).toBe(1);
    await at(phone, "weigh-no-batch-trial");
    expect(await page.getByText("The scale is chosen").count()).toBe(1);
    expect(await page.getByText("This data folder is for practice").count()).toBe(1);
    expect(await page.getByText(/practice scale/i).count()).toBe(0);
  });
});

describe("what comes after drying", () => {
  withPage();
  const stable = sceneOf("batch-stable");
  const [batch] = stable.world.bench.batches;
  const coreCheck = { finding: "dry" as const, at: benchAt.toISOString(), dryingHours: 23.5 };
  const allBroken = batch!.trays.map((tray) => ({ ...tray, coreCheck }));
  const broken = {
    ...stable,
    world: {
      ...stable.world,
      bench: {
        ...stable.world.bench,
        alerts: [],
        batches: [{ ...batch!, coresToCheck: [], trays: allBroken }],
      },
    },
  };
  const next = () => opened.page.locator("a.main");

  test("at the scale: the pieces to break, then the bags", async () => {
    await opened.page.setViewportSize(tablet);
    await show(opened.page, stub, { ...stable, hash: "#/weigh" });
    await expect.poll(() => next().allTextContents()).toEqual(["Break the thickest pieces"]);
    await show(opened.page, stub, { ...broken, hash: "#/weigh" });
    await expect.poll(() => next().allTextContents()).toEqual(["Pack it"]);
  });

  test("the thickest pieces are asked for once they can be broken, and the ask stays until then", async () => {
    const inside = sceneOf("batch-stable-in-dryer");
    const [dried] = inside.world.bench.batches;
    const { page } = opened;
    const asks = () => page.locator(".ask h2").allTextContents();
    const later = "Once the trays are out: break the thickest piece of tray 1 and tray 3.";
    await page.setViewportSize(tablet);
    await show(page, stub, inside);
    expect(await page.getByText(later).count()).toBe(1);
    expect(await asks()).toEqual([]);
    expect(await page.getByText("Break the thickest piece before you pack.").count()).toBe(0);
    // What is to be done first is the main act.
    expect(await page.locator(".at-hand .main").allTextContents()).toEqual(["Trays out"]);
    stub.bench({ batches: [{ ...dried!, clock: batch!.clock }] });
    await expect
      .poll(asks)
      .toEqual(["Break the thickest piece of tray 1.", "Break the thickest piece of tray 3."]);
    expect(await page.getByText(later).count()).toBe(0);
    expect(await page.getByText("Break the thickest piece before you pack.").count()).toBe(1);
    stub.bench({ batches: [dried!] });
    await expect.poll(asks).toEqual([]);
    expect(await page.getByText(later).count()).toBe(1);
  });

  test("what else stands beside Stable does not seem to say otherwise", async () => {
    const { page } = opened;
    await page.setViewportSize(tablet);
    await show(page, stub, stable);
    await page.locator(".last-interval").waitFor();
    expect(await page.getByText(/Water in it/).count()).toBe(0);
    // Of the scale alone, and not once more of what may have been lost.
    expect(await page.getByText(/could still hide/).count()).toBe(0);
    expect(
      await page.getByText(/^This scale cannot tell a loss under .*\sg from none\.$/).count(),
    ).toBe(1);
    await show(page, stub, sceneOf("batch-losing"));
    await page.locator(".last-interval").waitFor();
    expect(
      await page.getByText(/^Water in it, by what fresh food of its kind holds: /).count(),
    ).toBe(1);
  });

  test.each(sizes)("on the batch: its bags, within reach at $width px", async (size) => {
    await opened.page.setViewportSize(size);
    await show(opened.page, stub, broken);
    await expect.poll(() => next().allTextContents()).toEqual(["Pack it"]);
    expect(await isInReach("a.main")).toBe(true);
    expect(await opened.page.getByText("Break the thickest piece").count()).toBe(0);
  });
});

describe("what comes by itself", () => {
  withPage();

  test("takes no touch that was on its way to what stood there before", async () => {
    const { page } = opened;
    await at(phone, "weigh-in-dryer");
    const before = stub.asked.length;
    // However slow this machine is: the moment lasts until it is ended below.
    await page.evaluate(() => {
      const sheet = document.styleSheets[0]!;
      sheet.insertRule(".alert { animation-duration: 3600s !important }", sheet.cssRules.length);
    });
    stub.bench({ alerts: [alert("time-to-weigh", "Time to weigh")] });
    const understood = page.getByRole("button", { name: /^Understood/ });
    await understood.waitFor();
    const { x, y, width, height } = (await understood.boundingBox())!;
    const touch = () => page.mouse.click(x + width / 2, y + height / 2);
    await touch();
    await page.evaluate(() => document.getAnimations().forEach((one) => one.finish()));
    expect(stub.asked.slice(before)).toEqual([]);
    await touch();
    await expect
      .poll(() => stub.asked.slice(before).map(({ path }) => path))
      .toEqual(["alerts/31/acknowledge"]);
  });
});

describe("icons", () => {
  type Named = { readonly src: string; readonly sizes: string; readonly purpose?: string };
  const { icons: named } = JSON.parse(
    readFileSync(join(import.meta.dirname, "../../web/public/manifest.webmanifest"), "utf8"),
  ) as { readonly icons: readonly Named[] };

  /** Share of the points that differ by more than an edge drawn a little otherwise. */
  function unlike(one: PNG, other: PNG): number {
    expect([one.width, one.height]).toEqual([other.width, other.height]);
    const far = one.data.filter((value, index) => Math.abs(value - (other.data[index] ?? 0)) > 48);
    return far.length / one.data.length;
  }

  test.each(icons)("$name is the drawing", async (icon) => {
    const kept = PNG.sync.read(readFileSync(iconFile(icon)));
    const drawn = PNG.sync.read(await drawIcon(browser, icon));
    expect(unlike(kept, drawn)).toBeLessThan(0.005);
    // Without the drawing on its ground it would be found.
    const plain = PNG.sync.read(PNG.sync.write(drawn));
    plain.data.fill(255);
    expect(unlike(kept, plain)).toBeGreaterThan(0.05);
  });

  test("are named with their true sizes, among them the two that systems ask for", () => {
    const pictures = named.filter(({ src }) => src.endsWith(".png"));
    for (const { src, sizes: told } of pictures) {
      const { width, height } = PNG.sync.read(readFileSync(iconFile({ name: src })));
      expect(told).toBe(`${width}x${height}`);
    }
    expect(pictures.map((one) => one.sizes)).toEqual(
      expect.arrayContaining(["192x192", "512x512"]),
    );
    expect(named.some(({ purpose }) => purpose === "maskable")).toBe(true);
  });
});
