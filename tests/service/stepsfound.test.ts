// A scale that counts in fives, and shows no decimals: its step is known only after some figures.
import { expect, test } from "vitest";
import { logsOf, knownBesides, verdictsGiven, judgedAs } from "../../src/service/given.ts";
import { replay } from "../../src/service/replay.ts";
import { divisionsFound } from "../../src/service/stepsfound.ts";
import type { Batch } from "../../src/service/bench.ts";
import * as weighings from "../../src/service/weighings.ts";
import { grams } from "../../src/units/quantity.ts";
import { Played } from "./given.ts";

/** Two trays weighed fresh as if in single grams, then dry with the given division. Masses are invented. */
function weighed(
  fresh: readonly [number, number],
  dry: readonly [number, number],
  division: number,
) {
  const played = new Played();
  played.startBatch(["A", "B"]);
  for (const mass of fresh) {
    played.put(mass, { division: grams(1), u: grams(0.5) });
    played.lift();
  }
  played.clock("in");
  played.hour = 10;
  played.clock("out");
  for (const mass of dry) {
    played.put(mass, { division: grams(division), u: grams(division / 2) });
    played.lift();
  }
  return played;
}

const freshDivisions = (played: Played) =>
  logsOf(played.batch, { timeFactor: 1, ...knownBesides(played.bench) }).map(
    ({ fresh }) => fresh?.division,
  );

test("what a scale weighed before its step was found out is judged with that step, and the rows stay", () => {
  const played = weighed([1000, 1105], [700, 775], 5);
  expect(freshDivisions(played)).toEqual([5, 5]);
  expect(played.batch.weighings.map(({ division }) => division)).toEqual([1, 1, 5, 5]);
});

test("figures between the steps, or steps that no display has, tell of another scale", () => {
  expect(freshDivisions(weighed([1000, 1103], [700, 775], 5))).toEqual([1, 1]);
  expect(freshDivisions(weighed([1000, 1105], [700, 775], 1))).toEqual([1, 1]);
  expect(freshDivisions(weighed([1000, 1200], [700, 780], 2.5))).toEqual([1, 1]);
});

test("a figure that a person put right is what they say, and tells nothing of the display", () => {
  const played = weighed([1000, 1105], [700, 775], 5);
  played.act((bench) =>
    weighings.editWeighing(bench, 1, {
      trayId: null,
      kind: null,
      gross: grams(1001),
      struck: false,
      reason: "read again",
    }),
  );
  expect([...divisionsFound(played.batch)]).toEqual([
    [1, 5],
    [2, 5],
  ]);
  expect(freshDivisions(played)).toEqual([1, 5]);
});

test("a figure that was moved to another tray is still one of its scale", () => {
  const played = weighed([1000, 1105], [700, 775], 5);
  played.act((bench) => weighings.swapWeighings(bench, 1, 2, "the other way round"));
  expect(freshDivisions(played)).toEqual([5, 5]);
});

test("a verdict is judged anew with what it was given with, also one from before steps were looked at", () => {
  const played = weighed([1000, 1105], [700, 775], 5);
  const { batch } = played;
  const check = (one: Batch) => replay(one, () => one.trays, []).problems;
  expect(batch.verdicts[0]?.basis).toContain('"stepsFound":true');
  expect(check(batch)).toEqual([]);
  const judging = {
    limit: played.bench.settings.limit,
    timeFactor: 1,
    ...knownBesides(played.bench),
    stepsFound: false,
  };
  const given = verdictsGiven(batch, judgedAs(batch, judging)!, {
    ...judging,
    round: 1,
    at: played.at(),
  }).map((one, index) => ({ ...one, id: index + 1 }));
  expect(given[0]?.basis).not.toContain("stepsFound");
  expect(given[1]?.basis).not.toEqual(batch.verdicts[1]?.basis);
  expect(check({ ...batch, verdicts: given })).toEqual([]);
});
