import type { Locator, Page } from "playwright-core";
import { PNG } from "pngjs";
import { describe, expect, test } from "vitest";
import { bagScenes } from "./bag-scenes.ts";
import { bagTaken, bagTask, filled } from "./bags.ts";
import { show, tablet, turnTo } from "./browser.ts";
import { digitHeightsOf, flawsOf, heardOn, liveRegionsOf, tabTo } from "./looks.ts";
import { next, task } from "./scenes.ts";
import { opened, sceneOf, setStage, stub, withPage } from "./stage.ts";

setStage();

type Sealing = { readonly although?: string };

describe.each(["en-GB", "de-AT"])("in %s, each screen of Pack and Shelf", (locale) => {
  withPage("pack-plan", locale);

  test.each(bagScenes)(
    "$name: no barrier by WCAG 2.2 AA in light and dark, nothing cut off, nothing too small",
    async (scene) => {
      await turnTo(opened.page, stub, scene);
      expect(await flawsOf(opened.page)).toEqual([]);
    },
  );
});

describe("what is to go into a bag", () => {
  withPage("pack-plan");

  test("is told in digits of 128 px at least, and enough in a word as high", async () => {
    await turnTo(opened.page, stub, sceneOf("pack-pour"));
    const [height = 0] = await digitHeightsOf(opened.page);
    expect(height).toBeGreaterThanOrEqual(128);
    await turnTo(opened.page, stub, sceneOf("pack-enough"));
    const word = await opened.page.locator(".pour-done").boundingBox();
    expect(word?.height).toBeGreaterThanOrEqual(128);
  });

  test("follows each reading, turns at the target within the tolerance, and says when it is too much", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-pour"));
    const main = page.locator("main");
    // The empty bag is 8.1 g, the target 51 g, the tolerance 0.51 g.
    for (const [reading, heading, said] of [
      [20, "Pour into bag 17-1", "39.1"],
      [58.5, "Pour into bag 17-1", "0.6"],
      [58.6, "Enough. Let bag 17-1 rest", "Enough"],
      [59.6, "Enough. Let bag 17-1 rest", "Enough"],
      [61.2, "Take some out of bag 17-1", "2.1"],
    ] as const) {
      stub.reading(reading, false, 0.1);
      await main.locator(".figures").getByText(said, { exact: true }).waitFor();
      expect(await main.getByRole("heading", { level: 1 }).textContent()).toBe(heading);
    }
    const bar = page.getByRole("progressbar");
    expect(await bar.getAttribute("aria-valuetext")).toMatch(/^2.1\sg too much$/);
  });

  test("short, enough and too much stand apart in a grey picture, by the bar alone", async () => {
    const { page } = opened;
    const pictures: (readonly boolean[])[] = [];
    for (const name of ["pack-pour", "pack-enough", "pack-too-much"]) {
      await turnTo(page, stub, sceneOf(name));
      pictures.push(await inked(page, page.locator(".pour-bar")));
    }
    const [pour = [], enough = [], over = []] = pictures;
    for (const [one, other] of [
      [pour, enough],
      [enough, over],
      [pour, over],
    ] as const)
      expect(unlike(one, other)).toBeGreaterThan(0.15);
    expect(unlike(pour, pour)).toBe(0);
  });

  test("comes from the trays that its record will name, and the bag gets its number before it is like others", async () => {
    const { page } = opened;
    const said = page.locator(".todo .quiet");
    await turnTo(page, stub, sceneOf("pack-pour"));
    await expect
      .poll(() => said.textContent())
      .toBe("Strawberries, raw: tray 1. Write 17-1 on it.");
    await turnTo(page, stub, sceneOf("pack-seal"));
    await expect.poll(() => said.textContent()).not.toContain("Write");
  });

  test("does not move the figures out of their place", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-pour"));
    const rightOf = async (grams: number, shown: string): Promise<number> => {
      stub.reading(grams, false, 0.1);
      await page.locator(".digits").getByText(shown, { exact: true }).waitFor();
      const box = await page.locator(".digits").boundingBox();
      return (box?.x ?? 0) + (box?.width ?? 0);
    };
    const first = await rightOf(20, "39.1");
    expect(await rightOf(50, "9.1")).toBeCloseTo(first, 0);
  });
});

