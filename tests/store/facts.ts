/** Made-up batches, trays and weighings for the tests of the store. */
import type { Batch, ClockMoment, Fact, GivenVerdict, Tray } from "../../src/service/bench.ts";
import type { TrayWeighing } from "../../src/tray/weighing.ts";
import { fraction, grams, utcMs } from "../../src/units/quantity.ts";

/** 2026-11-25 12:00 UTC, as good as any other moment. */
export const noon = utcMs(Date.UTC(2026, 10, 25, 12));

export const later = (minutes: number) => utcMs(noon + minutes * 60_000);

export const aTray = (id: number, batchId: number, more: Partial<Tray> = {}): Tray => ({
  id,
  batchId,
  name: `tray ${id}`,
  typedTare: null,
  foodName: "strawberries",
  food: {
    name: "Strawberries, raw",
    water: fraction(0.9095),
    waterSd: fraction(0.0112),
    source: "a table",
  },
  cautions: [],
  thicknessMm: null,
  portions: [],
  ...more,
});

export const aBatch = (id: number, trays: readonly Tray[], more: Partial<Batch> = {}): Batch => ({
  id,
  number: id,
  name: "",
  dryer: "the small one",
  practice: false,
  startedAt: noon,
  endedAt: null,
  trays,
  weighings: [],
  moments: [],
  interruptions: [],
  gaps: [],
  coreChecks: [],
  verdicts: [],
  judged: null,
  ...more,
});

export const aWeighing = (id: number, more: Partial<TrayWeighing> = {}): TrayWeighing => ({
  id,
  batchId: 1,
  trayId: 1,
  kind: "dry",
  portion: null,
  gross: grams(412.6),
  division: grams(0.1),
  scale: "serial:///dev/ttyUSB0",
  source: "scale",
  zeroSeen: true,
  at: later(id),
  supersedes: null,
  struck: false,
  reason: null,
  ...more,
});

export const aMoment = (id: number, more: Partial<ClockMoment> = {}): ClockMoment => ({
  id,
  batchId: 1,
  is: "in",
  at: later(id),
  trays: null,
  implied: false,
  supersedes: null,
  struck: false,
  reason: null,
  ...more,
});

export const aVerdict = (id: number, more: Partial<GivenVerdict> = {}): GivenVerdict => ({
  id,
  batchId: 1,
  round: 1,
  trayId: null,
  word: "losing",
  at: later(id),
  judgmentVersion: 1,
  text: "still losing",
  basis: "{}",
  ...more,
});

export const started = (batch: Batch): Fact => ({ is: "batch-started", batch });
export const taken = (weighing: TrayWeighing): Fact => ({ is: "weighing-taken", weighing });
export const oneBatch: Fact = started(aBatch(1, [aTray(1, 1), aTray(2, 1)]));
