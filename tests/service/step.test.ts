import { expect, test } from "vitest";
import * as acts from "../../src/service/acts.ts";
import * as weighings from "../../src/service/weighings.ts";
import { answerLoad, nextLoad } from "../../src/service/loads.ts";
import {
  batchHoursAt,
  coresToCheck,
  current,
  freshOf,
  netOf,
  roundOf,
} from "../../src/service/look.ts";
import { isFault, type FaultCode } from "../../src/faults.ts";
import { grams, utcMs } from "../../src/units/quantity.ts";
import { showBatch, showCurves } from "../../src/service/showbatch.ts";
import type { Batch } from "../../src/service/bench.ts";
import { owedBy } from "../../src/service/step.ts";
import type { Sentence } from "../../src/verdict/sentences.ts";
import type { ReasonCode } from "../../src/verdict/verdict.ts";
import { dried, drying, Played, trayAsked } from "./given.ts";

function loaded(): Played {
  const played = new Played();
  played.startBatch(["A", "B"]);
  played.put(1000);
  played.lift();
  played.put(1100);
  played.lift();
  return played;
}

const refusal = (code: FaultCode) => (work: () => unknown) => {
  let thrown: unknown = null;
  try {
    work();
  } catch (error) {
    thrown = error;
  }
  expect(isFault(thrown, code), `${String(thrown)} is not ${code}`).toBe(true);
};

/** Strawberries of 600 and 700 g with 9.05 % solids, nearly at the end and then at it. */
const dry = { A: 400 + 55.4, B: 400 + 64.6 };

test("loads are taken one after the other in the order that the page asks for", () => {
  const played = new Played();
  played.startBatch(["A", "B"]);
  expect(nextLoad(played.bench, played.scale, played.at())?.tray.name).toBe("A");
  played.put(1000);
  expect(nextLoad(played.bench, played.scale, played.at())?.tray.name).toBe("B");
  const [a] = played.batch.trays;
  const fresh = freshOf(played.batch, a!);
  expect(netOf(played.batch, fresh!)).toBe(600);
  expect(played.scale.load?.became).toBe("taken");
});

test("an empty tray is weighed first where its mass is not known", () => {
  const played = new Played();
  played.begin([trayAsked("A")]);
  played.put(412.3);
  played.lift();
  played.put(912.3);
  expect(played.batch.weighings.map(({ kind }) => kind)).toEqual(["tare", "fresh"]);
  expect(netOf(played.batch, played.batch.weighings[1]!)).toBeCloseTo(500, 9);
});

test("a load from a scale that may have zeroed itself is asked about, and taken on a yes", () => {
  const played = new Played();
  played.startBatch(["A"]);
  played.put(1000, { zeroSeen: false });
  expect(played.batch.weighings).toHaveLength(0);
  expect(played.scale.load?.question?.is).toBe("zero-not-seen");
  const load = played.scale.load!.id;
  played.act((bench) =>
    answerLoad(bench, "scale-1", { load, trayId: 1, kind: null, portion: null }),
  );
  expect(played.batch.weighings).toHaveLength(1);
  refusal("load.gone")(() =>
    played.act((bench) =>
      answerLoad(bench, "scale-1", { load, trayId: 1, kind: null, portion: null }),
    ),
  );
});

test("a struck weighing stays on the record and its tray is asked for again", () => {
  const played = loaded();
  const edit = { trayId: null, kind: null, gross: null, struck: true, reason: "undone" };
  played.act((bench) => weighings.editWeighing(bench, 2, edit));
  expect(played.batch.weighings).toHaveLength(3);
  expect(current(played.batch.weighings).map(({ id }) => id)).toEqual([1]);
  expect(nextLoad(played.bench, played.scale, played.at())?.tray.name).toBe("B");
  refusal("weighing.edited-meanwhile")(() =>
    played.act((bench) => weighings.editWeighing(bench, 2, edit)),
  );
});

