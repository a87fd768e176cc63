import { expect, test } from "vitest";
import { loadFoodTable } from "../../src/foodtable.ts";
import * as acts from "../../src/service/acts.ts";
import { weighingsCsv } from "../../src/service/csv.ts";
import {
  batchesFrom,
  importChanges,
  mostRows,
  showImport,
  type ImportAsked,
} from "../../src/service/imports.ts";
import { logOf } from "../../src/service/look.ts";
import { fraction, utcMs } from "../../src/units/quantity.ts";
import { judgeBatch } from "../../src/verdict/judge.ts";
import { readLog } from "../../src/verdict/log.ts";
import fc from "../rig/properties.ts";
import { dried, Played, stoodStill } from "./given.ts";

const now = utcMs(Date.UTC(2026, 10, 25, 12));
const asked: ImportAsked = {
  dryer: "kitchen",
  startedAt: utcMs(Date.UTC(2026, 8, 1, 6)),
  now,
  practice: false,
};
const next = new Played().bench.next;
const from = (csv: string, more: Partial<ImportAsked> = {}) =>
  batchesFrom(readLog(csv, loadFoodTable()), { ...asked, ...more }, next);
const problemsOf = (csv: string) => from(csv).problems.map(({ line, text }) => `${line}: ${text}`);

test("hours, masses and breaks of a log come back from the moments and weighings that it becomes", () => {
  const rows = fc
    .array(
      fc.record({
        gap: fc.integer({ min: 1, max: 300 }),
        grams: fc.integer({ min: 500, max: 9000 }),
        minutesOut: fc.integer({ min: 0, max: 90 }),
        isBroken: fc.boolean(),
      }),
      { minLength: 1, maxLength: 8 },
    )
    .map((list) => {
      let tenths = 0;
      let stretch = 0;
      return list.map(({ gap, grams, minutesOut, isBroken }) => {
        tenths += gap;
        stretch += isBroken ? 1 : 0;
        return { hours: tenths / 10, grams: grams / 10, minutesOut, stretch };
      });
    });
  fc.assert(
    fc.property(rows, fc.integer({ min: 0, max: 5000 }), (list, tareTenths) => {
      const tare = tareTenths / 10;
      const lines = list.map(
        (row) =>
          `1,${row.hours},${(row.grams + tare).toFixed(1)},${tare},1000,${row.minutesOut},0.1,${row.stretch}`,
      );
      const header = "tray,hours,grams,tare_g,fresh_g,minutes_out,resolution_g,stretch";
      const csv = [header, ...lines].join("\n");
      const { batches, problems } = from(csv);
      expect(problems).toEqual([]);
      const [batch] = batches;
      const log = logOf(batch!, batch!.trays[0]!, 1);
      expect(log.fresh?.net).toBeCloseTo(1000, 6);
      for (const [i, row] of list.entries()) {
        expect(log.weighings[i]?.dryingHours).toBeCloseTo(row.hours, 5);
        expect(log.weighings[i]?.net).toBeCloseTo(row.grams, 6);
        expect(log.weighings[i]?.minutesOut).toBeCloseTo(row.minutesOut, 4);
        expect(log.weighings[i]?.stretch).toBe(row.stretch);
      }
      expect(log.weighings).toHaveLength(list.length);
    }),
  );
});

/** What each row of each tray is compared with, after a log was brought in. */
const stretchesOf = (csv: string) => {
  const { batches, problems } = from(csv);
  expect(problems).toEqual([]);
  const [batch] = batches;
  return batch!.trays.map((tray) => {
    const { weighings } = logOf(batch!, tray, 1);
    return weighings.map(({ dryingHours, stretch }) => [
      Math.round(dryingHours * 1000) / 1000,
      stretch,
    ]);
  });
};

test("a log that tells of breaks has them in the record, and no others", () => {
  const header = "tray,hours,grams,tare_g,fresh_g,minutes_out,stretch";
  const both = [header, "1,10,600,0,900,10,0", "1,14,500,0,900,10,2", "1,18,490,0,900,10,2"];
  // Breaks are counted from here on by ones, also where no hours passed, as when the power was cut all the time.
  const still = ["2,10,700,0,900,25,0", "2,10,690,0,900,5,1", "2,14,600,0,900,25,3"];
  expect(stretchesOf(both.join("\n"))).toEqual([
    [
      [10, 0],
      [14, 1],
      [18, 1],
    ],
  ]);
  expect(stretchesOf([...both, ...still].join("\n"))[1]).toEqual([
    [10, 0],
    [10, 1],
    [14, 2],
  ]);
});

