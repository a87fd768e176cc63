/**
 * States of the service for looking at the page in: typed as the wire is, so that a change of shape is found here.
 * Every figure is invented to fill a screen; none stands for food that anybody dried.
 */
import type {
  Batch,
  BatchSummary,
  Curve,
  History,
  Tray,
  TrayVerdict,
  Weighing,
} from "../../src/wire/batch.ts";
import type {
  Alert,
  Bench,
  Pour,
  Question,
  Scale,
  ScaleTask,
  Taken,
} from "../../src/wire/bench.ts";
import type { DishPreview, Kitchen, LoadLook, ScaleCheck } from "../../src/wire/kitchen.ts";
import type { Yield, Yields } from "../../src/wire/yield.ts";
import type { FoodFound, LessonShown, Ports } from "../../src/wire/requests.ts";
import type { Device, PairingState } from "../../src/wire/device.ts";
import { said } from "../../src/verdict/sentences.ts";
import { emptyStore, type StoreOfBags } from "./bags.ts";
import type { VerdictWord, WeighingKind } from "../../src/wire/words.ts";

/** Everything that the stub answers with. */
export type World = {
  readonly bench: Bench;
  readonly curves: readonly Curve[];
  readonly history: History;
  readonly ended: readonly Batch[];
  readonly foods: readonly FoodFound[];
  readonly lessons: readonly LessonShown[];
  readonly ports: Ports;
  readonly kitchen: Kitchen;
  readonly dish: DishPreview;
  readonly look: LoadLook;
  readonly yields: Yields;
  readonly pairing: PairingState;
  readonly devices: readonly Device[];
  readonly store: StoreOfBags;
};

export const benchAt = new Date("2026-03-14T16:05:00+00:00");
const iso = (hoursAgo: number): string =>
  new Date(benchAt.getTime() - hoursAgo * 3_600_000).toISOString();

const uri = "serial:///dev/serial/by-id/usb-FTDI_FT232R_A50285BI-if00-port0?baud=9600";

export const scale = (change: Partial<Scale> = {}): Scale => ({
  id: "scale-1",
  uri,
  practice: false,
  link: "up",
  since: iso(2),
  why: null,
  fix: null,
  form: "marked",
  unit: "g",
  candidates: [],
  state: "weight",
  grams: 0,
  settled: true,
  divisionGrams: 1,
  zeroSeen: true,
  ...change,
});

export const task = (change: Partial<ScaleTask> = {}): ScaleTask => ({
  scale: "scale-1",
  next: null,
  pour: null,
  check: { last: null, isDue: false, waitsFor: null },
  question: null,
  taken: null,
  bag: null,
  chosen: {
    tray: change.next?.chosen === true ? change.next.tray : null,
    portion: change.next?.chosen === true ? change.next.portion : null,
    bag: change.bag?.bag ?? null,
    weight: change.check?.waitsFor?.weight ?? null,
  },
  bagTaken: null,
  ...change,
});

export const bench = (change: Partial<Bench> = {}): Bench => ({
  program: "Stillweight",
  practice: null,
  timeFactor: 1,
  dataFolder: "/home/cook/.local/share/stillweight",
  recording: true,
  notRecordingWhy: null,
  clockJump: null,
  scales: [scale()],
  tasks: [task()],
  nextBatchNumber: 18,
  batches: [],
  packing: [],
  alerts: [],
  settings: {
    limitPct: 1,
    displayUnit: "g",
    webhook: null,
    mqtt: null,
    outTooLongMinutes: 30,
    sound: true,
    learning: true,
  },
  sending: [],
  backup: {
    folder: "/media/backup",
    everyHours: 24,
    at: "2026-03-14T02:00:00.000Z",
    failed: null,
  },
  practiceHand: null,
  ...change,
});

type TrayPlan = {
  readonly name: string;
  readonly food: string;
  readonly tare: number;
  readonly fresh: number;
  readonly water: number;
  readonly tauHours: number;
};

const plans: readonly TrayPlan[] = [
  { name: "1", food: "Strawberries, raw", tare: 412, fresh: 1240, water: 90.95, tauHours: 4.6 },
  { name: "2", food: "Strawberries, raw", tare: 409, fresh: 1198, water: 90.95, tauHours: 4.4 },
  { name: "3", food: "Beef stew, homemade", tare: 415, fresh: 1310, water: 79, tauHours: 6.8 },
  {
    name: "4",
    food: "Corn, sweet, yellow, raw",
    tare: 411,
    fresh: 1105,
    water: 76.05,
    tauHours: 5,
  },
];

let ids = 100;
const nextId = (): number => ids++;

function weighing(tray: number, kind: WeighingKind, plan: TrayPlan, hours: number): Weighing {
  const net = kind === "tare" ? null : Math.round(massAt(plan, hours));
  return {
    id: nextId(),
    batch: 1,
    tray,
    kind,
    portion: null,
    grossGrams: plan.tare + (net ?? 0),
    netGrams: net,
    divisionGrams: 1,
    dryingHours: kind === "tare" ? null : hours,
    minutesOut: kind === "dry" ? 6 : null,
    scale: "scale-1",
    source: "scale",
    zeroSeen: true,
    at: iso(26 - hours),
    clockDoubt: null,
    supersedes: null,
    struck: false,
    foodTaken: false,
    reason: null,
    current: true,
  };
}

/** A plain exponential towards a little residual water: a shape to look at, not a model of drying. */
const massAt = ({ fresh, water, tauHours }: TrayPlan, hours: number): number =>
  fresh * (1 - (water / 100) * (1 - Math.exp(-hours / tauHours)) * 0.985);

type TrayState = {
  readonly hours?: readonly number[];
  readonly verdict?: VerdictWord | null;
  readonly reasons?: Readonly<TrayVerdict["reasons"]>;
  readonly more?: { readonly estimate: number; readonly low: number; readonly high: number } | null;
};

