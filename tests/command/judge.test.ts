import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { judge } from "../../src/command/judge.ts";

const folder = mkdtempSync(join(tmpdir(), "judge-"));
afterAll(() => rmSync(folder, { recursive: true }));

async function run(
  args: readonly string[],
  input = "",
  signal: AbortSignal = new AbortController().signal,
  outColumns: number | null = null,
) {
  let out = "";
  let err = "";
  const code = await judge(args, {
    out: (text) => void (out += text),
    err: (text) => void (err += text),
    input: () => Promise.resolve(input),
    errIsTerminal: false,
    outColumns,
    signal,
  });
  return { code, out, err };
}
type Spread = { estimate: number; low: number; high: number } | null;
type JudgedTray = {
  tray: string;
  verdict: string;
  p_dry: number;
  remaining_g: Spread;
  reasons: { code: string; text: string }[];
  contradiction: { code: string; text: string; line: number } | null;
};
type JudgedBatch = { batch: string; verdict: string; behind: string[]; trays: JudgedTray[] };
const judged = async (csv: string): Promise<JudgedBatch[]> => {
  const { code, out, err } = await run(["-", "--json"], csv);
  expect(err.replaceAll(/^note: .*\n/gm, "")).toBe("");
  expect(code).toBe(0);
  return (JSON.parse(out) as { batches: JudgedBatch[] }).batches;
};

const steady = `tray,hours,grams,fresh_g,food,resolution_g
A,24,104,1000,9316,0.1
A,28,97.5,,,
A,32,94.7,,,
A,36,93.5,,,
A,40,93.0,,,
A,44,92.9,,,
`;

test("the document has the keys of the public contract and no others", async () => {
  const batch = (await judged(steady))[0]!;
  expect(Object.keys(batch)).toEqual(["batch", "verdict", "more_hours", "behind", "trays"]);
  expect(Object.keys(batch.trays[0]!)).toEqual([
    "tray",
    "verdict",
    "confidence",
    "p_dry",
    "reasons",
    "remaining_g",
    "more_hours",
    "next_weighing_hours",
    "provable_g",
    "contradiction",
    "fit",
  ]);
  expect(batch.verdict).toBe("stable");
  expect(Object.keys(batch.trays[0]!.remaining_g!)).toEqual(["estimate", "low", "high"]);
  expect(batch.trays[0]!.p_dry).toBeLessThanOrEqual(0.99);
});

test("a file on disk is read, and the table for people names the verdict", async () => {
  const file = join(folder, "log.csv");
  writeFileSync(file, steady);
  const { code, out } = await run([file]);
  expect(code).toBe(0);
  expect(out).toMatch(/^A +stable +9\d %/m);
  expect(out).not.toMatch(/safe/i);
});

test("semicolons, decimal commas, tabs and columns in any order say the same", async () => {
  const want = await judged(steady);
  const semicolons = steady.replaceAll(",", ";").replaceAll(".", ",");
  expect(await judged(semicolons)).toEqual(want);
  expect(await judged(steady.replaceAll(",", "\t"))).toEqual(want);
  const turned = steady
    .split("\n")
    .map((line) => line.split(",").toReversed().join(","))
    .join("\n");
  expect(await judged(turned)).toEqual(want);
  expect(await judged(steady.replaceAll("\n", "\r\n").replace("tray", "\uFEFFTray"))).toEqual(want);
});