/** What is inked when all colour is taken out: darker than halfway between paper and ink. */
async function inked(page: Page, element: Locator): Promise<readonly boolean[]> {
  await page.evaluate(() => (document.documentElement.style.filter = "grayscale(1)"));
  const { data } = PNG.sync.read(await element.screenshot());
  await page.evaluate(() => (document.documentElement.style.filter = ""));
  const greys = Array.from({ length: data.length / 4 }, (_, at) => data[at * 4] ?? 0);
  const middle = (Math.max(...greys) + Math.min(...greys)) / 2;
  return greys.map((grey) => grey < middle);
}

function unlike(one: readonly boolean[], other: readonly boolean[]): number {
  expect(one.length).toBe(other.length);
  return one.filter((isInked, at) => isInked !== other[at]).length / one.length;
}

describe("packing a batch", () => {
  withPage("pack-plan");

  test("a tray that is not proved dry says why before it is chosen", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-plan"));
    const said = page.locator(".pack-trays .not-dry");
    await expect
      .poll(() => said.allInnerTexts())
      .toEqual(["not proved dry: It is still losing weight"]);
  });

  test("what was packed stands aside while the next plan is made; the labels of the plan just closed lead", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-next-plan"));
    await page.getByRole("heading", { name: "Labels of 2 bags" }).waitFor();
    const files = page.getByRole("link", { name: "Labels as a file" });
    const print = page.getByRole("link", { name: "Print from this page" });
    expect(await files.count()).toBe(1);
    expect(await print.getAttribute("href")).toBe("#/labels/2,3");
    const isAbove = await print.evaluate((link, form) => {
      const plan = document.querySelector(form);
      return plan !== null && (link.compareDocumentPosition(plan) & 4) > 0;
    }, "form");
    expect(isAbove).toBe(true);
    await page.getByText("Packed: 3 bags").click();
    await page.getByRole("link", { name: /^Bag 17-1/ }).waitFor();
    expect(await print.last().getAttribute("href")).toBe("#/labels/1,2,3");
    // With nothing left to plan they stand there openly.
    await turnTo(page, stub, sceneOf("pack-all-packed"));
    await page.getByRole("heading", { name: "Packed" }).waitFor();
    await page.getByText("Labels as a file").waitFor();
  });

  test("each food of a tray has a line of its own, and one that was not weighed alone can be", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-two-foods"));
    const lines = page.locator(".pack-trays > li");
    await expect
      .poll(async () => (await lines.allInnerTexts()).map((text) => text.replaceAll(/\s+/g, " ")))
      .toEqual([
        "Tray 1 Strawberries, raw 112.0 g left",
        "Tray 2 Strawberries, raw 108.5 g left",
        "Tray 3 Strawberries, raw 57.5 g left",
        // What is said of the tray is said once for both.
        "Tray 3 Bananas, raw about 99.7 g left Weigh it alone Tray 3 not proved dry: It is still losing weight",
      ]);
    // Strawberries go with strawberries.
    expect(await page.getByRole("checkbox", { checked: true }).count()).toBe(3);
    await page.getByRole("button", { name: "Weigh Bananas, raw alone" }).click();
    await expect
      .poll(() => stub.asked)
      .toMatchObject([{ path: "scales/scale-1/task", body: { tray: 3, kind: "dry", portion: 2 } }]);
  });

  test("a tray that is not proved dry is asked about once, with why, and the answer goes with the bags", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-not-dry"));
    const question = page.locator(".ask");
    await question.getByText("Clostridium botulinum").waitFor();
    await question.getByText("It is still losing weight").waitFor();
    expect(await question.getByRole("link", { name: "No, back to the batch" }).count()).toBe(1);
    await page.getByRole("button", { name: "It goes into the freezer" }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]).toMatchObject({
      method: "POST",
      path: "batches/1/bags",
      body: {
        although: "It goes into the freezer",
        trays: [{ tray: 1 }, { tray: 2 }],
        divide: { count: 2 },
        container: "soft",
        volumeMl: 946.353,
        tareGrams: 8.1,
        lot: "quart, box of March",
        // As worked out: the service said one of 300 cc.
        absorbers: { count: 1, cc: 300 },
      },
    });
  });

  test("by keyboard alone: a part of a tray into bags of a pound fresh, then the bag is chosen", async () => {
    const { page } = opened;
    const scene = sceneOf("pack-plan");
    const dry = { ...scene.world.store.preview, notDry: [] };
    await turnTo(page, stub, {
      ...scene,
      hash: "#/pack/1",
      world: { ...scene.world, store: { ...scene.world.store, preview: dry } },
    });
    const packing = [filled(1, 51)];
    stub.onAsked(({ path }) => {
      if (path === "batches/1/bags") stub.bench({ packing });
    });
    await page.reload();
    await page.locator(".pack-preview").waitFor();
    await tabTo(page, /^Tray 1/);
    await page.keyboard.press("Space");
    await tabTo(page, /^Only a part of a tray/);
    await page.keyboard.press("Enter");
    await tabTo(page, /^Only so much of tray 2/);
    await page.keyboard.type("60,5");
    await tabTo(page, /^So many bags/);
    await page.keyboard.press("ArrowDown");
    await tabTo(page, /^Fresh food in each bag/);
    await page.keyboard.press("Control+A");
    await page.keyboard.type("453.6");
    await page.keyboard.press("Enter");
    await expect
      .poll(() => stub.asked.map(({ path }) => path))
      .toEqual(["batches/1/bags", "scales/scale-1/bag"]);
    expect(stub.asked[0]?.body).toMatchObject({
      trays: [{ tray: 2, grams: 60.5 }],
      divide: { freshGrams: 453.6 },
      although: null,
    });
  });

  test("foods that would be mixed are named before they are", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-plan"));
    expect(await page.getByText("would be mixed").count()).toBe(0);
    await page.getByLabel(/^Tray 3/).check();
    await page
      .getByText(
        "These foods would be mixed in the bags: Strawberries, raw and Beef stew, homemade.",
      )
      .waitFor();
  });

  test("the last bag that was sealed is taken back like any other", async () => {
    const { page } = opened;
    const scene = sceneOf("pack-all-packed");
    await turnTo(page, stub, scene);
    stub.bench({
      tasks: [task({ bagTaken: bagTaken({ kind: "sealed", grossGrams: 63.4 }) })],
    });
    await page.getByRole("button", { name: "Undo" }).click();
    await expect.poll(() => stub.asked.map(({ path }) => path)).toEqual(["bags/1/weighings/910"]);
  });

  test("a wrong figure is said in words, and nothing is asked for", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-plan"));
    await page.getByText("Another kind, size or lot").click();
    await page.getByLabel("Volume, mL").fill("a lot");
    await page.getByText("The volume of the bag must be a number").waitFor();
    await page.getByLabel("Volume, mL").press("Enter");
    expect(stub.asked).toEqual([]);
    await page.getByRole("button", { name: /^pint/ }).click();
    await page.locator(".pack-preview").waitFor();
    expect(await page.getByLabel("Volume, mL").inputValue()).toBe("473");
  });

  test("how the absorber was worked out is shown with the source of each figure", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-plan"));
    await page.locator(".pack-preview").waitFor();
    await page.getByText("how it is worked out").click();
    for (const said of [
      "20.95 %",
      "AIChE CCPS glossary",
      "from memory, no source read",
      "our choice",
    ])
      expect(await page.locator(".arithmetic").getByText(said).count()).toBeGreaterThan(0);
    await page.getByRole("radio", { name: "None" }).check();
    await page.getByText("No absorber: the air stays in.").waitFor();
  });

  test("what was taken is said politely and undone by striking that weighing", async () => {
    const { page } = opened;
    await show(page, stub, sceneOf("pack-enough"));
    expect((await liveRegionsOf(page)).some(({ text }) => text.includes("Taken"))).toBe(false);
    stub.bench({ tasks: [task({ bag: bagTask({ bag: 2, code: "17-2" }), bagTaken: bagTaken() })] });
    await page.getByRole("heading", { name: "Taken: 51.1 g in bag 17-1" }).waitFor();
    await heardOn(page, "polite", /^Taken: 51.1\sg in bag 17-1$/);
    await page.getByRole("button", { name: "Undo" }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]).toMatchObject({
      method: "PATCH",
      path: "bags/1/weighings/910",
      body: { struck: true },
    });
  });

  test("a load that misses its target may be taken as it is", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-too-much"));
    await page.getByRole("button", { name: "Take it as it is" }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]).toMatchObject({
      path: "bags/1/weighings",
      body: { kind: "filled", scale: "scale-1" },
    });
  });

  test("a bag of whose tray a piece was found soft is sealed by a person's word alone, which says what was known", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-found-soft"));
    await page.getByText("its thickest piece was soft inside").waitFor();
    await page.getByRole("button", { name: "Take it as it is" }).click();
    await expect.poll(() => stub.asked.length).toBe(1);
    expect(stub.asked[0]?.body).toEqual({
      kind: "sealed",
      scale: "scale-1",
      although:
        "Found later on tray 1: its thickest piece was soft inside. Dry it again, or seal it knowing that",
    });
  });

  test("a sealed weight typed in once more after it was refused says what was known, of that bag and figure alone", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-found-soft"));
    await page.getByText("No scale here? Type a weight").click();
    const detail = "Found later on tray 1: its thickest piece was soft inside";
    stub.refuse({ status: 409, detail, hint: "Dry it on" });
    await page.getByLabel("Scale shows (g)").fill("63.4");
    const keep = page.getByRole("button", { name: "Keep this weight" });
    await keep.click();
    await expect.poll(() => stub.asked.length).toBe(1);
    await keep.click();
    await expect.poll(() => stub.asked.length).toBe(2);
    const form = page.locator("form", { has: keep });
    await form.getByRole("combobox").selectOption({ index: 1 });
    await keep.click();
    await expect.poll(() => stub.asked.length).toBe(3);
    await page.getByLabel("Scale shows (g)").fill("634");
    await keep.click();
    await expect.poll(() => stub.asked.length).toBe(4);
    stub.refuse(null);
    expect(stub.asked.map(({ path, body }) => [path, (body as Sealing).although])).toEqual([
      ["bags/1/weighings", undefined],
      ["bags/1/weighings", detail],
      ["bags/2/weighings", undefined],
      ["bags/2/weighings", undefined],
    ]);
  });

  test("another bag is chosen by one touch, one that is not wanted left out", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-tare"));
    await page.getByRole("button", { name: "Leave bag 17-1 out" }).click();
    await page.getByRole("button", { name: /^Bag 17-3/ }).click();
    await expect
      .poll(() => stub.asked)
      .toMatchObject([
        { method: "PATCH", path: "bags/1", body: { fate: "cancelled" } },
        {
          path: "scales/scale-1/bag",
          body: { bag: 3, seen: { tray: null, portion: null, bag: 1, weight: null } },
        },
      ]);
  });

  test("food that took up moisture is asked about before it is sealed; drying it again notes every bag", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-gained"));
    await page.getByRole("heading", { name: /^The food weighs 3.1 g more/ }).waitFor();
    expect(await page.getByRole("heading", { name: /^Seal bag/ }).count()).toBe(0);
    await page.getByRole("button", { name: "Dry it again" }).click();
    await expect
      .poll(() => stub.asked.map(({ path }) => path))
      .toEqual(["bags/1", "bags/2", "bags/3"]);
    for (const { body } of stub.asked) expect(body).toEqual({ fate: "re-dry" });
    await turnTo(page, stub, sceneOf("pack-gained"));
    await page.getByRole("button", { name: "Seal it all the same" }).click();
    await expect
      .poll(() => stub.asked)
      .toMatchObject([{ method: "POST", path: "bags/1/gain", body: { seal: true } }]);
    // The service says that it is answered, to this page and to every other.
    const { packing } = sceneOf("pack-gained").world.bench;
    const answered = packing.map((bag) => ({
      ...bag,
      gainSinceVerdict: { grams: 3.1, provableGrams: 0.2, text: "", isAnswered: true },
    }));
    stub.bench({ packing: answered });
    await page.getByRole("heading", { name: /^Seal bag 17-1/ }).waitFor();
  });

  test("a weight read by eye is typed in where no scale is connected", async () => {
    const { page } = opened;
    const scene = sceneOf("pack-seal");
    const alone = { ...scene.world.bench, scales: [], tasks: [] };
    await turnTo(page, stub, { ...scene, world: { ...scene.world, bench: alone } });
    await page.getByText("No scale here? Type a weight").click();
    await page.getByLabel(/^Scale shows/).fill("63,4");
    await page.getByRole("button", { name: "Keep this weight" }).click();
    await expect
      .poll(() => stub.asked)
      .toMatchObject([
        { path: "bags/1/weighings", body: { kind: "sealed", value: 63.4, unit: "g" } },
      ]);
  });

  test("a bag that is lifted takes nobody from its labels, though a batch waits", async () => {
    const { page } = opened;
    const scene = sceneOf("pack-all-packed");
    const sealed = task({ next: next(2), bagTaken: bagTaken({ kind: "sealed" }) });
    await turnTo(page, stub, {
      ...scene,
      world: { ...scene.world, bench: { ...scene.world.bench, tasks: [sealed] } },
    });
    stub.reading(40, false, 0.1);
    await page.waitForTimeout(300);
    expect(page.url()).toContain("#/pack/1");
  });

  test("a screen begins at its top, and a reader by keyboard at its start", async () => {
    const { page } = opened;
    const scene = sceneOf("pack-not-dry");
    await page.setViewportSize({ width: 390, height: 700 });
    await turnTo(page, stub, scene);
    stub.onAsked(({ path }) => {
      if (path === "batches/1/bags")
        stub.bench({ packing: sceneOf("pack-tare").world.bench.packing });
    });
    const last = page.getByRole("button", { name: "It goes into the freezer" });
    await last.scrollIntoViewIfNeeded();
    await last.click();
    await page.locator(".round").waitFor();
    await expect.poll(() => page.evaluate(() => window.scrollY)).toBe(0);
    expect(await page.evaluate(() => document.activeElement?.id)).toBe("main");
    await page.setViewportSize(tablet);
  });

  test("a load that comes for a bag takes a reader to Pack, and Weigh says whose the scale is", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-tare"));
    await page.getByRole("link", { name: "Record" }).click();
    await page.getByRole("heading", { name: "Record" }).waitFor();
    stub.reading(8.1, false, 0.1);
    await page.locator("main.page-pack").waitFor();
    await turnTo(page, stub, sceneOf("weigh-scale-for-bag"));
    await page.getByRole("button", { name: "Weigh trays instead" }).click();
    await expect
      .poll(() => stub.asked)
      .toMatchObject([{ path: "scales/scale-1/bag", body: { bag: null } }]);
  });
});

