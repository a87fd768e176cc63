import { expect, test } from "vitest";
import type { Batch, Fact, Kept, Tray } from "../../src/service/bench.ts";
import type { TrayWeighing } from "../../src/tray/weighing.ts";
import { fraction, grams, utcMs } from "../../src/units/quantity.ts";
import { openStore } from "../../src/store/store.ts";
import fc from "../rig/properties.ts";
import {
  aBatch,
  aMoment,
  aTray,
  aVerdict,
  aWeighing,
  later,
  oneBatch,
  started,
  taken,
  noon,
} from "./facts.ts";
import { practice, real, tempFolder, tempStore, refusal } from "./folder.ts";

// What is handed in, folded into what should be kept, without the store: the witness of the property below.
type Model = {
  batches: Map<number, Batch>;
  ended: Set<number>;
  alerts: Kept["alerts"][number][];
  settings: Kept["settings"];
};
const empty = (): Model => ({ batches: new Map(), ended: new Set(), alerts: [], settings: null });

function fold(model: Model, fact: Fact): void {
  const change = (id: number, edit: (batch: Batch) => Partial<Batch>): void => {
    const batch = model.batches.get(id);
    if (batch === undefined) throw new Error(`no batch ${id}`);
    model.batches.set(id, { ...batch, ...edit(batch) });
  };
  const everywhere = (edit: (batch: Batch) => Partial<Batch>): void => {
    for (const id of model.batches.keys()) change(id, edit);
  };
  switch (fact.is) {
    case "batch-started":
      return void model.batches.set(fact.batch.id, fact.batch);
    case "batch-ended":
      return change(fact.batchId, () => ({ endedAt: fact.at }));
    case "tray-added":
      return change(fact.tray.batchId, ({ trays }) => ({ trays: [...trays, fact.tray] }));
    case "tray-changed":
      return change(fact.tray.batchId, ({ trays }) => ({
        trays: trays.map((tray) => (tray.id === fact.tray.id ? fact.tray : tray)),
      }));
    case "weighing-taken":
      return change(fact.weighing.batchId, ({ weighings }) => ({
        weighings: [...weighings, fact.weighing],
      }));
    case "moment-set":
      return change(fact.moment.batchId, ({ moments }) => ({ moments: [...moments, fact.moment] }));
    case "interruption-noted":
      return change(fact.interruption.batchId, ({ interruptions }) => ({
        interruptions: [...interruptions, fact.interruption],
      }));
    case "interruption-ended":
      return everywhere(({ interruptions }) => ({
        interruptions: interruptions.map((one) =>
          one.id === fact.id ? { ...one, to: fact.to } : one,
        ),
      }));
    case "gap-found":
      return change(fact.gap.batchId, ({ gaps }) => ({ gaps: [...gaps, fact.gap] }));
    case "gap-answered":
      return everywhere(({ gaps }) => ({
        gaps: gaps.map((gap) => (gap.id === fact.id ? { ...gap, dryerRan: fact.dryerRan } : gap)),
      }));
    case "core-checked":
      return change(fact.check.batchId, ({ coreChecks }) => ({
        coreChecks: [...coreChecks, fact.check],
      }));
    case "verdict-given":
      return change(fact.verdict.batchId, ({ verdicts }) => ({
        verdicts: [...verdicts, fact.verdict],
      }));
    case "alert-raised":
      return void model.alerts.push(fact.alert);
    case "alert-acknowledged":
      model.alerts = model.alerts.map((alert) =>
        alert.id === fact.id ? { ...alert, acknowledgedAt: fact.at } : alert,
      );
      return;
    case "alert-sent":
      model.alerts = model.alerts.map((alert) =>
        alert.id === fact.id
          ? { ...alert, owed: alert.owed.filter((channel) => channel !== fact.channel) }
          : alert,
      );
      return;
    case "bag-planned":
    case "bag-weighed":
    case "bag-fate":
    case "bag-gain-accepted":
    case "lesson-kept":
    case "lesson-changed":
    case "dryer-set":
    case "own-food-set":
    case "check-weight-set":
    case "scale-checked":
    case "scales-compared":
      throw new Error("bags, lessons and the kitchen are played elsewhere");
    case "settings-changed":
      model.settings = fact.settings;
      return;
  }
}