test("gross masses with a tare, and other units, are brought to net grams", async () => {
  const want = (await judged(steady))[0]!.trays[0]!;
  const gross = steady
    .split("\n")
    .map((line, i) =>
      i === 0
        ? `${line},tare_g`
        : line === ""
          ? ""
          : line.replace(
              /^A,(\d+),([\d.]+),(.*)$/,
              (_, h, g, rest) => `A,${h},${(Number(g) + 350).toFixed(1)},${rest},350`,
            ),
    )
    .join("\n");
  expect((await judged(gross))[0]!.trays[0]!.p_dry).toBeCloseTo(want.p_dry, 4);
  const kilos = steady
    .split("\n")
    .map((line, i) =>
      i === 0
        ? `${line},unit`
        : line.replace(
            /^A,(\d+),([\d.]+),(.*)$/,
            (_, h, g, rest) => `A,${h},${Number(g) / 1000},${rest},kg`,
          ),
    )
    .join("\n");
  expect((await judged(kilos))[0]!.trays[0]!.p_dry).toBeCloseTo(want.p_dry, 4);
});

test("batches and trays come in the order in which they first appear", async () => {
  const csv = "hours,grams,tray,batch\n10,500,B,z\n10,400,A,z\n10,400,B,a\n12,480,B,z\n";
  const batches = await judged(csv);
  expect(batches.map(({ batch }) => batch)).toEqual(["z", "a"]);
  expect(batches[0]!.trays.map(({ tray }) => tray)).toEqual(["B", "A"]);
});

test.each([
  ["hours,grams\n-1,500\n", "line 2: hours"],
  ["hours,grams\n1,500\n2,0\n", "line 3: grams"],
  ["hours,grams\n1,500\nx,400\n", "line 3: hours"],
  ["hours,grams\n1,\n", "line 2: grams is empty"],
  ["hours,grams,unit\n1,5,stone\n", "line 2: unit"],
  ["hours,grams,tare_g\n1,300,350\n", "line 2: grams is 300 g, no more than the tare"],
  ["hours,grams,water_pct\n1,300,110\n", "line 2: water_pct"],
  ["hours,grams,thickness_mm\n1,300,0\n", "line 2: thickness_mm"],
  ["hours,grams,stretch\n1,300,0.5\n", "line 2: stretch"],
  ["hours,grams,food_taken\n1,300,yes\n", "line 2: food_taken"],
  ["hours,grams,food_taken\n1,300,\n1,300,1\n", "line 3: 300.0 g: no weighing after drying"],
  ["hours,grams,food_taken\n0,300,\n9,80,1\n", "line 3: 80.0 g: no weighing after drying"],
  ["hours,grams,at\n1,300,yesterday\n", "line 2: at"],
  ["hours,mass\n1,300\n", "line 1: no column grams"],
  ["hours,grams\n", "line 1: no rows"],
  ["", "line 1: the file is empty"],
  ['hours,grams\n1,"12,5"\n', "line 2: grams"],
  ["hours,grams\n1,12,5\n", 'line 2: "5" stands under no column'],
  ["hours,grams,\n1,12,5\n", 'line 2: "5" stands under no column'],
  ['hours,grams,tray\n1,500,"A\n2,400,A\n', "line 2: the quotation marks do not pair up"],
  ['hours,grams,tray\n1,500,"A\n2,400,A"\n', "line 2: the quotation marks do not pair up"],
  ['hours,grams\n1,"50"0\n', "line 2: the quotation marks do not pair up"],
  ["hours,grams,tray\n1,500,K\uFFFDche\n", "line 2: letters here are not in UTF-8"],
  ["h\uFFFDurs,grams\n1,500\n", "line 1: letters here are not in UTF-8"],
  ["hours;grams\n0;1.204\n20;987,5\n", 'line 3: "987,5" has another decimal mark than "1.204"'],
  ["hours;grams\n0,5;1.204\n", 'line 2: "1.204" has another decimal mark than "0,5" in line 2'],
])("%j is refused with its line and nothing is judged", async (csv, message) => {
  const { code, out, err } = await run(["-", "--json"], csv);
  expect(code).toBe(1);
  expect(err).toContain(message);
  expect(out).toBe("");
});

