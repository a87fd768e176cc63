import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import jsqr from "jsqr";
import { PNG } from "pngjs";
import { expect, onTestFinished, test } from "vitest";
import { wetCautions } from "../../src/bag/thickest.ts";
import { cautionsOf } from "../../src/food/caution.ts";
import { loadFoodTable } from "../../src/foodtable.ts";
import { flawInLabelAddress } from "../../src/http/places.ts";
import { numberScanned, scanOf } from "../../src/label/scan.ts";
import { labelTexts } from "../../src/label/texts.ts";
import { bagNumberIn } from "../../web/src/wedge.ts";
import { codePicture } from "../../src/label/code.ts";
import { labelContent, type LabelWords } from "../../src/label/content.ts";
import { drawLabels, type Fonts, type LabelsAsked } from "../../src/label/draw.ts";
import type { Bag, LabelStock } from "../../src/wire/bag.ts";
import { caution as redryCaution } from "../../src/service/redry.ts";
import { labelFields } from "../../src/wire/words.ts";
import { bag as practiceBag } from "../http/fake.ts";
import { aBag } from "../store/bags.ts";
import fc from "../rig/properties.ts";

const fontFolder = join(import.meta.dirname, "..", "..", "src", "label", "font");
const fonts: Fonts = {
  regular: readFileSync(join(fontFolder, "DejaVuSans.ttf")),
  bold: readFileSync(join(fontFolder, "DejaVuSans-Bold.ttf")),
};
const stocks: LabelStock[] = ["62x29", "4x6", "70x37"];
const made = new Date(Date.UTC(2026, 10, 25, 12));

const chicken: Bag = {
  ...practiceBag,
  code: "12-3",
  batchNumber: 12,
  practice: false,
  product: "Chicken, breast, raw",
  supplier: "Hill Farm",
  netGrams: 51,
  freshGrams: 453.59237,
  waterToAddGrams: 402.6,
  sealedGrossGrams: 63.2,
  cautions: [
    "Raw stays raw: cook before drying or after rehydrating, and mark it so. Freeze-drying does not kill microbes.",
  ],
  weighings: [{ ...practiceBag.weighings[0]!, kind: "filled" }],
};

type Wanted = Partial<Omit<LabelWords, "dayOf">>;
const contentOf = (bag: Bag, wanted: Wanted = {}) =>
  labelContent(bag, {
    fields: labelFields,
    language: "en",
    origin: null,
    head: null,
    dayOf: (iso) => iso.slice(0, 10),
    ...wanted,
  });

/** The label as a file, read by programs of others. */
const printed = (bag: Bag, stock: LabelStock, wanted?: Wanted) =>
  filed({ contents: [contentOf(bag, wanted)], stock, skip: 0 });