// Whole UTF-16, halves of pairs left out: those cannot be kept as they are (see below).
const words = fc.string({ unit: "binary", maxLength: 12 });
const moments = fc.integer({ min: 0, max: 4_102_444_800_000 }).map(utcMs);
const masses = fc.integer({ min: -5_000_000, max: 100_000_000 }).map((mg) => grams(mg / 1000));
const divisions = fc.integer({ min: 1000, max: 50_000_000 }).map((ug) => grams(ug / 1_000_000));
const shares = fc.double({ min: 0, max: 1, noNaN: true }).map((share) => fraction(share));
const maybe = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: null });

const saidFood = {
  foodName: maybe(words),
  food: maybe(fc.record({ name: words, water: shares, waterSd: shares, source: words })),
  cautions: fc.array(words, { maxLength: 3 }),
  thicknessMm: maybe(fc.double({ min: 0.1, max: 200, noNaN: true })),
};
const portions = fc
  .array(
    fc.record({
      ...saidFood,
      target: maybe(masses.filter((mass) => mass > 0)),
      fromBag: fc.constant(null),
    }),
    { maxLength: 3 },
  )
  .map((all) => all.map((one, index) => ({ ...one, place: index + 1 })));
const trayBody = fc.record({ name: words, typedTare: maybe(masses), ...saidFood, portions });
const weighed = fc.record({
  kind: fc.constantFrom("tare" as const, "fresh" as const, "dry" as const),
  portion: maybe(fc.integer({ min: 1, max: 9 })),
  gross: masses,
  division: divisions,
  scale: maybe(words),
  source: fc.constantFrom("scale" as const, "typed" as const),
  zeroSeen: fc.boolean(),
  at: moments,
});
const weighingBody = fc
  .tuple(weighed, fc.boolean())
  .map(([body, isTaken]) => (isTaken ? { ...body, foodTaken: true as const } : body));
const correction = fc.record({ struck: fc.boolean(), reason: words });
const settingsBody = fc.record({
  limit: shares,
  displayUnit: fc.constantFrom("g" as const, "kg" as const, "oz" as const, "lb" as const),
  webhook: maybe(words),
  mqtt: maybe(fc.record({ url: words, prefix: words, user: maybe(words), password: maybe(words) })),
  outTooLongMinutes: fc.double({ min: 1, max: 1440, noNaN: true }),
  sound: fc.boolean(),
  learning: fc.boolean(),
});

// One act; `pick` chooses the thing it is about among those that are there.
const act = fc.record({
  pick: fc.nat(),
  what: fc.oneof(
    fc.record({
      is: fc.constant("batch" as const),
      name: words,
      dryer: words,
      at: moments,
      trays: fc.array(trayBody, { maxLength: 3 }),
    }),
    fc.record({ is: fc.constant("end" as const), at: moments }),
    fc.record({ is: fc.constant("tray" as const), body: trayBody }),
    fc.record({ is: fc.constant("edit" as const), body: trayBody, at: moments }),
    fc.record({ is: fc.constant("weigh" as const), body: weighingBody }),
    fc.record({ is: fc.constant("correct" as const), body: weighingBody, how: correction }),
    fc.record({
      is: fc.constant("clock" as const),
      went: fc.constantFrom("in" as const, "out" as const),
      at: moments,
      some: fc.boolean(),
      implied: fc.boolean(),
      how: maybe(correction),
    }),
    fc.record({
      is: fc.constant("interrupt" as const),
      from: moments,
      to: maybe(moments),
      reason: words,
    }),
    fc.record({ is: fc.constant("resume" as const), to: moments }),
    fc.record({ is: fc.constant("gap" as const), from: moments, to: moments }),
    fc.record({ is: fc.constant("answer" as const), ran: fc.boolean(), at: moments }),
    fc.record({
      is: fc.constant("core" as const),
      finding: fc.constantFrom("dry" as const, "cold" as const, "soft" as const),
      at: moments,
    }),
    fc.record({
      is: fc.constant("verdict" as const),
      ofTray: fc.boolean(),
      word: fc.constantFrom(
        "losing" as const,
        "stable" as const,
        "gaining" as const,
        "stalled" as const,
        "unsure" as const,
      ),
      text: words,
      at: moments,
    }),
    fc.record({
      is: fc.constant("alert" as const),
      ofBatch: fc.boolean(),
      code: fc.constantFrom("stable" as const, "scale-lost" as const),
      text: words,
      at: moments,
      owed: fc.subarray(["mqtt" as const, "webhook" as const]),
    }),
    fc.record({ is: fc.constant("sent" as const), at: moments }),
    fc.record({ is: fc.constant("acknowledge" as const), at: moments }),
    fc.record({ is: fc.constant("settings" as const), settings: settingsBody, at: moments }),
  ),
});
type Act = typeof act extends fc.Arbitrary<infer A> ? A : never;

