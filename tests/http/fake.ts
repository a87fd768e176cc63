/** A service that answers with fixed, whole values and keeps a list of what it was asked. */
import { mkdirSync, mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import pino from "pino";
import { systemClock } from "../../src/clock.ts";
import { makeServer, type ServerOptions } from "../../src/http/server.ts";
import { devicesIn } from "../../src/store/devices.ts";
import { utcMs } from "../../src/units/quantity.ts";
import { said } from "../../src/verdict/sentences.ts";
import type { Service, Shown } from "../../src/service/service.ts";
import type {
  Bag,
  BagLine,
  LabelText,
  LotLine,
  ShelfFinding,
  Unpacked,
} from "../../src/wire/bag.ts";
import type { Batch, History, Tray, Weighing } from "../../src/wire/batch.ts";
import type { Bench, Scale } from "../../src/wire/bench.ts";
import type { Kitchen, LoadLook, ScaleCheck } from "../../src/wire/kitchen.ts";
import type { Yield, Yields } from "../../src/wire/yield.ts";

export const at = "2026-01-31T18:00:00.000+01:00";
const span = (estimate: number) => ({ estimate, low: estimate - 1, high: estimate + 1 });

export const weighing: Weighing = {
  id: 7,
  batch: 3,
  tray: 5,
  kind: "dry",
  portion: null,
  grossGrams: 512.4,
  netGrams: 112.4,
  divisionGrams: 0.1,
  dryingHours: 20,
  minutesOut: 4,
  scale: "practice",
  source: "scale",
  zeroSeen: true,
  at,
  clockDoubt: null,
  supersedes: null,
  struck: false,
  foodTaken: false,
  reason: null,
  current: true,
};

const tray: Tray = {
  id: 5,
  name: "Tray 1",
  tareGrams: 400,
  food: "strawberries",
  foodSource: null,
  waterPct: 91,
  cautions: [],
  thicknessMm: null,
  portions: [],
  freshGrams: 1200,
  netGrams: 112.4,
  waterRemovedGrams: 1087.6,
  yieldFraction: 0.0937,
  moistureWetBasis: span(4),
  moistureDryBasis: null,
  verdict: {
    tray: "Tray 1",
    verdict: "losing",
    confidence: 0.9,
    p_dry: 0.1,
    reasons: [{ code: "above-tolerance", ...said("water-left", { lowGrams: 4, highGrams: 8 }) }],
    remaining_g: span(6),
    more_hours: span(3),
    next_weighing_hours: 2,
    provable_g: 0.3,
    contradiction: null,
    fit: { model: "falling", parameters: { k_per_h: 0.2 }, standard_errors: { k_per_h: 0.01 } },
    expected_dry_g: span(106),
  },
  coreCheck: null,
  weighings: [weighing],
};

const moment = {
  id: 1,
  is: "in" as const,
  at,
  trays: null,
  implied: false,
  clockDoubt: null,
  supersedes: null,
  struck: false,
  foodTaken: false,
  reason: null,
  current: true,
};
const interruption = { id: 2, from: at, to: null, reason: "power cut" };
const gap = { id: 4, batch: 3, from: at, to: at, dryerRan: null };

export const batch: Batch = {
  id: 3,
  number: 3,
  name: "Strawberries",
  dryer: "The dryer",
  startedAt: at,
  endedAt: null,
  practice: true,
  phase: "drying",
  clock: { state: "in", since: at, dryingHours: 20, minutesOut: null, running: true },
  round: { number: 1, weighed: [5], waiting: [] },
  verdict: "losing",
  moreHours: span(3),
  behind: [5],
  nextWeighing: { dryingHours: 22, at, due: false },
  coresToCheck: [],
  provableBefore: null,
  trays: [tray],
  moments: [moment],
  interruptions: [interruption],
  gaps: [gap],
};

export const scale = (id = "practice"): Scale => ({
  id,
  uri: "practice:",
  practice: true,
  link: "up",
  since: at,
  why: null,
  fix: null,
  form: "plain",
  unit: "g",
  candidates: [],
  state: "weight",
  grams: 512.4,
  settled: true,
  divisionGrams: 0.1,
  zeroSeen: true,
});

const check: ScaleCheck = {
  id: 1,
  weight: 1,
  scale: "practice",
  nominalGrams: 1000,
  shownGrams: 1002,
  offGrams: 2,
  divisionGrams: 1,
  toleranceGrams: 1.05,
  good: false,
  at,
};

const kitchen: Kitchen = {
  dryers: [
    {
      name: "D",
      mostWaterGrams: 8000,
      mostTrayGrams: 1200,
      watts: 1200,
      pricePerKwh: 0.3,
      currency: "€",
    },
  ],
  foods: [
    {
      id: 1,
      name: "Aunt's soup",
      waterPct: 82,
      waterSdPct: 1,
      solidsPct: 18,
      cautions: [],
      recipe: { ingredients: [{ food: "11124", grams: 200 }], cookedGrams: null },
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
  checks: [check],
  placements: [{ scale: "scale-1", divisionGrams: 1, uGrams: 0.6, repeats: 14 }],
  offsets: [
    {
      from: "scale-2",
      to: "scale-1",
      offsetGrams: 1.2,
      uGrams: 0.3,
      atGrams: 850,
      count: 1,
      spreadGrams: null,
      lastAt: "2026-11-25T08:00:00.000Z",
    },
  ],
  comparisons: [
    {
      id: 1,
      one: "scale-1",
      other: "scale-2",
      oneGrams: 850,
      otherGrams: 851.2,
      at: "2026-11-25T08:00:00.000Z",
    },
  ],
};

const aYield: Yield = {
  freshGrams: 907.2,
  dryGrams: 102,
  isEstimate: false,
  waterRemovedGrams: 805.2,
  waterRemovedLitres: 0.8066,
  yieldFraction: 0.1124,
  freshPerDry: 8.894,
  moistureWetBasis: span(0.03),
  moistureDryBasis: null,
  waterToRehydrateGrams: 805.2,
  waterPerDryGram: 7.894,
  energyKwh: null,
  cost: null,
  currency: "",
  costPerKgFresh: null,
  costPerKgDry: null,
};

const yields: Yields = {
  batch: aYield,
  trays: [
    {
      tray: 5,
      name: "1",
      food: null,
      yield: aYield,
      portions: [{ place: 1, food: "a", yield: null }],
    },
  ],
};

const emptyHistory: History = {
  weighings: [],
  moments: [],
  interruptions: [],
  gaps: [],
  verdicts: [],
  coreChecks: [],
  inDoubt: [],
};

const look: LoadLook = {
  waterGrams: 9000,
  whole: true,
  warnings: [
    {
      code: "dryer-full",
      text: "too much",
      waterGrams: 9000,
      mostGrams: 8000,
      trays: [],
      slow: [],
      quick: [],
    },
  ],
  cautions: [{ tray: "1", text: "fat" }],
};

export const bench: Bench = {
  program: "0.1.0",
  practice: "no scale was ever set up",
  timeFactor: 1,
  dataFolder: "/data",
  recording: true,
  notRecordingWhy: null,
  clockJump: null,
  scales: [scale()],
  tasks: [
    {
      scale: "practice",
      next: null,
      pour: null,
      check: { last: check, isDue: true, waitsFor: null },
      question: null,
      taken: null,
      bag: null,
      chosen: { tray: null, portion: null, bag: null, weight: null },
      bagTaken: null,
    },
  ],
  nextBatchNumber: 4,
  batches: [batch],
  packing: [],
  alerts: [
    {
      id: 9,
      code: "needs-more",
      batch: 3,
      round: 1,
      text: "3 more hours",
      at,
      figures: {},
      acknowledged: null,
    },
  ],
  settings: {
    limitPct: 1,
    displayUnit: "g",
    webhook: null,
    mqtt: null,
    outTooLongMinutes: 15,
    sound: true,
    learning: true,
  },
  sending: [{ channel: "webhook", at: null, lateMinutes: 0, failed: null, waiting: 0 }],
  backup: null,
  practiceHand: { works: true, doing: "waits" },
};

const bagWeighing = {
  id: 2,
  bag: 6,
  kind: "sealed" as const,
  grossGrams: 63.2,
  divisionGrams: 0.1,
  scale: "practice",
  source: "scale" as const,
  at,
  clockDoubt: null,
  supersedes: null,
  struck: false,
  foodTaken: false,
  reason: null,
  current: true,
};

const shelfFinding: ShelfFinding = {
  word: "no-gain-seen",
  text: "no gain of 0.3 g or more",
  reasons: [{ code: "within-error", text: "no gain" }],
  baselineGrams: 63.3,
  gainGrams: 0.1,
  gainPct: 0.2,
  divisionGrams: 0.1,
  teaspoons: 0.02,
  provableGrams: 0.3,
  buoyancyGrams: 0.2,
  oxygenGrams: 0,
  gainPerMonthGrams: span(2),
  monthsLeft: { limitPct: 10, estimate: null, low: 20, high: null },
  weighAgain: { from: at, to: null, why: "to confirm" },
};

export const bag: Bag = {
  id: 6,
  code: "PRACTICE-3-1",
  batch: 3,
  batchNumber: 3,
  plan: 1,
  practice: true,
  state: "sealed",
  product: "Strawberries",
  supplier: null,
  prepared: "raw",
  wentIn: "frozen",
  batchStartedAt: at,
  driedAt: at,
  plannedAt: at,
  sealedAt: at,
  trays: [
    {
      tray: 5,
      name: "Tray 1",
      portion: null,
      grams: 51,
      verdict: "stable",
      coreDry: true,
      coreWet: null,
    },
  ],
  although: null,
  container: "soft",
  volumeMl: 946,
  lot: null,
  absorbers: { count: 1, cc: 300 },
  tareGrams: 8,
  targetGrams: 51,
  toleranceGrams: 0.5,
  netGrams: 51,
  freshGrams: 453.6,
  waterToAddGrams: 402.6,
  sealedGrossGrams: 63.2,
  moistureWetBasis: span(0.02),
  cautions: [],
  gainSinceVerdict: null,
  shelf: shelfFinding,
  weighings: [bagWeighing],
  fates: [{ id: 1, fate: "opened", at, note: null, takesBack: null }],
  gainsAccepted: [],
};

const lotLine: LotLine = {
  container: "soft",
  volumeMl: 946,
  lot: "quart, spring",
  bags: 3,
  told: 2,
  gaining: 1,
  share: { estimate: 0.5, low: 0.01, high: 0.99 },
  isWorse: false,
};

const labelText: LabelText = {
  bag: 6,
  code: "PRACTICE-3-1",
  title: "Strawberries",
  marks: ["PRACTICE: this is not food"],
  lines: ["Batch 3, bag PRACTICE-3-1"],
  cautions: [],
  footer: "Not a legal food label.",
};

const unpacked: Unpacked = {
  trays: [
    {
      tray: 5,
      name: "Tray 1",
      portion: null,
      food: "Strawberries",
      isEstimate: false,
      leftGrams: 102,
      freshGrams: 907.2,
      verdict: "stable",
      whyNotDry: null,
    },
  ],
  packages: [
    {
      container: "soft",
      volumeMl: 946,
      lot: null,
      tareGrams: 8,
      absorbers: { count: 1, cc: 300 },
    },
  ],
};

const bagLine: BagLine = {
  id: 6,
  code: "PRACTICE-3-1",
  batch: 3,
  batchNumber: 3,
  plan: 1,
  practice: true,
  product: "Strawberries",
  trays: ["Tray 1"],
  state: "sealed",
  netGrams: 51,
  freshGrams: 453.6,
  sealedAt: at,
  weighedAt: at,
  finding: "no-gain-seen",
  gainGrams: 0.1,
  gainPct: 0.2,
  divisionGrams: 0.1,
  weighAgain: false,
  weighFrom: null,
};

type Calls = { readonly name: string; readonly given: readonly unknown[] }[];
const lesson = {
  id: 1,
  batch: 3,
  batchNumber: 3,
  food: "Strawberries, raw",
  freshGrams: 1200,
  dryGrams: 112.4,
  waterPct: 90.8,
  ratePerHour: 0.31,
  thicknessMm: null,
  at,
  counts: true,
  why: null,
};

const photo = {
  id: 1,
  batch: 3,
  tray: 5,
  bag: null,
  bagCode: null,
  type: "image/png",
  bytes: 67,
  at,
};
/** A transparent pixel as a PNG file. */
export const onePixel = Buffer.from(
  "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNkYPhfDwAChwGA60e6kgAAAABJRU5ErkJggg==",
  "base64",
);

const logImport = {
  batches: [
    {
      batch: 4,
      name: "Batch 4 (spring)",
      startedAt: at,
      endedAt: at,
      trays: [{ name: "1", food: null, freshGrams: 700, lastGrams: 63.4, weighings: 3 }],
    },
  ],
  problems: [],
  notes: ["no resolution_g: taken as 0.1 g from the figures"],
};

type FakeService = Service & {
  readonly calls: Calls;
  show(message: Shown): void;
  listeners(): number;
};

/** `instead` replaces calls by others, to plant faults. */
export function fakeService(instead: Partial<Service> = {}): FakeService {
  const calls: Calls = [];
  const listeners = new Set<(message: Shown) => void>();
  const answer =
    <T>(name: string, value: T) =>
    (...given: readonly unknown[]): T => {
      calls.push({ name, given });
      return value;
    };
  const later =
    <T>(name: string, value: T) =>
    (...given: readonly unknown[]): Promise<T> => {
      calls.push({ name, given });
      return Promise.resolve(value);
    };
  return {
    calls,
    show: (message) => listeners.forEach((listener) => listener(message)),
    listeners: () => listeners.size,
    health: answer("health", {
      status: "ok",
      scales: [{ id: "practice", link: "up", since: at, why: null }],
      store: { recording: true, why: null, backup: null },
    }),
    bench: answer("bench", bench),
    batches: answer("batches", [
      {
        id: 3,
        number: 3,
        name: "Strawberries",
        dryer: "The dryer",
        startedAt: at,
        endedAt: null,
        practice: true,
        verdict: null,
        foods: ["strawberries"],
        trays: 1,
        freshGrams: 1200,
        netGrams: null,
      },
    ]),
    batch: answer("batch", batch),
    curves: answer("curves", [
      {
        tray: 5,
        name: "Tray 1",
        fit: { dryingHours: [0], netGrams: [1200], lowGrams: [1199], highGrams: [1201] },
        points: [
          { weighing: 7, dryingHours: 20, netGrams: 112.4, uncertaintyGrams: 0.1, stretch: 0 },
        ],
        expectedDryGrams: null,
        criteria: [],
      },
    ]),
    history: answer("history", {
      weighings: [weighing],
      moments: [moment],
      interruptions: [interruption],
      gaps: [gap],
      verdicts: [
        {
          at,
          round: 1,
          tray: 5,
          verdict: "losing",
          judgmentVersion: 1,
          text: "still losing",
          reasons: [],
        },
      ],
      coreChecks: [{ tray: 5, finding: "dry", at }],
      inDoubt: [7],
    }),
    recordLines: answer("recordLines", ["{}\n"]),
    weighingsCsv: answer("weighingsCsv", "hours,grams\r\n0,1200\r\n"),
    foods: answer("foods", [
      {
        number: "09316",
        name: "Strawberries, raw",
        group: "Fruits",
        waterPct: 90.95,
        waterSdPct: 1,
        sdIsOfGroup: true,
        own: null,
        source: "a table",
        cautions: [],
        thicknessMm: null,
      },
    ]),
    photos: answer("photos", [photo]),
    addPhoto: answer("addPhoto", [photo]),
    photo: answer("photo", { type: "image/png", bytes: onePixel }),
    removePhoto: answer("removePhoto", []),
    previewImport: answer("previewImport", logImport),
    importLog: answer("importLog", logImport),
    lessons: answer("lessons", [lesson]),
    editLesson: answer("editLesson", [{ ...lesson, counts: false, why: "a bag was damp" }]),
    ports: later("ports", { ports: [{ uri: "serial:///dev/x", name: "x" }], why: null }),
    bags: answer("bags", [bagLine]),
    stock: answer("stock", [
      { product: "Strawberries", bags: [bagLine], netGrams: 51, freshGrams: 453.6, oldestAt: at },
    ]),
    bag: answer("bag", bag),
    bagLabels: later("bagLabels", {
      pdf: new TextEncoder().encode("%PDF-1.3"),
      name: "bag-practice-3-1-62x29.pdf",
    }),
    lots: answer("lots", [lotLine]),
    labelTexts: answer("labelTexts", [labelText]),
    bagCode: answer("bagCode", "<svg></svg>"),
    unpacked: answer("unpacked", unpacked),
    previewBags: answer("previewBags", {
      totalGrams: 102,
      bags: [{ netGrams: 51, freshGrams: 453.6 }],
      absorber: {
        headspaceMl: 906,
        oxygenMl: 190,
        neededMl: 228,
        absorbers: { count: 1, cc: 300 },
        arithmetic: [{ text: "946 − 40 = 906 mL", source: "a method" }],
      },
      absorberWhyNot: null,
      notDry: [{ tray: 5, name: "Tray 1", why: "still losing" }],
      cautions: [],
    }),
    planBags: answer("planBags", [bag]),
    weighBag: answer("weighBag", bag),
    editBagWeighing: answer("editBagWeighing", bag),
    setFate: answer("setFate", bag),
    takeFateBack: answer("takeFateBack", bag),
    acceptGain: answer("acceptGain", bag),
    chooseBag: answer("chooseBag", bench),
    startBatch: answer("startBatch", batch),
    addTray: answer("addTray", batch),
    editTray: answer("editTray", batch),
    setClock: answer("setClock", batch),
    editMoment: answer("editMoment", batch),
    noteInterruption: answer("noteInterruption", batch),
    endInterruption: answer("endInterruption", batch),
    answerGap: answer("answerGap", batch),
    checkCore: answer("checkCore", batch),
    endBatch: answer("endBatch", batch),
    chooseTask: answer("chooseTask", bench),
    answerLoad: answer("answerLoad", bench),
    sayTared: answer("sayTared", bench),
    kitchen: answer("kitchen", kitchen),
    setDryer: answer("setDryer", kitchen),
    setOwnFood: answer("setOwnFood", kitchen),
    dish: answer("dish", {
      waterPct: 80,
      waterSdPct: 1,
      solidsGrams: 40,
      massGrams: 200,
      cautions: [],
      unknown: [],
    }),
    setCheckWeight: answer("setCheckWeight", kitchen),
    chooseCheck: answer("chooseCheck", bench),
    compareScales: answer("compareScales", bench),
    takeBackComparison: answer("takeBackComparison", kitchen),
    lookAtPlan: answer("lookAtPlan", look),
    lookAtBatch: answer("lookAtBatch", look),
    yields: answer("yields", yields),
    exportBatch: answer("exportBatch", {
      program: "0.1.0",
      exportedAt: at,
      batch,
      history: emptyHistory,
      curves: [],
      yields,
      bags: [bag],
      heads: { weighing: "0".repeat(64) },
    }),
    typeWeighing: answer("typeWeighing", batch),
    editWeighing: answer("editWeighing", batch),
    swapWeighings: answer("swapWeighings", batch),
    under: (_key, work) => work(),
    wasKept: () => false,
    acknowledge: answer("acknowledge", bench),
    editSettings: answer("editSettings", bench),
    tryAlert: later("tryAlert", null),
    addScale: later("addScale", bench),
    removeScale: later("removeScale", bench),
    chooseForm: answer("chooseForm", bench),
    sayAsking: answer("sayAsking", bench),
    pressKey: later("pressKey", bench),
    takeBytes: answer("takeBytes", { send: null }),
    practice: answer("practice", bench),
    measures: answer("measures", [
      {
        name: "stillweight_readings_total",
        help: "Readings seen",
        type: "counter" as const,
        values: [{ labels: { scale: 'a "b"\\c' }, value: 12 }],
      },
    ]),
    onShow: (listener) => {
      listeners.add(listener);
      return () => void listeners.delete(listener);
    },
    close: later("close", undefined),
    ...instead,
  };
}

/** The page as the build leaves it, with a file beside it that must never be served. */
function builtPage(): string {
  const folder = mkdtempSync(join(tmpdir(), "page-"));
  const web = join(folder, "web");
  mkdirSync(join(web, "assets"), { recursive: true });
  writeFileSync(join(folder, "secret.txt"), "secret");
  writeFileSync(join(web, "index.html"), "<!doctype html><title>The page</title>");
  writeFileSync(join(web, "assets", "main-abc123.js"), "export {};");
  writeFileSync(join(web, ".hidden"), "secret");
  return web;
}

export function listening(): { log: pino.Logger; lines: Record<string, unknown>[] } {
  const lines: Record<string, unknown>[] = [];
  const write = (line: string) => void lines.push(JSON.parse(line) as Record<string, unknown>);
  return { log: pino({ level: "info" }, { write }), lines };
}

export const host = "localhost:4680";

export const serverOptions = (service: Service, more: Partial<ServerOptions> = {}) => ({
  service,
  host: "127.0.0.1",
  port: 4680,
  webFolder: builtPage(),
  log: listening().log,
  clock: systemClock(),
  devices: devicesIn(mkdtempSync(join(tmpdir(), "devices-")), () => utcMs(Date.now())),
  pairing: false,
  tls: null,
  proxy: null,
  names: [],
  ...more,
});

export const makeTestServer = (service: Service, more: Partial<ServerOptions> = {}) =>
  makeServer(serverOptions(service, more));