test("two weighings taken for each other's trays are swapped in one act", () => {
  const played = loaded();
  played.act((bench) => weighings.swapWeighings(bench, 1, 2, "trays swapped"));
  const net = (index: number) => {
    const tray = played.batch.trays[index]!;
    return netOf(played.batch, freshOf(played.batch, tray)!);
  };
  expect([net(0), net(1)]).toEqual([700, 600]);
  refusal("weighing.edited-meanwhile")(() =>
    played.act((bench) => weighings.swapWeighings(bench, 1, 2, "again")),
  );
});

test("what a scale shows as taken last can be undone after a swap, and is gone with a tare that was typed", () => {
  const undo = (played: Played) => {
    const edit = { trayId: null, kind: null, gross: null, struck: true, reason: "undone" };
    played.act((bench) => weighings.editWeighing(bench, played.scale.lastTaken ?? 0, edit));
  };
  const played = new Played();
  played.startBatch(["A", "B"]);
  played.put(1000);
  played.lift();
  played.put(1100);
  played.act((bench) => weighings.swapWeighings(bench, 1, 2, "trays swapped"));
  undo(played);
  expect(current(played.batch.weighings).map(({ gross, trayId }) => [gross, trayId])).toEqual([
    [1000, 2],
  ]);
  expect(played.scale.lastTaken).toBeNull();

  const typed = new Played();
  typed.begin([trayAsked("A")]);
  typed.put(412);
  typed.act((bench) => acts.editTray(bench, 1, 1, { tare: grams(410) }, typed.at()));
  expect(typed.scale.lastTaken).toBeNull();
});

test.each([4, 7, 40])("of %i trays each is taken fresh as the page asks for it", (count) => {
  const played = new Played();
  const names = Array.from({ length: count }, (_, index) => String(index + 1));
  played.startBatch(names, 1200);
  for (const index of names.keys()) {
    played.put(4200 + index, { division: grams(4.5359237), u: grams(1.4) });
    played.lift();
  }
  expect(played.batch.weighings.map(({ trayId }) => trayId)).toEqual(
    played.batch.trays.map(({ id }) => id),
  );
});

test("a weighing moved to a tray of another batch counts there alone, and one struck out counts nowhere", () => {
  const played = new Played();
  played.startBatch(["A"]);
  played.startBatch(["Z"]);
  played.put(1000);
  const [here, there] = played.bench.batches;
  const counting = () =>
    played.bench.batches.map((batch) => current(batch.weighings).map(({ gross }) => gross));
  expect(counting()).toEqual([[1000], []]);
  const edit = { kind: null, gross: null, reason: "the other batch's" };
  const trayId = there?.trays[0]?.id ?? 0;
  played.act((bench) => weighings.editWeighing(bench, 1, { ...edit, trayId, struck: false }));
  expect(counting()).toEqual([[], [1000]]);
  expect(played.bench.batches[0]?.weighings.map(({ struck }) => struck)).toEqual([false, true]);
  refusal("weighing.edited-meanwhile")(() =>
    played.act((bench) => weighings.editWeighing(bench, 1, { ...edit, trayId, struck: false })),
  );
  const [moved] = current(played.bench.batches[1]?.weighings ?? []);
  const back = here?.trays[0]?.id ?? 0;
  played.act((bench) =>
    weighings.editWeighing(bench, moved?.id ?? 0, { ...edit, trayId: back, struck: true }),
  );
  expect(counting()).toEqual([[], []]);
});

test("weighings of two batches taken for each other's trays are swapped in one act", () => {
  const played = new Played();
  played.startBatch(["A"]);
  played.startBatch(["Z"]);
  played.put(1000);
  played.lift();
  played.put(1100);
  const [first, second] = played.told.flatMap((one) =>
    one.is === "weighing-taken" ? [one.weighing] : [],
  );
  played.act((bench) =>
    weighings.swapWeighings(bench, first?.id ?? 0, second?.id ?? 0, "the other way round"),
  );
  expect(
    played.bench.batches.map((batch) => current(batch.weighings).map(({ gross }) => gross)),
  ).toEqual([[1100], [1000]]);
  const ids = played.told.flatMap((one) => (one.is === "weighing-taken" ? [one.weighing.id] : []));
  expect(ids).toEqual(ids.toSorted((a, b) => a - b));
});