async function filed(labels: LabelsAsked) {
  const folder = mkdtempSync(join(tmpdir(), "label-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  const file = join(folder, "label.pdf");
  writeFileSync(file, await drawLabels(labels, fonts, made));
  const run = (command: string, ...args: string[]): string => {
    const done = spawnSync(command, args, { encoding: "utf8", cwd: folder });
    if (done.status !== 0) throw new Error(`${command}: ${done.stderr}`);
    return done.stdout;
  };
  return {
    get info(): string {
      return run("pdfinfo", "-isodates", file);
    },
    get text(): string {
      return run("pdftotext", "-raw", file, "-");
    },
    get boxes(): string {
      return run("pdftotext", "-bbox", file, "-");
    },
    picture: (): PNG => {
      run("pdftoppm", "-r", "203", "-png", "-singlefile", file, "picture");
      return PNG.sync.read(readFileSync(join(folder, "picture.png")));
    },
    /** Black and white alone, as a label printer burns it. */
    burnt: (dotsPerInch: number): PNG => {
      run("pdftoppm", "-r", `${dotsPerInch}`, "-mono", "-png", "-singlefile", file, "burnt");
      return PNG.sync.read(readFileSync(join(folder, "burnt.png")));
    },
  };
}

/** Without spaces, and without what poppler puts around words that run from right to left. */
const flat = (text: string): string => text.replaceAll(/[\s\u00a0\u202A-\u202E]+/g, "");

// Millimetres and inches are exact: 1 in = 25.4 mm = 72 pt.
test.each([
  ["62x29", (62 / 25.4) * 72, (29 / 25.4) * 72],
  ["70x37", (70 / 25.4) * 72, (37 / 25.4) * 72],
  ["4x6", 288, 432],
] as const)("%s is one page of exactly its size, dated as asked", async (stock, width, height) => {
  const { info } = await printed(chicken, stock);
  expect(info).toMatch(/Pages:\s+1\n/);
  const size = /Page size:\s+([\d.]+) x ([\d.]+) pts/.exec(info);
  expect(Number(size?.[1])).toBeCloseTo(width, 2);
  expect(Number(size?.[2])).toBeCloseTo(height, 2);
  expect(info).toMatch(/CreationDate:\s+2026-11-25T12:00:00Z/);
});

test.each(stocks)("%s: everything can be read back", async (stock) => {
  const { text } = await printed(chicken, stock);
  const read = flat(text);
  for (const said of [
    "Chicken, breast, raw",
    "Batch 12, bag 12-3",
    "From: Hill Farm",
    "Prepared: raw, went in frozen",
    "started 2026-01-31, dried 2026-01-31, sealed 2026-01-31",
    "Net dry 51.0 g, from 453.6 g fresh (1 lb 0.0 oz)",
    "Gross sealed 63.2 g",
    "Oxygen absorbers: 1 × 300 cc",
    "To rehydrate: up to 403 g (mL) of water",
    "Raw stays raw",
    "Not a legal food label",
  ])
    expect(read).toContain(flat(said));
  expect(read).not.toContain("PRACTICE");
});

test.each(stocks)(
  "%s: a practice bag says that it is not food, to the eye and to a scanner",
  async (stock) => {
    const label = await printed(practiceBag, stock);
    expect(flat(label.text)).toContain(flat("PRACTICE: this is not food"));
    expect(decoded(label.picture())).toBe("PRACTICE-3-1");
  },
);

const decoded = ({ data, width, height }: PNG): string | undefined =>
  jsqr(new Uint8ClampedArray(data), width, height)?.data;

test.each(stocks)("%s: the code is read from a print at 203 dots to the inch", async (stock) => {
  expect(decoded((await printed(chicken, stock)).picture())).toBe("12-3");
});

/** As long as an address for labels may be. */
const longOrigin = "https://the-scale-in-our-kitchen.home-network.test";

test.each(stocks)(
  "%s: where a lasting name was given, the code opens that bag's page, and a number stands beside it",
  async (stock) => {
    for (const origin of ["http://scale.lan:4680", longOrigin]) {
      expect(flawInLabelAddress(origin)).toBeNull();
      const label = await printed({ ...chicken, code: "12345-678" }, stock, { origin });
      expect(decoded(label.picture())).toBe(`${origin}/#/shelf/12345-678`);
      expect(flat(label.text)).toContain("12345-678");
      expect(label.text).not.toContain("http");
      expectInside(label.boxes);
    }
  },
);

/** Lengths of the dark and the white runs of one line of dots that lie between two dark ones. */
function runsIn({ data, width }: PNG, line: number, from: number): number[] {
  const runs: number[] = [];
  let dark = false;
  for (let x = from; x < width; x++) {
    const isDark = data[(line * width + x) * 4]! < 128;
    if (isDark === dark) runs.push((runs.pop() ?? 0) + 1);
    else {
      runs.push(1);
      dark = isDark;
    }
  }
  return runs.slice(1, -1);
}

// A program that turns pages into dots may paint every dot that a shape touches (Adobe's PDF Reference 1.7, 6.5.4): a
// bar that lies between the dots, or ends just on one, comes out a dot wider, and the white beside it narrower.
test.each(stocks)(
  "%s: burnt at 203 dots to the inch, every module of the code is whole dots, and it is read; so it is at 300",
  async (stock) => {
    for (const origin of [null, "http://scale.lan:4680", longOrigin]) {
      const label = await printed({ ...chicken, code: "12345-678" }, stock, { origin });
      const burnt = label.burnt(203);
      const found = jsqr(new Uint8ClampedArray(burnt.data), burnt.width, burnt.height)?.location;
      const { x, y } = found!.topLeftCorner;
      const code = Array.from(
        { length: Math.round(found!.bottomLeftCorner.y - y) - 4 },
        (_, line) => runsIn(burnt, Math.round(y) + 2 + line, Math.round(x) - 4),
      );
      // The finder in the corner is seven modules wide (ISO/IEC 18004).
      const dots = code[0]![0]! / 7;
      expect(Number.isInteger(dots) && dots >= 3).toBe(true);
      const runs = code.flat();
      expect(runs.length).toBeGreaterThan(21 * dots * 5);
      expect(runs.filter((run) => run % dots !== 0)).toEqual([]);
      for (const picture of [burnt, label.burnt(300)])
        expect(decoded(picture)).toBe(scanOf("12345-678", origin));
    }
  },
);

const fish: Bag = {
  ...chicken,
  code: "7-2",
  product: "Süßkartoffel-Fischtopf",
  supplier: "Müller & Söhne, Öhringen",
  prepared: "cooked",
  although: "Kommt in die Tiefkühltruhe",
  cautions: [
    ...chicken.cautions,
    "17 % fat: it dries slowly, and fat turns rancid in store.",
    "von Hand geschrieben",
  ],
};

test.each(stocks)("%s: in German, umlauts and all, read back from the file", async (stock) => {
  const { text, boxes } = await printed(fish, stock, { language: "de", head: "0123456789abcdef" });
  const read = flat(text);
  for (const said of [
    "Süßkartoffel-Fischtopf",
    "Charge 12, Beutel 7-2",
    "Von: Müller & Söhne, Öhringen",
    "Vorbereitung: gegart, gefroren eingelegt",
    "Gefriergetrocknet: begonnen 2026-01-31",
    "Trocken netto 51,0 g, aus 453,6 g frisch",
    "Brutto verschlossen 63,2 g",
    "Sauerstoffabsorber: 1 × 300 cc",
    "Zum Quellen: bis zu 403 g (ml) Wasser",
    "Roh bleibt roh: vor dem Trocknen oder nach dem Quellen garen",
    "17 % Fett: trocknet langsam",
    "von Hand geschrieben",
    "Verpackt, bevor es nachweislich trocken war: Kommt in die Tiefkühltruhe",
    "Kein lebensmittelrechtliches Etikett. Aufzeichnung 0123456789ab",
  ])
    expect(read).toContain(flat(said));
  for (const english of ["Batch", "Net dry", "Raw stays", "fat:", "legal"])
    expect(read).not.toContain(flat(english));
  expectInside(boxes);
  const practice = await printed(practiceBag, stock, { language: "de" });
  expect(flat(practice.text)).toContain(flat("ÜBUNG: das ist kein Lebensmittel"));
});

test.each([
  ["Strawberries, raw", "Erdbeeren, roh"],
  [
    "Strawberries, raw + Milk, whole, 3.25% milkfat, with added vitamin D",
    "Erdbeeren, roh + Vollmilch",
  ],
  [
    "Strawberries, raw (bag 7-2, dried before)",
    "Erdbeeren, roh (Beutel 7-2, schon einmal getrocknet)",
  ],
  ["Practice sweet corn", "Übung: Zuckermais"],
  ["Grandma's stew, raw + strawberries, raw", "Grandma's stew, raw + strawberries, raw"],
])("a food of the table has its German name on a German label: %s", (product, german) => {
  expect(contentOf({ ...chicken, product }, { language: "de" }).title).toBe(german);
  expect(contentOf({ ...chicken, product }).title).toBe(product);
});

test.each([
  ["Strawberries 🍓 soup 👩‍🍳", "Strawberries soup", false],
  ["草莓 jam", "jam", true],
  ["ต้มยำกุ้ง", "", true],
  ["Su\u0308ßkartoffel, Cre\u0300me bru\u0302le\u0301e", "Süßkartoffel, Crème brûlée", false],
  ["Борщ, Φέτα με ελιές, İçli köfte, Żurek", "Борщ, Φέτα με ελιές, İçli köfte, Żurek", false],
  ["ܐܒܓ שלום ދިވެ", "שלום", true],
  ["Soup\tof\nthe\u0007 day\u200b", "Soup of the day", false],
] as const)("letters that the print has no form for: %s", async (product, read, isSaid) => {
  for (const [language, said] of [
    ["en", "Letters are missing here: see the bag's page."],
    ["de", "Hier fehlen Buchstaben: siehe die Seite des Beutels."],
  ] as const) {
    const label = await printed({ ...chicken, product }, "62x29", { language });
    const { text, boxes } = label;
    expect(flat(text.slice(0, text.indexOf(language === "en" ? "Batch" : "Charge")))).toBe(
      flat(`12-3${read}`),
    );
    expect(flat(text).includes(flat(said))).toBe(isSaid);
    expectInside(boxes);
    // No box stands in the place of a letter: to the last dot the print of what is left.
    const plain = await printed({ ...chicken, product: read }, "62x29", { language });
    if (!isSaid) expect(label.picture().data.equals(plain.picture().data)).toBe(true);
  }
});

/**
 * Each word of the print, where it begins and ends, and its letters from left to right, as another program finds them;
 * here in the order in which they are read.
 */
const wordsAt = (boxes: string) =>
  [...boxes.matchAll(/xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)"[^>]*>([^<]*)</g)].map(
    ([, left, top, right, word]) => ({
      left: Number(left),
      top: Number(top),
      right: Number(right),
      word: /\p{Script=Hebrew}|\p{Letter}(?<=\p{Script=Arabic})/u.test(word ?? "")
        ? Array.from(word ?? "")
            .reverse()
            .join("")
        : (word ?? ""),
    }),
  );

test.each([
  { product: "מרק עוף ביתי", seen: ["ביתי", "עוף", "מרק"] },
  { product: "مرق دجاج بالخضار", seen: ["بالخضار", "دجاج", "مرق"] },
  { product: "עוף batch 12 · 250 g", seen: ["batch", "12", "·", "250", "g", "עוף"] },
  { product: "مرق ١٢٫٥ كغ", seen: ["كغ", "١٢٫٥", "مرق"] },
  { product: "Hummus חומוס ביתי 3", seen: ["Hummus", "3", "ביתי", "חומוס"] },
])(
  "$product: its words stand on the label in the order in which they are read",
  async ({ product, seen }) => {
    const { boxes, text } = await printed({ ...chicken, product }, "62x29");
    expect(text).not.toContain("Letters are missing");
    const words = wordsAt(boxes).filter(({ word }) => seen.includes(word));
    const [first] = words;
    const line = words.filter(({ top }) => Math.abs(top - (first?.top ?? 0)) < 4);
    expect(line.toSorted((a, b) => a.left - b.left).map(({ word }) => word)).toEqual(seen);
  },
);

test("a name that runs from right to left begins at the right edge of its column, and leaves our words and figures as they are", async () => {
  const supplier = "משק הגבעה, 052-1234567";
  const label = await printed({ ...chicken, product: "מרק עוף", supplier }, "62x29");
  const words = wordsAt(label.boxes);
  const at = (word: string) => words.find((one) => one.word === word);
  // The code takes the right of the label, and its white margin is the edge.
  expect(at("מרק")!.right).toBeGreaterThan(at("Batch")!.left + 60);
  expect(at("From:")!.right).toBeLessThan(at("052-1234567")!.left);
  expect(at("052-1234567")!.right).toBeLessThan(at("הגבעה,")!.left);
  expect(at("הגבעה,")!.right).toBeLessThan(at("משק")!.left);
  expect(flat(label.text)).toContain(flat("Net dry 51.0 g, from 453.6 g fresh"));
});

// Letters of Arabic have up to four forms (Unicode, chapter 9.2); the forms by themselves stand at U+FE70 and on.
test("letters of Arabic are joined: they are the forms that Unicode has for them", async () => {
  const joined = await printed({ ...chicken, product: "سلام بيت" }, "4x6");
  const forms = await printed(
    { ...chicken, product: "\uFEB3\uFEFC\uFEE1 \uFE91\uFEF4\uFE96" },
    "4x6",
  );
  const apart = await printed(
    { ...chicken, product: "س\u200Cل\u200Cا\u200Cم ب\u200Cي\u200Cت" },
    "4x6",
  );
  expect(joined.picture().data.equals(forms.picture().data)).toBe(true);
  expect(joined.picture().data.equals(apart.picture().data)).toBe(false);
});

test("the names of several foods on one label do not change places", async () => {
  const product = "דג + Rice, 2 kg + גזר";
  const { boxes } = await printed({ ...chicken, product }, "62x29");
  const seen = ["דג", "Rice,", "2", "kg", "גזר"];
  const words = wordsAt(boxes).filter(({ word }) => seen.includes(word));
  expect(words.toSorted((a, b) => a.left - b.left).map(({ word }) => word)).toEqual(seen);
});

test("every caution that the table of foods can bring has its German words", () => {
  const foods = loadFoodTable();
  const texts = new Set(foods.flatMap((food) => cautionsOf(food).map(({ text }) => text)));
  expect(texts.size).toBeGreaterThan(30);
  texts.add(redryCaution);
  const wet = (name: string, finding: "cold" | "soft") => {
    const bag = aBag(1);
    const parts = bag.parts.map((part) => ({ ...part, name }));
    return wetCautions({ ...bag, parts, coresSince: [{ trayId: 1, finding, at: bag.plannedAt }] });
  };
  for (const name of ["3", "Upper left"])
    for (const finding of ["cold", "soft"] as const)
      for (const text of wet(name, finding)) texts.add(text);
  expect(wet("3", "soft").map((text) => labelTexts.de.caution(text))).toEqual([
    "Später auf Blech 3 gefunden: das dickste Stück war innen weich.",
  ]);
  for (const text of texts) expect(labelTexts.de.caution(text)).not.toBe(text);
});

test("a scanned number is the same with and without the address; of anything else there is none", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 999_999_999 }),
      fc.integer({ min: 1, max: 999_999 }),
      fc.constantFrom("", "PRACTICE-"),
      fc.constantFrom(null, "http://scale.lan:4680", longOrigin),
      (batch, bag, mark, origin) => {
        const code = `${mark}${batch}-${bag}`;
        expect(numberScanned(scanOf(code, origin))).toBe(code);
        expect(bagNumberIn(scanOf(code, origin))).toBe(code);
      },
    ),
  );
  for (const other of ["https://example.org/12-3", "http://a/#/shelf/", "12", "x12-3"])
    expect([numberScanned(other), bagNumberIn(other)]).toEqual([null, null]);
});

