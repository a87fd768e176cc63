/** A bench for tests of the step: one scale, a clock that a test moves by hand. */
import { emptyPan } from "../../src/settle/settle.ts";
import type { SettledWeight } from "../../src/settle/settled.ts";
import type { Alert, Batch, Bench, Change } from "../../src/service/bench.ts";
import { settleLoad } from "../../src/service/loads.ts";
import * as acts from "../../src/service/acts.ts";
import type { BagsAsked } from "../../src/service/bagplan.ts";
import { step, tick, type Step } from "../../src/service/step.ts";
import { fraction, grams, monoMs, utcMs, type UtcMs } from "../../src/units/quantity.ts";

const start = utcMs(Date.UTC(2026, 10, 25, 8));
export const strawberries = {
  name: "Strawberries, raw",
  water: fraction(0.9095),
  waterSd: fraction(0.01),
  source: "USDA SR28, no. 09316",
};

const emptyBench: Bench = {
  next: {
    batch: 1,
    batchNumber: 1,
    tray: 1,
    weighing: 1,
    moment: 1,
    interruption: 1,
    gap: 1,
    coreCheck: 1,
    verdict: 1,
    alert: 1,
    load: 1,
    bag: 1,
    bagPlan: 1,
    bagWeighing: 1,
    bagFate: 1,
    bagGain: 1,
    lesson: 1,
  },
  batches: [],
  bags: [],
  lessons: [],
  kitchen: { dryers: [], foods: [], checkWeights: [], checks: [], comparisons: [] },
  series: [],
  emptyTrays: [],
  scales: [
    {
      id: "scale-1",
      uri: "/dev/ttyUSB0",
      practice: false,
      link: { link: "up", sinceUtcMs: start, why: null, fix: null },
      form: "marked",
      unit: "g",
      keys: [],
      canBeAsked: false,
      asking: null,
      candidates: [],
      pan: emptyPan,
      load: null,
      chosen: null,
      hidden: null,
      checking: null,
      lastTaken: null,
      bag: null,
      lastTakenBag: null,
      prompt: null,
    },
  ],
  comparing: null,
  alerts: [],
  alertKeys: new Map(),
  settings: {
    limit: fraction(0.01),
    displayUnit: "g",
    webhook: null,
    mqtt: null,
    outTooLongMinutes: 30,
    sound: true,
    learning: true,
  },
  practice: false,
};

/** Nothing is known of it but what a test says. */
export const trayAsked = (name: string, known: Partial<acts.TrayAsked> = {}): acts.TrayAsked => ({
  name,
  tare: null,
  foodName: null,
  food: null,
  cautions: [],
  thicknessMm: null,
  portions: [],
  ...known,
});

/** A bench that remembers what was told, with hours instead of milliseconds. */
export class Played {
  bench: Bench = emptyBench;
  hour = 0;
  readonly told: Change[] = [];

  at(hour = this.hour): UtcMs {
    return utcMs(start + Math.round(hour * 3_600_000));
  }

  act(what: (bench: Bench) => readonly Change[]): void {
    this.take(step(this.bench, what, { at: this.at(), timeFactor: 1 }));
  }

  tick(): void {
    this.take(tick(this.bench, { at: this.at(), timeFactor: 1 }));
  }

  private take({ bench, changes }: Step): void {
    this.bench = bench;
    this.told.push(...changes);
  }

  startBatch(names: readonly string[], tare = 400): void {
    const holding = { tare: grams(tare), foodName: strawberries.name, food: strawberries };
    this.begin(names.map((name) => trayAsked(name, holding)));
  }

  begin(trays: readonly acts.TrayAsked[]): void {
    this.act((bench) => acts.startBatch(bench, { name: "", dryer: "Dryer", trays, at: this.at() }));
  }

  put(mass: number, more: Partial<SettledWeight> = {}, scale = this.scale): void {
    const weight: SettledWeight = {
      mass: grams(mass),
      u: grams(0.03),
      division: grams(0.1),
      looks: 5,
      fromMonoMs: monoMs(0),
      atMonoMs: monoMs(500),
      atUtcMs: this.at(),
      zeroSeen: true,
      ...more,
    };
    const id = this.bench.next.load;
    this.act((bench) => settleLoad(bench, scale, { id, weight }));
  }

  lift(scaleId = "scale-1"): void {
    this.act(() => [{ is: "load-changed", scaleId, load: null }]);
  }

  clock(is: "in" | "out", hour = this.hour): void {
    const asked = { is, at: this.at(hour), trays: null };
    this.act((bench) => acts.setClock(bench, this.batch.id, asked, this.at()));
  }

  get scale() {
    const [scale] = this.bench.scales;
    if (scale === undefined) throw new Error("the scale is gone");
    return scale;
  }

  get batch(): Batch {
    const [batch] = this.bench.batches;
    if (batch === undefined) throw new Error("no batch is open");
    return batch;
  }

  get alerts(): readonly Alert[] {
    return this.told.flatMap((change) => (change.is === "alert-raised" ? [change.alert] : []));
  }
}

/** 89.0 % water, a person's own figure: 102 g is then what 907.2 g can come down to. */
const wetter = { ...strawberries, water: fraction(0.8898), source: "your own figure" };

/** Two pounds of strawberries on one tray, dried to 102 g and weighed until the judgment calls them stable. */
export function dried(): Played {
  const played = new Played();
  played.begin([trayAsked("A", { tare: grams(400), foodName: wetter.name, food: wetter })]);
  played.put(400 + 907.2);
  played.lift();
  for (const [hour, net] of [
    [10, 500],
    [24, 102],
    [30, 102],
  ] as const) {
    played.clock("in");
    played.hour = hour;
    played.clock("out");
    played.put(400 + net);
    played.lift();
  }
  return played;
}

/** Two trays of strawberries with 600 and 700 g, in the dryer for ten hours. */
export function drying(): Played {
  const played = new Played();
  played.startBatch(["A", "B"]);
  for (const gross of [1000, 1100]) {
    played.put(gross);
    played.lift();
  }
  played.clock("in");
  played.hour = 10;
  return played;
}

/** The trays come out and are weighed one after the other. */
export function round(played: Played, ...gross: readonly number[]): void {
  played.clock("out");
  for (const one of gross) {
    played.put(one);
    played.lift();
  }
}

/** Both trays weighed before and after an hour in which the dryer stood still with them. */
export function stoodStill(): Played {
  const played = drying();
  round(played, 600, 640);
  played.clock("in");
  const stood = { from: played.at(11), to: played.at(12), reason: "defrosted" };
  played.hour = 18;
  played.act((bench) => acts.noteInterruption(bench, played.batch.id, stood, played.at()));
  round(played, 480, 520);
  return played;
}

/** One tray alone comes out and is weighed; the other was never weighed since drying began. */
export function oneWeighed(): Played {
  const played = drying();
  const [a] = played.batch.trays;
  const out = { is: "out" as const, at: played.at(), trays: [a!.id] };
  played.act((bench) => acts.setClock(bench, played.batch.id, out, played.at()));
  played.put(400 + 300);
  played.lift();
  return played;
}

/** All of the first tray in so many bags, of whose food and package nothing is said. */
export const plainBags = (count: number): BagsAsked => ({
  trays: [{ trayId: 1, portion: null, grams: null }],
  divide: { count },
  product: null,
  supplier: null,
  prepared: null,
  wentIn: null,
  container: "soft",
  volumeMl: 946.35,
  lot: null,
  tare: grams(8),
  absorbers: null,
  division: grams(0.1),
  although: null,
});
