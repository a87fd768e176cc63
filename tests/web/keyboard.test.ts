/** The whole page by keyboard and by ear, in a real browser: where the focus goes, what is said, what is named how. */
import { PNG } from "pngjs";
import { describe, expect, test } from "vitest";
import type { LogImport } from "../../src/wire/requests.ts";
import { bagScenes } from "./bag-scenes.ts";
import { bagTaken, bagTask, finding } from "./bags.ts";
import { barriers, sizes, tablet, turnTo } from "./browser.ts";
import { focusOf, heardOn, hiddenByTab, tabTo } from "./looks.ts";
import { scenes, task } from "./scenes.ts";
import { opened, sceneOf, setStage, stub, withPage } from "./stage.ts";

setStage();

/** What is fetched is there, and what is in the folds of it: nothing came for a while. */
async function unfold(): Promise<void> {
  const { inFlight } = opened;
  for (let calm = 0; calm < 2;) {
    const waitedFor = inFlight.size;
    await opened.page.evaluate(
      () =>
        new Promise<void>((done) => {
          for (const fold of document.querySelectorAll("details")) fold.open = true;
          let wait = setTimeout(finish, 60);
          const watch = new MutationObserver(() => {
            clearTimeout(wait);
            wait = setTimeout(finish, 60);
          });
          watch.observe(document.body, { childList: true, subtree: true });
          function finish(): void {
            watch.disconnect();
            done();
          }
        }),
    );
    calm = waitedFor === 0 && inFlight.size === 0 ? calm + 1 : 0;
  }
}
const press = async (name: RegExp, key = "Enter"): Promise<void> => {
  await tabTo(opened.page, name);
  await opened.page.keyboard.press(key);
};
const focused = () => expect.poll(() => focusOf(opened.page));

describe("each screen in each state, with all that can be unfolded", () => {
  withPage("weigh-no-batch");

  test.each([...scenes, ...bagScenes])(
    "$name: one main heading, every word in a landmark, controls told apart by ear, no barrier",
    async (scene) => {
      const { page } = opened;
      await turnTo(page, stub, scene);
      await unfold();
      const headings = page.locator("h1").filter({ visible: true });
      await expect.poll(() => headings.count()).toBe(1);
      expect(await page.evaluate(namedAlike)).toEqual([]);
      expect(await page.evaluate(outsideLandmarks)).toEqual([]);
      expect(await barriers(page)).toEqual([]);
    },
  );

  test("two buttons of one name and a word outside the landmarks would be found", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("setup"));
    await page.evaluate(() => {
      const section = document.querySelector("main > section");
      for (let count = 0; count < 2; count++) {
        const planted = document.createElement("button");
        planted.textContent = "Planted";
        section?.append(planted);
      }
      const lost = document.createElement("p");
      lost.textContent = "lost";
      lost.id = "planted";
      document.getElementById("page")?.append(lost);
    });
    expect(await page.evaluate(namedAlike)).toEqual(["Planted"]);
    expect(await page.evaluate(outsideLandmarks)).toEqual(["lost"]);
    await page.evaluate(() => document.getElementById("planted")?.remove());
  });
});

describe("what is looked at on some screens", () => {
  withPage("weigh-no-batch");

  test.each([
    "batch-stable",
    "plan-foods",
    "pack-plan",
    "shelf-gaining",
    "record",
    "setup-kitchen",
  ])("%s, unfolded in the dark: no barrier", async (name) => {
    await turnTo(opened.page, stub, sceneOf(name));
    await opened.page.emulateMedia({ colorScheme: "dark" });
    await unfold();
    expect(await barriers(opened.page)).toEqual([]);
    await opened.page.emulateMedia({ colorScheme: "light" });
  });

  test.each([
    ["weigh-taken", sizes[0]],
    ["batch-losing", sizes[0]],
    ["plan-foods", tablet],
    ["pack-plan", sizes[0]],
    ["shelf-gaining", sizes[0]],
    ["record", tablet],
    ["setup-kitchen", sizes[0]],
  ])("%s: the focus is seen at every step of the Tab key", async (name, size = tablet) => {
    const { page } = opened;
    await page.setViewportSize(size);
    await turnTo(page, stub, sceneOf(name));
    expect(await hiddenByTab(page, 40)).toEqual([]);
    await page.setViewportSize(tablet);
  });

  test("a control under the way about, and one without an outline, would be found", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("setup-kitchen"));
    await page.evaluate(() => {
      const nav = document.querySelector<HTMLElement>("#page > nav")!;
      nav.style.cssText = "position: fixed; inset: 0 0 auto; height: 60vh; z-index: 9";
    });
    expect((await hiddenByTab(page, 12)).length).toBeGreaterThan(0);
    await page.evaluate(() => {
      document.querySelector<HTMLElement>("#page > nav")!.style.cssText = "";
      for (const one of document.querySelectorAll<HTMLElement>("main button"))
        one.style.outline = "none";
    });
    expect((await hiddenByTab(page, 12)).length).toBeGreaterThan(0);
  });

  test("nothing moves for somebody who asked for less movement", async () => {
    const { page } = opened;
    const moving = (): Promise<string[]> =>
      page.evaluate(() =>
        [...document.querySelectorAll("*")]
          .filter((one) => {
            const { transitionDuration, animationName } = getComputedStyle(one);
            // What just came takes no touch for a moment; that moves nothing.
            const isStill = ["none", "just-come"].includes(animationName);
            return parseFloat(transitionDuration) > 0 || !isStill;
          })
          .map((one) => one.outerHTML.slice(0, 60)),
      );
    for (const scene of [...scenes, ...bagScenes].filter(({ name }) =>
      /pour|taken|losing/.test(name),
    )) {
      await turnTo(page, stub, scene);
      expect(await moving()).toEqual([]);
    }
    expect(await page.evaluate(() => matchMedia("(prefers-reduced-motion: reduce)").matches)).toBe(
      true,
    );
  });
});

