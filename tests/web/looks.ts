/** What is measured of a page that is open in a browser: sizes, ways by keyboard, what a screen reader hears. */
import type { Page } from "playwright-core";
import { expect } from "vitest";
import { barriers, sizes, tablet } from "./browser.ts";

/** WCAG 2.2, 1.4.10 Reflow: 320 CSS pixels wide. */
export const narrowest = { width: 320, height: 640 };

/** The figures of a live weight; none where there is no weight to show. */
const figuresOn = (page: Page) => page.locator(".weight:not(.no-weight) .digits");

/** Heights of the digits as they are drawn, in CSS pixels. */
export const digitHeightsOf = (page: Page): Promise<number[]> =>
  figuresOn(page).evaluateAll((all) =>
    all.map((element) => {
      const style = getComputedStyle(element);
      const ctx = document.createElement("canvas").getContext("2d");
      if (ctx === null) return 0;
      ctx.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
      const drawn = ctx.measureText("8");
      return drawn.actualBoundingBoxAscent + drawn.actualBoundingBoxDescent;
    }),
  );

/** What is too small for a cold hand (44 px; main acts 64 px), or wider than the screen. */
export const misfitsOf = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    const small = [...document.querySelectorAll("button, a, input, select, summary")]
      .filter((element) => element.checkVisibility() && !element.classList.contains("skip"))
      .filter((element) => {
        const box = (element.closest("label") ?? element).getBoundingClientRect();
        return box.height < 43.9 || box.width < 43.9;
      })
      .map((element) => `small: ${element.outerHTML.slice(0, 90)}`);
    const low = [...document.querySelectorAll(".main, .big")]
      .filter((element) => element.checkVisibility() && element.getBoundingClientRect().height < 64)
      .map((element) => `low: ${element.outerHTML.slice(0, 90)}`);
    const over = document.documentElement.scrollWidth - document.documentElement.clientWidth;
    return [...small, ...low, ...(over > 0 ? [`wider than the screen by ${over} px`] : [])];
  });

/** Tabs until the wanted control has the focus; fails when it cannot be reached. */
export async function tabTo(page: Page, name: RegExp): Promise<void> {
  for (let presses = 0; presses < 60; presses++) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const element = document.activeElement;
      if (!(element instanceof HTMLElement)) return "";
      const isField = element instanceof HTMLInputElement || element instanceof HTMLSelectElement;
      const labels = isField ? element.labels : null;
      return (
        labels?.[0]?.textContent ?? element.getAttribute("aria-label") ?? element.textContent ?? ""
      );
    });
    if (name.test(at)) return;
  }
  throw new Error(`no way to ${String(name)} by the Tab key`);
}

/** What has the focus, as it is called; "nothing" where the browser was left at the start of everything. */
export const focusOf = (page: Page): Promise<string> =>
  page.evaluate(() => {
    const at = document.activeElement;
    if (at === null || at === document.body) return "nothing";
    const labels =
      at instanceof HTMLInputElement || at instanceof HTMLSelectElement ? at.labels : null;
    const name = labels?.[0]?.textContent ?? at.getAttribute("aria-label");
    return at.id === "main"
      ? "main"
      : (name ?? at.textContent ?? "").replace(/\u00a0/g, " ").trim();
  });

type Spoken = { readonly role: string; readonly live: string; readonly text: string };

/** Live regions of the accessibility tree, each with all the text in it. */
export async function liveRegionsOf(page: Page): Promise<readonly Spoken[]> {
  const devtools = await page.context().newCDPSession(page);
  const { nodes } = await devtools.send("Accessibility.getFullAXTree");
  await devtools.detach();
  const byId = new Map(nodes.map((node) => [node.nodeId, node]));
  const textOf = (id: string): string => {
    const node = byId.get(id);
    if (node === undefined) return "";
    if (node.role?.value === "StaticText") return String(node.name?.value ?? "");
    return (node.childIds ?? []).map(textOf).join("");
  };
  return nodes.flatMap((node) => {
    const live: unknown = node.properties?.find(({ name }) => name === "live")?.value.value;
    const role = String(node.role?.value ?? "");
    if (node.ignored || !["status", "alert"].includes(role)) return [];
    return [{ role, live: String(live), text: textOf(node.nodeId) }];
  });
}

export const heardOn = (page: Page, live: "polite" | "assertive", said: RegExp) =>
  expect
    .poll(
      async () =>
        (await liveRegionsOf(page)).filter((one) => one.live === live && said.test(one.text))
          .length,
    )
    .toBe(1);