test("what does not touch a batch's figures does not cost a judgment, and what does is judged anew", () => {
  const played = dried();
  const judged = played.batch.judged;
  expect(judged).not.toBeNull();
  played.hour += 0.1;
  played.clock("in");
  expect(played.batch.judged).toBe(judged);
  const [last] = current(played.batch.weighings).slice(-1);
  const edit = { trayId: null, kind: null, struck: false, reason: "looked again" };
  played.act((bench) =>
    weighings.editWeighing(bench, last?.id ?? 0, { ...edit, gross: grams(560) }),
  );
  expect(played.batch.judged).not.toBe(judged);
  expect(played.batch.judged?.trays[0]?.verdict).not.toBe("stable");
});

test("two half-loaded batches are not mixed: the scale goes on with the one it was busy with", () => {
  const played = new Played();
  played.startBatch(["A", "B"]);
  played.startBatch(["C", "D"]);
  played.act((bench) => acts.chooseTask(bench, "scale-1", 3, null, null));
  played.hour = 0.01;
  played.put(900);
  played.lift();
  expect(nextLoad(played.bench, played.scale, played.at())?.tray.name).toBe("D");
  played.hour = 0.02;
  played.put(950);
  played.lift();
  expect(nextLoad(played.bench, played.scale, played.at())?.tray.name).toBe("A");
});

test("the alert that asks for the thickest pieces is answered when the last of them is found dry", () => {
  const played = loaded();
  for (const [hour, net] of [
    [10, 250],
    [18, 90],
    [26, 57],
    [32, 55.4],
    [38, 55.4],
  ] as const) {
    played.clock("in");
    played.hour = hour;
    played.clock("out");
    for (const share of [1, 700 / 600]) {
      played.put(400 + net * share);
      played.lift();
    }
  }
  const open = () =>
    played.bench.alerts.filter((one) => one.acknowledgedAt === null).map(({ code }) => code);
  expect(open()).toEqual(["stable"]);
  played.act((bench) => acts.checkCore(bench, 1, "dry", played.at()));
  expect(open()).toEqual(["stable"]);
  played.act((bench) => acts.checkCore(bench, 2, "dry", played.at()));
  expect(open()).toEqual([]);
  // One found soft later is a verdict of its own.
  played.hour += 0.1;
  played.act((bench) => acts.checkCore(bench, 2, "soft", played.at()));
  expect(open()).toEqual(["needs-more"]);
});

test("trays go in only when each was weighed, and never twice", () => {
  const played = new Played();
  played.startBatch(["A", "B"]);
  played.put(1000);
  refusal("batch.wrong-phase")(() => played.clock("in"));
  refusal("batch.wrong-phase")(() => played.clock("out"));
  played.lift();
  played.put(1100);
  played.clock("in");
  refusal("batch.wrong-phase")(() => played.clock("in"));
});

test("a touch that the network kept back counts from when it was made, never before what is known since", () => {
  const played = drying();
  const touched = (agoMs: number): number =>
    played.at() - acts.touchedAt(played.bench, played.batch.id, { agoMs, now: played.at() });
  expect([touched(0), touched(21_000), touched(600_000)]).toEqual([0, 21_000, 600_000]);
  // Another page had them taken out six seconds ago: a touch from before that cannot turn back the clock.
  played.clock("out");
  played.hour += 6 / 3600;
  expect([touched(3000), touched(21_000)]).toEqual([3000, 6000]);
  const at = utcMs(played.at() - 6000);
  refusal("batch.wrong-phase")(() =>
    acts.setClock(played.bench, played.batch.id, { is: "out", at, trays: null }, played.at()),
  );
});

