/** What is seen without scrolling while a scale is worked with: the weight, the act of the screen, what was just taken. */
import { afterAll, describe, expect, test } from "vitest";
import { de } from "../../web/src/texts/de.ts";
import { en } from "../../web/src/texts/en.ts";
import { openPage, show, sizes, type Opened, type Size } from "./browser.ts";
import { digitHeightsOf, hiddenByTab } from "./looks.ts";
import { alert, taken, task } from "./scenes.ts";
import { browser, sceneOf, setStage, stub } from "./stage.ts";

setStage();

const phones: readonly Size[] = [
  { width: 390, height: 844 },
  { width: 360, height: 640 },
];
const looks = [
  { locale: "en-GB", scheme: "light", texts: en },
  { locale: "en-GB", scheme: "dark", texts: en },
  { locale: "de-DE", scheme: "light", texts: de },
  { locale: "de-DE", scheme: "dark", texts: de },
] as const;
type Look = Size & (typeof looks)[number];
const onPhones: readonly Look[] = phones.flatMap((size) =>
  looks.map((look) => ({ ...size, ...look })),
);
const onOthers: readonly Look[] = sizes.map((size) => ({ ...size, ...looks[2] }));

/** Why an element is not wholly seen: it is beyond an edge, behind the way about, or under something else; else null. */
const hiddenOf = (opened: Opened, element: string): Promise<string | null> =>
  opened.page
    .locator(element)
    .first()
    .evaluate((found) => {
      const { top, bottom, left, right } = found.getBoundingClientRect();
      const nav = document.querySelector("#page > nav")!.getBoundingClientRect();
      const isNavBelow = nav.top > 0;
      const start = isNavBelow ? 0 : nav.bottom;
      const end = isNavBelow ? nav.top : innerHeight;
      if (top < start || bottom > end || left < 0 || right > innerWidth)
        return `${top.toFixed(0)} to ${bottom.toFixed(0)} px, seen ${start.toFixed(0)} to ${end.toFixed(0)}`;
      const isOn = (x: number, y: number): boolean => {
        const seen = document.elementFromPoint(x, y);
        return seen !== null && (found.contains(seen) || seen.contains(found));
      };
      const inset = 3;
      const points = [left + inset, (left + right) / 2, right - inset].flatMap((x) =>
        [top + inset, (top + bottom) / 2, bottom - inset].map((y) => [x, y] as const),
      );
      return points.every(([x, y]) => isOn(x, y)) ? null : "something lies over it";
    });

const act = ".acts button.main";
const undo = ".taken button";
const understood = ".alert .act button";

/** The page of a look stays for the tests of that look, each of which opens the address anew. */
let pageOf: { readonly look: Look; readonly opened: Opened } | null = null;
afterAll(() => pageOf?.opened.context.close());

async function at(look: Look, scene: string): Promise<Opened> {
  if (pageOf?.look !== look) {
    await pageOf?.opened.context.close();
    const { width, height, scheme, locale } = look;
    const opened = await openPage(browser, stub, { width, height }, scheme, locale);
    pageOf = { look, opened };
  }
  const { opened } = pageOf;
  await show(opened.page, stub, sceneOf(scene));
  return opened;
}

async function expectSeen(opened: Opened, elements: readonly string[]): Promise<void> {
  for (const element of elements)
    expect([element, await hiddenOf(opened, element)]).toEqual([element, null]);
  expect(await opened.page.evaluate(() => scrollY)).toBe(0);
}

describe.each([...onPhones, ...onOthers])("on $width x $height, $locale, $scheme", (look) => {
  test.each([
    { scene: "weigh-practice-in-dryer", seen: [] },
    { scene: "weigh-practice-taken", seen: [undo] },
    { scene: "weigh-practice-alert", seen: [understood] },
    { scene: "weigh-practice-two-alerts", seen: [understood, undo] },
    { scene: "weigh-time-to-weigh", seen: [understood] },
  ])("$scene has its act and the weight in sight", async ({ scene, seen }) => {
    const opened = await at(look, scene);
    expect(await opened.page.locator(act).textContent()).toBe(look.texts.weigh.act.out);
    await expectSeen(opened, [act, ".figures", ...seen]);
    // Nothing of this was bought with the size of the weight.
    const [digits = 0] = await digitHeightsOf(opened.page);
    expect(digits).toBeGreaterThanOrEqual(look.width > 600 ? 128 : 60);
    expect(opened.complaints).toEqual([]);
  });

  test("a tray that was taken as an empty one is said to be empty, with its mass and the way back", async () => {
    const opened = await at(look, "weigh-practice-taken");
    const empty = taken({ kind: "tare", grossGrams: 409, netGrams: null, food: null });
    stub.bench({ tasks: [task({ taken: empty })] });
    const said = opened.page.locator(".taken h2");
    const words = look.locale === "de-DE" ? "Blech 2 leer, 409\u00a0g" : "tray 2 empty, 409\u00a0g";
    await expect.poll(() => said.textContent()).toContain(words);
    await expectSeen(opened, [".taken h2", undo, ".figures"]);
    expect(opened.complaints).toEqual([]);
  });
});

describe.each(onPhones)("alerts on $width x $height, $locale, $scheme", (look) => {
  test("one with a long reason, and many, leave the act and the weight in sight", async () => {
    const opened = await at(look, "weigh-practice-in-dryer");
    const why = "tray 3 weighs 402 g, and this food cannot weigh more than 318 g when it is dry. ";
    const long = alert("stalled", why, { reasonText: why.repeat(4) });
    for (const alerts of [[long], [31, 32, 33, 34, 35].map((id) => ({ ...long, id }))]) {
      stub.bench({ alerts });
      await expect.poll(() => opened.page.locator(".alert").count()).toBe(alerts.length);
      await expectSeen(opened, [act, ".figures", understood]);
    }
  });
});

test.each(looks)(
  "on the smallest phone two alerts leave the act and the weight in sight ($locale, $scheme)",
  async (look) => {
    const opened = await at({ ...look, width: 320, height: 568 }, "weigh-practice-two-alerts");
    await expectSeen(opened, [act, ".figures", understood, undo]);
  },
);

test("on a phone the newest alert is in sight, the edge of the next says that there is one, and takes its place", async () => {
  const [look] = onPhones;
  const opened = await at(look!, "weigh-practice-two-alerts");
  const { page } = opened;
  const said = await page.locator(".alert > p").allTextContents();
  expect(said[0]).toContain("still losing");
  expect(said[1]).toContain("time to take the trays out");
  const second = (await page.locator(".alert").nth(1).boundingBox())!;
  expect(second.x).toBeLessThan(look!.width - 20);
  expect(second.x + second.width).toBeGreaterThan(look!.width);
  // Once the newest is understood, the other stands in its place.
  stub.onAsked(({ path }) => {
    if (path === "alerts/32/acknowledge")
      stub.bench({ alerts: [alert("time-to-weigh", "time to take the trays out")] });
  });
  // The moment in which what comes by itself takes no touch is over.
  await page.evaluate(() => document.getAnimations().forEach((one) => one.finish()));
  await page.locator(understood).first().click();
  await expect.poll(() => page.locator(".alert").count()).toBe(1);
  await expectSeen(opened, [".alert", understood, act]);
  expect(opened.complaints).toEqual([]);
});

test("by keyboard every control of a phone comes into sight, of each alert too", async () => {
  const [look] = onPhones;
  const opened = await at(look!, "weigh-practice-two-alerts");
  expect(await hiddenByTab(opened.page, 20)).toEqual([]);
});