/** Buttons and links of one name in one group, where they do different things. */
function namedAlike(): string[] {
  const seen = new Map<string, Set<unknown>>();
  const groups: Element[] = [];
  for (const one of document.querySelectorAll<HTMLElement>("button, a[href]")) {
    if (!one.checkVisibility()) continue;
    const group = one.closest("li, fieldset, [role=group], section");
    if (group !== null && !groups.includes(group)) groups.push(group);
    const name = (one.getAttribute("aria-label") ?? one.textContent ?? "").trim();
    const key = `${groups.indexOf(group ?? document.body)} ${name}`;
    const doing = one instanceof HTMLAnchorElement ? one.href : one;
    seen.set(key, (seen.get(key) ?? new Set()).add(doing));
  }
  return [...seen].filter(([, all]) => all.size > 1).map(([key]) => key.replace(/^-?\d+ /, ""));
}

function outsideLandmarks(): string[] {
  const landmarks = "nav, header, main, footer, [role=status], [role=alert]";
  const texts: string[] = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walk.nextNode(); node !== null; node = walk.nextNode()) {
    const text = (node.textContent ?? "").trim();
    const holder = node.parentElement;
    if (
      text !== "" &&
      holder?.checkVisibility() === true &&
      holder.closest(`${landmarks}, noscript`) === null
    )
      texts.push(text);
  }
  return texts;
}