test("two rounds: one alert each, and none again when the clock ticks on", () => {
  const played = loaded();
  played.clock("in");
  played.hour = 10;
  played.clock("out");
  played.put(750);
  expect(played.alerts.filter(({ code }) => code === "needs-more")).toHaveLength(0);
  played.lift();
  played.put(815);
  played.lift();
  expect(played.batch.judged?.verdict).toBe("losing");
  expect(played.alerts.map(({ code }) => code)).toEqual(["needs-more"]);
  for (const hour of [24, 30]) {
    played.clock("in");
    played.hour = hour;
    played.clock("out");
    played.put(dry.A);
    played.lift();
    played.put(dry.B);
    played.lift();
    for (let index = 0; index < 3; index++) played.tick();
  }
  const words = played.alerts.map(({ code }) => code).filter((code) => code !== "time-to-weigh");
  expect(words.at(-1)).toBe("stable");
  expect(new Set(played.alerts.map(({ key }) => key)).size).toBe(played.alerts.length);
  expect(words.filter((word) => word === "stable")).toHaveLength(1);
});

test("owed later is only what would be told now: a batch's newest alert, unless another round has begun", () => {
  const played = loaded();
  const { settings } = played.bench;
  const webhook = "http://192.168.1.9/hook";
  played.act(() => [
    { is: "settings-changed", settings: { ...settings, webhook }, at: played.at() },
  ]);
  const owed = () =>
    owedBy(played.bench, "webhook", { at: played.at(), timeFactor: 1 }).map(({ code }) => code);
  const round = (hour: number, a: number, b: number): void => {
    played.clock("in");
    played.hour = hour;
    played.clock("out");
    expect(owed()).toEqual([]);
    for (const gross of [a, b]) {
      played.put(gross);
      played.lift();
    }
  };
  round(10, 750, 815);
  expect(owed()).toEqual(["needs-more"]);
  expect(owedBy(played.bench, "mqtt", { at: played.at(), timeFactor: 1 })).toEqual([]);
  round(24, dry.A, dry.B);
  expect(owed()).toEqual(["unsure"]);
  round(30, dry.A, dry.B);
  expect(owed()).toEqual(["stable"]);
  // One tray goes in again and comes out: the alert stays on the page, but the batch is on its way to another.
  played.clock("in");
  expect(owed()).toEqual(["stable"]);
  played.hour = 31;
  played.clock("out");
  expect(played.bench.alerts.map(({ code }) => code)).toEqual(["stable"]);
  expect(owed()).toEqual([]);
});

test("a tray weighed while the clock says in: asked, and its answer stops the clock", () => {
  const played = loaded();
  played.clock("in");
  played.hour = 9;
  played.put(760);
  expect(played.scale.load?.became).toBe("asked");
  const load = played.scale.load!.id;
  played.act((bench) =>
    answerLoad(bench, "scale-1", { load, trayId: 1, kind: null, portion: null }),
  );
  expect(played.batch.moments.at(-1)).toMatchObject({ is: "out", implied: true });
  expect(batchHoursAt(played.batch, played.at(12))).toBeCloseTo(9, 6);
});

test("flour on the scale while all trays dry is nobody's tray", () => {
  const played = loaded();
  played.clock("in");
  played.hour = 3;
  played.put(180);
  expect(played.scale.load?.became).toBe("ignored");
  expect(played.batch.weighings).toHaveLength(2);
});

test("a forgotten out is set right later, and both are on the record", () => {
  const played = loaded();
  played.clock("in");
  played.hour = 12;
  played.clock("out");
  const out = played.batch.moments.at(-1)!;
  const edit = { at: played.at(10), struck: false, reason: "out at six, not at eight" };
  played.act((bench) => acts.editMoment(bench, 1, out.id, edit, played.at()));
  expect(batchHoursAt(played.batch, played.at())).toBeCloseTo(10, 6);
  expect(played.batch.moments).toHaveLength(3);
  const tooEarly = { ...edit, at: utcMs(played.at(0) - 1) };
  const now = played.batch.moments.at(-1)!;
  refusal("clock.out-of-order")(() =>
    played.act((bench) => acts.editMoment(bench, 1, now.id, tooEarly, played.at())),
  );
  expect(roundOf(played.batch)?.root).toBe(out.id);
});

