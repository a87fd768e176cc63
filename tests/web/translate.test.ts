import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { faults } from "../../src/faults.ts";
import { loadFoodTable } from "../../src/foodtable.ts";
import { practiceDryer, practiceLoads } from "../../src/practice/dryer.ts";
import { readLog } from "../../src/verdict/log.ts";
import { redriedName } from "../../src/service/redry.ts";
import { beforeHours } from "../../src/service/showbatch.ts";
import { sentences, type Shown } from "../../src/verdict/sentences.ts";
import { foodShelf } from "../../src/service/foods.ts";
import type { Speech } from "../../web/src/show.ts";
import { de } from "../../web/src/texts/de.ts";
import { nameInGerman } from "../../web/src/texts/names-de.ts";
import { sentencesDe } from "../../web/src/texts/sentences-de.ts";
import { translatorOf } from "../../web/src/translate.ts";

const translate = translatorOf(sentencesDe);
const german: Speech = { texts: de, locale: "de-DE", unit: "g" };
const inGerman = (text: string): string | null => translate(german, text);

test("every refusal and what to do about it is there in German", () => {
  const said = Object.values(faults).flatMap(({ title, hint }) => [title, hint]);
  expect(said.length).toBeGreaterThan(60);
  expect(said.filter((text) => inGerman(text) === null)).toEqual([]);
});

test("several sentences behind a colon are each put into German", () => {
  const soft = "its thickest piece was soft inside";
  expect(
    inGerman(
      `Found later on tray 1: ${soft}. Found later on B: ${soft}. Dry it again, or seal it knowing that`,
    ),
  ).toMatch(/^Später auf Blech 1 gefunden: Sein .*\. Später auf B gefunden: sein .*\. Noch einmal/);
});

test("what the record of an ended batch leaves of a reason names no hours, and is there in German", () => {
  const figure = (name: string): string => (name.endsWith("Grams") ? "1.5 g" : name);
  const shown = new Proxy({} as Shown, { get: (_, name) => figure(String(name)) });
  const withHours = Object.values(sentences)
    .map((sentence) => sentence(shown))
    .filter((text) => text.includes("nextHours"));
  expect(withHours.length).toBe(4);
  for (const left of withHours.map(beforeHours)) {
    expect(left).not.toContain("nextHours");
    expect(inGerman(left), left).not.toBeNull();
  }
});

const source = join(import.meta.dirname, "../../src");
/** Where sentences for a person at the page are made. What only the terminal or another program reads is left out. */
const speakers = (
  "acts backups bagloads bags batchdesk freshnow imports kitchen lessons loads pour practice redry scaledesk showbag " +
  "showkitchen warnings weighdesk weighings work"
)
  .split(" ")
  .map((name) => `service/${name}.ts`);
const folders = [
  "command/run.ts",
  "practice",
  "port",
  "reading",
  "send",
  "food/caution.ts",
  "bag/absorber.ts",
  "bag/thickest.ts",
  "verdict/disagree.ts",
];
/** Forms of one's own are read from the settings file at the start: what is wrong there is said at the terminal. */
const forTheSettingsFile = ["reading/ownform.ts"];
const filesOf = (name: string): string[] =>
  statSync(join(source, name)).isDirectory()
    ? readdirSync(join(source, name), { recursive: true, encoding: "utf8" })
        .filter((file) => file.endsWith(".ts"))
        .map((file) => `${name}/${file}`)
        .filter((file) => !forTheSettingsFile.includes(file))
    : [name];