/** Contrast of the figures with what is behind them: WCAG 2.2, definitions of contrast ratio and relative luminance. */
const contrastsOfFigures = (page: Page): Promise<number[]> =>
  figuresOn(page).evaluateAll((all) => {
    const channels = (colour: string): number[] => (colour.match(/[\d.]+/g) ?? []).map(Number);
    const luminance = (colour: string): number => {
      const [r = 0, g = 0, b = 0] = channels(colour).map((channel) => {
        const share = channel / 255;
        return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
      });
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const paper = luminance(getComputedStyle(document.documentElement).backgroundColor);
    return all.map((element) => {
      const ink = luminance(getComputedStyle(element).color);
      return (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05);
    });
  });

/** Controls that the Tab key comes to, but that have no outline or lie behind something else there. */
export async function hiddenByTab(page: Page, presses: number): Promise<string[]> {
  const hidden: string[] = [];
  for (let count = 0; count < presses; count++) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const element = document.activeElement;
      if (element === null || element === document.body || element.closest("nav") !== null)
        return null;
      const box = element.getBoundingClientRect();
      const isSeen = [box.top + 4, box.bottom - 4].every((y) => {
        const seen = document.elementFromPoint(box.x + box.width / 2, y);
        return seen !== null && (element.contains(seen) || seen.contains(element));
      });
      const { outlineStyle, outlineWidth } = getComputedStyle(element);
      const hasOutline = outlineStyle !== "none" && parseFloat(outlineWidth) >= 2;
      return isSeen && hasOutline ? null : (element.textContent ?? "").slice(0, 40);
    });
    if (at !== null) hidden.push(at);
  }
  return hidden;
}

/** What is wrong with how a screen looks: barriers, contrast and height of the live weight, sizes. One line each. */
export async function flawsOf(page: Page): Promise<readonly string[]> {
  const found: string[] = [];
  for (const colorScheme of ["dark", "light"] as const) {
    await page.emulateMedia({ colorScheme });
    for (const barrier of await barriers(page)) found.push(`${colorScheme}: ${barrier}`);
    for (const contrast of await contrastsOfFigures(page))
      if (contrast < 7) found.push(`${colorScheme}: figures ${contrast.toFixed(1)} to 1`);
  }
  // The page is as large as a tablet here: 20 mm are legible at two metres.
  for (const height of await digitHeightsOf(page))
    if (height < 128) found.push(`digits of ${height.toFixed(0)} px`);
  for (const size of [...sizes, narrowest]) {
    await page.setViewportSize(size);
    for (const misfit of await misfitsOf(page)) found.push(`${size.width} px: ${misfit}`);
  }
  await page.setViewportSize(tablet);
  return found;
}

/**
 * Main acts that are not wholly in sight where the page begins, or that something covers, or the way about, at any place
 * that the page can be scrolled to: one line each.
 */
export const coveredActs = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    document.getAnimations().forEach((one) => one.finish());
    const nav = document.querySelector("#page > nav")!;
    const isSeen = (act: Element, x: number, y: number): boolean => {
      const seen = document.elementFromPoint(x, y);
      // A list that a person has opened goes as soon as something of it is chosen.
      if (seen?.closest("[role=listbox]")) return true;
      return seen !== null && (act.contains(seen) || seen.contains(act));
    };
    const covered: string[] = [];
    // Less than a main act is high, so that none goes past unseen.
    const step = 40;
    const end = document.documentElement.scrollHeight - innerHeight;
    for (let at = 0; ; at = Math.min(at + step, end)) {
      scrollTo({ top: at, behavior: "instant" });
      for (const act of document.querySelectorAll(".main")) {
        if (!act.checkVisibility()) continue;
        const { top, bottom, left, right } = act.getBoundingClientRect();
        const about = nav.getBoundingClientRect();
        const name = `${act.textContent} at ${at} px:`;
        const said = `${top.toFixed(0)} to ${bottom.toFixed(0)} px, way about ${about.top.toFixed(0)}`;
        if (at === 0 && (top < 0 || bottom > about.top)) {
          covered.push(`${name} begins out of sight, ${said}`);
          continue;
        }
        if (bottom <= 0 || top >= innerHeight) continue;
        if (bottom > about.top + 0.5 && top < about.bottom) {
          covered.push(`${name} behind the way about, ${said}`);
          continue;
        }
        const inset = 3;
        const from = Math.max(top, 0) + inset;
        const to = Math.min(bottom, innerHeight) - inset;
        if (to <= from) continue;
        const isClear = [left + inset, (left + right) / 2, right - inset].every((x) =>
          [from, (from + to) / 2, to].every((y) => isSeen(act, x, y)),
        );
        if (!isClear) covered.push(`${name} something lies over it, ${said}`);
      }
      if (at >= end) break;
    }
    scrollTo({ top: 0, behavior: "instant" });
    return covered;
  });