test("hours of a gap count only once somebody says that the dryer ran", () => {
  const played = loaded();
  played.clock("in");
  const gap = { id: 1, batchId: 1, from: played.at(2), to: played.at(6), dryerRan: null };
  played.act(() => [{ is: "gap-found", gap }]);
  played.hour = 10;
  expect(batchHoursAt(played.batch, played.at())).toBeCloseTo(6, 6);
  played.act((bench) => acts.answerGap(bench, 1, true, played.at()));
  expect(batchHoursAt(played.batch, played.at())).toBeCloseTo(10, 6);
});

test("a load that weighs no more than the empty tray is never taken for food", () => {
  const played = loaded();
  played.clock("in");
  played.hour = 20;
  played.clock("out");
  played.put(400);
  expect(played.scale.load?.became).toBe("asked");
  const load = played.scale.load!.id;
  refusal("weighing.impossible")(() =>
    played.act((bench) =>
      answerLoad(bench, "scale-1", { load, trayId: 1, kind: null, portion: null }),
    ),
  );
  expect(played.batch.weighings).toHaveLength(2);
});

test("what cannot be is refused and changes nothing", () => {
  const played = loaded();
  const before = played.bench;
  const typed = { portion: null, division: grams(1), at: played.at(), now: played.at() };
  refusal("weighing.impossible")(() =>
    played.act((bench) =>
      weighings.typeWeighing(bench, { ...typed, trayId: 1, kind: "fresh", gross: grams(300) }),
    ),
  );
  refusal("tray.not-found")(() =>
    played.act((bench) =>
      weighings.typeWeighing(bench, { ...typed, trayId: 77, kind: "fresh", gross: grams(900) }),
    ),
  );
  refusal("batch.wrong-phase")(() =>
    played.act((bench) =>
      weighings.typeWeighing(bench, { ...typed, trayId: 1, kind: "dry", gross: grams(900) }),
    ),
  );
  refusal("input.invalid")(() => played.startBatch(["A", "A"]));
  refusal("input.invalid")(() => played.startBatch(["é", "e\u0301"]));
  expect(played.bench).toBe(before);
});

test("time to weigh, and out too long: each told once a round", () => {
  const played = loaded();
  played.clock("in");
  played.hour = 10;
  played.clock("out");
  played.put(750);
  played.lift();
  played.put(815);
  played.lift();
  played.clock("in");
  played.hour = 60;
  played.tick();
  played.tick();
  expect(played.alerts.filter(({ code }) => code === "time-to-weigh")).toHaveLength(1);
  played.clock("out");
  played.hour = 61;
  played.tick();
  played.tick();
  expect(played.alerts.filter(({ code }) => code === "out-too-long")).toHaveLength(1);
});

/** A and B came out, A alone was weighed and went in again; B stays on the bench. */
function leftOut(): Played {
  const played = drying();
  played.clock("out");
  played.put(700);
  played.lift();
  moved(played, "in", "A");
  return played;
}

function moved(played: Played, is: "in" | "out", name: string): void {
  const tray = played.batch.trays.find((one) => one.name === name)!;
  const asked = { is, at: played.at(), trays: [tray.id] };
  played.act((bench) => acts.setClock(bench, played.batch.id, asked, played.at()));
}

