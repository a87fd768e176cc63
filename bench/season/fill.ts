/** A store as full as a busy season leaves it. All of it is invented; only its size matters. */
import type { Bag, BagWeighing } from "../../src/bag/bag.ts";
import type { Batch, ClockMoment, Fact, GivenVerdict, Tray } from "../../src/service/bench.ts";
import type { Store } from "../../src/store/store.ts";
import type { TrayWeighing } from "../../src/tray/weighing.ts";
import { fraction, grams, utcMs, type UtcMs } from "../../src/units/quantity.ts";
import { judgmentVersion } from "../../src/verdict/verdict.ts";
import { aBag, aBagWeighing } from "../../tests/store/bags.ts";
import { aBatch, aMoment, aTray, aVerdict, aWeighing } from "../../tests/store/facts.ts";

export type Season = {
  readonly batches: number;
  readonly traysEach: number;
  readonly dryWeighingsEach: number;
  readonly bagsEach: number;
  readonly weighingsPerBag: number;
};

const hourMs = 3_600_000;
const foods = ["Strawberries, raw", "Corn, sweet, yellow, raw", "Apples, raw, without skin"];

/** Writes the season, one batch a transaction. All batches but the last have ended. */
export function fillSeason(store: Store, season: Season, begin: UtcMs): void {
  const ids = { tray: 1, weighing: 1, moment: 1, verdict: 1, bag: 1, bagWeighing: 1 };
  for (let number = 1; number <= season.batches; number++) {
    const at = (hours: number): UtcMs => utcMs(Math.round(begin + (number * 30 + hours) * hourMs));
    const trays: Tray[] = [];
    const weighings: TrayWeighing[] = [];
    for (let i = 0; i < season.traysEach; i++) {
      const food = foods[(number + i) % foods.length] ?? "";
      const tray = aTray(ids.tray++, number, { name: `${i + 1}`, foodName: food });
      trays.push({ ...tray, typedTare: grams(400) });
      weighings.push(...weighingsOf(tray.id, number, season, at, () => ids.weighing++));
    }
    const moments = momentsOf(number, season, at, () => ids.moment++);
    const verdicts = trays.map((tray): GivenVerdict =>
      aVerdict(ids.verdict++, {
        batchId: number,
        trayId: tray.id,
        word: "stable",
        at: at(29),
        judgmentVersion,
      }),
    );
    const whole = aVerdict(ids.verdict++, { batchId: number, word: "stable", at: at(29) });
    const batch: Batch = aBatch(number, trays, {
      name: `Week ${number}`,
      startedAt: at(0),
      endedAt: number === season.batches ? null : at(29.5),
      weighings,
      moments,
      verdicts: [...verdicts, whole],
    });
    store.record([{ is: "batch-started", batch }, ...bagsOf(batch, season, at, ids).flat()]);
  }
}

function weighingsOf(
  trayId: number,
  batchId: number,
  { dryWeighingsEach }: Season,
  at: (hours: number) => UtcMs,
  nextId: () => number,
): TrayWeighing[] {
  const row = (kind: "fresh" | "dry", net: number, hours: number): TrayWeighing =>
    aWeighing(nextId(), { batchId, trayId, kind, gross: grams(400 + net), at: at(hours) });
  const fresh = row("fresh", 700, 0);
  const dry = Array.from({ length: dryWeighingsEach }, (_, i) => {
    const hours = (29 * (i + 1)) / dryWeighingsEach;
    return row("dry", 65 + 635 * Math.exp(-hours / 4), hours);
  });
  return [fresh, ...dry];
}

function momentsOf(
  batchId: number,
  { dryWeighingsEach }: Season,
  at: (hours: number) => UtcMs,
  nextId: () => number,
): ClockMoment[] {
  return Array.from({ length: dryWeighingsEach }, (_, i) => {
    const gap = 29 / dryWeighingsEach;
    return [
      aMoment(nextId(), { batchId, is: "in", at: at(i * gap + 0.01) }),
      aMoment(nextId(), { batchId, is: "out", at: at((i + 1) * gap - 0.01) }),
    ];
  }).flat();
}

function bagsOf(
  batch: Batch,
  { bagsEach, weighingsPerBag }: Season,
  at: (hours: number) => UtcMs,
  ids: { bag: number; bagWeighing: number },
): Fact[][] {
  const kinds: readonly BagWeighing["kind"][] = ["tare", "filled", "sealed", "shelf"];
  return Array.from({ length: bagsEach }, (_, i) => {
    const bag: Bag = aBag(ids.bag++, {
      batchId: batch.id,
      batchNumber: batch.number,
      sequence: i + 1,
      plan: batch.id,
      product: foods[batch.number % foods.length] ?? "",
      plannedAt: at(29.2),
      target: grams(26),
      moisture: { estimate: fraction(0.02), low: fraction(0.005), high: fraction(0.035) },
      parts: [
        {
          trayId: batch.trays[0]?.id ?? 1,
          portion: null,
          name: "1",
          grams: grams(26),
          whole: true,
          division: grams(0.1),
          verdict: "stable",
          coreDry: true,
        },
      ],
    });
    const weighings = Array.from({ length: weighingsPerBag }, (_row, j): Fact => {
      const kind = kinds[Math.min(j, 3)] ?? "shelf";
      const gross = j === 0 ? 8 : j === 1 ? 34 : 38.2;
      const when = j < 3 ? at(29.3 + j / 100) : at(29.3 + (j - 2) * 96);
      const weighing = aBagWeighing(ids.bagWeighing++, bag.id, kind, gross, { at: when });
      return { is: "bag-weighed", weighing };
    });
    return [{ is: "bag-planned", bag }, ...weighings];
  });
}