test("food that was taken off is brought in with its weighing, and the tray is judged as in the log", () => {
  const header = "tray,hours,grams,fresh_g,resolution_g,water_pct,food_taken";
  const rows = ["1,10,333.3", "1,24,102", "1,30,102", "1,30,68", "1,34,68"];
  const csv = [header, ...rows.map((row, i) => `${row},907.2,0.1,89,${i === 3 ? 1 : ""}`)].join(
    "\n",
  );
  const [batch] = from(csv).batches;
  const log = logOf(batch!, batch!.trays[0]!, 1);
  expect(log.weighings.map(({ foodTaken }) => foodTaken === true)).toEqual([
    false,
    false,
    false,
    true,
    false,
  ]);
  const verdictOf = (one: typeof log) => judgeBatch([one], { limit: fraction(0.01) }).trays[0]!;
  const [read] = readLog(csv, loadFoodTable()).batches[0]!.logs;
  expect(verdictOf(log)).toMatchObject({ verdict: "stable", contradiction: null });
  expect(verdictOf(log).pDry).toBeCloseTo(verdictOf(read!).pDry, 3);
});

test("a break for which there is no time, or at which another tray dried on, is refused by its line", () => {
  const at = (hour: number) => `2026-09-01T${hour}:00Z`;
  const row = (tray: number, hours: number, hour: number, stretch: number) =>
    `${tray},${hours},500,900,${stretch},${at(hour)}`;
  const header = "tray,hours,grams,fresh_g,stretch,at";
  const broken = [header, row(1, 4, 14, 0), row(1, 6, 17, 1)];
  const whole = (hours: number, hour: number) => [...broken, row(2, hours, hour, 0)].join("\n");
  expect(problemsOf(whole(4, 18))).toEqual([
    "3: stretch is 1 here and 0 in line 4, at the same time: use two batches",
  ]);
  const atOnce = [header, row(1, 4, 14, 0), row(1, 4, 14, 1)];
  expect(problemsOf(atOnce.join("\n"))).toEqual([
    "3: stretch is 1 here and 0 in line 2, at the same time: use two batches",
  ]);
  // Out for a part of that time it has nothing to do with it.
  const kept = [
    [
      [4, 0],
      [6, 1],
    ],
    [[3, 0]],
  ];
  expect(stretchesOf(whole(3, 16))).toEqual(kept);
  expect(stretchesOf(whole(3, 19))).toEqual(kept);
});

test("an export of the record can be brought in again and says the same", () => {
  const { batch } = dried();
  const csv = weighingsCsv(batch, 1, "0".repeat(64));
  const { batches, problems } = from(csv, { now: utcMs(now + 100 * 3_600_000) });
  expect(problems).toEqual([]);
  const again = logOf(batches[0]!, batches[0]!.trays[0]!, 1);
  const before = logOf(batch, batch.trays[0]!, 1);
  expect(again.weighings.map(({ net }) => net)).toEqual(before.weighings.map(({ net }) => net));
  for (const [i, { dryingHours }] of before.weighings.entries())
    expect(again.weighings[i]?.dryingHours).toBeCloseTo(dryingHours, 3);
  expect(again.fresh?.net).toBeCloseTo(before.fresh?.net ?? 0, 6);
});

test("an export of a batch whose dryer stood still comes back with its break", () => {
  const played = stoodStill();
  const before = played.batch.trays.map((tray) => logOf(played.batch, tray, 1));
  const csv = weighingsCsv(played.batch, 1, "0".repeat(64));
  const { batches, problems } = from(csv, { now: utcMs(now + 100 * 3_600_000) });
  expect(problems).toEqual([]);
  const again = batches[0]!.trays.map((tray) => logOf(batches[0]!, tray, 1));
  expect(again.map((log) => log.weighings.map(({ stretch }) => stretch))).toEqual(
    before.map((log) => log.weighings.map(({ stretch }) => stretch)),
  );
  expect(again[0]!.weighings.map(({ stretch }) => stretch)).toEqual([0, 1]);
});