function tray(id: number, plan: TrayPlan, state: TrayState = {}): Tray {
  const { hours = [], verdict = null, reasons = [], more = null } = state;
  const weighings = [
    weighing(id, "tare", plan, 0),
    weighing(id, "fresh", plan, 0),
    ...hours.map((hour) => weighing(id, "dry", plan, hour)),
  ];
  const net = weighings.at(-1)?.netGrams ?? null;
  return {
    id,
    name: plan.name,
    tareGrams: plan.tare,
    food: plan.food,
    foodSource: "USDA SR28, 09316",
    waterPct: plan.water,
    thicknessMm: plan.food.includes("Beef") ? 6.5 : null,
    cautions: plan.food.includes("Beef")
      ? [
          "Raw stays raw: cook before drying or after rehydrating, and mark it so. Freeze-drying does not kill microbes.",
        ]
      : [],
    portions: [],
    freshGrams: plan.fresh,
    netGrams: net,
    waterRemovedGrams: net === null ? null : plan.fresh - net,
    yieldFraction: net === null ? null : net / plan.fresh,
    moistureWetBasis: hours.length > 0 ? { estimate: 0.06, low: 0.03, high: 0.09 } : null,
    moistureDryBasis: hours.length > 0 ? { estimate: 0.064, low: 0.031, high: 0.099 } : null,
    verdict:
      verdict === null
        ? null
        : {
            tray: plan.name,
            verdict,
            confidence: 0.93,
            p_dry: verdict === "stable" ? 0.97 : 0.12,
            reasons: [...reasons],
            remaining_g: verdict === "losing" ? { estimate: 14, low: 8, high: 22 } : null,
            more_hours: more,
            next_weighing_hours: more === null ? null : more.low,
            provable_g: 2.8,
            contradiction: null,
            fit: null,
            expected_dry_g: {
              estimate: plan.fresh * (1 - plan.water / 100) * 1.03,
              low: plan.fresh * (1 - plan.water / 100) * 0.9,
              high: plan.fresh * (1 - plan.water / 100) * 1.16,
            },
          },
    coreCheck: null,
    weighings,
  };
}

export function batch(trays: readonly Tray[], change: Partial<Batch> = {}): Batch {
  return {
    id: 1,
    number: 17,
    name: "Strawberries and stew",
    dryer: "kitchen",
    startedAt: iso(27),
    endedAt: null,
    practice: false,
    phase: "loading",
    clock: { state: "waiting", since: null, dryingHours: 0, minutesOut: null, running: true },
    round: { number: 0, weighed: [], waiting: trays.map((one) => one.id) },
    verdict: null,
    moreHours: null,
    behind: [],
    nextWeighing: null,
    coresToCheck: [],
    provableBefore:
      change.phase === undefined
        ? {
            divisionGrams: 1,
            longestHours: 17,
            togetherHours: 8.3,
            divisionNeededGrams: 0.2,
            worthPlanningHours: 12,
          }
        : null,
    trays: [...trays],
    moments: [],
    interruptions: [],
    gaps: [],
    ...change,
  };
}

function curveOf(one: Tray, plan: TrayPlan): Curve {
  const points = one.weighings
    .filter((row) => row.netGrams !== null && row.dryingHours !== null)
    .map((row) => ({
      weighing: row.id,
      dryingHours: row.dryingHours ?? 0,
      netGrams: row.netGrams ?? 0,
      uncertaintyGrams: 0.6,
      stretch: 0,
    }));
  const last = points.at(-1)?.dryingHours ?? 0;
  const hours = Array.from({ length: 61 }, (_, index) => (index / 60) * Math.max(1, last * 1.15));
  const spread = (hour: number): number => 2 + 4 * Math.max(0, hour - last) + 0.002 * plan.fresh;
  return {
    tray: one.id,
    name: one.name,
    fit:
      points.length < 3
        ? null
        : {
            dryingHours: hours,
            netGrams: hours.map((hour) => massAt(plan, hour)),
            lowGrams: hours.map((hour) => massAt(plan, hour) - spread(hour)),
            highGrams: hours.map((hour) => massAt(plan, hour) + spread(hour)),
          },
    points,
    expectedDryGrams: one.verdict?.expected_dry_g ?? null,
    criteria: points.length < 3 ? [] : criteria,
  };
}

const noCriterionFigures = {
  changeGrams: null,
  allowedGrams: null,
  waitHours: null,
  divisionNeededGrams: null,
  massNeededGrams: null,
};
const criteria: Curve["criteria"] = [
  {
    ...noCriterionFigures,
    name: "usp-constant-weight",
    rule: "two consecutive weighings differ by no more than 0.50 mg per g of substance",
    source: "USP, dried to constant weight, as quoted by an application sheet on balances",
    is: "too-coarse",
    divisionNeededGrams: 0.047,
    massNeededGrams: 200,
  },
  {
    ...noCriterionFigures,
    name: "rilem-concrete",
    rule: "four further hours of drying change the mass by no more than 0.2 %",
    source: "RILEM recommendations, chapter 75",
    is: "not-met",
    changeGrams: 1.4,
    allowedGrams: 0.19,
  },
];

const noHistory: History = {
  weighings: [],
  moments: [],
  interruptions: [],
  gaps: [],
  verdicts: [],
  coreChecks: [],
  inDoubt: [],
};

const foods: readonly FoodFound[] = [
  ["09316", "Strawberries, raw", 90.95, 1.1],
  ["09320", "Strawberries, frozen, unsweetened", 89.97, 1.3],
  ["09317", "Strawberries, canned, heavy syrup pack, solids and liquids", 75.35, 2.6],
].map(([number, name, waterPct, waterSdPct]) => ({
  number: String(number),
  name: String(name),
  group: "Fruits and Fruit Juices",
  waterPct: Number(waterPct),
  waterSdPct: Number(waterSdPct),
  sdIsOfGroup: false,
  own: null,
  source: "USDA SR28",
  cautions: [],
  thicknessMm: number === "09316" ? 8 : null,
}));

