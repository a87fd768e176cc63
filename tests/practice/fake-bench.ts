/** A bench with the least of a service behind it: it takes a load after two seconds and judges by the truth. */
import type { HandsOn } from "../../src/service/practice.ts";
import { Fault } from "../../src/faults.ts";
import { dryMass, loadAt } from "../../src/practice/dryer.ts";
import type { Bag, BagTaken, BagTask, BagWeighingKind } from "../../src/wire/bag.ts";
import type { Batch, Tray, TrayVerdict, Weighing } from "../../src/wire/batch.ts";
import type { Alert, Bench } from "../../src/wire/bench.ts";
import type { NewBatch } from "../../src/wire/requests.ts";
import type { VerdictWord } from "../../src/wire/words.ts";
import { grams } from "../../src/units/quantity.ts";
import { aBag } from "../web/bags.ts";

const iso = "2026-11-25T12:00:00+00:00";

export type FakeBench = HandsOn & {
  /** Lets real time pass. */
  pass(ms: number): void;
  put(grossGrams: number): void;
  lift(): void;
  batch(): Batch;
  readonly ended: Batch[];
  /** Bags with what was taken for each, in order. */
  readonly packed: { readonly bag: number; readonly kind: string; readonly gross: number }[];
  readonly questionsAnswered: { tray: number | null }[];
  /** Loads that are not taken from now on. */
  deaf: number;
  /** Loads that are asked about from now on. */
  asking: number;
  /** Drying hours after which it proposes to weigh again. */
  proposesAfter: number;
  /** Times its dry mass to which a tray may weigh and be called stable. */
  stableWithin: number;
};

const called = (verdict: VerdictWord): TrayVerdict => ({
  tray: "",
  verdict,
  confidence: 0.99,
  p_dry: 0.99,
  reasons: [],
  remaining_g: null,
  more_hours: null,
  next_weighing_hours: null,
  provable_g: null,
  contradiction: null,
  fit: null,
  expected_dry_g: null,
});

