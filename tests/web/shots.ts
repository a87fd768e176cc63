/** Not a test: `npm run shots` writes every screen and state, in three sizes, two schemes and two languages, into shots/. */
import { mkdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import { test } from "vitest";
import { openBrowser, openPage, show, sizes } from "./browser.ts";
import { bagScenes } from "./bag-scenes.ts";
import { scenes } from "./scenes.ts";
import { startStub } from "./stub.ts";

const into = join(import.meta.dirname, "../../shots");
const looks = [
  ["light", "en-GB"],
  ["dark", "en-GB"],
  ["light", "de-DE"],
] as const;
const only = process.env["SHOTS"] ?? "";

test("every screen and state", { timeout: 600_000 }, async () => {
  if (only === "") rmSync(into, { recursive: true, force: true });
  mkdirSync(into, { recursive: true });
  const all = [...scenes, ...bagScenes];
  const [first] = all;
  if (first === undefined) throw new Error("no scenes");
  const stub = await startStub(first.world);
  const browser = await openBrowser();
  for (const [scheme, locale] of looks)
    for (const size of sizes) {
      const { page, context } = await openPage(browser, stub, size, scheme, locale);
      for (const scene of all.filter(({ name }) => name.includes(only))) {
        await show(page, stub, scene);
        const name = `${scene.name}-${size.width}-${locale.slice(0, 2)}-${scheme}.png`;
        await page.screenshot({
          path: join(into, name),
          fullPage: !scene.name.startsWith("weigh"),
        });
      }
      await context.close();
    }
  await browser.close();
  await stub.close();
});