describe("the focus", () => {
  withPage("weigh-taken");

  test("stays on the page when what was pressed is gone with its act", async () => {
    const { page } = opened;
    const { bench: known } = sceneOf("weigh-taken").world;
    stub.onAsked(() => stub.bench({ ...known, tasks: [task({ next: null })] }));
    await press(/^Undo$/);
    await focused().not.toMatch(/^nothing$|^Undo$/);
    expect(await page.evaluate(() => document.activeElement?.closest("main") !== null)).toBe(true);
    expect(await page.evaluate(() => document.activeElement?.tagName)).toMatch(/^H[123]$/);
  });

  test("goes to what is to be done when a question is answered", async () => {
    const { world } = sceneOf("weigh-which-tray");
    await turnTo(opened.page, stub, sceneOf("weigh-which-tray"));
    stub.onAsked(() => stub.bench({ ...world.bench, tasks: [task()] }));
    await press(/^Tray 2/);
    await focused().not.toMatch(/^nothing$|^Tray 2/);
    expect(await opened.page.evaluate(() => document.activeElement?.tagName)).toMatch(/^H[123]$/);
  });

  test("goes to the question that takes the place of a button, and back", async () => {
    await turnTo(opened.page, stub, sceneOf("shelf-gaining"));
    await press(/^Given away$/);
    await focused().toBe("Bag 17-1: given away?");
    await press(/^No$/);
    await focused().toBe("What becomes of it?");
  });

  test("goes into a correction and comes back to its button", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("batch-losing"));
    await press(/^Weighings and corrections$/);
    const first = page.getByRole("button", { name: /^Correct: / }).first();
    const name = await first.getAttribute("aria-label");
    await first.focus();
    await page.keyboard.press("Enter");
    await focused().toBe("It was");
    const trays = await page.locator(":focus option").allTextContents();
    expect(trays.slice(0, 2)).toEqual(["Tray 1", "Tray 2"]);
    expect(await barriers(page)).toEqual([]);
    await tabTo(page, /^Keep/);
    await page.keyboard.press("Enter");
    await expect.poll(() => stub.asked.length).toBe(1);
    await focused().toBe((name ?? "").replace(/\u00a0/g, " "));
  });

  test("goes to the neighbour when a line of a list is taken away", async () => {
    await turnTo(opened.page, stub, sceneOf("plan-foods"));
    await press(/^Remove tray 2$/);
    // The third is named so still: its own name is the first thing on it.
    await focused().toBe("Name");
    expect(
      await opened.page.evaluate(() => (document.activeElement as HTMLInputElement).value),
    ).toBe("3");
  });

  test("is at the start of the screen that takes the place of another", async () => {
    await turnTo(opened.page, stub, sceneOf("pack-not-dry"));
    stub.onAsked(({ path }) => {
      if (path === "batches/1/bags")
        stub.bench({ packing: sceneOf("pack-tare").world.bench.packing });
    });
    await press(/^It goes into the freezer$/);
    await opened.page.locator(".round").waitFor();
    await focused().toBe("main");
  });

  test("stays where a person has gone on to while a scale was being opened", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("setup"));
    await press(/^List the ports/);
    await page.getByRole("button", { name: /FTDI FT232R USB UART/ }).waitFor();
    let letGo = (): void => undefined;
    const held = new Promise<void>((done) => (letGo = done));
    await page.route("**/api/scales", async (route) => {
      await held;
      await route.continue();
    });
    await press(/FTDI FT232R USB UART/);
    await tabTo(page, /^Or type the scale's address/);
    letGo();
    await heardOn(page, "polite", /^Opened\./);
    await page.unroute("**/api/scales");
    await focused().toMatch(/^Or type the scale's address/);
    await page.keyboard.type("/dev/ttyUSB1");
    await page.keyboard.press("Enter");
    await expect.poll(() => stub.asked.at(-1)?.body).toMatchObject({ uri: "/dev/ttyUSB1" });
    await focused().toBe("Scales");
  });

  test("is on a new page no later than the page is there, so that no Tab key comes between", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("weigh-taken"));
    await page.locator("nav a").first().focus();
    const atOnce = await page.evaluate(
      () =>
        new Promise((told) => {
          new MutationObserver((_, watch) => {
            if (document.querySelector("main.page-plan") === null) return;
            watch.disconnect();
            told(document.activeElement?.id);
          }).observe(document.body, { attributes: true, subtree: true });
          location.hash = "#/plan";
        }),
    );
    expect(atOnce).toBe("main");
  });

  test("does not come back to somebody who left a control for nothing", async () => {
    const { page } = opened;
    const { bench: known } = sceneOf("weigh-taken").world;
    await turnTo(page, stub, sceneOf("weigh-taken"));
    await tabTo(page, /^Undo$/);
    await page.evaluate(() => (document.activeElement as HTMLElement).blur());
    stub.bench({ ...known, tasks: [task({ next: null })] });
    await expect.poll(() => page.getByRole("button", { name: "Undo" }).count()).toBe(0);
    await focused().toBe("nothing");
  });

  test("two touches of one button are one act, and a key that is held is one press", async () => {
    const { page } = opened;
    const { world } = sceneOf("weigh-start-drying");
    await turnTo(page, stub, sceneOf("weigh-start-drying"));
    const inside = sceneOf("weigh-in-dryer").world.bench.batches;
    stub.onAsked(() => stub.bench({ ...world.bench, batches: inside }));
    await page.getByRole("button", { name: "Start drying" }).dblclick({ delay: 60 });
    await page.getByRole("button", { name: "Trays out" }).waitFor();
    await page.waitForTimeout(200);
    expect(stub.asked.map(({ path }) => path)).toEqual(["batches/1/clock"]);
    const out = page.getByRole("button", { name: "Trays out" });
    await out.focus();
    await page.keyboard.down("Enter");
    for (let repeats = 0; repeats < 4; repeats++) {
      await page.keyboard.down("Enter");
      await page.waitForTimeout(40);
    }
    await page.keyboard.up("Enter");
    await expect.poll(() => stub.asked.length).toBe(2);
    await page.waitForTimeout(200);
    expect(stub.asked).toHaveLength(2);
  });
});