test("a tray that was left out of the dryer unweighed is waited for until others come out again, and no longer", () => {
  const played = leftOut();
  const [a, b] = played.batch.trays.map(({ id }) => id);
  expect(roundOf(played.batch)).toMatchObject({ number: 1, weighed: [a], waiting: [b] });
  played.hour += 1;
  played.tick();
  expect(played.alerts.map(({ code }) => code)).toEqual(["out-too-long"]);
  // The others are called for all the same.
  played.hour += 60;
  played.tick();
  played.tick();
  expect(played.alerts.map(({ code }) => code)).toEqual(["out-too-long", "time-to-weigh"]);
  moved(played, "out", "A");
  played.hour += 0.1;
  played.tick();
  expect(roundOf(played.batch)).toMatchObject({ number: 2, weighed: [], waiting: [a] });
  expect(nextLoad(played.bench, played.scale, played.at())).toMatchObject({ tray: { id: a } });
  played.put(400 + 58);
  played.lift();
  played.tick();
  expect(roundOf(played.batch)).toMatchObject({ number: 2, weighed: [a], waiting: [] });
  expect(nextLoad(played.bench, played.scale, played.at())).toBeNull();
  const rounds = played.alerts.filter(({ round, code }) => round === 2 && code !== "time-to-weigh");
  expect(rounds).toHaveLength(1);
  expect(rounds[0]?.code).not.toBe("out-too-long");
  expect(played.batch.verdicts.map(({ round }) => round)).toContain(2);
});

test("a tray that was left out before may still come onto the scale while others are weighed", () => {
  const played = leftOut();
  played.hour += 10;
  moved(played, "out", "A");
  const [a, b] = played.batch.trays.map(({ id }) => id);
  // 850 g: more than A can weigh, as B may that was never weighed since drying began.
  played.put(850);
  expect(played.batch.weighings.at(-1)).toMatchObject({ trayId: b, kind: "dry", gross: 850 });
  expect(roundOf(played.batch)).toMatchObject({ weighed: [b], waiting: [a] });
});

test("a scale that is lost while all trays are in the dryer is no alert, though one went in unweighed", () => {
  const played = drying();
  played.clock("out");
  played.put(700);
  played.lift();
  played.clock("in");
  const lost = { link: "searching", sinceUtcMs: played.at(), why: "unplugged", fix: null } as const;
  const { scale } = played;
  played.act(() => [
    {
      is: "link-changed",
      scaleId: scale.id,
      link: lost,
      form: null,
      unit: null,
      keys: [],
      candidates: [],
    },
  ]);
  played.hour += 0.1;
  played.tick();
  expect(played.alerts.map(({ code }) => code)).toEqual([]);
});

test("an alert that asks for trays out, or in, is answered by doing so", () => {
  const played = loaded();
  const open = () =>
    played.bench.alerts.filter((alert) => alert.acknowledgedAt === null).map(({ code }) => code);
  played.clock("in");
  played.hour = 60;
  played.tick();
  expect(open()).toEqual(["time-to-weigh"]);
  played.clock("out");
  expect(open()).toEqual([]);
  played.hour = 61;
  played.tick();
  expect(open()).toEqual(["out-too-long"]);
  played.clock("in");
  expect(open()).toEqual([]);
});

test("a newer verdict takes the place of the alert of the one before, and the end of a batch of all", () => {
  const played = loaded();
  const open = () =>
    played.bench.alerts.filter((alert) => alert.acknowledgedAt === null).map(({ code }) => code);
  const round = (hour: number, a: number, b: number) => {
    played.clock("in");
    played.hour = hour;
    played.clock("out");
    played.put(a);
    played.lift();
    played.put(b);
    played.lift();
  };
  round(10, 750, 815);
  expect(open()).toEqual(["needs-more"]);
  played.clock("in");
  expect(open()).toEqual([]);
  played.clock("out");
  round(24, dry.A, dry.B);
  round(30, dry.A, dry.B);
  expect(open()).toEqual(["stable"]);
  played.act((bench) => acts.checkCore(bench, 1, "soft", played.at()));
  expect(open()).toEqual(["needs-more"]);
  played.act((bench) => acts.endBatch(bench, played.batch.id, played.at()));
  expect(open()).toEqual([]);
});

