// The clock as a kitchen tells it: a tray that joins a batch under way, moments said in any order, hours that are set
// right after an alert. Masses are invented.
import { expect, test } from "vitest";
import * as acts from "../../src/service/acts.ts";
import * as weighings from "../../src/service/weighings.ts";
import { logsOf, verdictsGiven } from "../../src/service/given.ts";
import { answerLoad, nextLoad } from "../../src/service/loads.ts";
import { current, freshOf, momentsOf, roundOf } from "../../src/service/look.ts";
import { replay } from "../../src/service/replay.ts";
import { showCurves } from "../../src/service/showbatch.ts";
import { weighingsCsv } from "../../src/service/csv.ts";
import { grams } from "../../src/units/quantity.ts";
import { dried, drying, Played, strawberries, trayAsked } from "./given.ts";

const hoursOf = (played: Played, tray: string) =>
  logsOf(played.batch, { timeFactor: 1, comparisons: [] })
    .find((log) => log.tray === tray)
    ?.weighings.map(({ dryingHours }) => dryingHours);
const open = (played: Played) => played.bench.alerts.map(({ code }) => code);
const weigh = (played: Played, ...nets: number[]) => {
  for (const net of nets) {
    played.put(400 + net);
    played.lift();
  }
};
const holding = { foodName: strawberries.name, food: strawberries };
const addC = (played: Played, tare: number | null = null) =>
  played.act((bench) =>
    acts.addTray(
      bench,
      1,
      trayAsked("C", { ...holding, tare: tare === null ? null : grams(tare) }),
    ),
  );
const choose = (played: Played, trayId: number) =>
  played.act((bench) => acts.chooseTask(bench, "scale-1", trayId, null, null));
const next = (played: Played) => {
  const load = nextLoad(played.bench, played.scale, played.at());
  return load === null ? null : [load.tray.name, load.kind];
};

/** Two trays dried for ten hours and were weighed; a third is put beside them, empty and with its food. */
function joined(): Played {
  const played = drying();
  played.clock("out");
  weigh(played, 250, 290);
  addC(played);
  choose(played, 3);
  expect(next(played)).toEqual(["C", "tare"]);
  played.put(410);
  expect(next(played)).toEqual(["C", "fresh"]);
  played.hour += 0.1;
  played.put(1060);
  played.lift();
  return played;
}

test("a tray that joins a batch under way is weighed empty and fresh, and has only the hours that it was in", () => {
  const played = joined();
  const [, , c] = played.batch.trays;
  expect(freshOf(played.batch, c!)).toMatchObject({ gross: 1060, kind: "fresh" });
  // The round before it came is over, and is not waited for again.
  expect(roundOf(played.batch)).toMatchObject({ number: 1, weighed: [1, 2], waiting: [] });
  expect(next(played)).toBeNull();
  played.clock("in");
  played.hour = 18.1;
  played.clock("out");
  expect(roundOf(played.batch)?.waiting).toEqual([1, 2, 3]);
  weigh(played, 60, 70, 300);
  expect(hoursOf(played, "A")).toEqual([10, 18]);
  expect(hoursOf(played, "C")?.[0]).toBeCloseTo(8, 9);
  const [, , curve] = showCurves(played.batch);
  expect(curve?.points.map(({ dryingHours }) => Number(dryingHours.toFixed(6)))).toEqual([0, 8]);
  const rows = weighingsCsv(played.batch, 1, "").split("\r\n");
  expect(rows.findLast((row) => row.includes(",C,"))).toMatch(/,C,8,/);
  expect(replay(played.batch, () => played.batch.trays, []).problems).toEqual([]);
});

test("a tray that is put in beside others while they dry is in from when it was weighed", () => {
  const played = drying();
  addC(played, 400);
  choose(played, 3);
  played.put(1050);
  // B is in by the clock, and could weigh as much.
  const { id: load, question } = played.scale.load!;
  expect(question?.candidates[0]).toMatchObject({ trayId: 3, kind: "fresh" });
  const answer = { load, trayId: 3, kind: null, portion: null };
  played.act((bench) => answerLoad(bench, "scale-1", answer));
  played.lift();
  played.hour = 16;
  played.clock("out");
  weigh(played, 150, 175, 300);
  expect(hoursOf(played, "A")).toEqual([16]);
  expect(hoursOf(played, "C")).toEqual([6]);
});