/** Titles of line forms, names of practice food, what goes to other programs, what the record keeps, what only a programmer can bring about. */
const notForThePage =
  /JSON|\(\?|\{\{|^(answer on|number|STX|SOH|stability|fixed places|pounds and|zero-padded|wg or|USB scale report|a number alone)|Weight on the scale|capture is neither|comes in lines|without a line|^\S+ usb |^x usb|unreadable x|no number of|not a list|tare was typed instead|tare key was pressed|^the food on it was changed|leaving the work|about to begin|^refused: |^tray x$|^of (a|the) form|what bag x held|^onto tray|^x \(bag x|^A trial|there is no folder x to|is not a unit of|shows no unit|decimal comma or part|leaves the decimal|^the scale (shows an|cannot|reports|asks)|segment|count of pieces|a tare value|more than a pound|status bytes name|report's unit|^x oz are|^mixture of|^replaced by|^moment x was|^on the network: |^--proxy: |^--time-factor |^no pairing code|^a disk does not answer, most|^Practice |^practice: nobody/;

/** Each string of at least three words, with something put in where the program puts in its own. */
function sentencesIn(text: string): string[] {
  const code = text
    .replace(/\/\*[\s\S]*?\*\/|^\s*\/\/.*$/gm, "")
    .replace(/throw new (?:Range)?Error\([^;]*;/g, "");
  return [...code.matchAll(/"((?:[^"\\\n]|\\.)*)"|`((?:[^`\\]|\\.)*)`/g)]
    .map(([, plain, template]) => plain ?? template ?? "")
    .map((one) => one.replace(/\$\{[^}]*\}(?= g\b)/g, "12.5").replace(/\$\{g\([^}]*\}/g, "12.5 g"))
    .map((one) =>
      one.replace("${state.is} already", "in already").replace("${check.finding}", "soft"),
    )
    .map((one) => one.replace(/\$\{(?:[^{}]|\{[^}]*\})*\}/g, "x").replaceAll('\\"', '"'))
    .filter((one) => (one.match(/[A-Za-z]{2,}/g)?.length ?? 0) >= 3 && one.includes(" "));
}

test("what the service writes for a person at the page is there in German", () => {
  const files = [...speakers, ...folders.flatMap(filesOf)];
  const said = files.flatMap((file) => sentencesIn(readFileSync(join(source, file), "utf8")));
  expect(said.length).toBeGreaterThan(150);
  const missing = said.filter((text) => !notForThePage.test(text) && inGerman(text) === null);
  expect(missing).toEqual([]);
  expect(inGerman("a sentence that nobody ever wrote")).toBeNull();
});

test.each([
  ["hours,grams,tray\n1,500,K\uFFFDche\n"],
  ['hours,grams,tray\n1,500,"A\n2,400,A\n'],
  ["hours,grams\n1,12,5\n"],
  ["hours;grams\n0;1.204\n20;987,5\n"],
  ["hours,grams,tare\n0,700,350\n"],
])("what a log leaves in doubt is said in German: %j", (csv) => {
  const { problems, notes } = readLog(csv, loadFoodTable());
  const said = [...problems.map(({ text }) => text), ...notes];
  expect(said.length).toBeGreaterThan(0);
  expect(said.filter((text) => inGerman(text) === null)).toEqual([]);
});

test("what practice brings along is named in German, and still says that it is practice", () => {
  for (const name of [practiceDryer, ...practiceLoads.map(({ food }) => food)]) {
    expect(name).toMatch(/^Practice /);
    expect(nameInGerman(name)).toMatch(/^Übung/);
  }
});

test("food that was dried before is named in German, with the bag that it is from", () => {
  const named = redriedName("Strawberries, raw", "7-2");
  expect(nameInGerman(named)).toBe("Erdbeeren, roh (Beutel 7-2, schon einmal getrocknet)");
  // Twice even.
  expect(nameInGerman(redriedName(named, "PRACTICE-9-1"))).toBe(
    "Erdbeeren, roh (Beutel 7-2, schon einmal getrocknet) (Beutel PRACTICE-9-1, schon einmal getrocknet)",
  );
  expect(nameInGerman("Grandma's stew (bag of the year)")).toBe("Grandma's stew (bag of the year)");
});

test("a tray with a bare number is called so in the sentence", () => {
  expect(inGerman("lifting tray 3")).toBe("nimmt Blech 3 ab");
  expect(inGerman("not weighed before drying: tray 1, Upper left, tray 12")).toBe(
    "vor dem Trocknen nicht gewogen: Blech 1, Upper left, Blech 12",
  );
});

test("masses come in the reader's unit, other figures with the locale's mark, sentences in sentences in German", () => {
  const text = "612.5 g is not more than the empty Tray 3 (700.0 g)";
  expect(inGerman(text)).toBe("612,5\u00a0g sind nicht mehr als Tray 3 leer (700,0\u00a0g)");
  expect(translate({ ...german, unit: "oz" }, text)).toContain("21,605\u00a0oz");
  expect(
    inGerman(
      "About 4.5 kg of water, and cellar is set to hold 3.0 kg: it will dry longer than usual, or not to the end",
    ),
  ).toContain("Etwa 4,5 kg Wasser");
  expect(inGerman("the connection to the scale was lost: the device was closed")).toBe(
    "die Verbindung zur Waage riss ab: das Gerät wurde geschlossen",
  );
  expect(inGerman("That mass cannot be. The scale took no bytes for 1 s")).toBe(
    "Diese Masse kann nicht sein. Die Waage nahm 1 s lang nichts an.",
  );
});

test("an address or a version is no figure to be written otherwise", () => {
  expect(inGerman("192.168.1.9 did not answer within 5 s")).toBe(
    "192.168.1.9 hat innerhalb von 5 s nicht geantwortet",
  );
});

test("the German sentences put in what the English ones do", () => {
  const places = (text: string) => (text.match(/\{\w+\}/g) ?? []).toSorted();
  const lost = sentencesDe.filter(([english, other]) =>
    places(other).some((name) => !places(english).includes(name)),
  );
  expect(lost).toEqual([]);
});

test("where the water of a food is known from is told in German", () => {
  const shelf = foodShelf(loadFoodTable());
  const nothingOfOnesOwn = { foods: [], lessons: [] };
  const sourceOf = (food: string, waterPct: number | null): string =>
    shelf.onTray(food, waterPct, nothingOfOnesOwn).food?.source ?? "";
  const table = sourceOf("Strawberries, raw", null);
  expect(inGerman(table)).toMatch(/, Ausgabe 28, Nr\. \d+$/);
  expect(inGerman(sourceOf("Strawberries, raw", 91))).toBe("eigene Angabe");
  expect(inGerman(`1 of your batches and ${table}`)).toBe(
    `eine Ihrer Chargen und ${inGerman(table)}`,
  );
  expect(inGerman("3 of your batches and your own recipe")).toBe(
    "3 Ihrer Chargen und eigenes Rezept",
  );
});
