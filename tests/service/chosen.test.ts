/** A tray that a person chose to come next onto a scale: what its load is taken for, whatever happens meanwhile. */
import { expect, test } from "vitest";
import * as acts from "../../src/service/acts.ts";
import * as weighings from "../../src/service/weighings.ts";
import { answerLoad, nextLoad } from "../../src/service/loads.ts";
import { grams } from "../../src/units/quantity.ts";
import { Played, strawberries, trayAsked } from "./given.ts";

const touch = (played: Played, tray: number): void =>
  played.act((bench) => acts.chooseTask(bench, "scale-1", tray, null, null));

const next = (played: Played) => {
  const one = nextLoad(played.bench, played.scale, played.at());
  return one === null ? null : { tray: one.tray.name, kind: one.kind, chosen: one.chosen };
};

const kinds = (played: Played) => played.batch.weighings.map(({ kind }) => kind);

const planned = (): Played => {
  const played = new Played();
  const food = { foodName: strawberries.name, food: strawberries };
  played.begin([trayAsked("A", food), trayAsked("B", food)]);
  return played;
};

test("the empty weighing of a chosen tray, taken back, is asked for again and taken as one", () => {
  const played = planned();
  touch(played, 2);
  played.put(900);
  played.lift();
  const [wrong] = played.batch.weighings;
  const edit = { trayId: null, kind: null, gross: null, struck: true, reason: "undone" };
  played.act((bench) => weighings.editWeighing(bench, wrong?.id ?? 0, edit));
  expect(next(played)).toEqual({ tray: "B", kind: "tare", chosen: true });
  played.put(400);
  played.lift();
  expect(played.scale.load).toBeNull();
  expect(kinds(played).slice(2)).toEqual(["tare"]);
  expect(next(played)).toEqual({ tray: "B", kind: "fresh", chosen: true });
  played.put(900);
  expect(kinds(played).slice(2)).toEqual(["tare", "fresh"]);
});

test("a tray that was chosen and then weighed by hand is not taken as empty or fresh after drying", () => {
  const played = planned();
  touch(played, 1);
  const typed = { portion: null, division: grams(0.1), at: played.at(), now: played.at() };
  for (const trayId of [1, 2])
    for (const [kind, gross] of [
      ["tare", grams(400)],
      ["fresh", grams(1000)],
    ] as const)
      played.act((bench) => weighings.typeWeighing(bench, { ...typed, trayId, kind, gross }));
  played.clock("in");
  expect(next(played)).toBeNull();
  played.hour = 10;
  played.clock("out");
  expect(next(played)).toMatchObject({ tray: "A", kind: "dry" });
  played.put(520);
  expect(kinds(played).slice(4)).toEqual(["dry"]);
});

test("who said that a tray is empty with its food on it is told what to take back", () => {
  const played = planned();
  for (const gross of [400, 900]) {
    played.put(gross);
    played.lift();
  }
  played.put(865.2);
  const load = played.scale.load!.id;
  const empty = { load, trayId: 2, kind: "tare", portion: null } as const;
  played.act((bench) => answerLoad(bench, "scale-1", empty));
  played.lift();
  expect(kinds(played)).toEqual(["tare", "fresh", "tare"]);
  for (const again of [865.2, 865.25, 420]) {
    played.put(again);
    expect(played.scale.load?.became).toBe("asked");
    expect(played.scale.load?.question?.why).toBe(
      "It weighs no more than the empty B; if food lay on that, strike its weighing out under Batch",
    );
    played.lift();
  }
  played.put(1200);
  expect(kinds(played).slice(3)).toEqual(["fresh"]);
});

test("a tray is asked about once, as what was chosen for it", () => {
  const played = planned();
  played.act((bench) => acts.chooseTask(bench, "scale-1", 2, "fresh", null));
  played.put(9_000);
  const candidates = played.scale.load?.question?.candidates ?? [];
  expect(candidates.map(({ trayId, kind }) => [trayId, kind])).toEqual([
    [2, "fresh"],
    [1, "tare"],
  ]);
});