test("a fresh mass put right or typed anew while trays dry takes no hours from its tray", () => {
  const played = drying();
  played.clock("out");
  const edit = { trayId: null, kind: null, gross: null, struck: true, reason: "another tray" };
  played.act((bench) => weighings.editWeighing(bench, 1, edit));
  const typed = { kind: "fresh", portion: null, division: grams(0.1) } as const;
  const now = played.at();
  played.act((bench) =>
    weighings.typeWeighing(bench, { ...typed, trayId: 1, gross: grams(1010), at: now, now }),
  );
  weigh(played, 250, 290);
  expect(hoursOf(played, "A")).toEqual([10]);
  // A batch that is written down after the fact: its masses are typed now, its trays went in two hours ago.
  const late = new Played();
  late.startBatch(["A"]);
  late.hour = 2;
  const at = late.at();
  late.act((bench) =>
    weighings.typeWeighing(bench, { ...typed, trayId: 1, gross: grams(1000), at, now: at }),
  );
  late.act((bench) =>
    acts.setClock(bench, 1, { is: "in", at: late.at(0.5), trays: null }, late.at()),
  );
  late.hour = 12;
  late.clock("out");
  weigh(late, 250);
  expect(hoursOf(late, "A")).toEqual([11.5]);
});

test("a verdict of a program that counted the hours before for such a tray is judged as it was", () => {
  const played = joined();
  played.clock("in");
  played.hour = 18.1;
  played.clock("out");
  weigh(played, 60, 70, 300);
  const { batch } = played;
  const { limit } = played.bench.settings;
  const judging = { limit, timeFactor: 1, comparisons: [], joining: false } as const;
  const given = { ...judging, round: 2, at: played.at() };
  const [ofBatch] = verdictsGiven(batch, batch.judged!, given);
  expect(JSON.parse(ofBatch!.basis)).not.toHaveProperty("standing.clock");
  const old = { ...batch, verdicts: [{ id: 9, ...ofBatch! }] };
  const told = replay(old, () => batch.trays, []);
  expect(told.checked).toBe(1);
  // Its hours of C are others, its round and its word may be the same.
  expect(told.problems.filter((one) => one.includes("round is"))).toEqual([]);
});

test("weighings of one forgotten round, typed in any order, are one round", () => {
  for (const order of [
    [1, 2],
    [2, 1],
  ]) {
    const played = drying();
    played.hour = 12;
    for (const trayId of order) {
      const at = played.at(trayId === 1 ? 10 : 10.05);
      const now = played.at();
      const typed = { trayId, kind: "dry", portion: null, division: grams(0.1), at, now } as const;
      played.act((bench) => weighings.typeWeighing(bench, { ...typed, gross: grams(700) }));
    }
    expect(roundOf(played.batch)).toMatchObject({ number: 1, weighed: [1, 2], waiting: [] });
    expect(open(played)).toEqual(["needs-more"]);
    expect(hoursOf(played, "A")).toEqual([10]);
  }
});

test("trays that were out already begin no round by being called out once more", () => {
  const played = drying();
  played.clock("out");
  weigh(played, 250, 290);
  played.hour = 10.2;
  const all = { is: "out", at: played.at(), trays: [1, 2] } as const;
  played.act((bench) => acts.setClock(bench, 1, all, played.at()));
  expect(momentsOf(played.batch)).toHaveLength(3);
  expect(roundOf(played.batch)).toMatchObject({ number: 1, weighed: [1, 2], waiting: [] });
});

const edit = { trayId: null, kind: null, struck: false, reason: "misread" };

test("the alert that stands says what the batch has come to, also when a correction is taken back", () => {
  const played = dried();
  const correct = (gross: number) => {
    const last = current(played.batch.weighings).at(-1)!;
    played.act((bench) => weighings.editWeighing(bench, last.id, { ...edit, gross: grams(gross) }));
    return open(played);
  };
  expect(open(played)).toEqual(["stable"]);
  expect(correct(520)).toEqual(["unsure"]);
  expect(correct(502)).toEqual(["stable"]);
  expect(correct(520)).toEqual(["unsure"]);
  expect(played.batch.judged?.verdict).toBe("unsure");
  const keys = played.alerts.map(({ key }) => key);
  expect(new Set(keys).size).toBe(keys.length);
  // What did not change is not told again.
  const before = played.alerts.length;
  expect(correct(520)).toEqual(["unsure"]);
  expect(played.alerts).toHaveLength(before);
});