export function fakeBench(hoursPerSecond: number): FakeBench {
  let batch: Batch | null = null;
  let alerts: Alert[] = [];
  let lastId = 0;
  let onPan: { gross: number; ms: number; dealtWith: boolean; asked: number | null } | null = null;
  let reweighAtHours = Infinity;
  let dryingHours = 0;
  /** Trays whose last broken piece was not dry. */
  const softInside = new Set<number>();
  const id = (): number => ++lastId;
  const open = (): Batch => {
    if (batch === null) throw new Fault("batch.not-found", "no batch is open");
    return batch;
  };
  const raise = (code: Alert["code"]): void => {
    const round = batch?.round.number ?? null;
    const text = `${code} in the fake`;
    alerts = [
      ...alerts,
      {
        id: id(),
        code,
        batch: batch?.id ?? null,
        round,
        text,
        at: iso,
        figures: {},
        acknowledged: null,
      },
    ];
  };

  const expected = (): Tray | undefined => {
    const { phase, trays } = open();
    return phase === "loading"
      ? trays.find((one) => one.weighings.length === 0)
      : trays.find((one) => open().round.waiting.includes(one.id));
  };

  function take(tray: Tray, gross: number): void {
    const kind = open().phase === "loading" ? "fresh" : "dry";
    const weighing: Weighing = {
      id: id(),
      batch: open().id,
      tray: tray.id,
      kind,
      portion: null,
      grossGrams: gross,
      netGrams: gross - (tray.tareGrams ?? 0),
      divisionGrams: 0.1,
      dryingHours: kind === "dry" ? dryingHours : null,
      minutesOut: null,
      scale: "practice",
      source: "scale",
      zeroSeen: true,
      at: iso,
      clockDoubt: null,
      supersedes: null,
      struck: false,
      foodTaken: false,
      reason: null,
      current: true,
    };
    tray.weighings.push(weighing);
    const { round } = open();
    if (kind === "fresh") return;
    round.waiting = round.waiting.filter((one) => one !== tray.id);
    round.weighed.push(tray.id);
    if (round.waiting.length === 0) judge(open());
  }

  function judge(judged: Batch): void {
    const wet = judged.trays.filter((tray, place) => {
      const net = tray.weighings.at(-1)?.netGrams ?? 0;
      return net > fake.stableWithin * dryMass(loadAt(place), tray.waterPct);
    });
    call(judged, wet);
    judged.coresToCheck = wet.length === 0 ? judged.trays.map((tray) => tray.id) : [];
    raise(wet.length === 0 ? "stable" : "needs-more");
    reweighAtHours = dryingHours + fake.proposesAfter;
  }

  function call(judged: Batch, wet: readonly Tray[]): void {
    for (const tray of judged.trays)
      tray.verdict = called(wet.includes(tray) || softInside.has(tray.id) ? "losing" : "stable");
    judged.verdict = wet.length === 0 && softInside.size === 0 ? "stable" : "losing";
  }

  function passSlice(ms: number): void {
    if (batch?.clock.state === "in") {
      dryingHours += (hoursPerSecond * ms) / 1000;
      batch.clock.dryingHours = dryingHours;
      const due = dryingHours >= reweighAtHours;
      if (due && batch.nextWeighing?.due !== true) raise("time-to-weigh");
      batch.nextWeighing = { dryingHours: reweighAtHours, at: null, due };
    }
    if (onPan === null || onPan.dealtWith) return;
    onPan.ms += ms;
    if (onPan.ms < 2000) return;
    onPan.dealtWith = true;
    if (on !== null) return takeBag(onPan.gross);
    const tray = expected();
    if (fake.deaf > 0) fake.deaf -= 1;
    else if (fake.asking > 0) {
      fake.asking -= 1;
      onPan.asked = id();
    } else if (tray !== undefined) take(tray, onPan.gross);
  }

  let bags: Bag[] = [];
  let on: { bag: number; kind: BagWeighingKind } | null = null;
  let bagTaken: BagTaken | null = null;
  const bagOf = (bagId: number): Bag => {
    const bag = bags.find((one) => one.id === bagId);
    if (bag === undefined) throw new Fault("bag.not-found", `bag ${bagId}`);
    return bag;
  };

  /** As the service does: empty, filled, the next one; and when all are filled, sealed one after another. */
  function takeBag(gross: number): void {
    if (on === null) return;
    const bag = bagOf(on.bag);
    const { kind } = on;
    const misses = gross - (bag.tareGrams ?? 0) - bag.targetGrams;
    if (kind === "filled" && Math.abs(misses) > 1) return;
    const weighing = id();
    fake.packed.push({ bag: bag.id, kind, gross });
    bag.weighings.push({
      id: weighing,
      bag: bag.id,
      kind,
      grossGrams: gross,
      divisionGrams: 0.1,
      scale: "practice",
      source: "scale",
      at: iso,
      supersedes: null,
      struck: false,
      reason: null,
      current: true,
    });
    const { code, product } = bag;
    bagTaken = {
      weighing,
      bag: bag.id,
      code,
      product,
      kind,
      grossGrams: gross,
      netGrams: null,
      at: iso,
      finding: null,
    };
    if (kind === "tare") bag.tareGrams = gross;
    if (kind === "filled") bag.state = "filled";
    if (kind === "sealed") bag.state = "sealed";
    const empty = bags.find(({ state }) => state === "planned");
    const open = bags.find(({ state }) => state === "filled");
    if (kind === "tare") on = { bag: bag.id, kind: "filled" };
    else if (kind === "shelf") on = null;
    else if (empty !== undefined) on = { bag: empty.id, kind: "tare" };
    else on = open === undefined ? null : { bag: open.id, kind: "sealed" };
  }

  const fake: FakeBench = {
    ended: [],
    packed: [],
    questionsAnswered: [],
    deaf: 0,
    asking: 0,
    proposesAfter: 3,
    stableWithin: 1.01,
    batch: open,
    pass: passSlice,
    put: (gross) => {
      onPan = { gross, ms: 0, dealtWith: false, asked: null };
    },
    lift: () => {
      onPan = null;
    },
    bench: () => structuredClone(present()),
    bag: (bag) => structuredClone(bagOf(bag)),
    startBatch: (asked) => {
      dryingHours = 0;
      reweighAtHours = 10 + fake.proposesAfter;
      batch = begun(asked, id);
      return batch;
    },
    setClock: (_, { is }) => {
      const now = open();
      if (now.clock.state === is) throw new Fault("clock.out-of-order", `already ${is}`);
      now.phase = "drying";
      now.clock.state = is;
      now.nextWeighing = null;
      if (is === "out")
        now.round = {
          number: now.round.number + 1,
          weighed: [],
          waiting: now.trays.map((t) => t.id),
        };
      return now;
    },
    checkCore: (tray, { finding }) => {
      const now = open();
      if (finding === "dry") softInside.delete(tray);
      else softInside.add(tray);
      call(now, []);
      now.coresToCheck = now.coresToCheck.filter((one) => one !== tray);
      return now;
    },
    answerLoad: (_, { load, tray: trayId }) => {
      fake.questionsAnswered.push({ tray: trayId });
      const tray = open().trays.find((one) => one.id === trayId);
      if (onPan?.asked !== load || tray === undefined) throw new Fault("load.gone", `load ${load}`);
      onPan.asked = null;
      take(tray, onPan.gross);
      return fake.bench();
    },
    answerGap: (gapId, { dryerRan }) => {
      const gap = open().gaps.find((one) => one.id === gapId);
      if (gap === undefined) throw new Fault("gap.not-found", `gap ${gapId}`);
      gap.dryerRan = dryerRan;
      return open();
    },
    acknowledge: (alert) => {
      alerts = alerts.filter((one) => one.id !== alert);
      return fake.bench();
    },
    planBags: (batchId, asked) => {
      if (fake.ended.at(-1)?.id !== batchId || !("count" in asked.divide))
        throw new Fault("batch.not-found", `batch ${batchId}`);
      bags = Array.from({ length: asked.divide.count }, (_, at) =>
        aBag({
          id: id(),
          code: `PRACTICE-1-${at + 1}`,
          practice: true,
          tareGrams: null,
          targetGrams: 50,
          weighings: [],
        }),
      );
      return bags;
    },
    chooseBag: (_, { bag }) => {
      if (typeof bag !== "number") on = null;
      else {
        const { state } = bagOf(bag);
        on = { bag, kind: state === "sealed" ? "shelf" : state === "filled" ? "sealed" : "tare" };
      }
      return fake.bench();
    },
    endBatch: () => {
      const ended = open();
      fake.ended.push(ended);
      batch = null;
      return ended;
    },
  };

  const onTask = (): BagTask | null => {
    if (on === null) return null;
    const bag = bagOf(on.bag);
    return {
      bag: bag.id,
      code: bag.code,
      product: bag.product,
      kind: on.kind,
      tareGrams: bag.tareGrams,
      targetGrams: on.kind === "filled" ? bag.targetGrams : null,
      toleranceGrams: null,
      toGoGrams: null,
      needsLift: false,
      why: null,
    };
  };

  function present(): Bench {
    const question =
      onPan === null || onPan.asked === null
        ? null
        : {
            load: onPan.asked,
            grams: onPan.gross,
            is: "which-tray" as const,
            why: "two trays weigh nearly the same",
            candidates: [],
          };
    return {
      program: "0",
      practice: "a test",
      timeFactor: 1,
      dataFolder: "",
      recording: true,
      notRecordingWhy: null,
      clockJump: null,
      scales: [
        {
          id: "practice",
          uri: "practice:",
          practice: true,
          link: "up",
          since: iso,
          why: null,
          fix: null,
          form: "marked",
          unit: "g",
          candidates: [],
          state: "weight",
          grams: grams(onPan?.gross ?? 0),
          settled: true,
          divisionGrams: 0.1,
          zeroSeen: true,
        },
      ],
      tasks: [
        {
          scale: "practice",
          next: null,
          chosen: { tray: null, portion: null, bag: null, weight: null },
          pour: null,
          check: { last: null, isDue: false, waitsFor: null },
          question,
          taken: null,
          bag: onTask(),
          bagTaken,
        },
      ],
      nextBatchNumber: 1,
      packing: bags.filter(({ state }) => state !== "sealed"),
      batches: batch === null ? [] : [batch],
      alerts,
      settings: {
        limitPct: 1,
        displayUnit: "g",
        webhook: null,
        mqtt: null,
        outTooLongMinutes: 60,
        sound: false,
        learning: true,
      },
      sending: [],
      backup: null,
      practiceHand: null,
    };
  }
  return fake;
}

function begun(asked: NewBatch, id: () => number): Batch {
  return {
    id: id(),
    number: 1,
    name: asked.name ?? "",
    dryer: asked.dryer,
    startedAt: iso,
    endedAt: null,
    practice: true,
    phase: "loading",
    clock: { state: "waiting", since: null, dryingHours: 0, minutesOut: null, running: true },
    round: { number: 0, weighed: [], waiting: [] },
    verdict: null,
    moreHours: null,
    behind: [],
    nextWeighing: null,
    coresToCheck: [],
    provableBefore: null,
    moments: [],
    interruptions: [],
    gaps: [],
    trays: asked.trays.map((tray) => ({
      id: id(),
      name: tray.name,
      tareGrams: tray.tareGrams ?? null,
      food: tray.food ?? null,
      foodSource: null,
      waterPct: tray.waterPct ?? null,
      cautions: [],
      thicknessMm: null,
      portions: [],
      freshGrams: null,
      netGrams: null,
      waterRemovedGrams: null,
      yieldFraction: null,
      moistureWetBasis: null,
      moistureDryBasis: null,
      verdict: null,
      coreCheck: null,
      weighings: [],
    })),
  };
}
