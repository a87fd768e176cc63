import { expect, test } from "vitest";
import { seeded } from "../../src/practice/chance.ts";
import { practiceDryer, practiceLoads } from "../../src/practice/dryer.ts";
import {
  afterAct,
  idleHand,
  nextMove,
  trueNet,
  type Act,
  type Hand,
} from "../../src/practice/hand.ts";
import { fakeBench, type FakeBench } from "./fake-bench.ts";

type Played = { readonly acts: Act[]; readonly longestStillMs: number };

/** Plays hand and dryer over the bench in steps of a quarter of a second of simulated time. */
function play(fake: FakeBench, forMs: number, mostBatches: number, begin: Hand = idleHand): Played {
  const chance = seeded(20261125);
  const acts: Act[] = [];
  let hand = begin;
  let inActMs = 0;
  let longestStillMs = 0;
  for (let ms = 0; ms < forMs; ms += 250) {
    fake.pass(250);
    inActMs += 250;
    const bench = fake.bench();
    const { act } = nextMove({ bench, hand, inActMs, mostBatches });
    if (act.is === "wait") continue;
    carryOut(fake, act);
    hand = afterAct(hand, act, bench, chance);
    acts.push(act);
    longestStillMs = Math.max(longestStillMs, inActMs);
    inActMs = 0;
  }
  return { acts, longestStillMs };
}

function carryOut(fake: FakeBench, act: Act): void {
  switch (act.is) {
    case "wait":
      return;
    case "place": {
      const tray = fake.batch().trays.find((one) => one.id === act.tray);
      return fake.put((tray?.tareGrams ?? 0) + (act.empty ? 0 : trueNet(fake.batch(), act.tray)));
    }
    case "lift":
      return fake.lift();
    case "start-batch":
      return void fake.startBatch(act.body);
    case "clock":
      return void fake.setClock(act.batch, { is: act.set });
    case "core":
      return void fake.checkCore(act.tray, { finding: act.finding });
    case "answer-load":
      return void fake.answerLoad(act.scale, act.body);
    case "answer-gap":
      return void fake.answerGap(act.gap, { dryerRan: act.dryerRan });
    case "acknowledge":
      return void fake.acknowledge(act.alert);
    case "end":
      return void fake.endBatch(act.batch);
    case "plan-bags":
      return void fake.planBags(act.batch, act.body);
    case "choose-bag":
      return void fake.chooseBag(act.scale, act.body);
    case "place-bag":
      return fake.put(act.gross);
  }
}

const count = (acts: readonly Act[], is: Act["is"]): number =>
  acts.filter((act) => act.is === is).length;

test("a whole batch is played: loaded, dried, weighed in rounds until stable, broken, ended", () => {
  const fake = fakeBench(1 / 6);
  const { acts } = play(fake, 400_000, 1);
  expect(fake.ended).toHaveLength(1);
  const [batch] = fake.ended;
  expect(batch?.dryer).toBe(practiceDryer);
  expect(batch?.trays.map(({ name }) => name)).toEqual(["1", "2", "3", "4"]);
  for (const [place, load] of practiceLoads.entries())
    expect(batch?.trays[place]?.weighings[0]?.netGrams).toBeCloseTo(load.freshGrams, 6);
  const rounds = batch?.round.number ?? 0;
  expect(rounds).toBeGreaterThanOrEqual(2);
  expect(count(acts, "place")).toBe(4 + 4 * rounds);
  const dried = acts.slice(
    0,
    acts.findIndex((act) => act.is === "end"),
  );
  expect(count(dried, "lift")).toBe(4 + 4 * rounds);
  expect(acts.filter((act) => act.is === "core").map((act) => act.finding)).toEqual([
    "dry",
    "dry",
    "dry",
    "dry",
  ]);
  expect(acts.findLastIndex((act) => act.is === "core")).toBeLessThan(
    acts.findIndex((act) => act.is === "end"),
  );
  expect(batch?.verdict).toBe("stable");
});

test("a soft piece sends the batch back into the dryer, and another is broken before it ends", () => {
  const fake = fakeBench(1 / 6);
  fake.stableWithin = 1.1;
  const { acts } = play(fake, 400_000, 1);
  const found = acts.flatMap((act) => (act.is === "core" ? [act.finding] : []));
  expect(found).toContain("soft");
  expect(found.slice(-4)).toEqual(["dry", "dry", "dry", "dry"]);
  expect(fake.ended[0]?.verdict).toBe("stable");
});

test("the alerts of a round stay until the trays come out again or the next batch begins", () => {
  const fake = fakeBench(1 / 6);
  const { acts } = play(fake, 400_000, 2);
  const after = acts.map((act, place) => (act.is === "acknowledge" ? acts[place - 1] : null));
  const befores = after.filter((act) => act !== null && act?.is !== "acknowledge");
  expect(befores.length).toBeGreaterThan(2);
  for (const act of befores)
    expect(act).toSatisfy(
      (one: Act) => one.is === "end" || (one.is === "clock" && one.set === "out"),
    );
});

test("batches follow one another after a rest, and no more of them than asked for", () => {
  const fake = fakeBench(1);
  const { acts } = play(fake, 900_000, 3);
  expect(count(acts, "start-batch")).toBe(3);
  expect(fake.ended).toHaveLength(3);
});

