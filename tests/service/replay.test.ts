// Verdicts that were announced are judged anew from what the store keeps. What a person corrected, added or taught
// since may not count against them; what was altered behind the program's back has to be named.
import Database from "better-sqlite3";
import { expect, test } from "vitest";
import * as acts from "../../src/service/acts.ts";
import * as weighings from "../../src/service/weighings.ts";
import type { Batch, Bench } from "../../src/service/bench.ts";
import { verdictsGiven } from "../../src/service/given.ts";
import { replay } from "../../src/service/replay.ts";
import { isFact } from "../../src/service/step.ts";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore } from "../../src/store/store.ts";
import { fraction, grams } from "../../src/units/quantity.ts";
import { judgmentVersion } from "../../src/verdict/verdict.ts";
import fc from "../rig/properties.ts";
import { real, tempFolder } from "../store/folder.ts";
import { dried, oneWeighed, Played, strawberries, trayAsked } from "./given.ts";

/** Everything that a bench was told, in a closed store. */
function keptFile(played: Played): string {
  const folder = tempFolder();
  const store = openStore(folder, { ...real, at: played.at(0) });
  for (const fact of played.told.filter(isFact)) store.record([fact]);
  store.close();
  return databaseIn(folder);
}

const counted = (file: string) => {
  const { problems, holds } = inspectStore(file, replay);
  return { problems, checked: holds?.replayed?.checked, older: holds?.replayed?.older };
};

/** Takes the triggers away, as whoever opens the file with another tool can, and puts them back. */
function tamper(file: string, sql: string): void {
  const db = new Database(file);
  const made = db.prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").all() as {
    readonly name: string;
    readonly sql: string;
  }[];
  for (const { name } of made) db.exec(`DROP TRIGGER ${name}`);
  const { changes } = db.prepare(sql).run();
  if (changes === 0) throw new Error(`nothing was altered by ${sql}`);
  for (const one of made) db.exec(one.sql);
  db.close();
}

/** Two trays over four rounds, with a core checked, a gap answered and an interruption between them. */
function twoTrays(played = new Played()): Played {
  const food = { ...strawberries, water: fraction(0.8898) };
  const holding = { tare: grams(400), foodName: food.name, food };
  played.begin(["A", "B"].map((name) => trayAsked(name, holding)));
  for (const net of [907.2, 880.1]) {
    played.put(400 + net);
    played.lift();
  }
  for (const [hour, a, b] of [
    [10, 500, 470],
    [24, 110, 107.2],
    [30, 102, 98.9],
    [36, 102, 98.9],
  ] as const) {
    played.clock("in");
    played.hour = hour;
    played.clock("out");
    for (const net of [a, b]) {
      played.put(400 + net);
      played.lift();
    }
  }
  return played;
}

const current = (batch: Batch) =>
  batch.weighings.filter((one) => !batch.weighings.some(({ supersedes }) => supersedes === one.id));

test("verdicts of a batch that nobody touched follow from it, and are counted", () => {
  const file = keptFile(twoTrays());
  expect(counted(file)).toEqual({ problems: [], checked: 12, older: 0 });
});

test("a verdict that an earlier program gave of a tray not weighed yet is not accused, nor missed", () => {
  const played = oneWeighed();
  const [a, b] = played.batch.trays;
  expect(counted(keptFile(played))).toEqual({ problems: [], checked: 2, older: 0 });

  // What that program kept: the same, and "unsure" of the other tray.
  const { batch } = played;
  const told = batch.verdicts[0]!;
  const { limit, timeFactor } = JSON.parse(told.basis) as { limit: number; timeFactor: number };
  const given = {
    limit: fraction(limit),
    timeFactor,
    comparisons: [],
    round: told.round,
    at: told.at,
  };
  const before = verdictsGiven({ ...batch }, batch.judged!, given);
  expect(before.map(({ trayId, word }) => [trayId, word])).toEqual([
    [null, "losing"],
    [a!.id, "losing"],
    [b!.id, "unsure"],
  ]);
  played.told.push({ is: "verdict-given", verdict: { id: 3, ...before[2]! } });
  const file = keptFile(played);
  expect(counted(file)).toEqual({ problems: [], checked: 3, older: 0 });
  tamper(file, `UPDATE verdict SET word = 'stable' WHERE tray_id = ${b!.id}`);
  expect(counted(file).problems).toEqual([expect.stringMatching(/tray B, round 1.*word is/)]);
});

const deedsOfPeople =
  "round correct strike retype food thickness moment core tray interrupt gap limit swap end".split(
    " ",
  );