const lessons: readonly LessonShown[] = [
  { id: 1, batchNumber: 12, waterPct: 90.4, counts: true, why: null },
  { id: 2, batchNumber: 15, waterPct: 91.2, counts: false, why: "bag 15-2 gained moisture" },
].map((one) => ({
  ...one,
  batch: one.batchNumber,
  food: "Strawberries, raw",
  freshGrams: 2400,
  dryGrams: 2400 * (1 - one.waterPct / 100) * 1.02,
  ratePerHour: 0.31,
  thicknessMm: 8,
  at: "2026-10-02T18:00:00.000Z",
}));
const laptop: Device = {
  id: 1,
  name: "Laptop in the office",
  access: "full",
  paired: iso(900),
  seen: iso(0.2),
};

const scaleCheck = (change: Partial<ScaleCheck> = {}): ScaleCheck => ({
  id: 2,
  weight: 1,
  scale: "scale-1",
  nominalGrams: 1000,
  shownGrams: 1000,
  offGrams: 0,
  divisionGrams: 1,
  toleranceGrams: 1.05,
  good: true,
  at: iso(40),
  ...change,
});
const badCheck = scaleCheck({ id: 3, shownGrams: 1004, offGrams: 4, good: false, at: iso(1) });

const kitchen: Kitchen = {
  dryers: [
    {
      name: "kitchen",
      mostWaterGrams: 8000,
      mostTrayGrams: 1200,
      watts: 1100,
      pricePerKwh: 0.31,
      currency: "€",
    },
  ],
  foods: [
    {
      id: 1,
      name: "Grandmother's soup",
      waterPct: 82.2,
      waterSdPct: 1.6,
      solidsPct: 17.8,
      cautions: [],
      recipe: { ingredients: [{ food: "Carrots, raw", grams: 500 }], cookedGrams: 400 },
      retired: false,
      own: { batches: 3, waterPct: 81.4, waterSdPct: 0.9 },
    },
    {
      id: 2,
      name: "Our raspberries",
      waterPct: 86,
      waterSdPct: 1,
      solidsPct: 14,
      cautions: [],
      recipe: null,
      retired: false,
      own: null,
    },
  ],
  checkWeights: [
    {
      id: 1,
      name: "the kilogram",
      nominalGrams: 1000,
      weightClass: "M1",
      errorGrams: 0.05,
      isErrorFromMemory: false,
      everyDays: 30,
      retired: false,
    },
  ],
  checks: [badCheck, scaleCheck()],
  placements: [{ scale: "scale-1", divisionGrams: 1, uGrams: 0.6, repeats: 14 }],
  offsets: [],
  comparisons: [],
};

const aYield = (fresh: number, dry: number, change: Partial<Yield> = {}): Yield => ({
  freshGrams: fresh,
  dryGrams: dry,
  isEstimate: false,
  waterRemovedGrams: fresh - dry,
  waterRemovedLitres: (fresh - dry) / 998.21,
  yieldFraction: dry / fresh,
  freshPerDry: fresh / dry,
  moistureWetBasis: { estimate: 0.03, low: 0.01, high: 0.08 },
  moistureDryBasis: { estimate: 0.031, low: 0.01, high: 0.087 },
  waterToRehydrateGrams: fresh - dry,
  waterPerDryGram: fresh / dry - 1,
  energyKwh: 6.6,
  cost: 2.05,
  currency: "€",
  costPerKgFresh: 1.65,
  costPerKgDry: 15.8,
  ...change,
});

const yields: Yields = {
  batch: aYield(4853, 872, { moistureWetBasis: null, moistureDryBasis: null }),
  trays: plans.map((plan, index) => ({
    tray: index + 1,
    name: plan.name,
    food: plan.food,
    yield: aYield(plan.fresh, Math.round(plan.fresh * (1.02 - plan.water / 100))),
    portions:
      index === 1
        ? [
            { place: 1, food: "Strawberries, raw", yield: aYield(608, 61, { isEstimate: true }) },
            { place: 2, food: "Bananas, raw", yield: aYield(590, 69, { isEstimate: true }) },
          ]
        : [],
  })),
};

const look: LoadLook = {
  waterGrams: 9200,
  whole: true,
  warnings: [
    {
      code: "dryer-full",
      text: "",
      waterGrams: 9200,
      mostGrams: 8000,
      trays: [],
      slow: [],
      quick: [],
    },
    {
      code: "dry-unlike",
      text: "",
      waterGrams: null,
      mostGrams: null,
      trays: [],
      slow: ["Bananas, raw"],
      quick: ["Strawberries, raw"],
    },
  ],
  cautions: [
    {
      tray: "1",
      text: "12 % sugar: it dries slowly, stays sticky and may collapse where it is not frozen hard.",
    },
  ],
};

const world = (change: Partial<World> = {}): World => ({
  bench: bench(),
  pairing: { needed: true, device: laptop },
  devices: [
    laptop,
    { id: 2, name: "Tablet on the wall", access: "read-only", paired: iso(30), seen: null },
  ],
  curves: [],
  history: noHistory,
  ended: [],
  foods,
  lessons,
  store: emptyStore,
  kitchen,
  dish: {
    waterPct: 82.2,
    waterSdPct: 1.6,
    solidsGrams: 142.6,
    massGrams: 800,
    cautions: [],
    unknown: ["stock"],
  },
  look: { waterGrams: 0, whole: false, warnings: [], cautions: [] },
  yields,
  ports: {
    ports: [
      { uri, name: "FTDI FT232R USB UART (A50285BI)" },
      { uri: "serial:///dev/ttyS0", name: "ttyS0" },
    ],
    why: null,
  },
  ...change,
});

/** A world around some batches, with their curves and their history. */
export function worldOf(batches: readonly Batch[], change: Partial<Bench> = {}): World {
  const all = batches.flatMap((one) => one.trays);
  return world({
    bench: bench({ batches: [...batches], ...change }),
    curves: all.map((one) => curveOf(one, planFor(one))),
    history: historyOf(batches[0]),
  });
}