test("what the scale can prove is said before drying, and no longer once a tray was weighed dry", () => {
  const played = loaded();
  const now = () => ({ at: played.at(), timeFactor: 1 });
  const before = showBatch(played.batch, now()).provableBefore;
  expect(before?.divisionGrams).toBe(0.1);
  // The lightest tray has 54.3 g of dry matter; two weighings of 0.1 g need hours, the trays together fewer.
  expect(before?.togetherHours).toBeLessThan(before?.longestHours ?? 0);
  played.clock("in");
  played.hour = 20;
  played.clock("out");
  played.put(dry.A);
  expect(showBatch(played.batch, now()).provableBefore).toBeNull();
});

test("the last two weighings are held against published criteria, with what these would need here", () => {
  const played = dried();
  const [curve] = showCurves(played.batch);
  const found = new Map(curve?.criteria.map((one) => [one.name, one]));
  // 102 g twice, six hours apart, on 0.1 g: RILEM allows 0.2 % = 0.204 g, USP 0.05 % = 0.051 g.
  expect(found.get("rilem-concrete")).toMatchObject({ is: "met", changeGrams: 0 });
  expect(found.get("rilem-concrete")?.allowedGrams).toBeCloseTo(0.204, 9);
  expect(found.get("usp-constant-weight")).toMatchObject({ is: "too-coarse" });
  expect(found.get("usp-constant-weight")?.divisionNeededGrams).toBeCloseTo(0.051, 9);
  expect(found.get("usp-constant-weight")?.massNeededGrams).toBeCloseTo(200, 9);
  expect(showCurves(loaded().batch)[0]?.criteria).toEqual([]);
});

test("a thickness that is stated later counts in the next judgment: thin pieces dry sooner", () => {
  const played = new Played();
  played.startBatch(["A"]);
  played.put(1307.2);
  played.lift();
  played.clock("in");
  played.hour = 24;
  played.clock("out");
  played.put(504.6);
  const hoursWith = (thicknessMm: number | null): number => {
    played.act((bench) => acts.editTray(bench, played.batch.id, 1, { thicknessMm }, played.at()));
    return played.batch.judged?.trays[0]?.moreHours?.estimate ?? Number.NaN;
  };
  const unstated = hoursWith(null);
  const thin = hoursWith(4);
  expect(thin).toBeLessThan(unstated);
  expect(unstated).toBeLessThan(hoursWith(25));
  expect(hoursWith(null)).toBe(unstated);
});

test("after a soft piece another is asked for once the tray was dried on, and clears it", () => {
  const played = dried();
  const check = (finding: "dry" | "soft"): void =>
    played.act((bench) => acts.checkCore(bench, 1, finding, played.at()));
  expect(coresToCheck(played.batch)).toEqual([1]);
  check("soft");
  expect(coresToCheck(played.batch)).toEqual([]);
  expect(played.batch.judged?.verdict).toBe("losing");
  played.clock("in");
  played.hour += 4;
  played.clock("out");
  played.put(400 + 102);
  expect(played.batch.judged?.verdict).toBe("losing");
  expect(coresToCheck(played.batch)).toEqual([1]);
  check("dry");
  expect(coresToCheck(played.batch)).toEqual([]);
  expect(played.batch.judged?.verdict).toBe("stable");
});

test("the thickest piece is asked for where the reason says that it would settle it", () => {
  const { batch } = dried();
  const unsure = (code: ReasonCode, sentence: Sentence = "open"): Batch => ({
    ...batch,
    judged: {
      ...batch.judged!,
      trays: batch.judged!.trays.map((tray) => ({
        ...tray,
        verdict: "unsure",
        reasons: [{ ...tray.reasons[0]!, code, sentence }],
      })),
    },
  });
  expect(coresToCheck(unsure("dryness-unchecked"))).toEqual([1]);
  expect(coresToCheck(unsure("heavy", "heavy-for-lot"))).toEqual([1]);
  expect(coresToCheck(unsure("heavy", "likely-heavy"))).toEqual([]);
  expect(coresToCheck(unsure("too-few"))).toEqual([]);
});
