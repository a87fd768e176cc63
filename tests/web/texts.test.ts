import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { expect, test } from "vitest";
import { builtIn } from "../../.ci/build.mjs";
import { readRoute, writeRoute, type Route } from "../../web/src/route.ts";
import { retryAfterMs } from "../../web/src/link.ts";
import { askAgainAfterMs, refusalIn } from "../../web/src/ask.ts";
import { languageFor, languageNames, localeFor } from "../../web/src/texts.ts";
import { de as deFirst } from "../../web/src/texts/de.ts";
import { deBags } from "../../web/src/texts/de-bags.ts";
import { deKitchen } from "../../web/src/texts/de-kitchen.ts";
import { en as enFirst } from "../../web/src/texts/en.ts";
import { enBags } from "../../web/src/texts/en-bags.ts";
import { enKitchen } from "../../web/src/texts/en-kitchen.ts";

/** What comes with the first load and what comes with pages opened later: one catalogue in three parts. */
const en = { ...enFirst, ofBags: enBags, ofKitchen: enKitchen };
const de = { ...deFirst, ofBags: deBags, ofKitchen: deKitchen };

const web = join(import.meta.dirname, "../../web/src");
const built = join(builtIn(join(import.meta.dirname, "../..")), "web");

function filesIn(folder: string, ending: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(ending))
    .map((name) => join(folder, name));
}

/** Words between tags or in an attribute that a person reads. */
function literalsIn(source: string): string[] {
  const code = source.replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, "");
  const between = [...code.matchAll(/<\/?[a-zA-Z][^<>{}]*>\s*([A-Z]?[a-z]{2,}[^<>{}=;()]*)\s*</g)];
  const attributes = [
    ...code.matchAll(/(?:aria-label|title|alt|placeholder|label|hint)="([^"]+)"/g),
  ];
  return [...between, ...attributes].map((match) => match[1] ?? "");
}

test("no component says a word that is not in the catalogue", () => {
  const files = filesIn(web, ".tsx");
  expect(files.length).toBeGreaterThan(10);
  expect(files.flatMap((file) => literalsIn(readFileSync(file, "utf8")))).toEqual([]);
  expect(literalsIn("<p>Hello there</p>")).toEqual(["Hello there"]);
  expect(literalsIn('<button aria-label="Close">')).toEqual(["Close"]);
});

test("the page never calls food safe to eat", () => {
  const said =
    JSON.stringify(en) +
    readFileSync(join(web, "texts/en.ts"), "utf8") +
    readFileSync(join(web, "texts/en-kitchen.ts"), "utf8") +
    readFileSync(join(web, "texts/en-bags.ts"), "utf8");
  expect(said).not.toMatch(/safe(ly)? to (eat|store)|shelf.?stable|sterile|ready to eat/i);
  const cautions = en.batch.cautions.general.join(" ");
  for (const word of ["does not kill microbes", "raw", "Low-acid", "truly dry", "local food codes"])
    expect(cautions).toContain(word);
});

/** Every text with its way to it: a word, a sentence, or what makes one. */
function textsIn(catalogue: object, way = ""): readonly (readonly [string, unknown])[] {
  return Object.entries(catalogue).flatMap(([key, value]: [string, unknown]) =>
    typeof value === "object" && value !== null
      ? textsIn(value, `${way}.${key}`)
      : [[`${way}.${key}`, value] as const],
  );
}

test("both catalogues have the same keys, each with as many figures to put in", () => {
  const shape = (catalogue: typeof en) =>
    textsIn(catalogue)
      .map(([way, text]) => `${way} ${typeof text === "function" ? text.length : "plain"}`)
      .toSorted();
  expect(shape(de).length).toBeGreaterThan(300);
  expect(shape(de)).toEqual(shape(en));
});