describe("what was typed wrong", () => {
  withPage("setup-kitchen");

  const wrongFields = (): Promise<string[]> =>
    opened.page.locator("[aria-invalid=true]").evaluateAll((all) =>
      all.map((field) => {
        const said = (field.getAttribute("aria-describedby") ?? "")
          .split(" ")
          .map((id) => document.getElementById(id)?.textContent ?? "")
          .at(-1);
        const label = (field as HTMLInputElement).labels?.[0]?.textContent ?? "";
        return `${label}: ${said ?? ""}${field === document.activeElement ? " (here)" : ""}`;
      }),
    );
  const flaws: readonly (readonly [string, string, string, string, RegExp])[] = [
    ["setup", "Water that still counts as dry", "much", "Keep", /^Water that still.*: .*\(here\)$/],
    [
      "batch-losing",
      "Empty tray (g)",
      "heavy",
      "Keep",
      /^Empty tray \(g\): Type a plain number.*\(here\)$/,
    ],
    [
      "weigh-in-dryer",
      "Scale shows",
      "much",
      "Keep this weight",
      /^Scale shows: Type a plain number.*\(here\)$/,
    ],
    [
      "plan",
      "Batch number",
      "one",
      "Start the batch",
      /^Batch number: The batch number must be.*\(here\)$/,
    ],
    [
      "shelf-find",
      "Number on the label",
      "beans",
      "Find",
      /^Number on the label: A label's number reads.*\(here\)$/,
    ],
  ];

  test.each(flaws)(
    "%s: %s is gone to and says what is wrong with it",
    async (name, field, text, button, said) => {
      const { page } = opened;
      await turnTo(page, stub, sceneOf(name));
      await unfold();
      if (name === "plan") await page.getByLabel("Dryer").fill("kitchen");
      const typed = page.getByLabel(field).first();
      await typed.fill(text);
      const form = page.locator("form", { has: typed });
      await form.getByRole("button", { name: button, exact: true }).first().click();
      await expect.poll(wrongFields).toEqual([expect.stringMatching(said)]);
      expect(await barriers(page)).toEqual([]);
      expect(stub.asked).toEqual([]);
    },
  );

  test("of a pack it is told while it is typed", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("pack-plan"));
    await page.locator(".pack-preview").waitFor();
    await unfold();
    await page.getByLabel("Volume, mL").fill("a lot");
    await expect
      .poll(wrongFields)
      .toEqual([
        expect.stringMatching(/^Volume, mL: The volume of the bag must be a number.*\(here\)$/),
      ]);
    await heardOn(page, "assertive", /The volume of the bag must be a number/);
    await page.getByLabel("Volume, mL").fill("473");
    await expect.poll(wrongFields).toEqual([]);
  });
});

describe("as a screen reader hears it", () => {
  withPage("setup");

  test("what was kept, politely; what was refused, at once", async () => {
    const { page } = opened;
    await press(/^Keep$/);
    await expect.poll(() => stub.asked.length).toBe(1);
    await heardOn(page, "polite", /^Kept/);
    stub.refuse({ status: 409, detail: "somebody else changed it", hint: "look again" });
    await press(/^Keep$/);
    await heardOn(page, "assertive", /^Somebody else changed it.*Look again/);
    stub.refuse(null);
  });

  test("an undone weighing, a bag's fate, a search without an end", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("weigh-taken"));
    await press(/^Undo$/);
    await heardOn(page, "polite", /^Taken back\./);
    await turnTo(page, stub, sceneOf("shelf-gaining"));
    await press(/^Given away$/);
    await press(/^Given away$/);
    await heardOn(page, "polite", /^Bag 17-1: given away$/);
    const { world } = sceneOf("record");
    await turnTo(page, stub, { ...sceneOf("record"), world: { ...world, ended: [] } });
    await tabTo(page, /^Find a batch/);
    await page.keyboard.type("xyz");
    await heardOn(page, "polite", /^No batch fits that/);
  });
});

