// From load plan to shelf as a person does it: a scale on a serial line, a page in Chromium, a scanner that types.
// The masses are invented.
import { spawnSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import jsqr from "jsqr";
import { PNG } from "pngjs";
import { expect, test } from "vitest";
import type { Bag, BagLine, StockLine } from "../../src/wire/bag.ts";
import type { Batch } from "../../src/wire/batch.ts";
import type { Bench } from "../../src/wire/bench.ts";
import type { Yields } from "../../src/wire/yield.ts";
import { en } from "../../web/src/texts/en.ts";
import { enBags } from "../../web/src/texts/en-bags.ts";
import { atScale, onPage } from "./atscale.ts";
import { eventually, recordIn } from "./service.ts";

/** Nearly seven hours a second: the second day after sealing comes within eight, the seventh 18 s later. */
const at = atScale({ timeFactor: 24_000 });
const on = onPage();

const taken = (): number => at.live.of("weighing").length;
const lastWeighing = () => at.live.of("weighing").at(-1)?.weighing;
const pourNow = () => at.live.of("bench").at(-1)?.bench.tasks[0]?.pour ?? null;
async function put(gross: number): Promise<void> {
  const before = taken();
  at.pan.place(gross);
  await at.live.until(`${gross} g to be taken`, () => taken() > before);
}
const emptyPan = (): Promise<Bench> =>
  eventually(
    "an empty pan",
    () => at.service.bench(),
    ({ scales, tasks }) =>
      Math.abs(scales[0]?.grams ?? 1) < 0.3 &&
      scales[0]?.settled === true &&
      tasks[0]?.bag?.needsLift !== true,
  );
async function clear(): Promise<void> {
  at.pan.lift();
  await emptyPan();
}
async function choose(choice: object): Promise<void> {
  const [scale] = (await at.service.bench()).scales;
  await at.service.post(`/api/scales/${encodeURIComponent(scale?.id ?? "")}/task`, choice);
}
async function dryUntil(batch: number, hours: number): Promise<void> {
  await at.service.post(`/api/batches/${batch}/clock`, { is: "in" });
  await eventually(
    `${hours} drying hours`,
    () => at.service.batch(batch),
    ({ clock }) => clock.dryingHours >= hours,
  );
  await at.service.post(`/api/batches/${batch}/clock`, { is: "out" });
}

test("two foods on a tray and a bag dried again go through dryer, bags and labels onto the shelf, where one bag gains", async () => {
  const old = await damp();
  const batch = await load(old);
  await dry(batch);
  await pack();
  const scanned = await label();
  await onShelf(scanned);
  expect(on.complaints).toEqual([]);
}, 300_000);

/** A bag of an earlier batch, typed: 50 g dry, sealed at 60 g. */
async function damp(): Promise<Bag> {
  const { service } = at;
  const batch = await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    number: 41,
    trays: [{ name: "Old", tareGrams: 400, food: "Strawberries, raw" }],
  });
  const tray = batch.trays[0]?.id;
  await service.post("/api/weighings", { tray, kind: "fresh", value: 900 });
  await dryUntil(batch.id, 5);
  await service.post("/api/weighings", { tray, kind: "dry", value: 450 });
  const asked = {
    trays: [{ tray }],
    divide: { count: 1 },
    container: "soft",
    volumeMl: 946,
    tareGrams: 8,
    absorbers: { count: 1, cc: 300 },
  };
  const refused = await service.ask("POST", `/api/batches/${batch.id}/bags`, asked);
  expect(refused.body).toMatchObject({ type: "/problems/tray.not-dry", status: 409 });
  const [bag] = await service.post<Bag[]>(`/api/batches/${batch.id}/bags`, {
    ...asked,
    although: "a test",
  });
  const weigh = (kind: string, value: number) =>
    service.ask("POST", `/api/bags/${bag?.id}/weighings`, { kind, value });
  expect(await weigh("filled", 58)).toMatchObject({ status: 200 });
  expect((await weigh("sealed", 600)).body).toMatchObject({
    type: "/problems/weighing.impossible",
    detail: "That is more than a closed bag PRACTICE-41-1 can weigh",
  });
  expect(await weigh("sealed", 60)).toMatchObject({ status: 200 });
  await service.post(`/api/batches/${batch.id}/end`, {});
  return service.get<Bag>(`/api/bags/${bag?.id}`);
}