test("whatever a person puts right, adds or teaches later does not count against what was said before", () => {
  const done = new Set<string>();
  fc.assert(
    fc.property(
      fc.array(
        fc.record({
          what: fc.constantFrom(...deedsOfPeople),
          pick: fc.nat(),
          share: fc.double({ min: 0, max: 1, noNaN: true }),
        }),
        { minLength: 1, maxLength: 12 },
      ),
      (deeds) => {
        const played = twoTrays();
        for (const deed of deeds) if (doIfAllowed(played, deed)) done.add(deed.what);
        const { problems, checked } = counted(keptFile(played));
        expect(problems).toEqual([]);
        expect(checked).toBeGreaterThanOrEqual(12);
      },
    ),
    { numRuns: 12 },
  );
  expect(done.size).toBeGreaterThan(6);
});

type Deed = { readonly what: string; readonly pick: number; readonly share: number };

/** What the program refuses is no part of the record. */
function doIfAllowed(played: Played, deed: Deed): boolean {
  try {
    play(played, deed);
    return true;
  } catch (thrown) {
    if (!(thrown instanceof Error) || thrown.name !== "Fault") throw thrown;
    return false;
  }
}

function play(played: Played, { what, pick, share }: Deed): void {
  if (played.bench.batches.length === 0) return;
  // No two acts of a person fall into one millisecond: judging in between takes longer.
  played.hour += 1 / 3600;
  const { batch } = played;
  const from = <T>(all: readonly T[]): T => {
    if (all.length === 0) throw Object.assign(new Error("none there"), { name: "Fault" });
    return all[pick % all.length]!;
  };
  const act = (asked: (bench: Bench) => ReturnType<typeof acts.setClock>) => played.act(asked);
  const edit = { trayId: null, kind: null, gross: null, struck: false, reason: "looked again" };
  const tray = () => from(batch.trays);
  const weighing = () => from(current(batch).filter(({ struck }) => !struck));
  switch (what) {
    case "round":
      played.clock("in");
      played.hour += 1 + 5 * share;
      played.clock("out");
      for (const one of batch.trays) {
        played.put(400 + 97 + Math.round(50 * share) / 10 + one.id);
        played.lift();
      }
      return;
    case "correct":
      return act((bench) =>
        weighings.editWeighing(bench, weighing().id, { ...edit, gross: grams(480 + 300 * share) }),
      );
    case "strike":
      return act((bench) =>
        weighings.editWeighing(bench, weighing().id, { ...edit, struck: true }),
      );
    case "swap":
      return act((bench) =>
        weighings.swapWeighings(
          bench,
          weighing().id,
          from(current(batch).toReversed()).id,
          "mixed up",
        ),
      );
    case "retype":
      return act((bench) =>
        acts.editTray(bench, batch.id, tray().id, { tare: grams(390 + 9 * share) }, played.at()),
      );
    case "food":
      return act((bench) =>
        acts.editTray(
          bench,
          batch.id,
          tray().id,
          { food: { ...strawberries, water: fraction(0.8 + 0.15 * share) } },
          played.at(),
        ),
      );
    case "thickness":
      return act((bench) =>
        acts.editTray(
          bench,
          batch.id,
          tray().id,
          { thicknessMm: pick % 4 === 0 ? null : 2 + 20 * share },
          played.at(),
        ),
      );
    case "tray": {
      const tray = trayAsked(`later ${pick}`, { tare: grams(402) });
      return act((bench) => acts.addTray(bench, batch.id, tray));
    }
    case "moment": {
      const moment = from(batch.moments);
      const at = played.at(played.hour * share);
      const change = { at, struck: pick % 3 === 0, reason: "forgot it" };
      return act((bench) => acts.editMoment(bench, batch.id, moment.id, change, played.at()));
    }
    case "core":
      return act((bench) =>
        acts.checkCore(bench, tray().id, from(["dry", "cold", "soft"] as const), played.at()),
      );
    case "interrupt": {
      const open = batch.interruptions.find(({ to }) => to === null);
      const at = played.at(played.hour * share);
      return act((bench) =>
        open === undefined
          ? acts.noteInterruption(
              bench,
              batch.id,
              { from: at, to: pick % 2 === 0 ? played.at() : null, reason: "mains" },
              played.at(),
            )
          : acts.endInterruption(bench, batch.id, open.id, played.at(), played.at()),
      );
    }
    case "gap": {
      const open = batch.gaps.find(({ dryerRan }) => dryerRan === null);
      return act((bench) =>
        open === undefined
          ? [
              {
                is: "gap-found",
                gap: {
                  id: bench.next.gap,
                  batchId: batch.id,
                  from: played.at(played.hour * share),
                  to: played.at(played.hour * share + 0.5),
                  dryerRan: null,
                },
              },
            ]
          : acts.answerGap(bench, open.id, pick % 2 === 0, played.at()),
      );
    }
    case "limit":
      return act((bench) => [
        {
          is: "settings-changed",
          settings: { ...bench.settings, limit: fraction(0.005 + 0.04 * share) },
          at: played.at(),
        },
      ]);
    case "end":
      return act((bench) => acts.endBatch(bench, batch.id, played.at()));
    default:
      throw new Error(`nobody plays ${what}`);
  }
}

