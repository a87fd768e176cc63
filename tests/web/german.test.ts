/** Every page and state in German in a real browser: nothing on it is said in English but names and what is printed. */
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Browser, Page } from "playwright-core";
import { bagScenes } from "./bag-scenes.ts";
import { openBrowser, openPage, show, turnTo } from "./browser.ts";
import { scenes } from "./scenes.ts";
import { startStub, type Stub } from "./stub.ts";

const all = [...scenes, ...bagScenes];
let stub: Stub;
let browser: Browser;
let page: Page;
beforeAll(async () => {
  const [first] = all;
  if (first === undefined) throw new Error("no scenes");
  stub = await startStub(first.world);
  browser = await openBrowser();
  ({ page } = await openPage(browser, stub, undefined, "light", "de-DE"));
  await show(page, stub, first);
  await page.locator("html[lang=de]").waitFor();
});
afterAll(async () => {
  await browser.close();
  await stub.close();
});

/** Words of English sentences that no German one has. */
const english =
  /\b(the|and|of|with|that|this|from|has|which|your|it|to|is|are|not|no|raw|tray|batch|bag|weight|scale|weighings?|did|could)\b/i;

/** What people, the food table and other programs called something: names stay as they are in every language. */
function namesIn(value: unknown, key = ""): string[] {
  if (typeof value === "string") return namedBy.test(key) ? [value] : [];
  if (typeof value !== "object" || value === null) return [];
  return Object.entries(value).flatMap(([inner, one]) =>
    namesIn(one, Array.isArray(value) ? key : inner),
  );
}
const namedBy =
  /^(name|food|foods|product|lot|dryer|supplier|although|practice|uri|notes?|reason)$/;

/** Labels are shown as they come out of the printer; columns are named as the file has to have them. */
const kept = ".label";
const columns = "tray, batch, fresh_g";

async function saidOn(): Promise<string[]> {
  return page.evaluate((skipped) => {
    for (const fold of document.querySelectorAll("details")) fold.open = true;
    const isKept = (node: Node | null): boolean =>
      (node instanceof Element ? node : (node?.parentElement ?? null))?.closest(
        `${skipped}, noscript`,
      ) !== null;
    const texts: string[] = [];
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walk.nextNode(); node !== null; node = walk.nextNode())
      if (!isKept(node)) texts.push(node.textContent ?? "");
    for (const name of ["aria-label", "title", "placeholder", "alt"])
      for (const element of document.querySelectorAll(`[${name}]`))
        if (!isKept(element)) texts.push(element.getAttribute(name) ?? "");
    return texts;
  }, kept);
}

const names = [...new Set(all.flatMap(({ world }) => namesIn(world))), columns]
  .filter((name) => name.length > 3)
  .toSorted((a, b) => b.length - a.length);

test.each(all.map((scene) => [scene.name, scene] as const))(
  "%s says nothing in English",
  async (_, scene) => {
    await turnTo(page, stub, scene);
    const said = await saidOn();
    const left = said
      .map((text) => names.reduce((rest, name) => rest.replaceAll(name, "–"), text))
      .filter((text) => english.test(text));
    expect(left).toEqual([]);
  },
);
