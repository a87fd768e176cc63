// A batch that has ended: what can still be put right of it, what follows from that, and what its record says.
import { expect, onTestFinished, test } from "vitest";
import { isFault } from "../../src/faults.ts";
import * as acts from "../../src/service/acts.ts";
import { planBags } from "../../src/service/bagplan.ts";
import { replay } from "../../src/service/replay.ts";
import { startService } from "../../src/service/run.ts";
import { isFact } from "../../src/service/step.ts";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore } from "../../src/store/store.ts";
import { grams } from "../../src/units/quantity.ts";
import * as weighings from "../../src/service/weighings.ts";
import { real, tempFolder } from "../store/folder.ts";
import { settingOn } from "./computer.ts";
import { dried, oneWeighed, plainBags, Played, strawberries, trayAsked } from "./given.ts";

const twoBags = plainBags(2);

const end = (played: Played): void =>
  played.act((bench) => acts.endBatch(bench, played.batch.id, played.at()));

/** 907.2 g of strawberries dried to 102 g, found dry, put into two bags; the batch has ended and taught. */
function ended(): Played {
  const played = dried();
  played.act((bench) => acts.checkCore(bench, 1, "dry", played.at()));
  played.act((bench) => planBags(bench, played.batch, bench.bags, twoBags, played.at()));
  end(played);
  return played;
}

/** The service on a store that was told all that. */
function serviceOf(played: Played) {
  const folder = tempFolder();
  const store = openStore(folder, { ...real, at: played.at(0) });
  for (const fact of played.told.filter(isFact)) store.record([fact]);
  const work = startService(settingOn(store));
  work.begin([]);
  onTestFinished(() => work.close());
  const problems = (): readonly string[] => inspectStore(databaseIn(folder), replay).problems;
  return { service: work.service, problems };
}

function refusal(work: () => unknown): { readonly code: string; readonly message: string } {
  try {
    work();
  } catch (thrown) {
    if (isFault(thrown)) return { code: thrown.code, message: thrown.message };
    throw thrown;
  }
  throw new Error("nothing was refused");
}

const reason = "typed 907 for 970";

test("a fresh mass of an ended batch is put right with a reason, and all that is reckoned from it follows", () => {
  const { service, problems } = serviceOf(ended());
  const before = service.history(1);
  const batch = service.editWeighing(1, { grossGrams: 1370, reason });
  expect(batch).toMatchObject({ id: 1, phase: "ended", trays: [{ freshGrams: 970 }] });
  expect(service.yields(1)).toMatchObject({ batch: { freshGrams: 970 } });
  expect(service.weighingsCsv(1, "point")).toContain("970");
  const after = service.history(1);
  expect(after.weighings.filter(({ kind }) => kind === "fresh")).toMatchObject([
    { grossGrams: 1307.2, current: false },
    { grossGrams: 1370, current: true, supersedes: 1, reason },
  ]);
  // What was announced stays as it was announced, and still follows from what was there then.
  expect(after.verdicts).toEqual(before.verdicts);
  expect(before.verdicts.length).toBeGreaterThan(0);
  expect(problems()).toEqual([]);
});

test("what an ended batch taught counts no longer once one of its weighings was put right", () => {
  const { service } = serviceOf(ended());
  expect(service.lessons()).toMatchObject([{ freshGrams: 907.2, counts: true }]);
  service.editWeighing(1, { grossGrams: 1370, reason });
  expect(service.lessons()).toMatchObject([
    { counts: false, why: "a weighing was put right after the batch had ended" },
  ]);
  // Nor can a person let the old masses count again, straight or by a detour.
  for (const counts of [false, true])
    expect(refusal(() => service.editLesson(1, { counts, reason: "mine" }))).toEqual({
      code: "batch.ended",
      message: "a weighing was put right after the batch had ended",
    });
  expect(service.lessons()).toMatchObject([{ counts: false }]);
});

test("a bag says by how much its fresh weight differs from what was printed on it", () => {
  const { service } = serviceOf(ended());
  const [first] = service.bags({ state: "all", q: "", batch: 1 });
  const before = service.bag(first!.id, null);
  expect(before.freshGrams).toBeCloseTo(453.6, 6);
  expect(before.cautions.join()).not.toContain("labels before");
  service.editWeighing(1, { grossGrams: 1370, reason });
  const after = service.bag(first!.id, null);
  expect(after.freshGrams).toBeCloseTo(485, 6);
  expect(after.waterToAddGrams).toBeCloseTo(485 - 51, 6);
  expect(after.cautions.at(-1)).toBe(
    "Its fresh weight was put right: 485.0 g, labels before say 453.6 g.",
  );
  const lines = service.bags({ state: "all", q: "", batch: 1 });
  expect(lines.find(({ id }) => id === first!.id)?.freshGrams).toBeCloseTo(485, 6);
});

test("drying on after a bag was planned changes nothing of its fresh weight", () => {
  const played = dried();
  played.act((bench) => acts.checkCore(bench, 1, "dry", played.at()));
  played.act((bench) => planBags(bench, played.batch, bench.bags, twoBags, played.at()));
  played.clock("in");
  played.hour += 4;
  played.clock("out");
  played.put(400 + 96);
  const { service } = serviceOf(played);
  const [first] = service.bags({ state: "all", q: "", batch: 1 });
  const bag = service.bag(first!.id, null);
  expect(bag.freshGrams).toBeCloseTo(453.6, 6);
  expect(bag.cautions.join()).not.toContain("labels before");
});