test.each(["point", "comma"] as const)(
  "an export is judged as the record is, with a decimal %s, and a food as well known as it was",
  (mark) => {
    const { batch } = dried();
    const csv = weighingsCsv(batch, 1, "0".repeat(64), mark);
    const { batches, problems } = readLog(csv, loadFoodTable());
    expect(problems).toEqual([]);
    const before = judgeBatch(
      batch.trays.map((tray) => logOf(batch, tray, 1)),
      { limit: fraction(0.01) },
    ).trays[0]!;
    const again = judgeBatch(batches[0]!.logs, { limit: fraction(0.01) }).trays[0]!;
    expect(batches[0]?.logs[0]?.food?.waterSd).toBeCloseTo(batch.trays[0]!.food!.waterSd, 6);
    expect(again.verdict).toBe(before.verdict);
    // Hours are written to the fourth place, 0.4 s.
    expect(again.pDry).toBeCloseTo(before.pDry!, 4);
    expect(again.remaining?.high).toBeCloseTo(before.remaining!.high, 3);
  },
);

test("a food known by its figure alone may say how well; otherwise it is known to a point", () => {
  const sdOf = (rows: string) => readLog(rows, loadFoodTable()).batches[0]?.logs[0]?.food?.waterSd;
  expect(sdOf("hours,grams,fresh_g,water_pct,water_sd_pct\n20,80,700,90,2.5\n")).toBe(0.025);
  expect(sdOf("hours,grams,fresh_g,water_pct\n20,80,700,90\n")).toBe(0.01);
  expect(problemsOf("hours,grams,fresh_g,water_pct,water_sd_pct\n20,80,700,90,60\n")).toEqual([
    '2: water_sd_pct is "60", wanted between 0 and 50',
  ]);
});

test("the thickness of the pieces is exported, brought in again, and judged with", () => {
  const played = dried();
  const tray = played.batch.trays[0]!;
  played.act((bench) =>
    acts.editTray(bench, played.batch.id, tray.id, { thicknessMm: 6.5 }, played.at()),
  );
  const csv = weighingsCsv(played.batch, 1, "0".repeat(64));
  const [log] = readLog(csv, loadFoodTable()).batches[0]!.logs;
  expect(log?.thicknessMm).toBe(6.5);
  const { batches } = from(csv, { now: utcMs(now + 100 * 3_600_000) });
  expect(batches[0]?.trays[0]?.thicknessMm).toBe(6.5);
  expect(logOf(batches[0]!, batches[0]!.trays[0]!, 1).thicknessMm).toBe(6.5);
});

test("batches and trays are numbered on, ended, and kept in one act", () => {
  const csv =
    "batch,tray,hours,grams,fresh_g,food\n" +
    "spring,A,20,80,700,09316\nspring,B,20,90,800,moon cheese\nautumn,A,22,70,650,\n";
  const played = new Played();
  const { batches } = from(csv);
  played.act(() => importChanges(batches));
  expect(batches.map(({ name, number }) => [name, number])).toEqual([
    ["spring", 1],
    ["autumn", 2],
  ]);
  expect(batches[0]?.trays.map(({ foodName }) => foodName)).toEqual([
    "Strawberries, raw",
    "moon cheese",
  ]);
  expect(played.bench.batches).toEqual([]);
  expect(played.bench.lessons).toEqual([]);
  expect(played.bench.next).toMatchObject({ batch: 3, batchNumber: 3, tray: 4, weighing: 7 });
  expect(played.alerts).toEqual([]);
  const [spring] = showImport(from(csv)).batches;
  expect(spring?.trays).toMatchObject([
    { name: "A", freshGrams: 700, lastGrams: 80, weighings: 1 },
    { name: "B", freshGrams: 800, lastGrams: 90, weighings: 1 },
  ]);
});

test("rows without a tray get a name that no other tray has", () => {
  const csv = "tray,hours,grams,fresh_g\n1,20,80,700\n,20,90,800\n";
  expect(from(csv).batches[0]?.trays.map(({ name }) => name)).toEqual(["1", "2"]);
});

test("minutes out of a second row at the same hours count from when the tray came out", () => {
  const csv = "hours,grams,fresh_g,minutes_out\n10,500,900,5\n24,110,900,5\n24,109,900,8\n";
  const [batch] = from(csv).batches;
  const log = logOf(batch!, batch!.trays[0]!, 1);
  expect(log.weighings.map(({ minutesOut }) => minutesOut)).toEqual([5, 5, 8]);
});