const planFor = (one: Tray): TrayPlan =>
  plans.find((plan) => plan.name === one.name) ?? (plans[0] as TrayPlan);

function historyOf(one: Batch | undefined): History {
  if (one === undefined) return noHistory;
  return {
    ...noHistory,
    weighings: one.trays.flatMap((row) => row.weighings),
    moments: one.moments,
    interruptions: one.interruptions,
    gaps: one.gaps,
    verdicts:
      one.verdict === null
        ? []
        : [
            {
              at: iso(0.2),
              round: one.round.number,
              tray: null,
              verdict: one.verdict,
              judgmentVersion: 1,
              text: losing.text,
              reasons: [losing],
            },
          ],
  };
}

const fresh = (): Tray[] => plans.map((plan, index) => tray(index + 1, plan));
const moments: Batch["moments"] = [
  {
    id: 1,
    is: "in",
    at: iso(24),
    trays: null,
    implied: false,
    supersedes: null,
    struck: false,
    reason: null,
    current: true,
  },
  {
    id: 2,
    is: "out",
    at: iso(0.2),
    trays: null,
    implied: true,
    supersedes: null,
    struck: false,
    reason: null,
    current: true,
  },
];
const weighedAt = [12, 18, 21, 23.5];

/** One tray as the plan has it, with a verdict. */
const drying = (verdicts: readonly (TrayState & { verdict: VerdictWord })[]): Tray[] =>
  plans.map((plan, index) => tray(index + 1, plan, { hours: weighedAt, ...verdicts[index] }));

const losing = {
  code: "above-tolerance",
  ...said("losing", {
    lossGrams: 9.2,
    apartHours: 2.5,
    hourlyShare: 0.033,
    lowGrams: 8,
    highGrams: 22,
  }),
};
const more = { estimate: 2.7, low: 2.1, high: 3.4 };
const stableReason = {
  code: "steady",
  ...said("steady", { mostGrams: 1.2, apartHours: 2.5, highShare: 0.0088 }),
};

const swapped = {
  code: "swapped-trays",
  ...said("swapped", { netGrams: 231, atHours: 23.5, otherGrams: 113.4, otherTray: "1" }),
};

const steady = { verdict: "stable", reasons: [stableReason] } as const;
const late = { verdict: "losing", reasons: [losing], more } as const;

const out = (trays: readonly Tray[], change: Partial<Batch> = {}): Batch =>
  batch(trays, {
    phase: "drying",
    clock: { state: "out", since: iso(0.2), dryingHours: 23.5, minutesOut: 12, running: true },
    round: { number: 4, weighed: trays.map((one) => one.id), waiting: [] },
    moments,
    ...change,
  });

const inDryer = (trays: readonly Tray[], change: Partial<Batch> = {}): Batch =>
  out(trays, {
    clock: { state: "in", since: iso(0.6), dryingHours: 24.1, minutesOut: null, running: true },
    round: { number: 4, weighed: [], waiting: trays.map((one) => one.id) },
    nextWeighing: {
      dryingHours: 25.6,
      at: new Date(benchAt.getTime() + 1.5 * 3_600_000).toISOString(),
      due: false,
    },
    ...change,
  });

export const taken = (change: Partial<Taken> = {}): Taken => ({
  weighing: 900,
  batch: 1,
  tray: 2,
  name: "2",
  kind: "dry",
  portion: null,
  food: null,
  grossGrams: 812,
  netGrams: 403,
  at: iso(0.01),
  ...change,
});

/** Two foods for tray 2, the first of them being poured. */
const pour = (change: Partial<Pour> = {}): Pour => ({
  batch: 1,
  tray: 2,
  name: "2",
  portion: 1,
  portions: 2,
  food: "Strawberries, raw",
  beforeGrams: 409,
  hiddenGrams: 0,
  targetGrams: 600,
  toleranceGrams: 12,
  load: null,
  isOn: true,
  ...change,
});

const portions: Tray["portions"] = [
  ["Strawberries, raw", 600, 608, 61],
  ["Bananas, raw", 400, 396, 103],
].map(([food, target, fresh, dry], index) => ({
  place: index + 1,
  food: String(food),
  foodSource: "USDA SR28",
  waterPct: 80,
  cautions: [],
  thicknessMm: null,
  targetGrams: Number(target),
  fromBag: null,
  freshGrams: Number(fresh),
  dryGrams: Number(dry),
  dryIsEstimate: true,
}));

const pouring = (name: string, grams: number, change: Partial<Pour> = {}, more = {}): Scene => ({
  name,
  hash: "#/weigh",
  world: worldOf(
    [batch(fresh().map((one) => (one.id === 2 ? { ...one, freshGrams: null } : one)))],
    {
      scales: [scale({ grams, settled: grams === 409 })],
      tasks: [
        task({
          next: { batch: 1, tray: 2, name: "2", kind: "fresh", portion: 1, chosen: false },
          pour: pour(change),
          ...more,
        }),
      ],
    },
  ),
});

export const next = (id: number, kind: WeighingKind = "dry"): ScaleTask["next"] => ({
  batch: 1,
  tray: id,
  name: String(id),
  kind,
  portion: null,
  chosen: false,
});

export const whichTray: Question = {
  load: 7,
  grams: 812,
  is: "which-tray",
  why: "more than one tray can weigh this",
  candidates: [
    { batch: 1, tray: 1, name: "1", kind: "dry", portion: null, probability: 0.52, netGrams: 400 },
    { batch: 1, tray: 2, name: "2", kind: "dry", portion: null, probability: 0.46, netGrams: 403 },
  ],
};

export const alert = (
  code: Alert["code"],
  text: string,
  figures: Alert["figures"] = {},
): Alert => ({
  id: 31,
  code,
  batch: 1,
  round: 4,
  text,
  figures,
  at: iso(0.05),
  acknowledged: null,
});

