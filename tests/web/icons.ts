/** Not a test: `npm run icons` draws the icons of the installable page anew, after icon.svg was changed. */
import { writeFileSync } from "node:fs";
import { test } from "vitest";
import { openBrowser } from "./browser.ts";
import { drawIcon, icons, iconFile } from "./icon.ts";

test("every icon", async () => {
  const browser = await openBrowser();
  for (const icon of icons) writeFileSync(iconFile(icon), await drawIcon(browser, icon));
  await browser.close();
});