test("fresh masses alone that would lie in the future are refused", () => {
  const startedAt = utcMs(Date.UTC(2030, 0, 1));
  const { batches, problems } = from("hours,grams,tray\n0,900,1\n0,800,2\n", { startedAt });
  expect(batches).toEqual([]);
  expect(problems.map(({ line, text }) => `${line}: ${text}`)).toEqual([
    "2: 2030-01-01T00:00:00.000Z is still to come",
    "3: 2030-01-01T00:00:00.000Z is still to come",
  ]);
});

test("a batch with as long a name as there may be comes back from its export", () => {
  const batch = { ...dried().batch, name: "s".repeat(120) };
  const csv = weighingsCsv(batch, 1, "0".repeat(64));
  const { batches, problems } = from(csv, { now: utcMs(now + 100 * 3_600_000) });
  expect(problems).toEqual([]);
  expect(batches[0]?.name).toContain(batch.name);
});

test.each([
  ["hours,grams,fresh_g\n5,abc,700\n-1,80,700\n", ["2: ", "3: "]],
  ["hours,grams\n20,80\n", ["2: the tray has no fresh mass"]],
  [
    "hours,grams,tare_g\n0,1050,350\n20,450,\n24,430,\n",
    ["3: tare_g is missing here", "4: tare_g is missing here"],
  ],
  ["hours,grams,fresh_g,food\n20,80,700,leek\n24,70,,kale\n", ['3: food is "kale" here']],
  ["hours,grams,fresh_g\n0,650,700\n20,80,700\n", ["2: the tray has two fresh masses"]],
  [
    "hours,grams,fresh_g,at\n20,80,700,2026-09-01T20:00:00Z\n30,70,700,2026-09-01T23:00:00Z\n",
    ["3: tray 1 had 30 h of drying"],
  ],
  [
    "hours,grams,fresh_g,at\n20,80,700,2026-09-01T20:00:00Z\n30,70,700,\n",
    ["3: at is missing here"],
  ],
  ["hours,grams,fresh_g,at\n20,80,700,2027-09-01T20:00:00Z\n", ["2: 2027-09-01"]],
  [`hours,grams,fresh_g,tray\n20,80,700,${"x".repeat(81)}\n`, ["2: the name"]],
])("a log with a row that cannot be is refused by its line: %j", (csv, wanted) => {
  const { batches } = from(csv);
  expect(batches).toEqual([]);
  const problems = problemsOf(csv);
  expect(problems).toHaveLength(wanted.length);
  for (const [i, text] of wanted.entries()) expect(problems[i]).toContain(text);
});

// All of these were read, or refused, only after minutes in which no weight was told, or broke the call stack.
test.each([
  ["150,000 rows", 150_000, "hours,grams\n", () => "1,1", "150000 rows: bring in at most 5000"],
  ["4,900 foods that no table has", 4900, "tray,hours,grams,food\n", foodRow, "at most 60"],
  ["4,900 rows of a tray", 4900, "hours,grams\n", (n: number) => `${n},${600 - n / 10}`, null],
  ["100,000 columns", 4900, `hours,grams${",x".repeat(100_000)}\n`, () => "1,1", "no fresh mass"],
])(
  "a log of %s keeps nothing waiting",
  (_name, count, header, row, problem) => {
    const csv = header + Array.from({ length: count }, (_, n) => row(n)).join("\n");
    const { problems } = batchesFrom(readLog(csv, loadFoodTable(), mostRows), asked, next);
    if (problem !== null) expect(problems.map(({ text }) => text).join()).toContain(problem);
  },
  10_000,
);

test("without a bound on its rows a long log is read whole", () => {
  const csv = `hours,grams\n${"1,1\n".repeat(150_000)}`;
  expect(readLog(csv, loadFoodTable()).batches[0]?.logs[0]?.weighings).toHaveLength(150_000);
}, 10_000);

function foodRow(n: number): string {
  return `${n},1,2,food ${n} of nobody`;
}

test("a tray and a food that are spelt in two ways are one, and a food's name has its bound", () => {
  const rows = ["e\u0301,0,900,Cre\u0300me", "é,2,500, Crème", "\u200Bé\u00A0,4,300,crème"];
  const { batches, problems } = from(["tray,hours,grams,food", ...rows].join("\n"));
  expect(problems).toEqual([]);
  expect(batches[0]?.trays).toMatchObject([{ name: "é", foodName: "Crème" }]);
  expect(problemsOf(`tray,hours,grams,food\nA,1,500,${"x".repeat(201)}`)).toEqual([
    `2: the name "${"x".repeat(20)}…" is longer than 200 letters`,
  ]);
});
