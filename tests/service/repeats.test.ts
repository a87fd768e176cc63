import { expect, test } from "vitest";
import * as acts from "../../src/service/acts.ts";
import type { Batch } from "../../src/service/bench.ts";
import { logsOf } from "../../src/service/given.ts";
import { replay } from "../../src/service/replay.ts";
import { placementsOf, seriesOf } from "../../src/service/repeats.ts";
import { chooseCheck, setCheckWeight } from "../../src/service/kitchen.ts";
import { isFact } from "../../src/service/step.ts";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore } from "../../src/store/store.ts";
import { grams } from "../../src/units/quantity.ts";
import { real, tempFolder } from "../store/folder.ts";
import { dried, Played } from "./given.ts";

/** A check weight put on so many times, half a minute apart, with what the scale shows each time. */
function checked(played: Played, shown: readonly number[]): Played {
  const asked = {
    name: "the kilogram",
    nominal: grams(1000),
    weightClass: "M1" as const,
    error: null,
    everyDays: 30,
    retired: false,
  };
  played.act((bench) => setCheckWeight(bench, null, asked, played.at()));
  for (const mass of shown) {
    played.act((bench) => chooseCheck(bench, "scale-1", 1));
    played.put(mass);
    played.lift();
    played.hour += 1 / 120;
  }
  return played;
}

/** The tray put on once more within a minute. */
function again(played: Played, gross: number): void {
  played.hour += 1 / 60;
  played.act((bench) => acts.chooseTask(bench, "scale-1", 1, "dry", null));
  played.put(gross);
  played.lift();
}

test("a check weight put on ten times and more is what placement is learned by, and open batches know it", () => {
  const played = dried();
  expect(placementsOf(played.bench)).toEqual([]);
  const before = played.batch.judged;
  checked(played, Array(12).fill(1000));
  const [placement] = placementsOf(played.bench);
  expect(placement).toMatchObject({ scale: "scale-1", division: 0.1, repeats: 11 });
  expect(placement?.inDivisions).toBe(0.25);
  expect(played.batch.judged).not.toEqual(before);
  expect(played.batch.judged?.trays[0]?.provable).toBeLessThan(before!.trays[0]!.provable!);
});

test("a tray weighed twice between two spells of drying is a repeat; a correction of it is none", () => {
  const played = dried();
  again(played, 502.1);
  expect(seriesOf(played.batch)).toMatchObject([{ scale: "scale-1", repeats: 1 }]);
  const last = played.batch.weighings.at(-1)!;
  const corrected: Batch = {
    ...played.batch,
    weighings: [
      ...played.batch.weighings,
      { ...last, id: last.id + 1, supersedes: last.id, gross: grams(502), reason: "misread" },
    ],
  };
  expect(seriesOf(corrected)).toEqual([]);
  expect(seriesOf({ ...played.batch, practice: true })).toEqual([]);
  expect(placementsOf({ ...played.bench, practice: true })).toEqual([]);
});

test("with nothing learned the logs are the same to the last bit", () => {
  const { batch } = dried();
  const judging = { timeFactor: 1, comparisons: [] };
  expect(JSON.stringify(logsOf(batch, { ...judging, placements: [] }))).toBe(
    JSON.stringify(logsOf(batch, judging)),
  );
});

test("what was learned is there after the batch ended and the service started again", () => {
  const played = dried();
  again(played, 502.1);
  const learned = placementsOf(played.bench);
  expect(learned).toHaveLength(1);
  played.act((bench) => acts.endBatch(bench, 1, played.at()));
  expect(played.bench.batches).toEqual([]);
  expect(placementsOf(played.bench)).toEqual(learned);
  const folder = tempFolder();
  const store = openStore(folder, { ...real, at: played.at(0) });
  for (const fact of played.told.filter(isFact)) store.record([fact]);
  store.close();
  const opened = openStore(folder, real);
  const kept = opened.load();
  opened.close();
  const series = kept.weighedAgain.flatMap(seriesOf);
  expect(series).toEqual(played.bench.series);
  expect(placementsOf({ ...played.bench, batches: [], series })).toEqual(learned);
});

test("verdicts follow from what was learned by then, whatever was learned later", () => {
  const played = checked(dried(), Array(12).fill(1000));
  for (const net of [101.9, 101.9]) {
    played.clock("in");
    played.hour += 6;
    played.clock("out");
    played.put(400 + net);
    played.lift();
  }
  checked(played, [1000, 1000.6, 999.5, 1000.4, 1000]);
  const folder = tempFolder();
  const store = openStore(folder, { ...real, at: played.at(0) });
  for (const fact of played.told.filter(isFact)) store.record([fact]);
  store.close();
  const { problems, holds } = inspectStore(databaseIn(folder), replay);
  expect(problems).toEqual([]);
  expect(holds?.replayed?.checked).toBeGreaterThan(6);
  const standing = played.batch.verdicts.findLast(({ trayId }) => trayId === null)?.basis;
  expect(standing).toContain('"repeats":11');
});

test("a verdict that claims a better placement than any scale is granted is named", () => {
  const played = checked(dried(), Array(12).fill(1000));
  played.clock("in");
  played.hour += 6;
  played.clock("out");
  played.put(501.9);
  played.lift();
  const verdicts = played.batch.verdicts.map((one) => ({
    ...one,
    basis: one.basis.replace('"inDivisions":0.25', '"inDivisions":0.05'),
  }));
  const altered = replay({ ...played.batch, verdicts }, () => played.batch.trays, []);
  expect(altered.problems.join()).toContain("does not say what it rests on");
});