async function load(old: Bag): Promise<Batch> {
  expect(old).toMatchObject({ code: "PRACTICE-41-1", although: "a test", practice: true });
  const toDry = async () =>
    (await at.service.get<BagLine[]>("/api/bags?state=to-dry")).map(({ id }) => id);
  expect(await toDry()).toEqual([]);
  await at.service.ask("PATCH", `/api/bags/${old.id}`, { fate: "re-dry" });
  expect(await toDry()).toEqual([old.id]);
  const batch = await at.service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [
      {
        name: "North",
        portions: [
          { food: "Strawberries, raw", targetGrams: 600 },
          { food: "Bananas, raw", targetGrams: 400 },
        ],
      },
      { name: "South", tareGrams: 380, portions: [{ bag: old.code, targetGrams: 51 }] },
    ],
  });
  expect(batch.number).toBe(42);
  expect(await toDry()).toEqual([]);
  expect(await at.service.get<Bag>(`/api/bags/${old.id}`)).toMatchObject({
    state: "re-dry",
    redriedIn: { batch: batch.id, batchNumber: 42, tray: "South" },
  });
  const [north, south] = batch.trays;
  expect(south?.portions[0]).toMatchObject({ fromBag: old.id });

  // The empty tray, the first food short of its goal and then at it, the scale's tare key, and the second food.
  await put(412.3);
  expect(lastWeighing()).toMatchObject({ kind: "tare", tray: north?.id });
  const before = taken();
  at.pan.place(412.3 + 250);
  await at.live.until("the first food to rest short", () => (pourNow()?.load ?? null) !== null);
  expect(pourNow()).toMatchObject({ portion: 1, targetGrams: 600, hiddenGrams: 0 });
  expect(taken()).toBe(before);
  await put(412.3 + 603.2);
  expect(lastWeighing()).toMatchObject({ kind: "fresh", portion: 1 });
  at.pan.tare();
  await at.live.until("the tare key to be noticed", () => (pourNow()?.hiddenGrams ?? 0) > 1000);
  await put(412.3 + 603.2 + 396.7);
  expect(lastWeighing()).toMatchObject({ kind: "fresh", portion: 2 });
  expect(lastWeighing()?.grossGrams).toBeCloseTo(1412.2, 0);
  await at.lift();
  at.pan.tare();
  await emptyPan();
  await put(380 + 51.4);
  expect(lastWeighing()).toMatchObject({ tray: south?.id, portion: 1 });
  await at.lift();

  const loaded = await at.service.batch(batch.id);
  expect(loaded.trays.map(({ freshGrams }) => Math.round((freshGrams ?? 0) * 10) / 10)).toEqual([
    999.9, 51.4,
  ]);
  const poured = loaded.trays[0]?.portions.map(({ freshGrams }) => freshGrams ?? 0) ?? [];
  expect(poured[0]).toBeCloseTo(603.2, 0);
  expect(poured[1]).toBeCloseTo(396.7, 0);
  return batch;
}

async function dry(batch: Batch): Promise<void> {
  const [north, south] = batch.trays;
  // 603.2 g of strawberries and 396.7 g of bananas hold 54.6 and 99.5 g of solids (USDA SR28); 2 % of water stay.
  const end = 157.2;
  const netAt = [
    [8, 430, 49.6],
    [40, end + 0.6, 48.9],
    [72, end, 48.8],
  ] as const;
  for (const [hour, inNorth, inSouth] of netAt) {
    await dryUntil(batch.id, hour);
    for (const [tray, gross] of [
      [north?.id, 412.3 + inNorth],
      [south?.id, 380 + inSouth],
    ] as const) {
      await choose({ tray });
      await put(gross);
      await at.lift();
    }
  }
  const dried = await at.service.batch(batch.id);
  expect(dried.trays.map(({ verdict }) => verdict?.verdict)).toEqual(["stable", "stable"]);

  const yields = await at.service.get<Yields>(`/api/batches/${batch.id}/yields`);
  const portions = yields.trays[0]?.portions.map((one) => one.yield) ?? [];
  expect(portions.map((one) => one?.isEstimate)).toEqual([true, true]);
  const shared = portions.reduce((sum, one) => sum + (one?.dryGrams ?? 0), 0);
  expect(shared).toBeCloseTo(yields.trays[0]?.yield?.dryGrams ?? 0, 1);
  expect(yields.batch?.freshGrams).toBeCloseTo(1051.3, 0);

  // One food weighed alone keeps that mass, and the other is what remains.
  await choose({ tray: north?.id, kind: "dry", portion: 1 });
  await put(412.3 + 57.5);
  await at.lift();
  const apart = (await at.service.batch(batch.id)).trays[0]?.portions ?? [];
  expect(apart[0]).toMatchObject({ dryIsEstimate: false });
  expect(apart[0]?.dryGrams).toBeCloseTo(57.5, 0);
}