test("no text was left in the other language", () => {
  const german = new Map(textsIn(de));
  const same = textsIn(en).filter(
    ([way, text]) => typeof text === "string" && /[a-z]{3}/i.test(text) && german.get(way) === text,
  );
  expect(same.map(([, text]) => String(text)).toSorted()).toEqual([
    "AOAC 935.29",
    "MQTT",
    "Name",
    "Name",
    "Name",
    "Name",
    "RILEM",
    "Stillweight",
    "Webhook",
  ]);
});

test("a function of one catalogue puts in the figures that the other does", () => {
  const english = new Map(textsIn(en));
  for (const [way, text] of textsIn(de)) {
    const other = english.get(way);
    if (typeof text !== "function" || typeof other !== "function") continue;
    const figures = Array.from({ length: text.length }, (_, index) => `⟨${index}⟩`);
    if (way.startsWith(".alerts.say")) continue;
    const held = (said: unknown): string[] => (String(said).match(/⟨\d⟩/g) ?? []).toSorted();
    expect([way, held(Reflect.apply(text, null, figures))]).toEqual([
      way,
      held(Reflect.apply(other, null, figures)),
    ]);
  }
});

test("the German page too never calls food safe to eat, and says what freeze-drying does not do", () => {
  const said =
    readFileSync(join(web, "texts/de.ts"), "utf8") +
    readFileSync(join(web, "texts/de-bags.ts"), "utf8");
  expect(said).not.toMatch(/unbedenklich|keimfrei|steril|sicher (zu|haltbar)|verzehrfertig/i);
  const cautions = de.batch.cautions.general.join(" ");
  for (const word of ["tötet keine Keime", "roh", "Säurearmes", "wirklich trocken", "vorschriften"])
    expect(cautions).toContain(word);
});

test("figures and dates go by the person's own country where the browser names it", () => {
  expect(languageFor(["de-AT", "en"])).toBe("de");
  expect(localeFor("de", ["en-US", "de-AT"])).toBe("de-AT");
  expect(localeFor("de", ["en-US"])).toBe("de");
  expect(languageNames).toEqual({ en: en.languageName, de: de.languageName });
});

test("a language that is not here is answered in English", () => {
  expect(languageFor(["xx-YY", "en-US"])).toBe("en");
  expect(languageFor([])).toBe("en");
});

test.each<Route>([
  { page: "weigh", scale: null },
  { page: "weigh", scale: "serial:///dev/ttyUSB0?baud=9600" },
  { page: "batch", batch: null, tray: null },
  { page: "batch", batch: 3, tray: 7 },
  { page: "record", batch: 12, tray: null },
  { page: "plan" },
  { page: "pack", batch: null },
  { page: "pack", batch: 3 },
  { page: "shelf", bag: 12 },
  { page: "labels", bags: [3, 4] },
  { page: "setup" },
])("the address of %j leads back to it", (route) => {
  expect(readRoute(writeRoute(route))).toEqual(route);
});

test("an address that leads nowhere leads to Weigh", () => {
  expect(readRoute("#/nowhere")).toEqual({ page: "weigh", scale: null });
  expect(readRoute("#/batch/no-number")).toEqual({ page: "batch", batch: null, tray: null });
});

test("a lost connection is tried again soon at first and never seldom", () => {
  expect(retryAfterMs(0)).toBeLessThanOrEqual(300);
  expect(retryAfterMs(50)).toBeLessThanOrEqual(5000);
});

test("what could not be fetched is asked for again soon at first, and then no more than twice a minute", () => {
  expect(askAgainAfterMs(0)).toBeLessThanOrEqual(1000);
  const tenMinutesMs = 600_000;
  const asked = Array.from({ length: 100 }, (_, tries) => askAgainAfterMs(tries));
  let sum = 0;
  expect(asked.findIndex((ms) => (sum += ms) > tenMinutesMs)).toBeLessThanOrEqual(26);
  expect(askAgainAfterMs(5000)).toBeLessThanOrEqual(30_000);
});

