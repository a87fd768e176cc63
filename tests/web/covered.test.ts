/** No main act lies behind the way about, or under anything else: on low phones, on every page, wherever it is scrolled. */
import { expect, test } from "vitest";
import { bagScenes } from "./bag-scenes.ts";
import { openPage, turnTo, type Size } from "./browser.ts";
import { coveredActs } from "./looks.ts";
import { scenes, type Scene } from "./scenes.ts";
import { browser, setStage, stub } from "./stage.ts";

setStage();

const lowPhones: readonly Size[] = [
  { width: 320, height: 568 },
  { width: 360, height: 640 },
  { width: 390, height: 664 },
  { width: 412, height: 732 },
];

const inPractice = (scene: Scene): Scene => ({
  ...scene,
  world: {
    ...scene.world,
    bench: { ...scene.world.bench, practice: "The practice scale was chosen" },
  },
});

/** Those that the first run found a main act in; the others have none in another language either. */
let withAct: readonly Scene[] = [...scenes, ...bagScenes];

test.each([
  { locale: "en-GB", isPractice: false },
  { locale: "en-GB", isPractice: true },
  { locale: "de-DE", isPractice: false },
  { locale: "de-DE", isPractice: true },
])(
  "no main act is covered, $locale, practice: $isPractice",
  { timeout: 120_000 },
  async ({ locale, isPractice }) => {
    const opened = await openPage(browser, stub, lowPhones[0], "light", locale);
    const { page, context, complaints, inFlight } = opened;
    await page.goto(stub.address);
    const covered: string[] = [];
    const found: Scene[] = [];
    for (const scene of withAct) {
      await turnTo(page, stub, isPractice ? inPractice(scene) : scene);
      await expect.poll(() => inFlight.size, { interval: 5 }).toBe(0);
      if ((await page.locator(".main").count()) === 0) continue;
      found.push(scene);
      for (const size of lowPhones) {
        await page.setViewportSize(size);
        const said = await coveredActs(page);
        covered.push(...said.map((one) => `${scene.name}, ${size.width} px: ${one}`));
      }
    }
    expect(covered).toEqual([]);
    expect(complaints).toEqual([]);
    expect(new Set(found.map(({ hash }) => hash.split("/")[1]))).toEqual(
      new Set(["weigh", "batch", "plan", "pack", "labels", "shelf"]),
    );
    expect(found.length).toBeGreaterThan(40);
    withAct = found;
    await context.close();
  },
);