const codes = ["PRACTICE-42-1", "PRACTICE-42-2"] as const;
const heading = (text: string) =>
  on.page.getByRole("heading", { name: text, exact: true }).waitFor();
const lines = async (): Promise<BagLine[]> =>
  (await at.service.get<BagLine[]>("/api/bags?state=all")).filter(({ code }) =>
    codes.some((one) => one === code),
  );
async function until(code: string, state: BagLine["state"]): Promise<void> {
  await eventually(
    `${code} ${state}`,
    async () => (await lines()).find((one) => one.code === code)?.state,
    (now) => now === state,
  );
}

/** 157.2 g dry of 999.9 g fresh, by half a kilogram fresh for a bag: two bags of 78.6 g. */
async function pack(): Promise<void> {
  const { page } = on;
  await page.goto(`${at.service.url}/#/pack`);
  await page.getByRole("main").getByRole("link").first().click();
  // The first food alone is offered; these two are packed as they lay on the tray.
  await page.getByRole("checkbox", { name: /Bananas/ }).check();
  await page.getByLabel(enBags.pack.byFresh).check();
  await page.getByLabel(enBags.pack.fresh("g")).fill("500");
  // By the last tenth of the fresh mass both bags show the same figure, or one a tenth more.
  const half = String.raw`(?:499\.[89]|500\.[01])\sg`;
  const each = new RegExp(String.raw`^2 bags of 78.6\sg, each ${half}(?: to ${half})? when fresh$`);
  await page.getByText(each).waitFor();
  // The bag used last was 8 g empty: these are weighed.
  await page.getByText(enBags.pack.anotherPackage).click();
  await page.getByLabel(enBags.pack.tare("g")).fill("");
  await on.press(enBags.pack.start(2));
  // Stable, but nobody broke its thickest piece.
  await page.getByText(enBags.pack.ask.title).waitFor();
  await on.press(enBags.pack.ask.reasons[2] ?? "");

  const net = 78.5;
  for (const code of codes) {
    await heading(enBags.pack.at.tare(code));
    at.pan.place(8.2);
    await heading(enBags.pack.at.pour(code));
    at.pan.place(8.2 + 30);
    await page
      .locator(".digits")
      .getByText(/^48\.\d$/)
      .waitFor();
    at.pan.place(8.2 + net);
    await until(code, "filled");
    // Taken back with one touch, and taken again by the person's word.
    if (code === codes[0]) {
      await on.press(en.weigh.undo);
      await until(code, "planned");
      await on.press(enBags.pack.at.asItIs);
      await until(code, "filled");
    }
    await clear();
  }
  for (const code of codes) {
    await heading(enBags.pack.at.seal(code));
    await page.getByText(enBags.absorbers(1, "300")).waitFor();
    at.pan.place(91.4);
    await until(code, "sealed");
    await clear();
  }
  await page.getByRole("link", { name: enBags.labels.file }).waitFor();
  const [id] = (await lines()).filter(({ code }) => code === codes[0]).map((one) => one.id);
  const bag = await at.service.get<Bag>(`/api/bags/${id}`);
  expect(bag.although).toBe(enBags.pack.ask.reasons[2]);
  expect(bag.netGrams).toBeCloseTo(net, 0);
  expect(bag.sealedGrossGrams).toBeCloseTo(91.4, 0);
}

/** The labels, as the page links to them, read by programs of others. Gives what their code says to a scanner. */
async function label(): Promise<string> {
  const address = await on.page
    .getByRole("link", { name: enBags.labels.file })
    .getAttribute("href");
  const labels = await fetch(new URL(address ?? "", at.service.url));
  expect(labels.headers.get("content-type")).toBe("application/pdf");
  const file = join(at.data, "labels.pdf");
  writeFileSync(file, Buffer.from(await labels.arrayBuffer()));
  const run = (command: string, ...args: string[]): string =>
    spawnSync(command, args, { encoding: "utf8" }).stdout;
  const read = run("pdftotext", "-raw", file, "-").replaceAll(/[\s\u00a0]+/g, " ");
  for (const said of [...codes, "It goes into the freezer", "1 lb", "PRACTICE", "91.4 g"])
    expect(read).toContain(said);

  const picture = join(at.data, "label");
  const dotsAnInch = 203;
  run("pdftoppm", "-r", String(dotsAnInch), "-png", "-f", "1", "-singlefile", file, picture);
  const drawn = PNG.sync.read(readFileSync(`${picture}.png`));
  // 62 mm x 29 mm, and nothing drawn at the edge, where it would be cut off.
  expect(drawn.width).toBe(Math.ceil((62 / 25.4) * dotsAnInch));
  expect(drawn.height).toBe(Math.ceil((29 / 25.4) * dotsAnInch));
  expect(inkAtEdge(drawn)).toBe(0);
  const scanned = jsqr(new Uint8ClampedArray(drawn.data), drawn.width, drawn.height)?.data;
  expect(scanned).toBe(codes[0]);
  return scanned ?? "";
}