describe("by keyboard alone", () => {
  withPage("setup");

  test("a scale is found among the ports, opened, and another is typed in", async () => {
    const { page } = opened;
    await turnTo(page, stub, { ...sceneOf("setup"), act: undefined as never });
    await press(/^List the ports/);
    await page.getByRole("button", { name: /FTDI FT232R USB UART/ }).waitFor();
    await press(/FTDI FT232R USB UART/);
    await tabTo(page, /^Or type the scale's address/);
    await page.keyboard.type("tcp://192.168.1.7:4001");
    await page.keyboard.press("Enter");
    await expect
      .poll(() => stub.asked)
      .toMatchObject([
        { path: "scales", body: { uri: expect.stringMatching(/^serial:/) as string } },
        { path: "scales", body: { uri: "tcp://192.168.1.7:4001" } },
      ]);
  });

  test("a batch is looked for in the record and opened", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("record"));
    await tabTo(page, /^Find a batch/);
    await page.keyboard.type("apple");
    await press(/^Apples and pears/);
    await page.getByRole("heading", { name: "Apples and pears", level: 1 }).waitFor();
    await focused().toBe("main");
  });

  test("a log kept by hand is looked at and brought in", async () => {
    const { page } = opened;
    const found: LogImport = {
      problems: [],
      notes: [],
      batches: [
        {
          batch: "1",
          name: "Plums",
          startedAt: "2025-09-01T08:00:00Z",
          trays: [{ name: "1", food: null, freshGrams: 900, lastGrams: 140, weighings: 4 }],
        },
      ] as unknown as LogImport["batches"],
    };
    await turnTo(page, stub, sceneOf("record"));
    stub.onAsked(({ path }) => (path.startsWith("imports") ? found : undefined));
    await press(/^Bring in a log/);
    await page
      .locator("input[type=file]")
      .setInputFiles({ name: "log.csv", mimeType: "text/csv", buffer: Buffer.from("tray,date\n") });
    await tabTo(page, /^Dryer/);
    await page.keyboard.type("kitchen");
    await press(/^Look at it/);
    await heardOn(page, "polite", /Plums/);
    await press(/^Bring in 1 batch/);
    await heardOn(page, "polite", /^1 batch was brought in/);
    await focused().not.toBe("nothing");
  });

  test("bags are poured as they are, chosen, left out; labels are chosen and asked for", async () => {
    const { page } = opened;
    const asked = () => expect.poll(() => stub.asked.map(({ path }) => path));
    await turnTo(page, stub, sceneOf("pack-too-much"));
    await press(/^Take it as it is$/);
    await asked().toEqual(["bags/1/weighings"]);
    await turnTo(page, stub, sceneOf("pack-tare"));
    await press(/^Leave bag 17-1 out$/);
    await press(/^Bag 17-3/);
    await asked().toEqual(["bags/1", "scales/scale-1/bag"]);
    await turnTo(page, stub, sceneOf("pack-all-packed"));
    await press(/^Size and what stands on it/);
    await tabTo(page, /^Size/);
    await page.keyboard.press("ArrowDown");
    await press(/^From whom/, "Space");
    await tabTo(page, /^Labels as a file/);
    expect(await page.evaluate(() => (document.activeElement as HTMLAnchorElement).href)).toMatch(
      /labels.pdf\?bags=1,2&stock=70x37&fields=prepared,dates/,
    );
    await press(/^From whom/, "Space");
    await page.getByRole("combobox", { name: "Size" }).selectOption("62x29");
  });

  test("a round along the shelf is begun, a bag passed over, the round ended", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("shelf-find"));
    stub.onAsked(({ path, body }) => {
      const { bag } = body as { bag: number | null };
      if (path !== "scales/scale-1/bag") return;
      const on =
        bag === null
          ? {}
          : { bag: bagTask({ bag, code: `17-${bag}`, kind: "shelf" }), bagTaken: null };
      stub.bench({ tasks: [task(on)] });
      // The answer may come long after the page was told; what is pressed in between counts all the same.
      return new Promise((done) => setTimeout(done, 400, undefined));
    });
    await press(/^Shelf round$/);
    await page.getByRole("heading", { name: "Put bag 17-1 on the scale" }).waitFor();
    await focused().not.toBe("nothing");
    await press(/^Pass over bag 17-1$/);
    await page.getByRole("heading", { name: "Put bag 17-4 on the scale" }).waitFor();
    stub.bench({
      tasks: [
        task({
          bagTaken: bagTaken({
            weighing: 2001,
            bag: 4,
            code: "17-4",
            kind: "shelf",
            finding: finding(),
          }),
        }),
      ],
    });
    await page.getByRole("heading", { name: "Put bag 17-2 on the scale" }).waitFor();
    await press(/^End the round/);
    await page.getByRole("heading", { name: /^Round over/ }).waitFor();
    await focused().not.toBe("nothing");
    await press(/^Done$/);
    await page.getByRole("heading", { name: "Which bag?" }).waitFor();
    await focused().not.toBe("nothing");
  });

  test("a photograph is put in by its own field", async () => {
    const { page } = opened;
    await turnTo(page, stub, sceneOf("batch-losing"));
    await press(/^Photographs$/);
    await tabTo(page, /^Add a photograph/);
    const sent = page.waitForRequest((request) => request.method() === "POST");
    const buffer = PNG.sync.write(new PNG({ width: 40, height: 20, colorType: 2 }));
    await page
      .locator("input[type=file]:focus")
      .setInputFiles({ name: "tray.png", mimeType: "image/png", buffer });
    expect(new URL((await sent).url()).pathname).toBe("/api/batches/1/photos");
  });
});
