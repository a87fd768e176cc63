import { expect, test } from "vitest";
import * as acts from "../../src/service/acts.ts";
import * as weighings from "../../src/service/weighings.ts";
import { batchLabel, toldOf, wordOf } from "../../src/service/look.ts";
import { showBatch, showCurves } from "../../src/service/showbatch.ts";
import { isFact } from "../../src/service/step.ts";
import { grams } from "../../src/units/quantity.ts";
import { drying, oneWeighed, Played } from "./given.ts";

test("a batch is told of by its number and name, and practice is always said", () => {
  expect(batchLabel({ name: "", number: 7, practice: false })).toBe("Batch 7");
  expect(batchLabel({ name: "Apples", number: 7, practice: false })).toBe("Batch 7 (Apples)");
  expect(batchLabel({ name: "", number: 7, practice: true })).toBe("Practice batch 7");
  expect(batchLabel({ name: "Apples", number: 7, practice: true })).toBe(
    "Practice batch 7 (Apples)",
  );
});

const shown = (played: Played) => showBatch(played.batch, { at: played.at(), timeFactor: 1 });
const wordsOn = (played: Played) => [
  shown(played).verdict,
  ...shown(played).trays.map(({ verdict }) => verdict?.verdict ?? null),
];

test("nothing is told of trays that were not weighed since drying began, but when to weigh them is", () => {
  const played = drying();
  expect(wordsOn(played)).toEqual([null, null, null]);
  expect(wordOf(played.batch)).toBeNull();
  const { behind, moreHours, nextWeighing } = shown(played);
  expect({ behind, moreHours }).toEqual({ behind: [], moreHours: null });
  expect(nextWeighing?.dryingHours).toBeGreaterThan(0);
  // The mass that the food can have when dry needs no weighing.
  expect(showCurves(played.batch).every(({ expectedDryGrams }) => expectedDryGrams !== null)).toBe(
    true,
  );
});

test("of a batch with one tray weighed, that tray alone has a verdict, told and kept", () => {
  const played = oneWeighed();
  expect(wordsOn(played)).toEqual(["losing", "losing", null]);
  const kept = played.told.filter(isFact).flatMap((fact) => {
    return fact.is === "verdict-given" ? [[fact.verdict.trayId, fact.verdict.word]] : [];
  });
  expect(kept).toEqual([
    [null, "losing"],
    [played.batch.trays[0]!.id, "losing"],
  ]);
});

test("a weighing that is struck out takes the verdict with it", () => {
  const played = oneWeighed();
  const weighing = played.batch.weighings.at(-1)!;
  const edit = { trayId: null, kind: null, gross: null, struck: true, reason: "slipped" };
  played.act((bench) => weighings.editWeighing(bench, weighing.id, edit));
  expect(wordsOn(played)).toEqual([null, null, null]);
});

test("figures that contradict each other are told at once", () => {
  const played = drying();
  const [a] = played.batch.trays;
  const edit = { tare: grams(1000) };
  played.act((bench) => acts.editTray(bench, played.batch.id, a!.id, edit, played.at()));
  expect(toldOf(played.batch, played.batch.trays[0]!)?.contradiction?.code).toBe(
    "lighter-than-possible",
  );
  expect(wordsOn(played)).toEqual(["unsure", "unsure", null]);
});