function due(): Played {
  const played = drying();
  played.clock("out");
  weigh(played, 250, 290);
  played.clock("in");
  untilDue(played, 40);
  return played;
}
function untilDue(played: Played, hours: number): number {
  const from = played.hour;
  while (played.hour < from + hours && !open(played).includes("time-to-weigh")) {
    played.hour += 0.25;
    played.tick();
  }
  return played.hour - from;
}

test("hours that turn out not to have counted take the call to weigh back, and it comes again when it is due", () => {
  const played = due();
  expect(open(played)).toEqual(["time-to-weigh"]);
  const [from, to] = [played.at(played.hour - 6), played.at(played.hour - 1)];
  played.act((bench) => acts.noteInterruption(bench, 1, { from, to, reason: "fuse" }, played.at()));
  played.tick();
  expect(open(played)).toEqual([]);
  // A person may have read it before.
  expect(untilDue(played, 10)).toBeGreaterThanOrEqual(4);
  expect(open(played)).toEqual(["time-to-weigh"]);
  const before = played.alerts.length;
  played.act((bench) => acts.acknowledge(bench, bench.alerts[0]!.id, played.at()));
  for (let ticks = 0; ticks < 3; ticks++) played.tick();
  expect(open(played)).toEqual([]);
  expect(played.alerts).toHaveLength(before);
});

test("a call to weigh that a corrected weighing put off comes when it is due, and what was understood does not", () => {
  const played = due();
  const correct = (net: number): void => {
    const row = current(played.batch.weighings).findLast(({ trayId }) => trayId === 2)!;
    played.act((bench) =>
      weighings.editWeighing(bench, row.id, {
        trayId: null,
        kind: null,
        gross: grams(400 + net),
        struck: false,
        reason: "misread",
      }),
    );
    played.tick();
  };
  correct(500);
  expect(open(played)).toEqual([]);
  untilDue(played, 40);
  expect(open(played)).toEqual(["time-to-weigh"]);
  played.act((bench) => acts.acknowledge(bench, bench.alerts[0]!.id, played.at()));
  for (const net of [501, 500]) correct(net);
  expect(open(played)).toEqual([]);
});

const link = (played: Played, now: "up" | "searching", scaleId = "scale-1"): void => {
  const state = { link: now, sinceUtcMs: played.at(), why: null, fix: null };
  const told = { form: null, unit: null, keys: [], candidates: [] };
  played.act(() => [{ is: "link-changed", scaleId, link: state, ...told }]);
};

test("a lost scale is told of once, until it is back, no tray waits or another can be weighed on", () => {
  const played = drying();
  const wait = (): void => {
    played.hour += 3 / 60;
    played.tick();
  };
  const lost = () => played.alerts.filter(({ code }) => code === "scale-lost").length;
  played.clock("out");
  link(played, "searching");
  wait();
  wait();
  expect([open(played), lost()]).toEqual([["scale-lost"], 1]);
  // As after a restart: the scale is searched for anew, and what stands goes on standing.
  link(played, "searching");
  played.tick();
  expect([open(played), lost()]).toEqual([["scale-lost"], 1]);
  link(played, "up");
  played.tick();
  expect(open(played)).toEqual([]);
  played.hour += 1;
  link(played, "searching");
  wait();
  expect([open(played).includes("scale-lost"), lost()]).toEqual([true, 2]);
  played.act((bench) => [
    {
      is: "scale-came",
      scale: { ...bench.scales[0]!, id: "scale-2", link: { ...bench.scales[0]!.link, link: "up" } },
    },
  ]);
  wait();
  expect(open(played)).not.toContain("scale-lost");
  link(played, "searching", "scale-2");
  wait();
  const alert = played.bench.alerts.find(({ code }) => code === "scale-lost")!;
  expect([alert.figures, lost()]).toEqual([{ scale: "scale-2" }, 3]);
  played.act((bench) => acts.acknowledge(bench, alert.id, played.at()));
  wait();
  expect([open(played).includes("scale-lost"), lost()]).toEqual([false, 3]);
  // It is gone still when the trays come out another time.
  played.clock("in");
  played.hour += 4;
  played.clock("out");
  wait();
  expect([open(played).includes("scale-lost"), lost()]).toEqual([true, 5]);
});

