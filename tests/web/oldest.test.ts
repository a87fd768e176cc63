/** The oldest browsers that README promises: what the built page must not need, and what such browsers do otherwise. */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { builtIn } from "../../.ci/build.mjs";
import { openPage, show, tablet } from "./browser.ts";
import { opened, browser, sceneOf, setStage, stub, withPage } from "./stage.ts";

setStage();

const built = join(builtIn(join(import.meta.dirname, "../..")), "web");
const oldest =
  /cssTarget: \["chrome(?<chrome>\d+)", "firefox(?<firefox>\d+)", "safari(?<safari>[\d.]+)"\]/;

/**
 * What the language, the browsers' interfaces and CSS have had since, and in which Safari first (MDN, browser-compat-data).
 * The compiler knows no newer names of the language itself (`lib` in web/tsconfig.json), but libraries come compiled, and
 * it tells no regular expression and no interface by its age. One example of each, so that none is looked for in vain.
 */
const inScripts: readonly (readonly [since: string, seen: RegExp, example: string])[] = [
  ["16.4", /\(\?<[=!]/, "/(?<=a)b/"],
  ["16.4", /\bstatic\s*\{/, "class A{static{b()}}"],
  ["16", /\.(toSorted|toReversed|toSpliced)\(/, "a.toSorted()"],
  ["16", /AbortSignal\.(timeout|any)\b/, "AbortSignal.timeout(1)"],
  ["16.4", /\b(CompressionStream|OffscreenCanvas)\b/, "new OffscreenCanvas(1,1)"],
  ["17", /\bURL\.canParse\b|\.isWellFormed\(/, "URL.canParse(a)"],
  ["17", /\.(show|hide|toggle)Popover\(/, "a.showPopover()"],
  ["17.4", /\b(Object|Map)\.groupBy\b|Promise\.withResolvers\b/, "Object.groupBy(a,b)"],
  ["17.4", /\.checkVisibility\(/, "a.checkVisibility()"],
  ["18", /startViewTransition/, "document.startViewTransition(a)"],
  ["18.2", /\bPromise\.try\b/, "Promise.try(a)"],
  ["none", /requestIdleCallback/, "requestIdleCallback(a)"],
];
const inStyles: typeof inScripts = [
  ["16", /@container\b|overflow:clip\b/, "@container (width>1px){}"],
  ["16", /\b(subgrid)\b/, "a{grid-template-rows:subgrid}"],
  ["16.2", /color-mix\(/, "a{color:color-mix(in srgb,red,blue)}"],
  ["16.4", /@media[^{]*[<>]/, "@media (width<=40rem){}"],
  ["16.4", /@property\b/, "@property --a{}"],
  ["17.2", /[{;}]\s*&/, "a{& b{color:red}}"],
  ["17.5", /light-dark\(|@starting-style/, "a{color:light-dark(red,blue)}"],
];

describe("the built page", () => {
  const filesOf = (ending: string): readonly string[] =>
    readdirSync(join(built, "assets")).filter((name) => name.endsWith(ending));

  test.each([
    [".js", inScripts],
    [".css", inStyles],
  ] as const)("needs nothing that the oldest browsers have not, in %s", (ending, newer) => {
    const files = filesOf(ending);
    expect(files.length).toBeGreaterThan(1);
    for (const [since, seen, example] of newer) {
      expect([since, example, seen.test(example)]).toEqual([since, example, true]);
      const found = files.filter((name) =>
        seen.test(readFileSync(join(built, "assets", name), "utf8")),
      );
      expect([since, String(seen), found]).toEqual([since, String(seen), []]);
    }
  });

  test("is built for the browsers that README names", () => {
    const config = readFileSync(join(import.meta.dirname, "../../web/vite.config.ts"), "utf8");
    const { chrome, firefox, safari } = oldest.exec(config)?.groups ?? {};
    const readme = readFileSync(join(import.meta.dirname, "../../README.md"), "utf8");
    expect(readme).toContain(`Chromium ${chrome}, Firefox ${firefox}, Safari ${safari}`);
  });

  test("goes under the edges of the screen, so that a phone says how wide they are", () => {
    expect(readFileSync(join(built, "index.html"), "utf8")).toMatch(/viewport-fit=cover/);
  });
});

describe("a browser", () => {
  test("that names no language but the computer's lack of one shows the page in English", async () => {
    const { context, page, complaints } = await openPage(browser, stub, tablet);
    await page.addInitScript(() => {
      Object.defineProperty(Navigator.prototype, "language", { get: () => "C" });
      Object.defineProperty(Navigator.prototype, "languages", { get: () => ["C"] });
    });
    await show(page, stub, sceneOf("batch-losing"));
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe("two touches of one place", () => {
  withPage();

  test("are one act, though the second is counted as the first of another button", async () => {
    const { page } = opened;
    const { world } = sceneOf("weigh-start-drying");
    await show(page, stub, sceneOf("weigh-start-drying"));
    // What the page takes for Firefox.
    await page.evaluate(() => {
      CSS.supports = (condition: string) => condition === "-moz-appearance:none";
    });
    stub.asked.length = 0;
    const { batches } = sceneOf("weigh-in-dryer").world.bench;
    stub.onAsked(() => stub.bench({ ...world.bench, batches }));
    /** As a browser does that counts anew for each element; `afterMs` after the first touch. */
    const touch = (name: string, afterMs: number): Promise<void> =>
      page.getByRole("button", { name }).evaluate((button, ms) => {
        const at = { bubbles: true, detail: 1, clientX: 400, clientY: 500 };
        const event = new MouseEvent("click", at);
        Object.defineProperty(event, "timeStamp", { value: 60_000 + ms });
        button.dispatchEvent(event);
      }, afterMs);
    await touch("Start drying", 0);
    await page.getByRole("button", { name: "Trays out" }).waitFor();
    await touch("Trays out", 150);
    await page.waitForTimeout(200);
    expect(stub.asked.map(({ path }) => path)).toEqual(["batches/1/clock"]);
    await touch("Trays out", 1500);
    await expect.poll(() => stub.asked.length).toBe(2);
  });
});

describe("sound", () => {
  withPage();

  test("that the device takes away again is told, and comes back at the next touch", async () => {
    const { page } = opened;
    await page.addInitScript(() => {
      window.AudioContext = class extends AudioContext {
        constructor() {
          super();
          Object.assign(window, { takeAway: () => this.suspend() });
        }
      };
    });
    await show(page, stub, sceneOf("batch-losing"));
    const turnOn = page.getByRole("button", { name: "Turn sound on" });
    await turnOn.click();
    await turnOn.waitFor({ state: "detached" });
    await page.evaluate(() => (window as unknown as { takeAway(): Promise<void> }).takeAway());
    await turnOn.waitFor();
    await page.getByRole("heading", { level: 1 }).click();
    await turnOn.waitFor({ state: "detached" });
  });
});

describe("a phone with a bar across the foot of its screen, and a notch", () => {
  withPage();
  /** As an iPhone has them upright, and lying on its side: where the page must put nothing that is touched or read. */
  const upright = { size: { width: 390, height: 844 }, edges: { bottom: 34, left: 0, right: 0 } };
  const lying = { size: { width: 844, height: 390 }, edges: { bottom: 21, left: 47, right: 47 } };

  test.each([upright, lying])(
    "has every word and act clear of both, at $size.width px",
    async (held) => {
      const { page } = opened;
      await page.setViewportSize(held.size);
      const devtools = await page.context().newCDPSession(page);
      await devtools.send("Emulation.setSafeAreaInsetsOverride", { insets: held.edges });
      for (const name of ["weigh-put-fresh", "batch-losing", "plan", "shelf-find"]) {
        await show(page, stub, sceneOf(name));
        await page.evaluate(() => scrollTo(0, document.documentElement.scrollHeight));
        const under = await page.evaluate(({ bottom, left, right }) => {
          const words = [
            ...document.querySelectorAll(
              "nav a:not(.skip), main :is(h1, h2, p, label, a, button), footer",
            ),
          ];
          return words
            .filter(
              (one) => one.checkVisibility() && one.closest(".unseen, .alerts, .wide") === null,
            )
            .filter((one) => {
              const range = document.createRange();
              range.selectNodeContents(one);
              const { width, left: from, right: to } = range.getBoundingClientRect();
              return width > 0 && (from < left || to > innerWidth - right);
            })
            .map((one) => `at the side: ${one.outerHTML.slice(0, 80)}`)
            .concat(
              [...document.querySelectorAll("nav a:not(.skip)")]
                .filter((one) => one.getBoundingClientRect().bottom > innerHeight - bottom)
                .map((one) => `at the foot: ${one.outerHTML}`),
            );
        }, held.edges);
        expect([name, under]).toEqual([name, []]);
        // Nothing ends behind the way about.
        const hidden = await page.evaluate(() => {
          const nav = document.querySelector("#page > nav")!.getBoundingClientRect();
          const foot = document.querySelector("#page > footer")!.getBoundingClientRect();
          return nav.top > foot.top ? Math.max(0, foot.bottom - nav.top) : 0;
        });
        expect([name, hidden]).toEqual([name, 0]);
      }
      await devtools.detach();
    },
  );
});