const long: Bag = {
  ...chicken,
  product: "Boeuf bourguignon with pearl onions, chestnut mushrooms, carrots and smoked bac",
  supplier: "The cooperative of small farms of the upper valley, stall 14, Saturday market, "
    .repeat(2)
    .slice(0, 120),
  although:
    "It is for tonight's soup and will not be stored at all, so that a little more moisture does no harm. "
      .repeat(5)
      .slice(0, 500),
  cautions: [
    ...chicken.cautions,
    "Fat does not dry and turns rancid in store: trim it or choose lean pieces.",
  ],
};

test.each(stocks)("%s: long texts wrap and shrink, and not a letter is cut off", async (stock) => {
  const { text, boxes, info } = await printed(long, stock);
  expect(info).toMatch(/Pages:\s+1\n/);
  const { title, lines, cautions, footer } = contentOf(long);
  for (const said of [title, ...lines, ...cautions, footer])
    expect(flat(text)).toContain(flat(said));
  expect(expectInside(boxes)).toBeGreaterThan(60);
});

/** No word reaches over the edge of its page; gives how many words there are. */
function expectInside(boxes: string): number {
  const page = /<page width="([\d.]+)" height="([\d.]+)"/.exec(boxes);
  const words = [
    ...boxes.matchAll(/xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)"/g),
  ];
  expect(words.length).toBeGreaterThan(10);
  for (const [, left, top, right, bottom] of words.map((found) => found.map(Number))) {
    expect(left).toBeGreaterThanOrEqual(0);
    expect(top).toBeGreaterThanOrEqual(0);
    expect(right).toBeLessThanOrEqual(Number(page?.[1]));
    expect(bottom).toBeLessThanOrEqual(Number(page?.[2]));
  }
  return words.length;
}