test("trays may have gone in before the record was begun, and the moment can be moved; not by a month", () => {
  const played = new Played();
  played.hour = 1000;
  played.startBatch(["A"]);
  weigh(played, 500);
  played.clock("in", 998);
  for (const hour of [997.5, 998.5]) {
    const [moment] = momentsOf(played.batch);
    const edit = { at: played.at(hour), struck: false, reason: "by the photograph" };
    played.act((bench) => acts.editMoment(bench, 1, moment!.id, edit, played.at()));
    expect(momentsOf(played.batch)).toMatchObject([{ at: played.at(hour) }]);
  }
  played.clock("out");
  expect(() => played.clock("in", 1)).toThrow("is not between");
});

test("trays called in by mistake are told of again when they stay out", () => {
  const played = drying();
  played.clock("out");
  weigh(played, 250, 290);
  played.hour += 0.6;
  played.tick();
  expect(open(played)).toContain("out-too-long");
  played.clock("in");
  expect(open(played)).not.toContain("out-too-long");
  const wrong = momentsOf(played.batch).at(-1)!;
  const strike = { at: null, struck: true, reason: "they are out still" };
  played.act((bench) => acts.editMoment(bench, 1, wrong.id, strike, played.at()));
  played.tick();
  expect(open(played)).toContain("out-too-long");
});

test("no alert stands over a batch of which nothing can be said any more", () => {
  const played = dried();
  expect(open(played)).toEqual(["stable"]);
  const strike = { ...edit, gross: null, struck: true };
  const [fresh] = played.batch.weighings;
  played.act((bench) => weighings.editWeighing(bench, fresh!.id, strike));
  expect(played.batch.judged).toBeNull();
  expect(open(played)).toEqual([]);
});

const callOut = (played: Played, ...trays: number[]) =>
  played.act((bench) =>
    acts.setClock(bench, 1, { is: "out", at: played.at(), trays }, played.at()),
  );
const callIn = (played: Played, ...trays: number[]) =>
  played.act((bench) => acts.setClock(bench, 1, { is: "in", at: played.at(), trays }, played.at()));
const minutesOn = (played: Played, minutes: number): void => void (played.hour += minutes / 60);

/** Two trays in the dryer for ten hours, each called out by itself and weighed. */
function oneByOne(): Played {
  const played = drying();
  callOut(played, 1);
  minutesOn(played, 1);
  weigh(played, 250);
  callOut(played, 2);
  minutesOn(played, 1);
  return played;
}

test("trays called out one after the other belong to one round", () => {
  const played = oneByOne();
  expect(roundOf(played.batch)).toMatchObject({ number: 1, weighed: [1], waiting: [2] });
  expect(next(played)).toEqual(["B", "dry"]);
  weigh(played, 290);
  expect(roundOf(played.batch)).toMatchObject({ number: 1, weighed: [1, 2], waiting: [] });
  callIn(played, 1, 2);
  played.hour = 18;
  callOut(played, 2, 1);
  expect(roundOf(played.batch)).toMatchObject({ number: 2, weighed: [], waiting: [1, 2] });
  expect(kept(played)).toEqual([]);
});

test("a tray that still waits outside holds up no later round, and is asked about when it comes after the others", () => {
  const played = oneByOne();
  callIn(played, 1);
  expect(roundOf(played.batch)?.waiting).toEqual([2]);
  minutesOn(played, 30);
  callOut(played, 1);
  expect(roundOf(played.batch)).toMatchObject({ number: 2, weighed: [], waiting: [1], left: [2] });
  weigh(played, 240);
  minutesOn(played, 1);
  played.put(690);
  const { id: load, question } = played.scale.load!;
  expect(question?.candidates[0]).toMatchObject({ trayId: 2, kind: "dry" });
  const answer = { load, trayId: 2, kind: null, portion: null };
  played.act((bench) => answerLoad(bench, "scale-1", answer));
  played.lift();
  expect(roundOf(played.batch)).toMatchObject({ number: 2, weighed: [1, 2], waiting: [] });
  // One that stays out, weighed, asks for nothing when the others go on.
  callIn(played, 1);
  played.hour += 4;
  callOut(played, 1);
  expect(roundOf(played.batch)).toMatchObject({ number: 3, weighed: [2], waiting: [1] });
  expect(next(played)).toEqual(["A", "dry"]);
  expect(kept(played)).toEqual([]);
});

test("a weighing of a tray that was not called out yet says of it alone that it is out", () => {
  const played = drying();
  callOut(played, 1);
  weigh(played, 250);
  minutesOn(played, 5);
  const typed = { trayId: 2, kind: "dry", portion: null, division: grams(0.1) } as const;
  const [at, now] = [played.at(), played.at()];
  played.act((bench) => weighings.typeWeighing(bench, { ...typed, gross: grams(690), at, now }));
  expect(momentsOf(played.batch).at(-1)).toMatchObject({ is: "out", trays: [2], implied: true });
  expect(roundOf(played.batch)).toMatchObject({ number: 1, weighed: [1, 2], waiting: [] });
});

