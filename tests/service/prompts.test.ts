// Two people at two scales, with trays of one batch and of another. Masses are invented.
import { expect, test } from "vitest";
import * as acts from "../../src/service/acts.ts";
import * as weighings from "../../src/service/weighings.ts";
import { nextLoad } from "../../src/service/loads.ts";
import { current } from "../../src/service/look.ts";
import { emptyPan } from "../../src/settle/settle.ts";
import { grams } from "../../src/units/quantity.ts";
import { Played, trayAsked } from "./given.ts";

const ids = ["scale-1", "scale-2"] as const;
type ScaleId = (typeof ids)[number];

/** Trays with a known empty mass, and two scales. */
function atTwoScales(names: readonly string[] = ["A", "B", "C", "D"]): Played {
  const played = new Played();
  const scale = { ...played.scale, id: "scale-2", uri: "/dev/ttyUSB1", load: null };
  played.act(() => [{ is: "scale-came", scale }]);
  played.startBatch(names);
  return played;
}
const scaleOf = (played: Played, id: ScaleId) => played.bench.scales.find((one) => one.id === id)!;
const put = (played: Played, id: ScaleId, mass: number): void => {
  played.hour += 0.005;
  played.put(mass, {}, scaleOf(played, id));
};
const asked = (played: Played) =>
  ids.map((id) => {
    const next = nextLoad(played.bench, scaleOf(played, id), played.at());
    return next === null ? null : `${next.tray.name} ${next.kind}`;
  });
const counting = (played: Played) =>
  current(played.batch.weighings).map(({ trayId, scale, gross }) => [trayId, scale, gross]);
const coming = (played: Played, id: ScaleId, mass: number): void =>
  played.act(() => [
    {
      is: "pan-changed",
      scaleId: id,
      pan: { ...emptyPan, state: "weight", mass: grams(mass), division: grams(0.1), on: "load" },
    },
  ]);

test("two scales that are both in use ask for different trays, and each keeps its own until it was weighed", () => {
  const played = atTwoScales();
  // Nobody knows yet at which of them somebody stands.
  expect(asked(played)).toEqual(["A fresh", "A fresh"]);
  put(played, "scale-1", 1010);
  expect(asked(played)).toEqual(["B fresh", "C fresh"]);
  put(played, "scale-2", 1110);
  expect(asked(played)).toEqual(["B fresh", "D fresh"]);
  for (const id of ids) played.lift(id);
  put(played, "scale-2", 1050);
  // One tray is left, whoever brings it.
  expect(asked(played)).toEqual(["B fresh", "B fresh"]);
  put(played, "scale-1", 1070);
  expect(counting(played)).toEqual([
    [1, "scale-1", 1010],
    [3, "scale-2", 1110],
    [4, "scale-2", 1050],
    [2, "scale-1", 1070],
  ]);
});

test("one scale that nobody uses keeps no tray from the other", () => {
  const played = atTwoScales();
  const seen: unknown[] = [];
  for (const mass of [1010, 1110, 1050, 1070]) {
    seen.push(asked(played)[1]);
    put(played, "scale-2", mass);
    played.lift("scale-2");
  }
  expect(seen).toEqual(["A fresh", "B fresh", "C fresh", "D fresh"]);
});

test("a tray that was chosen at one scale is not asked for at the other", () => {
  const played = atTwoScales(["A", "B"]);
  played.act((bench) => acts.chooseTask(bench, "scale-1", 1, null, null));
  expect(asked(played)).toEqual(["A fresh", "B fresh"]);
  put(played, "scale-2", 1110);
  put(played, "scale-1", 1010);
  expect(counting(played)).toEqual([
    [2, "scale-2", 1110],
    [1, "scale-1", 1010],
  ]);
});

test("where both ask for one tray and loads come onto both, none is taken unasked", () => {
  const played = atTwoScales(["A", "B"]);
  coming(played, "scale-2", 700);
  put(played, "scale-1", 1010);
  expect(scaleOf(played, "scale-1").load?.question?.candidates.map(({ trayId }) => trayId)).toEqual(
    [1, 2],
  );
  put(played, "scale-2", 1110);
  expect(scaleOf(played, "scale-2").load?.became).toBe("asked");
  expect(counting(played)).toEqual([]);
  // Masses that tell the trays apart need no question, whatever lies on the other scale.
  const dry = atTwoScales(["A", "B"]);
  for (const [place, mass] of [1010, 1210].entries()) put(dry, ids[place]!, mass);
  for (const id of ids) dry.lift(id);
  for (const [hour, ...loads] of [
    [12, 400 + 250, 400 + 500],
    [14, 400 + 450, 400 + 200],
  ] as const) {
    dry.clock("in");
    dry.hour = hour;
    dry.clock("out");
    for (const [place, mass] of loads.entries()) {
      if (hour === 14 && place === 0) coming(dry, "scale-2", 500);
      put(dry, ids[place]!, mass);
    }
    for (const id of ids) dry.lift(id);
  }
  expect(counting(dry).slice(2)).toEqual([
    [1, "scale-1", 650],
    [2, "scale-2", 900],
    [2, "scale-1", 850],
    [1, "scale-2", 600],
  ]);
});

test("an empty tray that stands on one scale to be filled is taken on no other", () => {
  const played = atTwoScales([]);
  for (const name of ["A", "B"]) played.act((bench) => acts.addTray(bench, 1, trayAsked(name)));
  put(played, "scale-1", 412);
  expect(asked(played)).toEqual(["A fresh", "B tare"]);
  put(played, "scale-2", 431);
  expect(asked(played)).toEqual(["A fresh", "B fresh"]);
  put(played, "scale-2", 1031);
  put(played, "scale-1", 912);
  expect(counting(played)).toEqual([
    [1, "scale-1", 412],
    [2, "scale-2", 431],
    [2, "scale-2", 1031],
    [1, "scale-1", 912],
  ]);
});

test("an undo touches what its own scale took, and that scale asks for it again", () => {
  const played = atTwoScales();
  put(played, "scale-1", 1010);
  played.act((bench) => acts.chooseTask(bench, "scale-2", 2, null, null));
  put(played, "scale-2", 1110);
  expect(new Set(asked(played))).toEqual(new Set(["C fresh", "D fresh"]));
  const [, other] = asked(played);
  const { lastTaken } = scaleOf(played, "scale-1");
  const strike = { trayId: null, kind: null, gross: null, struck: true, reason: "undone" };
  played.act((bench) => weighings.editWeighing(bench, lastTaken ?? 0, strike));
  expect(counting(played)).toEqual([[2, "scale-2", 1110]]);
  expect(ids.map((id) => scaleOf(played, id).lastTaken)).toEqual([null, 2]);
  expect(asked(played)).toEqual(["A fresh", other]);
});

test("a scale where the trays of one batch are loaded goes on with that batch, whatever it asked for before", () => {
  const played = atTwoScales(["A", "B", "C"]);
  played.startBatch(["K", "L", "M"]);
  played.act((bench) => acts.chooseTask(bench, "scale-2", 4, null, null));
  put(played, "scale-1", 1010);
  expect(asked(played)).toEqual(["B fresh", "K fresh"]);
  put(played, "scale-2", 1110);
  expect(asked(played)).toEqual(["B fresh", "L fresh"]);
  for (const id of ids) played.lift(id);
  put(played, "scale-1", 1030);
  put(played, "scale-2", 1150);
  expect(asked(played)).toEqual(["C fresh", "M fresh"]);
});