/** The fact that an act leads to, given what there is; null when there is nothing for it to be about. */
function factOf({ pick, what }: Act, model: Model): Fact | null {
  const batches = [...model.batches.values()];
  const among = <T>(list: readonly T[]): T | undefined => list[pick % list.length];
  const all = {
    trays: batches.flatMap((batch) => batch.trays),
    weighings: batches.flatMap((batch) => batch.weighings),
    moments: batches.flatMap((batch) => batch.moments),
    interruptions: batches.flatMap((batch) => batch.interruptions),
    gaps: batches.flatMap((batch) => batch.gaps),
    checks: batches.flatMap((batch) => batch.coreChecks),
    verdicts: batches.flatMap((batch) => batch.verdicts),
  };
  const nextOf = (list: readonly unknown[]): number => list.length + 1;
  if (what.is === "batch") {
    const id = nextOf(batches);
    const trays: Tray[] = what.trays.map((body, i) => ({
      ...body,
      id: nextOf(all.trays) + i,
      batchId: id,
    }));
    return started(
      aBatch(id, trays, { number: id * 3, name: what.name, dryer: what.dryer, startedAt: what.at }),
    );
  }
  if (what.is === "settings")
    return { is: "settings-changed", settings: what.settings, at: what.at };
  if (what.is === "acknowledge") {
    const alert = among(model.alerts);
    return alert === undefined ? null : { is: "alert-acknowledged", id: alert.id, at: what.at };
  }
  if (what.is === "sent") {
    const alert = among(model.alerts.filter(({ owed }) => owed.length > 0));
    const channel = alert?.owed[pick % alert.owed.length];
    return alert === undefined || channel === undefined
      ? null
      : { is: "alert-sent", id: alert.id, channel, at: what.at };
  }
  const batch = among(batches);
  if (what.is === "alert") {
    const id = nextOf(model.alerts);
    const batchId = what.ofBatch ? (batch?.id ?? null) : null;
    return {
      is: "alert-raised",
      alert: {
        id,
        key: `${id}`,
        code: what.code,
        batchId,
        round: batchId,
        text: what.text,
        at: what.at,
        figures: { behind: ["3"], lowHours: 2.5 },
        acknowledgedAt: null,
        owed: what.owed,
      },
    };
  }
  if (batch === undefined) return null;
  const tray = among(batch.trays);
  const mayNotBeReplaced = (id: number, rows: readonly { supersedes: number | null }[]): boolean =>
    rows.some((row) => row.supersedes === id);
  switch (what.is) {
    case "end":
      return batch.endedAt === null ? { is: "batch-ended", batchId: batch.id, at: what.at } : null;
    case "tray":
      return { is: "tray-added", tray: { ...what.body, id: nextOf(all.trays), batchId: batch.id } };
    case "edit":
      return tray === undefined
        ? null
        : {
            is: "tray-changed",
            tray: { ...what.body, id: tray.id, batchId: batch.id },
            at: what.at,
          };
    case "weigh":
      return tray === undefined
        ? null
        : taken(
            aWeighing(nextOf(all.weighings), { ...what.body, batchId: batch.id, trayId: tray.id }),
          );
    case "correct": {
      const old = among(batch.weighings);
      if (old === undefined || tray === undefined || mayNotBeReplaced(old.id, all.weighings))
        return null;
      return taken(
        aWeighing(nextOf(all.weighings), {
          ...what.body,
          ...what.how,
          batchId: batch.id,
          trayId: tray.id,
          supersedes: old.id,
        }),
      );
    }
    case "clock": {
      const old = among(batch.moments);
      const corrects =
        what.how !== null && old !== undefined && !mayNotBeReplaced(old.id, all.moments);
      return {
        is: "moment-set",
        moment: aMoment(nextOf(all.moments), {
          batchId: batch.id,
          is: what.went,
          at: what.at,
          implied: what.implied,
          trays: what.some ? batch.trays.map((one) => one.id).toReversed() : null,
          ...(corrects ? { ...what.how, supersedes: old.id } : {}),
        }),
      };
    }
    case "interrupt":
      return {
        is: "interruption-noted",
        interruption: {
          id: nextOf(all.interruptions),
          batchId: batch.id,
          from: what.from,
          to: what.to,
          reason: what.reason,
        },
      };
    case "resume": {
      const one = among(all.interruptions);
      return one === undefined ? null : { is: "interruption-ended", id: one.id, to: what.to };
    }
    case "gap":
      return {
        is: "gap-found",
        gap: {
          id: nextOf(all.gaps),
          batchId: batch.id,
          from: what.from,
          to: what.to,
          dryerRan: null,
        },
      };
    case "answer": {
      const gap = among(all.gaps);
      return gap === undefined
        ? null
        : { is: "gap-answered", id: gap.id, dryerRan: what.ran, at: what.at };
    }
    case "core":
      return tray === undefined
        ? null
        : {
            is: "core-checked",
            check: {
              id: nextOf(all.checks),
              batchId: batch.id,
              trayId: tray.id,
              finding: what.finding,
              at: what.at,
            },
          };
    case "verdict":
      return {
        is: "verdict-given",
        verdict: aVerdict(nextOf(all.verdicts), {
          batchId: batch.id,
          trayId: what.ofTray ? (tray?.id ?? null) : null,
          word: what.word,
          text: what.text,
          at: what.at,
        }),
      };
  }
}