test("a load that is not taken is lifted and put down again", () => {
  const fake = fakeBench(1 / 6);
  fake.deaf = 2;
  const { acts, longestStillMs } = play(fake, 60_000, 1);
  const places = acts.filter((act) => act.is === "place").map((act) => act.tray);
  expect(new Set(places.slice(0, 3)).size).toBe(1);
  expect(fake.batch().trays.every((tray) => tray.weighings.length === 1)).toBe(true);
  expect(longestStillMs).toBeLessThan(16_000);
});

test("the question which tray it is gets the tray that truly lies there", () => {
  const fake = fakeBench(1 / 6);
  fake.asking = 4;
  const { acts } = play(fake, 40_000, 1);
  const placed = acts.filter((act) => act.is === "place").map((act) => ({ tray: act.tray }));
  expect(fake.questionsAnswered).toEqual(placed.slice(0, 4));
});

test("a gap left by a restart is answered first", () => {
  const fake = fakeBench(1 / 6);
  play(fake, 60_000, 1);
  const iso = "2026-11-25T12:00:00+00:00";
  fake.batch().gaps.push({ id: 900, batch: fake.batch().id, from: iso, to: iso, dryerRan: null });
  const { acts } = play(fake, 5000, 1);
  expect(acts[0]).toEqual({ is: "answer-gap", gap: 900, dryerRan: true });
});

test("after a restart in the middle of a round only the trays that are left are weighed", () => {
  const fake = fakeBench(1 / 6);
  play(fake, 30_000, 1);
  while (fake.batch().round.weighed.length < 2) {
    // One act at a time, each time by a hand that remembers nothing.
    fake.lift();
    play(fake, 9000, 1, { ...idleHand, pauseMs: 500 });
  }
  const waiting = [...fake.batch().round.waiting];
  fake.lift();
  const { acts } = play(fake, 20_000, 1);
  const places = acts.filter((act) => act.is === "place").map((act) => act.tray);
  expect(places.slice(0, waiting.length)).toEqual(waiting);
});

test("nothing is done while weighings cannot be kept or the practice scale is away", () => {
  const fake = fakeBench(1 / 6);
  const bench = fake.bench();
  const [scale] = bench.scales;
  const seen = { hand: idleHand, inActMs: 60_000, mostBatches: 1 };
  expect(nextMove({ ...seen, bench: { ...bench, recording: false } }).act.is).toBe("wait");
  expect(nextMove({ ...seen, bench: { ...bench, scales: [] } }).act.is).toBe("wait");
  if (scale === undefined) throw new Error("the fake has one scale");
  const away = { ...bench, scales: [{ ...scale, link: "silent" as const }] };
  expect(nextMove({ ...seen, bench: away }).act.is).toBe("wait");
  expect(nextMove({ ...seen, bench }).act.is).toBe("start-batch");
});

test("with a proposal far off, or none, the hand weighs after 15 hours and then every four", () => {
  const fake = fakeBench(1 / 6);
  fake.proposesAfter = 1000;
  play(fake, 400_000, 1);
  const [batch] = fake.ended;
  const dried = batch?.trays[0]?.weighings.filter((one) => one.kind === "dry") ?? [];
  const at = dried.map((one) => one.dryingHours ?? 0);
  expect(at[0]).toBeCloseTo(15, 0);
  for (const [place, hour] of at.entries())
    if (place > 0) expect(hour - (at[place - 1] ?? 0)).toBeCloseTo(4, 0);
});

test("after a batch two bags are filled in two pours, sealed, and one is weighed once more", () => {
  const fake = fakeBench(1 / 6);
  const { acts, longestStillMs } = play(fake, 500_000, 1);
  const [first, second] = [...new Set(fake.packed.map(({ bag }) => bag))];
  expect(fake.packed.map(({ bag, kind }) => [bag, kind])).toEqual([
    [first, "tare"],
    [first, "filled"],
    [second, "tare"],
    [second, "filled"],
    [first, "sealed"],
    [second, "sealed"],
    [first, "shelf"],
  ]);
  const grosses = fake.packed.filter(({ bag }) => bag === first).map(({ gross }) => gross);
  expect(grosses[1]).toBeCloseTo((grosses[0] ?? 0) + 50, 9);
  expect(grosses[2]).toBeGreaterThan(grosses[1] ?? 0);
  expect(grosses[3]).toBe(grosses[2]);
  const pours = acts.filter((act) => act.is === "place-bag" && act.kind === "filled");
  expect(pours).toHaveLength(4);
  expect(longestStillMs).toBeLessThan(120_000);
});

test("a bag that a person chose from the shelf is left to the person", () => {
  const fake = fakeBench(1 / 6);
  play(fake, 500_000, 1);
  const bag = fake.packed[2]?.bag ?? 0;
  fake.chooseBag("practice", { bag });
  const before = fake.packed.length;
  const { acts } = play(fake, 60_000, 1, { ...idleHand, batchesBegun: 1 });
  expect(acts).toEqual([]);
  expect(fake.packed).toHaveLength(before);
});