describe("labels", () => {
  withPage("pack-plan");

  test("size and fields are the person's choice, kept on this device", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-all-packed"));
    await page.getByText("Size and what stands on it").click();
    await page.getByRole("combobox", { name: "Size" }).selectOption("70x37-sheet");
    await page.getByLabel("First free label of the sheet").selectOption({ label: "4" });
    await page.getByLabel("From whom").uncheck();
    const file = page.getByRole("link", { name: "Labels as a file (PDF)" });
    expect(await file.getAttribute("href")).toBe(
      "api/labels.pdf?bags=1,2&stock=70x37-sheet&fields=prepared,dates,fresh,gross,absorbers,water,code&language=en&skip=3",
    );
    await page.getByText("Not a legal food label").waitFor();
    await page.reload();
    await page.getByText("Size and what stands on it: 70 × 37 mm, sheets of 24 on A4").waitFor();
    await page.getByText("Size and what stands on it").click();
    expect(await page.getByLabel("From whom").isChecked()).toBe(false);
    await page.getByLabel("From whom").check();
    await page.getByRole("combobox", { name: "Size" }).selectOption("62x29");
  });

  test("a plain page prints labels alone, none of them torn", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("labels"));
    await page.locator(".label img").first().waitFor();
    await page.emulateMedia({ media: "print" });
    const shown = await page
      .locator("nav, footer, h1, button, fieldset")
      .evaluateAll((all) => all.filter((one) => one.checkVisibility()).map((one) => one.tagName));
    expect(shown).toEqual([]);
    expect(await page.locator(".label").count()).toBe(2);
    const inside = await page
      .locator(".label")
      .evaluateAll((all) => all.map((one) => getComputedStyle(one).breakInside));
    expect(inside).toEqual(["avoid", "avoid"]);
    await page.emulateMedia({ media: "screen" });
  });
});