const longNames = Array.from({ length: 12 }, (_, index): TrayPlan => {
  const base = plans[index % plans.length] as TrayPlan;
  return {
    ...base,
    name:
      index === 4
        ? "Grandmother's chicken and rice casserole with mushrooms, upper left"
        : String(index + 1),
    food: index === 4 ? "Chicken and rice casserole with mushrooms and cream, homemade" : base.food,
  };
});

const losingBatch = out(drying([steady, steady, late, late]), {
  verdict: "losing",
  moreHours: more,
  behind: [3],
});

/** Dry on every tray but the third: what Pack is shown with. */
export const stableBatch = out(drying([steady, steady, late, steady]), {
  verdict: "losing",
  moreHours: more,
  behind: [3],
});

const timeToWeigh = alert(
  "time-to-weigh",
  "Strawberries and stew: time to take the trays out and weigh them",
);
const needsMore = alert(
  "needs-more",
  "Strawberries and stew: still losing: 2 to 3.5 more hours; tray 3 behind",
  { behind: ["3"], lowHours: 2.1, highHours: 3.4 },
);

/** The practice hand at work, and the trays in the dryer, where they are not due yet. */
function practising(name: string, change: Partial<Bench> = {}): Scene {
  const trays = drying([steady, steady, late, late]);
  return {
    name,
    hash: "#/weigh",
    world: worldOf(
      [inDryer(trays, { practice: true, verdict: "losing", moreHours: more, behind: [3] })],
      {
        practice: "the practice scale was chosen",
        timeFactor: 600,
        practiceHand: { works: true, doing: "waiting while the dryer works" },
        scales: [scale({ uri: "practice:", practice: true })],
        ...change,
      },
    ),
  };
}

const loaded = (grams: number, settled: boolean): Partial<Bench> => ({
  scales: [scale({ grams, settled })],
});

const summary = (one: Batch): BatchSummary => ({
  id: one.id,
  number: one.number,
  name: one.name,
  dryer: one.dryer,
  startedAt: one.startedAt,
  endedAt: one.endedAt,
  practice: one.practice,
  verdict: one.verdict,
  foods: [...new Set(one.trays.flatMap((row) => (row.food === null ? [] : [row.food])))],
  trays: one.trays.length,
  freshGrams: one.trays.reduce((sum, row) => sum + (row.freshGrams ?? 0), 0),
  netGrams: one.trays.reduce((sum, row) => sum + (row.netGrams ?? 0), 0),
});
export const summaries = (batches: readonly Batch[]): BatchSummary[] => batches.map(summary);

const ended = (id: number, number: number, name: string, verdict: VerdictWord): Batch =>
  out(drying([steady, steady, steady, { ...steady, verdict }]), {
    id,
    number,
    name,
    verdict,
    phase: "ended",
    endedAt: iso(200),
    startedAt: iso(230 + 40 * id),
  });

export type Scene = {
  readonly name: string;
  readonly hash: string;
  readonly world: World;
  /** What is done to the page before it is looked at. */
  readonly act?:
    | "lose-connection"
    | "add-foods"
    | "start-packing"
    | "ask-fate"
    | "begin-round"
    | "end-round"
    | "type-food"
    | "list-ports"
    | "open-folds"
    | "open-past";
};

/** Of letters without a gap, as long as a name may be, and from right to left. */
const typedNames = ["R".padEnd(80, "i"), "מגש 3 (עליון)", "👨‍👩‍👧‍👦🇮🇱", `<b>"A" & 'B';</b>`];
const oddlyNamed: World = worldOf(
  [
    batch(
      fresh().map((one, index) => ({
        ...one,
        name: typedNames[index] ?? one.name,
        food: (typedNames[index] ?? "").repeat(2),
      })),
      { name: "אצווה 12", dryer: typedNames[0] ?? "" },
    ),
  ],
  {
    tasks: [
      task({
        next: {
          batch: 1,
          tray: 1,
          name: typedNames[0] ?? "",
          kind: "fresh",
          portion: null,
          chosen: false,
        },
      }),
    ],
  },
);

const halfLoaded: World = worldOf(
  [batch(fresh().map((one) => (one.id < 3 ? one : { ...one, freshGrams: null, netGrams: null })))],
  { tasks: [task({ next: next(3, "fresh") })] },
);