test("a word without a gap, longer than the label is wide, wraps as well", async () => {
  const name = "Rindfleischetikettierungsueberwachungsaufgabenuebertragungsgesetzsuppenkoenig";
  const { text } = await printed({ ...chicken, product: name }, "62x29");
  expect(flat(text)).toContain(name);
});

test.each(stocks)("%s: a long word of a name is shrunk and not broken", async (stock) => {
  const product = "Hähnchenbrustfilets, roh";
  const { boxes } = await printed({ ...chicken, product }, stock);
  expect(boxes).toContain(">Hähnchenbrustfilets,</word>");
});

test("what is not weighed yet is said so", () => {
  const { lines } = contentOf({
    ...chicken,
    netGrams: null,
    sealedGrossGrams: null,
    absorbers: null,
  });
  expect(lines.join("\n")).toMatch(/Net dry not weighed yet[\s\S]*Gross sealed not weighed yet/);
  expect(lines).toContain("No oxygen absorber");
});

test.each([
  { language: "en", said: "No record: not weighed yet." },
  { language: "de", said: "Keine Aufzeichnung: noch nicht gewogen." },
] as const)(
  "no place in the record is named before there is one, $language",
  ({ language, said }) => {
    // What the chain ends with while it is empty, and once other bags were weighed.
    for (const head of ["0".repeat(64), "0123456789abcdef".repeat(4)]) {
      const { footer } = contentOf({ ...chicken, netGrams: null }, { language, head });
      expect(footer).toContain(said);
      expect(footer).not.toContain(head.slice(0, 12));
      expect(contentOf(chicken, { language, head }).footer).toContain(head.slice(0, 12));
    }
    expect(contentOf({ ...chicken, netGrams: null }, { language }).footer).not.toContain(said);
  },
);