test.each([
  [
    "tray,hours,grams,tare_g\nA,0,1050,350\nB,0,700,\nA,20,450,\nA,24,449,350\nA,28,99,\n",
    ["line 4: tare_g is missing here", "line 6: tare_g is missing here"],
  ],
  [
    "hours,grams,resolution_g\n0,700,0.1\n20,105,5\n24,100,\n",
    ["line 4: resolution_g is missing here"],
  ],
  [
    "hours,grams,food\n0,700,09316\n20,100,\n24,99,Beef\n",
    ['line 4: food is "Beef" here and "09316" in line 2'],
  ],
  [
    "hours,grams,water_pct\n0,700,90.5\n20,100,\n24,99,80\n",
    ['line 4: water_pct is "80" here and "90.5" in line 2'],
  ],
  [
    "hours,grams,thickness_mm\n0,700,5\n20,100,6\n",
    ['line 3: thickness_mm is "6" here and "5" in line 2'],
  ],
  [
    "hours,grams,stretch\n0,700,\n20,100,1\n24,99,0\n",
    ["line 4: stretch is 0 here and 1 in line 3, after fewer hours"],
  ],
])("rows of a tray that do not mean one thing are refused: %j", async (csv, messages) => {
  const { code, out, err } = await run(["-", "--json"], csv);
  expect(code).toBe(1);
  const lines = err.trimEnd().split("\n").slice(0, -1);
  expect(lines).toHaveLength(messages.length);
  for (const [i, message] of messages.entries()) expect(lines[i]).toContain(message);
  expect(out).toBe("");
});

test("a tare of 0 says that a row is net, and says the same as no tare", async () => {
  const zero = steady
    .split("\n")
    .map((line, i) => (line === "" ? "" : `${line},${i === 0 ? "tare_g" : 0}`))
    .join("\n");
  expect((await judged(zero))[0]!.trays[0]!.p_dry).toBe((await judged(steady))[0]!.trays[0]!.p_dry);
});

test("one food written in three ways, and one division in some rows, are no disagreement", async () => {
  const csv =
    "hours,grams,fresh_g,food,resolution_g\n20,105,700,9316,\n24,100,,09316,1\n" +
    '26,99,,"strawberries, raw",\n';
  const { code, err } = await run(["-", "--json"], csv);
  expect([code, err]).toEqual([0, ""]);
});

test("another tare in a row is taken off there, and said", async () => {
  const csv = "hours,grams,tare_g,resolution_g\n0,1050,350,1\n20,450,350,1\n24,455,355,1\n";
  const { code, err } = await run(["-", "--json"], csv);
  expect(code).toBe(0);
  expect(err).toBe(
    "note: line 4: tare_g is 355 g here and 350 g in line 2; each is taken off its own row\n",
  );
});

test("a column that was probably meant to be another one is said, any other is left alone", async () => {
  const csv =
    "hours,grams,tare,resolution,Fresh weight,trays,record_head\n0,1050,350,0.1,700,A,x\n";
  const { code, err } = await run(["-", "--json"], csv);
  expect(code).toBe(0);
  expect(err.match(/^note: the column .*$/gm)).toEqual([
    'note: the column "tare" was not read; was tare_g meant?',
    'note: the column "resolution" was not read; was resolution_g meant?',
    'note: the column "fresh weight" was not read; was fresh_g meant?',
    'note: the column "trays" was not read; was tray meant?',
  ]);
});

test("two masses at hour 0 that differ are a conflict", async () => {
  const [batch] = await judged("hours,grams,resolution_g\n0,700,1\n0,100,1\n24,99,1\n");
  expect(batch!.trays[0]!.contradiction).toMatchObject({ code: "fresh-conflict", line: 3 });
});

test("a carriage return alone ends a line", async () => {
  const want = await judged(steady);
  expect(await judged(steady.replaceAll("\n", "\r"))).toEqual(want);
  expect(await judged(steady.replace("fresh_g", "FRESH_G").replace("1000,", "1000 ,"))).toEqual(
    want,
  );
});