export const scenes: readonly Scene[] = [
  {
    name: "weigh-nothing-yet",
    hash: "#/weigh",
    world: world({ bench: bench({ scales: [], tasks: [] }) }),
  },
  { name: "weigh-no-batch", hash: "#/weigh", world: world() },
  {
    name: "weigh-no-batch-practice",
    hash: "#/weigh",
    world: world({
      bench: bench({
        practice: "the practice scale was chosen",
        practiceHand: { works: true, doing: "starting a practice batch" },
        scales: [scale({ id: "practice", uri: "practice:", practice: true })],
      }),
    }),
  },
  {
    name: "weigh-no-batch-trial",
    hash: "#/weigh",
    world: world({
      bench: bench({
        practice: "--time-factor runs the clock 60 times as fast",
        timeFactor: 60,
        scales: [scale({ practice: true })],
      }),
    }),
  },
  { name: "weigh-put-fresh", hash: "#/weigh", world: halfLoaded },
  { name: "weigh-odd-names", hash: "#/weigh", world: oddlyNamed },
  { name: "batch-odd-names", hash: "#/batch", world: oddlyNamed },
  { name: "batch-half-loaded", hash: "#/batch", world: halfLoaded },
  {
    name: "weigh-start-drying",
    hash: "#/weigh",
    world: worldOf([batch(fresh(), { round: { number: 0, weighed: [1, 2, 3, 4], waiting: [] } })], {
      ...loaded(1516, true),
      tasks: [
        task({
          taken: taken({ tray: 4, name: "4", kind: "fresh", grossGrams: 1516, netGrams: 1105 }),
        }),
      ],
    }),
  },
  pouring(
    "weigh-pour-begin",
    409,
    {},
    {
      taken: taken({ tray: 2, name: "2", kind: "tare", grossGrams: 409, netGrams: null }),
    },
  ),
  pouring("weigh-pour-short", 757),
  pouring("weigh-pour-enough", 1006),
  pouring("weigh-pour-over", 1064),
  pouring("weigh-pour-put-back", 0, { isOn: false }),
  {
    ...pouring("weigh-pour-by-hand", 888, { load: 31 }),
    world: worldOf([batch(fresh())], {
      scales: [scale({ grams: 888, settled: true })],
      tasks: [task({ next: next(2, "fresh"), pour: pour({ load: 31 }) })],
    }),
  },
  {
    ...pouring("weigh-pour-tare-key", 420),
    world: worldOf([batch(fresh())], {
      scales: [scale({ grams: 420, settled: true })],
      tasks: [task({ next: next(2, "fresh"), pour: pour({ load: 31, hiddenGrams: 409 }) })],
    }),
  },
  pouring("weigh-pour-open", 757, { targetGrams: null, toleranceGrams: null }),
  {
    name: "weigh-check",
    hash: "#/weigh",
    world: worldOf([batch(fresh())], {
      scales: [scale({ grams: 0 })],
      tasks: [
        task({
          check: {
            last: scaleCheck(),
            isDue: true,
            waitsFor: { weight: 1, name: "the kilogram", nominalGrams: 1000 },
          },
        }),
      ],
    }),
  },
  {
    name: "weigh-check-bad",
    hash: "#/weigh",
    world: worldOf([batch(fresh())], {
      scales: [scale({ grams: 0 })],
      tasks: [
        task({ next: next(2, "fresh"), check: { last: badCheck, isDue: true, waitsFor: null } }),
      ],
    }),
  },
  {
    name: "weigh-moving",
    hash: "#/weigh",
    world: worldOf(
      [
        out(drying([late, late, late, late]), {
          round: { number: 4, weighed: [1], waiting: [2, 3, 4] },
        }),
      ],
      {
        ...loaded(798, false),
        tasks: [task({ next: next(2) })],
      },
    ),
  },
  {
    name: "weigh-taken",
    hash: "#/weigh",
    world: worldOf(
      [
        out(drying([late, late, late, late]), {
          round: { number: 4, weighed: [1, 2], waiting: [3, 4] },
        }),
      ],
      {
        ...loaded(812, true),
        tasks: [task({ next: next(3), taken: taken() })],
      },
    ),
  },
  {
    name: "weigh-which-tray",
    hash: "#/weigh",
    world: worldOf(
      [
        out(drying([late, late, late, late]), {
          round: { number: 4, weighed: [], waiting: [1, 2, 3, 4] },
        }),
      ],
      {
        ...loaded(812, true),
        tasks: [task({ next: next(1), question: whichTray })],
      },
    ),
  },
  {
    name: "weigh-zero-not-seen",
    hash: "#/weigh",
    world: worldOf(
      [
        out(drying([late, late, late, late]), {
          round: { number: 4, weighed: [], waiting: [2, 3, 4] },
        }),
      ],
      {
        scales: [scale({ grams: 812, zeroSeen: false })],
        tasks: [
          task({
            next: next(2),
            question: {
              load: 8,
              grams: 812,
              is: "zero-not-seen",
              why: "The scale came back with a load on it and may have set its zero there",
              candidates: [
                {
                  batch: 1,
                  tray: 2,
                  name: "2",
                  kind: "dry",
                  portion: null,
                  probability: 0.9,
                  netGrams: 403,
                },
              ],
            },
          }),
        ],
      },
    ),
  },
  {
    name: "weigh-in-dryer",
    hash: "#/weigh",
    world: worldOf([
      inDryer(drying([steady, steady, late, late]), {
        verdict: "losing",
        moreHours: more,
        behind: [3],
      }),
    ]),
  },
  {
    name: "weigh-round-done-two-dryers",
    hash: "#/weigh",
    world: worldOf(
      [
        losingBatch,
        inDryer(drying([late, late, late, late]), {
          id: 2,
          number: 18,
          name: "Herbs",
          dryer: "cellar",
        }),
      ],
      { tasks: [task()] },
    ),
  },
  {
    name: "weigh-time-to-weigh",
    hash: "#/weigh",
    world: worldOf(
      [
        inDryer(drying([steady, steady, late, late]), {
          verdict: "losing",
          nextWeighing: { dryingHours: 24, at: iso(0), due: true },
        }),
      ],
      {
        alerts: [
          alert("time-to-weigh", "Strawberries and stew: time to weigh. Tray 3 could be dry now."),
        ],
      },
    ),
  },
  {
    name: "weigh-scale-lost",
    hash: "#/weigh",
    world: worldOf([losingBatch], {
      scales: [
        scale({
          link: "searching",
          state: "silent",
          grams: null,
          why: "the connection to the scale was lost: the device no longer answers",
          fix: "check the cable and that the scale is switched on",
        }),
      ],
      alerts: [alert("scale-lost", "The scale is lost while a batch waits for it.")],
    }),
  },
  {
    name: "weigh-denied",
    hash: "#/weigh",
    world: worldOf([losingBatch], {
      scales: [
        scale({
          link: "denied",
          state: "silent",
          grams: null,
          why: "no permission to open /dev/ttyUSB0",
          fix: 'add this user to the group that owns the device: sudo usermod -aG dialout "$USER", then log out and in again',
        }),
      ],
    }),
  },
  {
    name: "weigh-over",
    hash: "#/weigh",
    world: worldOf([losingBatch], {
      scales: [scale({ state: "over", grams: null, settled: false })],
    }),
  },
  {
    name: "weigh-which-form",
    hash: "#/weigh",
    world: world({
      bench: bench({
        scales: [
          scale({
            form: null,
            state: "silent",
            grams: null,
            candidates: [
              {
                form: "bare",
                title: "bare",
                divisionGrams: null,
                unit: null,
                example: "  812.5",
                reads: "812.5",
              },
              {
                form: "implied-point",
                title: "implied-point",
                divisionGrams: null,
                unit: "g",
                example: "  812.5",
                reads: "8125 g",
              },
            ],
          }),
        ],
      }),
    }),
  },
  {
    name: "weigh-pounds",
    hash: "#/weigh",
    world: worldOf(
      [
        out(drying([late, late, late, late]), {
          round: { number: 4, weighed: [], waiting: [1, 2] },
        }),
      ],
      {
        scales: [scale({ grams: 4989, settled: true, divisionGrams: 2.8349523125, unit: "lb" })],
        tasks: [task({ next: next(3), taken: taken({ grossGrams: 4989, netGrams: 4577 }) })],
        settings: { ...bench().settings, displayUnit: "lb" },
      },
    ),
  },
  {
    name: "weigh-fine-scale",
    hash: "#/weigh",
    world: worldOf([losingBatch], {
      scales: [scale({ grams: 1812.4, settled: true, divisionGrams: 0.1 })],
    }),
  },
  {
    name: "weigh-practice",
    hash: "#/weigh",
    world: worldOf(
      [
        out(drying([late, late, late, late]), {
          practice: true,
          round: { number: 4, weighed: [1], waiting: [2, 3, 4] },
        }),
      ],
      {
        practice: "the practice scale was chosen",
        timeFactor: 600,
        practiceHand: { works: false, doing: "" },
        scales: [scale({ uri: "practice:", practice: true })],
        tasks: [task({ next: next(2) })],
      },
    ),
  },
  practising("weigh-practice-in-dryer"),
  practising("weigh-practice-taken", { tasks: [task({ taken: taken() })] }),
  practising("weigh-practice-alert", { alerts: [timeToWeigh] }),
  practising("weigh-practice-two-alerts", {
    tasks: [task({ taken: taken() })],
    alerts: [timeToWeigh, { ...needsMore, id: 32 }],
  }),
  {
    name: "weigh-not-recording",
    hash: "#/weigh",
    world: {
      ...worldOf([losingBatch]),
      bench: bench({
        batches: [losingBatch],
        recording: false,
        notRecordingWhy:
          "the disk that holds /home/cook/.local/share/stillweight is full (ENOSPC: no space left on device)",
      }),
    },
  },
  {
    name: "weigh-connection-lost",
    hash: "#/weigh",
    world: worldOf([losingBatch], loaded(812, true)),
    act: "lose-connection",
  },
  { name: "batch-losing", hash: "#/batch", world: worldOf([losingBatch]) },
  {
    name: "batch-past",
    hash: "#/batch/1/tray/1",
    act: "open-past",
    world: {
      ...worldOf([losingBatch]),
      ended: [
        ended(7, 16, "Apples, strawberries and stew", "stable"),
        ended(6, 15, "Strawberries again", "stable"),
      ],
    },
  },
  {
    name: "batch-stable",
    hash: "#/batch",
    world: worldOf(
      [out(drying([steady, steady, steady, steady]), { verdict: "stable", coresToCheck: [3] })],
      { alerts: [alert("stable", "Strawberries and stew: stable weight reached on all trays.")] },
    ),
  },
  {
    name: "batch-stable-in-dryer",
    hash: "#/batch",
    world: worldOf([
      inDryer(drying([steady, steady, steady, steady]), {
        verdict: "stable",
        coresToCheck: [1, 3],
      }),
    ]),
  },
  {
    name: "batch-gaining",
    hash: "#/batch",
    world: worldOf([
      out(
        drying([
          {
            verdict: "gaining",
            reasons: [
              {
                code: "rose",
                ...said("rose", { lossGrams: 4.1, apartHours: 1 / 3, explainedGrams: 2.8 }),
              },
            ],
          },
          steady,
          steady,
          steady,
        ]),
        { verdict: "gaining" },
      ),
    ]),
  },
  {
    name: "batch-stalled",
    hash: "#/batch",
    world: worldOf([
      out(
        drying([
          steady,
          steady,
          {
            verdict: "stalled",
            reasons: [
              {
                code: "heavy",
                ...said("heavy", { netGrams: 402, mostGrams: 318 }),
              },
            ],
          },
          steady,
        ]),
        { verdict: "stalled" },
      ),
    ]),
  },
  {
    name: "batch-yields",
    hash: "#/batch",
    act: "open-folds",
    world: worldOf([out(drying([steady, steady, steady, steady]), { verdict: "stable" })]),
  },
  {
    name: "setup-two-scales",
    hash: "#/setup",
    act: "open-folds",
    world: world({
      kitchen: {
        ...kitchen,
        offsets: [
          {
            from: "scale-2",
            to: "scale-1",
            offsetGrams: 1.2,
            uGrams: 0.3,
            atGrams: 850,
            count: 3,
            spreadGrams: 0.2,
            lastAt: iso(1),
          },
        ],
        comparisons: [
          { id: 1, one: "scale-1", other: "scale-2", oneGrams: 850, otherGrams: 851.2, at: iso(1) },
        ],
      },
      bench: bench({
        scales: [scale(), scale({ id: "scale-2", uri: "/dev/ttyUSB1" })],
        comparing: {
          one: "scale-1",
          other: "scale-2",
          first: { scale: "scale-1", grams: 850 },
          why: "not-one-load",
        },
      }),
    }),
  },
  {
    name: "setup-silent-scale",
    hash: "#/setup",
    world: world({
      bench: bench({
        scales: [
          scale({
            link: "silent",
            form: null,
            unit: null,
            grams: null,
            state: "silent",
            offersAsking: true,
            asking: null,
            why: "the line is open but nothing readable comes",
          }),
          scale({ id: "scale-2", uri: "/dev/ttyUSB1", asking: { ask: "\nW\r", everyMs: 500 } }),
        ],
      }),
    }),
  },
  { name: "setup-kitchen", hash: "#/setup", act: "open-folds", world: world() },
  {
    name: "batch-unsure-contradiction",
    hash: "#/batch",
    act: "open-folds",
    world: worldOf([unsure()]),
  },
  {
    name: "batch-unit-mixed",
    hash: "#/batch",
    act: "open-folds",
    world: worldOf([
      contradicted("unit-mixed", unitMixed(), {
        foodTaken: false,
        meant: { netGrams: 812, grossGrams: 1212 },
      }),
    ]),
  },
  {
    name: "batch-food-taken",
    hash: "#/batch",
    act: "open-folds",
    world: worldOf([contradicted("food-removed", lostMuch(), { foodTaken: true, meant: null })]),
  },
  {
    name: "batch-gap",
    hash: "#/batch",
    world: worldOf([
      inDryer(drying([late, late, late, late]), {
        verdict: "losing",
        moreHours: more,
        gaps: [{ id: 4, batch: 1, from: iso(9), to: iso(5), dryerRan: null }],
        interruptions: [{ id: 3, from: iso(14), to: iso(13), reason: "power cut" }],
      }),
    ]),
  },
  {
    name: "batch-twelve-trays",
    hash: "#/batch",
    world: worldOf([
      out(
        longNames.map((plan, index) =>
          tray(index + 1, plan, { hours: weighedAt, ...(index % 3 === 2 ? late : steady) }),
        ),
        {
          name: "Grandmother's chicken and rice casserole with mushrooms, double recipe",
          verdict: "losing",
          moreHours: more,
          behind: [3, 6],
        },
      ),
    ]),
  },
  { name: "batch-no-verdict", hash: "#/batch", world: worldOf([batch(fresh())]) },
  {
    name: "batches-two",
    hash: "#/batch",
    world: worldOf([
      losingBatch,
      inDryer(drying([late, late, late, late]), {
        id: 2,
        number: 18,
        name: "Herbs",
        dryer: "cellar",
      }),
    ]),
  },
  {
    name: "batch-portions",
    hash: "#/batch/1/tray/2",
    world: worldOf([
      out(
        drying([steady, steady, steady, steady]).map((one) => ({ ...one, portions })),
        { verdict: "stable" },
      ),
    ]),
  },
  { name: "plan", hash: "#/plan", world: world({ ended: [ended(7, 16, "Apples", "stable")] }) },
  {
    name: "plan-look",
    hash: "#/plan",
    world: world({ look, ended: [ended(7, 16, "Apples", "stable")] }),
  },
  { name: "plan-foods", hash: "#/plan", world: world(), act: "add-foods" },
  { name: "plan-food", hash: "#/plan", world: world(), act: "type-food" },
  {
    name: "record",
    hash: "#/record",
    world: world({
      ended: [
        ended(7, 16, "Apples and pears", "stable"),
        ended(6, 15, "Beef stew for the autumn", "stalled"),
        ended(5, 14, "Herbs", "unsure"),
      ],
    }),
  },
  {
    name: "record-batch",
    hash: "#/record/7",
    world: {
      ...worldOf([ended(7, 16, "Apples and pears", "stable")]),
      bench: bench(),
      ended: [ended(7, 16, "Apples and pears", "stable")],
    },
  },
  {
    name: "setup",
    hash: "#/setup",
    act: "list-ports",
    world: world({
      bench: bench({
        settings: {
          ...bench().settings,
          webhook: "http://192.168.1.9:8123/hook",
          mqtt: {
            url: "mqtt://192.168.1.9",
            prefix: "stillweight",
            user: "cook",
            hasPassword: true,
          },
        },
        sending: [
          {
            channel: "mqtt",
            at: null,
            lateMinutes: 0,
            failed: "192.168.1.9: Connection refused: Not authorized",
            waiting: 0,
          },
          {
            channel: "webhook",
            at: null,
            lateMinutes: 0,
            failed: "192.168.1.9 did not answer within 5 s",
            waiting: 1,
          },
        ],
      }),
    }),
  },
];