test("no finer than the scale that filled the bag", () => {
  const filled = { ...practiceBag.weighings[0]!, kind: "filled" as const, divisionGrams: 1 };
  expect(contentOf({ ...chicken, weighings: [filled] }).lines.join()).toContain(
    "Net dry 51\u00a0g",
  );
});

test("what a person leaves out is left out; number, product, net and cautions always stand there", async () => {
  const { text } = await printed(chicken, "62x29", { fields: ["gross"] });
  const read = flat(text);
  for (const said of [
    "12-3",
    "Chicken",
    "Net dry 51.0 g",
    "Gross sealed",
    "Raw stays raw",
    "Not a legal",
  ])
    expect(read).toContain(flat(said));
  for (const said of ["Hill Farm", "Prepared", "started", "fresh", "absorber", "rehydrate:"])
    expect(read).not.toContain(flat(said));
});

test.each(["62x29", "4x6"] as const)(
  "%s without a code: the number alone, large",
  async (stock) => {
    const fields = labelFields.filter((field) => field !== "code");
    const label = await printed(long, stock, { fields });
    expect(decoded(label.picture())).toBeUndefined();
    expect(flat(label.text)).toContain("12-3");
  },
);

test("several bags are a page each", async () => {
  const contents = [chicken, practiceBag].map((one) => contentOf(one));
  const { info, text } = await filed({ contents, stock: "62x29", skip: 0 });
  expect(info).toMatch(/Pages:\s+2\n/);
  expect(flat(text)).toContain("PRACTICE-3-1");
});