test("a refusal is shown in the service's own words, with what to do", () => {
  expect(
    refusalIn({ title: "T", detail: "Tray 3 is not on the scale", hint: "Put it on" }),
  ).toEqual({ is: "refused", what: "Tray 3 is not on the scale", hint: "Put it on" });
  expect(
    refusalIn({ title: "The request does not have the right form", errors: [] }),
  ).toMatchObject({ what: "The request does not have the right form", hint: null });
});

/** A file of the build and every file that it cannot do without, found by the imports that are written in them. */
function withImports(name: string, seen = new Set<string>()): Set<string> {
  if (seen.has(name)) return seen;
  seen.add(name);
  if (!name.endsWith(".js")) return seen;
  const source = readFileSync(join(built, "assets", name), "utf8");
  for (const [, other = ""] of source.matchAll(/(?:from|import)\s*"\.\/([\w.-]+\.js)"/g))
    withImports(other, seen);
  return seen;
}
const compressed = (names: Iterable<string>): number =>
  [...names].reduce(
    (sum, one) => sum + gzipSync(readFileSync(join(built, "assets", one))).length,
    0,
  );

test("the first load is at most 90 kB compressed, from this host alone, and holds no schemas", () => {
  const html = readFileSync(join(built, "index.html"), "utf8");
  const named = [...html.matchAll(/(?:src|href)="\.\/assets\/([\w.-]+)"/g)].map(
    ([, name = ""]) => name,
  );
  const first = new Set(named.flatMap((name) => [...withImports(name)]));
  const all = readdirSync(join(built, "assets"));
  // German readers have their catalogue in the first load as well, and its parts with the pages that need them.
  const german = all.filter((name) => /^de-[\w-]{8}\.js$/.test(name));
  const partsIn = (language: string): string[] =>
    all.filter((name) => new RegExp(`^${language}-(bags|kitchen)-[\\w-]{8}\\.js$`).test(name));
  // What the service says in English, and what it calls foods and the like, in German: comes once the page is there.
  const sentences = all.filter((name) => /^(sentences|names)-de-[\w-]+\.js$/.test(name));
  const ofLanguages = [...german, ...sentences, ...partsIn("de"), ...partsIn("en")];
  const later = all.filter((name) => !first.has(name) && !ofLanguages.includes(name));
  const inEnglish = [...first, ...later, ...partsIn("en")];
  const inGerman = [...first, ...later, ...german, ...partsIn("de")];
  console.log(
    `first load ${compressed(first)} B, all pages ${compressed(inEnglish)} B, in German ${compressed(inGerman)} B`,
  );
  expect([...first].some((name) => name.endsWith(".css"))).toBe(true);
  expect(german).toHaveLength(1);
  expect([partsIn("en").length, partsIn("de").length]).toEqual([2, 2]);
  // Nobody waits for the words of a language that they do not read.
  expect(ofLanguages.filter((name) => first.has(name))).toEqual([]);
  expect(sentences).toHaveLength(2);
  expect(compressed(sentences)).toBeLessThanOrEqual(20_000);
  expect(compressed([...first, ...german])).toBeLessThanOrEqual(90_000);
  // All pages but Weigh and Batch come when they are opened. Each is small, and all are there: a page that nothing
  // loads is a mistake.
  expect(later.length).toBeGreaterThanOrEqual(6);
  for (const name of later) expect([name, compressed([name]) < 12_000]).toEqual([name, true]);
  expect(compressed(inEnglish)).toBeLessThanOrEqual(125_000);
  expect(compressed(inGerman)).toBeLessThanOrEqual(135_000);
  expect(html).not.toMatch(/https?:\/\/|<style|style=|<script(?![^>]*src=)/);
  const scripts = all.filter((name) => name.endsWith(".js"));
  expect(
    scripts.map((name) => readFileSync(join(built, "assets", name), "utf8")).join(""),
  ).not.toContain("additionalProperties");
});