/** Ended, with one tray's rows of one kind from one scale within a quarter of an hour, one after the other. */
const isWeighedAgain = ({ endedAt, weighings }: Batch): boolean =>
  endedAt !== null &&
  weighings.some(
    (row) =>
      row.source === "scale" &&
      row.scale !== null &&
      weighings
        .filter(
          (one) => one.source === "scale" && one.trayId === row.trayId && one.kind === row.kind,
        )
        .toSorted((a, b) => a.at - b.at || a.id - b.id)
        .some(
          (one, i, all) =>
            all[i + 1] === row && one.scale === row.scale && row.at - one.at <= 900_000,
        ),
  );

test("whatever facts were kept, the store gives back what they add up to, also after it was closed", () => {
  const folder = tempFolder();
  let run = 0;
  const kinds = new Set<string>();
  fc.assert(
    fc.property(fc.array(act, { minLength: 30, maxLength: 60 }), fc.nat(4), (acts, perInput) => {
      run += 1;
      const place = `${folder}/${run}`;
      const store = openStore(place, real);
      const model = empty();
      let input: Fact[] = [];
      for (const one of acts) {
        const fact = factOf(one, model);
        if (fact === null) continue;
        kinds.add(fact.is);
        fold(model, fact);
        input.push(fact);
        if (input.length > perInput) store.record(input.splice(0));
      }
      store.record(input);

      const batches = [...model.batches.values()];
      const numberOf = (list: (batch: Batch) => readonly unknown[]): number =>
        batches.flatMap(list).length + 1;
      // Cloned, because the made-up records have no prototype and what is read back has.
      const expected: Kept = structuredClone({
        batches: batches.filter((batch) => batch.endedAt === null),
        bags: [],
        lessons: [],
        kitchen: { dryers: [], foods: [], checkWeights: [], checks: [], comparisons: [] },
        weighedAgain: batches.filter(isWeighedAgain).map(({ trays, weighings }) => ({
          practice: false,
          trays,
          weighings,
        })),
        emptyTrays: batches
          .filter(({ endedAt }) => endedAt !== null)
          .flatMap(({ weighings }) => {
            const replaced = weighings.map(({ supersedes }) => supersedes);
            return weighings.filter(
              ({ id, kind, struck }) => kind === "tare" && !struck && !replaced.includes(id),
            );
          })
          .toSorted((a, b) => a.id - b.id)
          .map(({ gross }) => gross)
          .slice(-24),
        alerts: model.alerts.filter((alert) => alert.acknowledgedAt === null),
        alertKeys: model.alerts
          .filter(
            ({ batchId, acknowledgedAt }) =>
              batchId === null ||
              acknowledgedAt === null ||
              model.batches.get(batchId)?.endedAt === null,
          )
          .map(({ key, acknowledgedAt }) => [key, acknowledgedAt]),
        settings: model.settings,
        next: {
          batch: batches.length + 1,
          batchNumber: batches.length * 3 + 1,
          tray: numberOf((batch) => batch.trays),
          weighing: numberOf((batch) => batch.weighings),
          moment: numberOf((batch) => batch.moments),
          interruption: numberOf((batch) => batch.interruptions),
          gap: numberOf((batch) => batch.gaps),
          coreCheck: numberOf((batch) => batch.coreChecks),
          verdict: numberOf((batch) => batch.verdicts),
          alert: model.alerts.length + 1,
          bag: 1,
          bagPlan: 1,
          bagWeighing: 1,
          bagFate: 1,
          bagGain: 1,
          lesson: 1,
        },
        scales: [],
        lastAlive: null,
      });
      expect(store.load()).toStrictEqual(expected);
      store.close();
      const again = openStore(place, real);
      expect(again.load()).toStrictEqual(expected);
      for (const batch of batches)
        expect(again.loadBatch(batch.id)).toStrictEqual(structuredClone(batch));
      again.close();
    }),
    { numRuns: 40 },
  );
  expect(kinds.size).toBe(16);
});