test("more weighings of one tray than can be judged are refused", async () => {
  const rows = Array.from({ length: 5001 }, (_, n) => `${n / 100},${600 - n / 20}\n`).join("");
  const { code, err, out } = await run(["-"], `hours,grams\n${rows}`);
  expect([code, out]).toEqual([1, ""]);
  expect(err).toBe(
    "-: line 5002: 5001 weighings of one tray: at most 5000 can be judged; leave out every other row, or more\n",
  );
});

test("a person who interrupts is heard between two batches", async () => {
  const csv = "batch,hours,grams\na,20,100\nb,20,100\n";
  const { code, out } = await run(["-", "--json"], csv, AbortSignal.abort());
  expect([code, out]).toEqual([130, ""]);
});

test("the thickness of the pieces counts, in whichever row it stands", async () => {
  const rows = ["24,104", "28,97", "32,95"];
  const pDry = async (thickness: string): Promise<number> => {
    const lines = rows.map((row, i) => `${row},1000,09316,1,${i === 1 ? thickness : ""}`);
    const csv = ["hours,grams,fresh_g,food,resolution_g,thickness_mm", ...lines].join("\n");
    const { out } = await run(["-", "--json"], csv);
    return (JSON.parse(out) as { batches: { trays: { p_dry: number }[] }[] }).batches[0]!.trays[0]!
      .p_dry;
  };
  expect(await pDry("5")).toBeGreaterThan(await pDry("20"));
});

test("every bad row is named at once", async () => {
  const { err } = await run(["-"], "hours,grams\n-1,500\n2,400\n3,zero\n");
  expect(err).toContain("line 2: hours");
  expect(err).toContain("line 4: grams");
});

test("on a terminal of 80 columns the answer keeps within it, whatever the names", async () => {
  const long = "a tray with a name as long as a person who explains things to others would give it";
  const names = [long, "いちご いちご いちご いちご", "two\nlines"];
  const rows = names.flatMap((name) =>
    ["20,90", "24,76", "40,75"].map((one) => `"${name}",${one},800,"Strawberries, raw",1`),
  );
  const csv = `tray,hours,grams,fresh_g,food,resolution_g\n${rows.join("\n")}\n`;
  const { out } = await run(["-"], csv, undefined, 80);
  // Unicode Standard Annex 11: hiragana are wide, two columns each.
  const wide = (line: string): number =>
    line.length + (line.match(/[\u3041-\u3096]/g) ?? []).length;
  const lines = out.split("\n");
  expect(lines.filter((line) => wide(line) > 80)).toEqual([]);
  const title = lines.find((line) => line.startsWith("tray "))!;
  const at = title.indexOf("verdict");
  expect(title).toContain("weigh again in");
  const inTable = lines.filter((line) => line.includes("stable  "));
  expect(inTable.map((line) => wide(line.slice(0, line.indexOf("stable"))))).toEqual([at, at, at]);
  // The same words without a terminal, where every sentence is one line.
  const piped = await run(["-"], csv);
  expect(piped.out.split("\n").filter((line) => line.startsWith("tray two lines: "))).toHaveLength(
    1,
  );
  const wordsOf = (text: string) => text.slice(text.indexOf("\ntray two lines:")).split(/\s+/);
  expect(wordsOf(out)).toEqual(wordsOf(piped.out));
});

test("trays that a published criterion answers alike are answered together", async () => {
  const rows = ["A", "B"].flatMap((name) => [`${name},24,101,1`, `${name},28,100,1`]);
  const { out } = await run(["-"], `tray,hours,grams,resolution_g\n${rows.join("\n")}\n`);
  expect(out).toContain(
    "  trays A, B\n    usp-constant-weight: not applicable: needs a division of 0.05 g",
  );
  expect(out.match(/usp-constant-weight/g)).toHaveLength(1);
});