/** A piece of a picture in which one label of the sheet lies. */
function labelAt(sheet: PNG, column: number, row: number): PNG {
  const [width, height] = [Math.floor(sheet.width / 3), Math.floor(sheet.height / 8)];
  const piece = new PNG({ width, height });
  PNG.bitblt(sheet, piece, column * width, row * height, width, height);
  return piece;
}

test("a sheet has 24 labels of A4, begins where the person says, and each code is read in its place", async () => {
  const contents = Array.from({ length: 26 }, (_, index) =>
    contentOf({ ...long, code: `12-${index + 1}` }),
  );
  const { info, boxes, picture } = await filed({ contents, stock: "70x37-sheet", skip: 2 });
  expect(info).toMatch(/Pages:\s+2\n/);
  expect(info).toMatch(/Page size:\s+595\.2\d+ x 841.89 pts \(A4\)/);
  const sheet = picture();
  expect(decoded(labelAt(sheet, 0, 0))).toBeUndefined();
  expect(decoded(labelAt(sheet, 2, 0))).toBe("12-1");
  expect(decoded(labelAt(sheet, 0, 1))).toBe("12-2");
  expect(decoded(labelAt(sheet, 2, 7))).toBe("12-22");
  // No word crosses from one label into the next.
  const [first = ""] = boxes.split("</page>");
  const wordsOfFirst = [
    ...first.matchAll(/xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)"/g),
  ];
  expect(wordsOfFirst.length).toBeGreaterThan(500);
  const across = 595.28 / 3;
  const down = (37 / 25.4) * 72;
  for (const [, left = 0, top = 0, right = 0, bottom = 0] of wordsOfFirst.map((found) =>
    found.map(Number),
  )) {
    expect(Math.floor(left / across)).toBe(Math.floor((right - 0.01) / across));
    const above = (0.5 / 25.4) * 72;
    expect(Math.floor((top - above) / down)).toBe(Math.floor((bottom - above - 0.01) / down));
  }
});

test("the code as a picture for a page is read by a library", () => {
  const svg = codePicture("12-3");
  const size = Number(/viewBox="0 0 (\d+) /.exec(svg)?.[1]);
  const scale = 4;
  const picture = new Uint8ClampedArray(size * size * scale * scale * 4).fill(255);
  for (const [, column, row] of svg.matchAll(/M(\d+) (\d+)h/g))
    for (let y = 0; y < scale; y++)
      for (let x = 0; x < scale; x++)
        picture.fill(
          0,
          ((Number(row) * scale + y) * size * scale + Number(column) * scale + x) * 4,
          ((Number(row) * scale + y) * size * scale + Number(column) * scale + x) * 4 + 3,
        );
  expect(jsqr(picture, size * scale, size * scale)?.data).toBe("12-3");
});
