/** The page's icon as pictures, for systems that take no drawing. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser } from "playwright-core";

const folder = join(import.meta.dirname, "../../web/public");
const drawing = readFileSync(join(folder, "icon.svg"), "utf8");
export const iconFile = ({ name }: Pick<Icon, "name">): string => join(folder, name);

type Icon = { readonly name: string; readonly px: number; readonly isFull: boolean };
/** `isFull`: the system cuts a shape out of it; what counts lies within the middle four fifths (the safe zone of the W3C's manifest, from memory). */
export const icons: readonly Icon[] = [
  { name: "icon-180.png", px: 180, isFull: true },
  { name: "icon-192.png", px: 192, isFull: false },
  { name: "icon-512.png", px: 512, isFull: false },
  { name: "icon-full-512.png", px: 512, isFull: true },
];

const ground = /fill="(#\w+)"/.exec(drawing)?.[1] ?? "";

export async function drawIcon(browser: Browser, { px, isFull }: Icon): Promise<Buffer> {
  const page = await browser.newPage({ viewport: { width: px, height: px } });
  const side = isFull ? px * 0.8 : px;
  await page.setContent(
    `<style>
      html { background: ${isFull ? ground : "transparent"} }
      body { margin: ${(px - side) / 2}px }
      svg { display: block; width: ${side}px; height: ${side}px }
    </style>${drawing}`,
  );
  const picture = await page.screenshot({ omitBackground: true });
  await page.close();
  return picture;
}