test("rows of one tray at the same hours teach how well its scale repeats itself", async () => {
  const rows = (hour: number, figures: readonly number[]): string =>
    figures.map((mass) => `A,${hour},${mass},3000,9316,1,5\n`).join("");
  const header = "tray,hours,grams,fresh_g,food,resolution_g,minutes_out\n";
  const csv = `${header}${rows(20, [310])}${rows(26, [292])}${rows(32, [290])}`;
  const once = await run(["-", "--json"], `${csv}${rows(38, [290])}`);
  expect(once.err).toBe("");
  const repeated = await run(["-", "--json"], `${csv}${rows(38, Array(12).fill(290))}`);
  expect(repeated.err).toBe(
    "note: placement 0.25 g on the scale of 1 g, from 11 repeated weighings\n",
  );
  const worse = await run(["-", "--json"], `${csv}${rows(38, [290, 292, 289, 291])}`);
  // By hand: squares about the mean 5, so √((4·(0.16 + 1/12) + 5)/7 − 1/12) = 0.878.
  expect(worse.err).toContain("note: placement 0.88 g");
  const wrong = await run(["-", "--json"], `${csv}${rows(38, [290, 290, 330])}`);
  expect(wrong.err).toContain(
    "note: placement 0.4 g on the scale of 1 g, from 1 repeated weighing",
  );
  expect(wrong.out).toContain('"code": "weighed-twice"');
});

test("an inferred division and an unknown food are said on standard error", async () => {
  const { code, err } = await run(["-"], "hours,grams,food\n10,500,strawberries\n14,400,\n");
  expect(code).toBe(0);
  expect(err).toContain("taken as 1 g from the figures");
  expect(err).toContain('09316 "Strawberries, raw"');
});

test.each([[[]], [["a.csv", "b.csv"]], [["--jsn", "a.csv"]]])("%j is wrong usage", async (args) => {
  const { code, err, out } = await run(args);
  expect(code).toBe(2);
  expect(err).toContain("usage:");
  expect(out).toBe("");
});

test("a file that is not there is said, with exit 1", async () => {
  const { code, err } = await run([join(folder, "none.csv")]);
  expect(code).toBe(1);
  expect(err).toContain("none.csv: there is no such file");
});

test("a folder in place of a log, and no name at all, are said", async () => {
  const { code, err } = await run([folder]);
  expect({ code, err }).toEqual({
    code: 1,
    err: `cannot read ${folder}: it is a folder; name a file\n`,
  });
  for (const args of [[], [""]]) {
    const none = await run(args);
    expect(none.code).toBe(2);
    expect(none.err).toContain("no file was given\nusage:");
  }
});

test("before drying the report says what this scale can prove of the load", async () => {
  const { out } = await run(["-"], "hours,grams,resolution_g,food\n0,700,5,09316\n");
  expect(out).toMatch(/before drying: A scale of 5\.0 g cannot prove this load dry/);
});

test("food taken off between two rows of one hour is no loss, neither to the verdict nor to the criteria", async () => {
  const half = (said: string): string =>
    `hours,grams,fresh_g,food,resolution_g,food_taken
24,1040,10000,9316,0.1,
36,930,,,,
42,930,,,,
42,465,,,,${said}
46,465,,,,
`;
  const told = await run(["-"], half("1"));
  expect(told.out).toMatch(/^-\s+stable/m);
  expect(told.out).toMatch(/: met, 0(\.0+)? g of/);
  expect(told.out).not.toMatch(/not met/);
  const silent = await run(["-"], half(""));
  expect(silent.out).toContain("(weighed-twice, line 5)");
});

test("the report holds the last two weighings against published criteria", async () => {
  const { out } = await run(["-"], "hours,grams,resolution_g\n24,102.1,0.1\n28,102,0.1\n");
  expect(out).toContain("rilem-concrete: met, 0.10 g of 0.20 g allowed");
  expect(out).toContain("needs a division of 0.051 g, or 200 g of dry food on this scale");
});