const verdictOfTrayA = "id = (SELECT max(id) FROM verdict WHERE tray_id = 1)";
const ofBatch = "id = (SELECT max(id) FROM verdict WHERE tray_id IS NULL)";

test.each([
  [
    "a word",
    `UPDATE verdict SET word = 'losing' WHERE ${verdictOfTrayA}`,
    "tray A, round 4",
    "word is",
  ],
  [
    "the probability that it is dry",
    `UPDATE verdict SET basis = json_set(basis, '$.verdict.pDry', 0.9) WHERE ${verdictOfTrayA}`,
    "tray A, round 4",
    "verdict.pDry is 0.9",
  ],
  [
    "hours to go",
    `UPDATE verdict SET basis = json_set(basis, '$.moreHours', json('{"estimate":1,"low":1,"high":1}')) WHERE ${ofBatch}`,
    "as a whole, round 4",
    "basis.moreHours",
  ],
  [
    "a sentence",
    `UPDATE verdict SET text = 'dry' WHERE ${verdictOfTrayA}`,
    "tray A",
    'text is "dry"',
  ],
  [
    "a mass in the log beside it",
    `UPDATE verdict SET basis = json_set(basis, '$.log.weighings[0].net', 300) WHERE ${verdictOfTrayA}`,
    "tray A",
    "basis.log.weighings.0.net is 300",
  ],
  ["the round", `UPDATE verdict SET round = 3 WHERE ${verdictOfTrayA}`, "tray A", ""],
  [
    "the version of one row alone",
    `UPDATE verdict SET judgment_version = 1 WHERE ${verdictOfTrayA}`,
    "tray A",
    "judgment is 1",
  ],
  [
    "the limit",
    `UPDATE verdict SET basis = json_set(basis, '$.limit', 0.05) WHERE ${ofBatch}`,
    "tray A",
    "",
  ],
  [
    "what it stood on",
    `UPDATE verdict SET basis = json_set(basis, '$.standing.weighing', 3) WHERE ${ofBatch}`,
    "round 4",
    "",
  ],
  ["its basis", `UPDATE verdict SET basis = '{' WHERE ${ofBatch}`, "as a whole", "does not say"],
  ["a row away", `DELETE FROM verdict WHERE ${verdictOfTrayA}`, "tray A, round 4", "is not there"],
  [
    "the batch's row away",
    `DELETE FROM verdict WHERE ${ofBatch}`,
    "tray A, round 4",
    "does not say what it rests on",
  ],
  [
    "the water that the food was believed to hold",
    "UPDATE tray_version SET food_water_fraction = 0.95 WHERE tray_id = 1",
    "tray A, round 1",
    "",
  ],
  [
    "the spread of that figure",
    "UPDATE tray_version SET food_water_sd_fraction = 0.05 WHERE tray_id = 1",
    "tray A, round 1",
    "",
  ],
  [
    "how thick its pieces were",
    "UPDATE tray_version SET thickness_mm = 40 WHERE tray_id = 1",
    "tray A, round 1",
    "",
  ],
  ["a tare", "UPDATE tray_version SET typed_tare_mg = 399000 WHERE tray_id = 1", "tray A", ""],
])("an altered verdict is named: %s", (_what, sql, where, how) => {
  const file = keptFile(twoTrays());
  tamper(file, sql);
  const { problems } = counted(file);
  expect(problems.join("\n")).toContain(where);
  expect(problems.join("\n")).toContain(how);
});

test("a limit so small that it is nothing is a limit like another", () => {
  const played = new Played();
  played.act((bench) => [
    {
      is: "settings-changed",
      settings: { ...bench.settings, limit: fraction(0) },
      at: played.at(),
    },
  ]);
  expect(counted(keptFile(twoTrays(played)))).toEqual({ problems: [], checked: 12, older: 0 });
});

test("verdicts of an earlier version of the judgment are counted and left unchecked", () => {
  const file = keptFile(twoTrays());
  tamper(
    file,
    `UPDATE verdict SET judgment_version = ${judgmentVersion - 1}, word = 'gaining' WHERE round < 3`,
  );
  expect(counted(file)).toEqual({ problems: [], checked: 6, older: 6 });
});

test("a row that cannot be read names its batch and does not end the check", () => {
  const file = keptFile(dried());
  tamper(file, "UPDATE tray_version SET food_water_fraction = 9e999");
  expect(counted(file).problems).not.toEqual([]);
});