test("a division of 0.1 oz and a mass in ounces come back closer than any display shows", () => {
  const store = tempStore();
  const weighing = aWeighing(1, { division: grams(2.8349523125), gross: grams(99.2233343) });
  store.record([oneBatch, taken(weighing)]);
  const back = store.loadBatch(1)?.weighings[0];
  expect(Math.abs((back?.division ?? 0) - 2.8349523125)).toBeLessThan(1e-6);
  expect(back?.gross).toBe(99.223);
});

test("a division finer than the store keeps is refused, and nothing of the input is kept", () => {
  const store = tempStore();
  store.record([oneBatch]);
  const fine = aWeighing(2, { division: grams(0.0005) });
  expect(() => store.record([taken(aWeighing(1)), taken(fine)])).toThrow(
    refusal("weighing.impossible"),
  );
  expect(store.loadBatch(1)?.weighings).toEqual([]);
});

test("half a surrogate pair in a text is kept as the replacement character, and the chain stays whole", () => {
  const store = tempStore();
  store.record([started(aBatch(1, [aTray(1, 1)])), taken(aWeighing(1, { scale: "a\ud800b" }))]);
  expect(store.loadBatch(1)?.weighings[0]?.scale).toBe("a\ufffdb");
});

test("an input that the layout refuses keeps nothing at all, and the next one goes through", () => {
  const store = tempStore();
  store.record([oneBatch]);
  expect(() => store.record([taken(aWeighing(1)), taken(aWeighing(2, { trayId: 77 }))])).toThrow(
    "FOREIGN KEY",
  );
  expect(store.loadBatch(1)?.weighings).toEqual([]);
  store.record([taken(aWeighing(1))]);
  expect(store.loadBatch(1)?.weighings).toEqual([aWeighing(1)]);
});

test("a change of something that is not there is refused and not swallowed", () => {
  const store = tempStore();
  expect(() => store.record([{ is: "batch-ended", batchId: 9, at: noon }])).toThrow("batch 9");
  expect(() => store.record([{ is: "interruption-ended", id: 9, to: noon }])).toThrow("ruption 9");
  expect(() => store.record([{ is: "gap-answered", id: 9, dryerRan: true, at: noon }])).toThrow(
    "gap 9",
  );
  expect(() => store.record([{ is: "alert-acknowledged", id: 9, at: noon }])).toThrow("alert 9");
});

test("a batch is ended once", () => {
  const store = tempStore();
  store.record([oneBatch, { is: "batch-ended", batchId: 1, at: later(5) }]);
  expect(() => store.record([{ is: "batch-ended", batchId: 1, at: later(9) }])).toThrow("batch 1");
  expect(store.loadBatch(1)?.endedAt).toBe(later(5));
});