test("two weighings of an ended batch are put back onto their trays", () => {
  const played = new Played();
  played.begin(["A", "B"].map((name) => trayAsked(name, { tare: grams(400) })));
  for (const gross of [1100, 1000]) {
    played.put(gross);
    played.lift();
  }
  played.clock("in");
  played.hour = 10;
  end(played);
  const { service } = serviceOf(played);
  const batch = service.swapWeighings(1, {
    with: 2,
    reason: "they were taken the wrong way round",
  });
  expect(batch.phase).toBe("ended");
  expect(batch.trays.map(({ freshGrams }) => freshGrams)).toEqual([600, 700]);
});

test("a weighing of an ended batch stays in its batch", () => {
  const played = ended();
  played.begin([trayAsked("A", { tare: grams(400), food: strawberries })]);
  const { service } = serviceOf(played);
  const other = service.batches("open", { q: "", from: null, to: null })[0]!;
  const [tray] = service.batch(other.id).trays;
  expect(refusal(() => service.editWeighing(1, { tray: tray!.id, reason }))).toMatchObject({
    code: "batch.ended",
    message: "weighing 1 stays in batch 1",
  });
  expect(service.history(1).weighings.every(({ current }) => current)).toBe(true);
});

test("what cannot be done to an ended batch any more is refused by saying that it has ended", () => {
  const { service } = serviceOf(ended());
  const said = (work: () => unknown) => refusal(work);
  const ended1 = "batch 1 has ended";
  const tray1 = "tray 1 is of a batch that has ended";
  for (const [work, message] of [
    [() => service.setClock(1, { is: "in" }), ended1],
    [() => service.endBatch(1), ended1],
    [() => service.checkCore(1, { finding: "dry" }), tray1],
    [() => service.typeWeighing({ tray: 1, kind: "dry", value: 500 }), tray1],
    [() => service.editTray(1, 1, { name: "B" }), tray1],
  ] as const)
    expect(said(work)).toMatchObject({ code: "batch.ended", message });
  expect(said(() => service.endBatch(7))).toMatchObject({ code: "batch.not-found" });
  expect(said(() => service.checkCore(7, { finding: "dry" }))).toMatchObject({
    code: "tray.not-found",
  });
  expect(said(() => service.editWeighing(99, { struck: true, reason }))).toMatchObject({
    code: "weighing.not-found",
  });
});

/** Weighed once since drying began, near what it may weigh when dry. */
function weighedOnce(): Played {
  const played = new Played();
  played.startBatch(["A"]);
  played.put(1000);
  played.lift();
  played.clock("in");
  played.hour = 20;
  played.clock("out");
  played.put(455);
  return played;
}

test("the record of an ended batch names no more hours to give and no next weighing", () => {
  const losing = oneWeighed();
  expect(serviceOf(losing).service.batch(1).moreHours).not.toBeNull();
  end(losing);
  expect(serviceOf(losing).service.batch(1)).toMatchObject({ moreHours: null });

  const played = weighedOnce();
  const open = serviceOf(played).service.batch(1).trays[0]?.verdict;
  expect(open?.reasons[0]?.text).toMatch(/^one weighing proves nothing; weigh again after/);
  expect(open?.next_weighing_hours).not.toBeNull();
  end(played);
  const { service } = serviceOf(played);
  const batch = service.batch(1);
  expect(batch).toMatchObject({ moreHours: null, nextWeighing: null });
  expect(batch.trays[0]?.verdict).toMatchObject({
    more_hours: null,
    next_weighing_hours: null,
    reasons: [{ code: "too-few", text: "one weighing proves nothing" }],
  });
  // As it was told at its time.
  expect(service.history(1).verdicts.at(-1)?.text).toContain("weigh again after");
});

test("the list of the record counts what is left of a tray from which food was taken", () => {
  const played = dried();
  played.hour += 1 / 60;
  const typed = { trayId: 1, kind: "dry", portion: null, gross: grams(468) } as const;
  const when = { division: grams(0.1), at: played.at(), now: played.at() };
  played.act((bench) => weighings.typeWeighing(bench, { ...typed, ...when }));
  const { id } = played.batch.weighings.at(-1)!;
  const taken = { trayId: null, kind: null, gross: null, struck: false, foodTaken: true };
  played.act((bench) => weighings.editWeighing(bench, id, { ...taken, reason: "tasted" }));
  end(played);
  const { service } = serviceOf(played);
  const everything = { q: "", from: null, to: null };
  const [listed] = service.batches("ended", everything);
  expect(listed).toMatchObject({ freshGrams: 604.8, netGrams: 68 });
  expect(service.yields(1).batch).toMatchObject({ freshGrams: 604.8, dryGrams: 68 });
});

test("a verdict that an interruption, another limit or a struck weighing changed is told", () => {
  const played = dried();
  const { service } = serviceOf(played);
  const told: (string | null)[] = [];
  service.onShow((one) => {
    if (one.type === "verdict") told.push(one.verdict);
  });
  expect(service.batch(1).verdict).toBe("stable");
  const [from, to] = [25, 29].map((hour) => new Date(played.at(hour)).toISOString());
  service.noteInterruption(1, { from: from!, to: to!, reason: "power cut" });
  expect(told).toEqual([service.batch(1).verdict]);
  expect(told).toEqual(["unsure"]);
});