/** What does not follow of the verdicts that were given. */
function kept(played: Played): readonly string[] {
  return replay(played.batch, () => played.batch.trays, []).problems;
}

test("rounds of trays called out one by one are numbered as the program counted that gave their verdicts", () => {
  const played = oneByOne();
  weigh(played, 290);
  const { batch } = played;
  const last = batch.verdicts.at(-1)!.at;
  const earlier = { limit: played.bench.settings.limit, timeFactor: 1, comparisons: [], at: last };
  const given = verdictsGiven(batch, batch.judged!, { ...earlier, round: 2, clock: 2 });
  const verdicts = given.map((verdict, index) => ({ ...verdict, id: index + 1 }));
  const told = (round: number) =>
    replay(
      { ...batch, verdicts: verdicts.map((one) => ({ ...one, round })) },
      () => batch.trays,
      [],
    );
  expect(told(2)).toMatchObject({ checked: 3, problems: [] });
  expect(told(1).problems).toHaveLength(3);
});

test("the alert of a round tells of all trays that were called out, also where it was understood in between", () => {
  const atOnce = drying();
  atOnce.clock("out");
  weigh(atOnce, 250, 420);
  for (const isUnderstood of [false, true]) {
    const played = drying();
    callOut(played, 1);
    weigh(played, 250);
    expect(open(played)).toEqual(["needs-more"]);
    const [first] = played.bench.alerts;
    if (isUnderstood) played.act((bench) => acts.acknowledge(bench, first!.id, played.at()));
    minutesOn(played, 1);
    callOut(played, 2);
    weigh(played, 420);
    expect(played.bench.alerts.map(({ text }) => text)).toEqual(
      atOnce.bench.alerts.map(({ text }) => text),
    );
    expect(played.bench.alerts[0]?.text).not.toBe(first?.text);
    expect(kept(played)).toEqual([]);
  }
});

test("an alert that stands says what a correction made of it, and one that was understood is left in peace", () => {
  const played = drying();
  played.clock("out");
  weigh(played, 250, 290);
  const correct = (gross: number) => {
    const last = current(played.batch.weighings).at(-1)!;
    minutesOn(played, 1);
    played.act((bench) => weighings.editWeighing(bench, last.id, { ...edit, gross: grams(gross) }));
  };
  const [before] = played.bench.alerts;
  correct(400 + 480);
  expect(open(played)).toEqual(["needs-more"]);
  const [after] = played.bench.alerts;
  expect(after?.text).not.toBe(before?.text);
  expect(after?.figures["highHours"]).toBeGreaterThan(Number(before?.figures["highHours"]));
  played.act((bench) => acts.acknowledge(bench, after!.id, played.at()));
  minutesOn(played, 1);
  played.act((bench) =>
    weighings.typeWeighing(bench, {
      trayId: 1,
      kind: "dry",
      portion: null,
      gross: grams(400 + 250),
      division: grams(0.1),
      at: played.at(),
      now: played.at(),
    }),
  );
  expect(open(played)).toEqual([]);
  expect(kept(played)).toEqual([]);
});

test("a correction after which all is as it was told is no news", () => {
  const played = drying();
  played.clock("out");
  weigh(played, 250, 290);
  const last = current(played.batch.weighings).at(-1)!;
  minutesOn(played, 1);
  played.act((bench) => weighings.editWeighing(bench, last.id, { ...edit, gross: last.gross }));
  expect(played.alerts).toHaveLength(1);
  expect(open(played)).toEqual(["needs-more"]);
});

test("a verdict that was gone while a weighing was taken back is told once more when it is there again", () => {
  const played = dried();
  expect(open(played)).toEqual(["stable"]);
  for (const time of [1, 2]) {
    const last = current(played.batch.weighings).at(-1)!;
    const strike = { ...edit, gross: null, struck: true };
    minutesOn(played, 1);
    played.act((bench) => weighings.editWeighing(bench, last.id, strike));
    expect([time, open(played)]).toEqual([time, []]);
    minutesOn(played, 1);
    weigh(played, 102);
    expect([time, open(played)]).toEqual([time, ["stable"]]);
  }
  expect(kept(played)).toEqual([]);
});