function inkAtEdge({ data, width, height }: PNG): number {
  let ink = 0;
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      const isEdge = x === 0 || y === 0 || x === width - 1 || y === height - 1;
      if (isEdge && (data[(y * width + x) * 4] ?? 0) < 128) ink += 1;
    }
  return ink;
}

/** The label is scanned, the bag put on. The baseline is asked for from the second day to the seventh. */
async function onShelf(scanned: string): Promise<void> {
  const { page } = on;
  const { shelfWords } = en.bags;
  await page
    .getByRole("navigation", { name: en.nav.label })
    .getByRole("link", { name: en.nav.shelf, exact: true })
    .click();
  await page.getByLabel(enBags.shelf.number).waitFor();
  // Eight seconds after the last bag was sealed, whatever of them the steps since have taken.
  for (const code of [scanned, codes[1]]) {
    const isDue = (found: readonly BagLine[]): boolean =>
      found.some((bag) => bag.code === code && bag.weighAgain);
    await eventually(`the second day of ${code}`, lines, isDue);
    await weigh(code, 91.4, shelfWords["no-gain-seen"]);
  }
  for (const { id } of await lines()) {
    const { shelf } = await at.service.get<Bag>(`/api/bags/${id}`);
    expect(shelf?.baselineGrams).toBeCloseTo(91.4, 0);
  }

  await weigh(codes[1], 93.8, shelfWords.watch);
  await page.getByText(enBags.shelf.secondTime).waitFor();
  await weigh(codes[1], 93.8, shelfWords["gaining-moisture"]);
  await page.getByText(/^Gain: 2\.[3-6]\sg \((2\.9|3\.[012])\s%\) of the dry mass$/).waitFor();
  await weigh(codes[0], 91.4, shelfWords["no-gain-seen"]);

  await on.press(enBags.fates.used);
  await on.press(enBags.fates.used);
  await until(codes[0], "used");
  const stock = await at.service.get<StockLine[]>("/api/stock");
  expect(stock.flatMap(({ bags }) => bags.map(({ code }) => code))).toEqual([codes[1]]);
}

/** Scans a label, puts the bag on and reads the word. */
async function weigh(code: string, gross: number, word: string): Promise<void> {
  const { page } = on;
  await page
    .getByRole("link", { name: enBags.shelf.another })
    .or(page.getByLabel(enBags.shelf.number))
    .first()
    .waitFor();
  await page.keyboard.type(code);
  await page.keyboard.press("Enter");
  await heading(enBags.shelf.put(code));
  at.pan.place(gross);
  await page.locator(".verdict-word").getByText(word, { exact: true }).waitFor();
  await clear();
}

test("every verdict that was given follows from the weighings kept", () => {
  const { problems, verdicts } = recordIn(at.data);
  expect(problems).toEqual([]);
  expect(verdicts.older).toBe(0);
  expect(verdicts.checked).toBeGreaterThan(0);
});

test("labels asked for without end are refused before they cost memory, and the service goes on", async () => {
  const [bag] = await lines();
  const address = `${at.service.url}/api/bags/${bag?.id}/label.pdf?stock=62x29`;
  const asked = Array.from({ length: 40 }, () =>
    fetch(address).then(async (answer) => {
      await answer.arrayBuffer();
      return answer.status;
    }),
  );
  const statuses = await Promise.all(asked);
  expect(new Set(statuses)).toEqual(new Set([200, 503]));
  expect(statuses.filter((status) => status === 200).length).toBeGreaterThanOrEqual(20);
  expect((await fetch(address)).status).toBe(200);
});

test("bags are there again after the service was killed", async () => {
  const before = await lines();
  expect(before.map(({ state }) => state).toSorted()).toEqual(["sealed", "used"]);
  await at.killAndStart();
  expect(await lines()).toEqual(before);
});