test("the record lists ended and open batches with the weighings that stand and the last verdict", () => {
  const store = tempStore();
  const rows: TrayWeighing[] = [
    aWeighing(1),
    aWeighing(2, { supersedes: 1, reason: "wrong tray", trayId: 2 }),
    aWeighing(3),
    aWeighing(4, { supersedes: 3, struck: true, reason: "spilled" }),
    aWeighing(5),
  ];
  store.record([oneBatch, ...rows.map(taken)]);
  store.record([
    { is: "verdict-given", verdict: aVerdict(1) },
    { is: "verdict-given", verdict: aVerdict(2, { word: "stable" }) },
    { is: "verdict-given", verdict: aVerdict(3, { trayId: 1, word: "stalled" }) },
    { is: "batch-ended", batchId: 1, at: later(60) },
    started(aBatch(2, [aTray(3, 2)])),
  ]);
  const [first, second] = store.listBatches("all");
  expect(first).toMatchObject({ id: 1, number: 1, word: "stable", endedAt: later(60) });
  expect(first?.weighings.map((row) => row.id)).toEqual([2, 5]);
  expect(first?.trays.map((tray) => tray.name)).toEqual(["tray 1", "tray 2"]);
  expect(second).toMatchObject({ id: 2, word: null, weighings: [], endedAt: null });
  expect(store.listBatches("open").map((batch) => batch.id)).toEqual([2]);
  expect(store.listBatches("ended").map((batch) => batch.id)).toEqual([1]);
});

test("a batch that is not there is null", () => {
  expect(tempStore().loadBatch(1)).toBeNull();
});

test("scale addresses are remembered once each, in order, and forgotten", () => {
  const store = tempStore();
  store.rememberScale("tcp://a:1");
  store.rememberScale("serial:COM3");
  store.rememberScale("tcp://a:1");
  expect(store.load().scales).toEqual(["tcp://a:1", "serial:COM3"]);
  store.forgetScale("tcp://a:1");
  store.forgetScale("never set up");
  expect(store.load().scales).toEqual(["serial:COM3"]);
});

test("the last sign of life is the newest that was given", () => {
  const store = tempStore();
  store.alive({ at: noon, systemAt: noon });
  store.alive({ at: later(1), systemAt: later(1) });
  expect(store.load().lastAlive).toEqual({ at: later(1), systemAt: later(1) });
});

test("only weighings in a real folder are real", () => {
  const store = tempStore();
  store.record([oneBatch]);
  expect(store.hasRealWeighings()).toBe(false);
  store.record([taken(aWeighing(1))]);
  expect(store.hasRealWeighings()).toBe(true);
  const trial = tempStore(practice);
  trial.record([started(aBatch(1, [aTray(1, 1)], { practice: true })), taken(aWeighing(1))]);
  expect(trial.hasRealWeighings()).toBe(false);
});

test("a food's thickness is the one stated last, of trays and portions, whatever the case", () => {
  const store = tempStore();
  const of = (id: number, food: string, thicknessMm: number | null): Tray => ({
    ...aTray(id, 1),
    name: `${id}`,
    foodName: food,
    thicknessMm,
  });
  store.record([started(aBatch(1, [of(1, "Plums, raw", 8), of(2, "Pears, raw", null)]))]);
  expect(store.thicknessOf("plums, RAW")).toBe(8);
  expect(store.thicknessOf("Pears, raw")).toBeNull();
  const portions = [
    { place: 1, foodName: "Pears, raw", food: null, cautions: [], thicknessMm: 12 },
    { place: 2, foodName: "Plums, raw", food: null, cautions: [], thicknessMm: null },
  ].map((one) => ({ ...one, target: null, fromBag: null }));
  const mixed = { ...of(3, "Pears, raw + Plums, raw", null), portions };
  store.record([{ is: "tray-added", tray: mixed }]);
  expect(store.thicknessOf("Pears, raw")).toBe(12);
  expect(store.thicknessOf("Plums, raw")).toBe(8);
  store.record([{ is: "tray-changed", tray: of(1, "Plums, raw", 9.5), at: noon }]);
  expect(store.thicknessOf("Plums, raw")).toBe(9.5);
  store.close();
});