type Found = NonNullable<NonNullable<Tray["verdict"]>["contradiction"]>;

function unitMixed() {
  return said("unit-mixed", {
    netGrams: 23_020,
    fitsGrams: 812,
    meantUnit: "g",
    writtenUnit: "oz",
  });
}

function lostMuch() {
  return said("food-removed", { lossGrams: 61.4, apartHours: 3, beforeGrams: 0.2, beforeHours: 3 });
}

/** Of the second tray the last weighing contradicts those before. */
function contradicted(
  code: string,
  inWords: ReturnType<typeof said>,
  mend: Pick<Found, "foodTaken" | "meant">,
): Batch {
  const trays = drying([steady, steady, steady, steady]).map((one): Tray => {
    const weighing = one.weighings.at(-1);
    if (one.id !== 2 || one.verdict === null || weighing === undefined) return one;
    const reason = { code, ...inWords };
    return {
      ...one,
      verdict: {
        ...one.verdict,
        verdict: "unsure",
        reasons: [reason],
        contradiction: { ...reason, weighing: weighing.id, otherTray: null, ...mend },
      },
    };
  });
  return out(trays, { verdict: "unsure" });
}

function unsure(): Batch {
  const trays = drying([steady, steady, steady, steady]).map((one): Tray => {
    if (one.id !== 2 || one.verdict === null) return one;
    return {
      ...one,
      verdict: {
        ...one.verdict,
        verdict: "unsure",
        reasons: [swapped],
        contradiction: {
          ...swapped,
          weighing: one.weighings.at(-1)?.id ?? null,
          otherTray: "1",
          foodTaken: false,
          meant: null,
        },
      },
    };
  });
  return out(trays, {
    verdict: "unsure",
    interruptions: [{ id: 3, from: iso(14), to: null, reason: "defrost" }],
  });
}
