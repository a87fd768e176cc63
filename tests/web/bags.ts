/** Bags for looking at the page: typed as the wire is. Every figure is invented to fill a screen. */
import type {
  Bag,
  BagLine,
  BagsPreview,
  BagTaken,
  BagTask,
  LabelText,
  LotLine,
  ShelfFinding,
  StockLine,
  Unpacked,
} from "../../src/wire/bag.ts";

/** What the stub answers with about bags. */
export type StoreOfBags = {
  readonly unpacked: Unpacked;
  readonly preview: BagsPreview;
  readonly bags: readonly Bag[];
  readonly lines: readonly BagLine[];
  readonly stock: readonly StockLine[];
  readonly labels: readonly LabelText[];
  readonly lots: readonly LotLine[];
};

const packedAt = "2026-03-14T15:40:00.000Z";

export const aBag = (change: Partial<Bag> = {}): Bag => ({
  id: 1,
  code: "17-1",
  batch: 1,
  batchNumber: 17,
  plan: 1,
  practice: false,
  state: "planned",
  product: "Strawberries, raw",
  supplier: "Hill Farm",
  prepared: "raw",
  wentIn: "frozen",
  batchStartedAt: "2026-03-13T13:05:00.000Z",
  driedAt: "2026-03-14T15:00:00.000Z",
  plannedAt: packedAt,
  sealedAt: null,
  trays: [
    {
      tray: 1,
      name: "1",
      portion: null,
      grams: 51,
      verdict: "stable",
      coreDry: true,
      coreWet: null,
    },
  ],
  although: null,
  container: "soft",
  volumeMl: 946.352946,
  lot: null,
  absorbers: { count: 1, cc: 300 },
  tareGrams: 8.1,
  targetGrams: 51,
  toleranceGrams: 0.51,
  netGrams: null,
  freshGrams: 453.6,
  waterToAddGrams: 402.6,
  sealedGrossGrams: null,
  moistureWetBasis: { estimate: 0.02, low: 0.01, high: 0.04 },
  cautions: [],
  gainSinceVerdict: null,
  shelf: null,
  weighings: [],
  fates: [],
  gainsAccepted: [],
  ...change,
});

export const filled = (id: number, netGrams: number, change: Partial<Bag> = {}): Bag =>
  aBag({
    id,
    code: `17-${id}`,
    state: "filled",
    netGrams,
    weighings: [
      {
        id: id * 10,
        bag: id,
        kind: "filled",
        grossGrams: 8.1 + netGrams,
        divisionGrams: 0.1,
        scale: "scale-1",
        source: "scale",
        at: packedAt,
        supersedes: null,
        struck: false,
        reason: null,
        current: true,
      },
    ],
    ...change,
  });

export const bagTask = (change: Partial<BagTask> = {}): BagTask => ({
  bag: 1,
  code: "17-1",
  product: "Strawberries, raw",
  kind: "filled",
  tareGrams: 8.1,
  targetGrams: 51,
  toleranceGrams: 0.51,
  toGoGrams: null,
  needsLift: false,
  why: null,
  ...change,
});

export const bagTaken = (change: Partial<BagTaken> = {}): BagTaken => ({
  weighing: 910,
  bag: 1,
  code: "17-1",
  product: "Strawberries, raw",
  kind: "filled",
  grossGrams: 59.2,
  netGrams: 51.1,
  at: packedAt,
  finding: null,
  ...change,
});

export const aLine = (change: Partial<BagLine> = {}): BagLine => ({
  id: 1,
  code: "17-1",
  batch: 1,
  batchNumber: 17,
  plan: 1,
  practice: false,
  product: "Strawberries, raw",
  trays: ["1"],
  state: "sealed",
  netGrams: 51,
  freshGrams: 453.6,
  sealedAt: packedAt,
  weighedAt: null,
  finding: null,
  gainGrams: null,
  gainPct: null,
  divisionGrams: 0.1,
  weighAgain: false,
  weighFrom: null,
  ...change,
});

export const finding = (change: Partial<ShelfFinding> = {}): ShelfFinding => ({
  word: "no-gain-seen",
  text: "No gain of 0.3 g or more",
  reasons: [{ code: "within-error", text: "No gain" }],
  baselineGrams: 63.5,
  gainGrams: 0.05,
  gainPct: 0.1,
  teaspoons: 0.01,
  provableGrams: 0.26,
  divisionGrams: 0.1,
  buoyancyGrams: 0,
  oxygenGrams: 0,
  gainPerMonthGrams: { estimate: 0.02, low: -0.03, high: 0.07 },
  monthsLeft: { limitPct: 10, estimate: null, low: 62, high: null },
  weighAgain: null,
  ...change,
});

export const gaining = finding({
  word: "gaining-moisture",
  reasons: [
    { code: "confirmed", text: "It gained 2.5 g" },
    { code: "oxygen", text: "oxygen" },
  ],
  gainGrams: 2.5,
  gainPct: 4.9,
  teaspoons: 0.5,
  oxygenGrams: 0.4,
  gainPerMonthGrams: { estimate: 1.1, low: 1.04, high: 1.16 },
  monthsLeft: { limitPct: 10, estimate: 1.7, low: 0.9, high: 2.6 },
});

export const onShelf = (id: number, shelf: ShelfFinding, change: Partial<Bag> = {}): Bag =>
  filled(id, 51, {
    state: "sealed",
    sealedAt: "2026-01-10T10:00:00.000Z",
    sealedGrossGrams: 63.4,
    shelf,
    weighings: (
      [
        ["filled", 59.1, "2026-01-10T09:50:00.000Z"],
        ["sealed", 63.4, "2026-01-10T10:00:00.000Z"],
        ["shelf", 63.5, "2026-01-14T10:00:00.000Z"],
        ["shelf", 63.5 + shelf.gainGrams, "2026-03-14T16:00:00.000Z"],
      ] as const
    ).map(([kind, grossGrams, at], index) => ({
      id: id * 10 + index,
      bag: id,
      kind,
      grossGrams,
      divisionGrams: 0.1,
      scale: "scale-1",
      source: "scale",
      at,
      supersedes: null,
      struck: false,
      reason: null,
      current: true,
    })),
    ...change,
  });

export const stock: readonly StockLine[] = [
  {
    product: "Beef stew, homemade",
    netGrams: 318,
    freshGrams: 1310,
    oldestAt: "2026-01-10T10:00:00.000Z",
    bags: [
      aLine({
        id: 4,
        code: "12-1",
        product: "Beef stew, homemade",
        finding: "watch",
        gainGrams: 0.9,
        gainPct: 0.6,
        sealedAt: "2026-01-10T10:00:00.000Z",
      }),
    ],
  },
  {
    product: "Boeuf bourguignon with pearl onions, chestnut mushrooms, carrots and smoked bacon",
    netGrams: 102,
    freshGrams: 907.2,
    oldestAt: "2026-02-02T10:00:00.000Z",
    bags: [
      aLine({ id: 5, code: "15-1", state: "opened", sealedAt: "2026-02-02T10:00:00.000Z" }),
      aLine({ id: 1, finding: "not-checked", gainGrams: 0, gainPct: 0, weighAgain: true }),
      aLine({ id: 2, code: "17-2", finding: "gaining-moisture", gainGrams: 2.5, gainPct: 4.9 }),
    ],
  },
];

export const lots: readonly LotLine[] = [
  {
    container: "soft",
    volumeMl: 946.352946,
    lot: "quart, box of March, from the shop behind the station",
    bags: 12,
    told: 12,
    gaining: 8,
    share: { estimate: 0.667, low: 0.349, high: 0.901 },
    isWorse: true,
  },
  {
    container: "jar",
    volumeMl: 473.176473,
    lot: null,
    bags: 45,
    told: 40,
    gaining: 1,
    share: { estimate: 0.025, low: 0.0006, high: 0.132 },
    isWorse: false,
  },
  {
    container: "soft",
    volumeMl: 946.352946,
    lot: "new",
    bags: 2,
    told: 0,
    gaining: 0,
    share: null,
    isWorse: false,
  },
];

export const unpacked: Unpacked = {
  trays: [
    {
      tray: 1,
      name: "1",
      portion: null,
      isEstimate: false,
      food: "Strawberries, raw",
      leftGrams: 112,
      freshGrams: 1240,
      verdict: "stable",
      whyNotDry: null,
    },
    {
      tray: 2,
      name: "2",
      portion: null,
      isEstimate: false,
      food: "Strawberries, raw",
      leftGrams: 108.5,
      freshGrams: 1198,
      verdict: "stable",
      whyNotDry: null,
    },
    {
      tray: 3,
      name: "3",
      portion: null,
      isEstimate: false,
      food: "Beef stew, homemade",
      leftGrams: 318,
      freshGrams: 1310,
      verdict: "losing",
      whyNotDry: "it is still losing weight",
    },
    {
      tray: 4,
      name: "4",
      portion: null,
      isEstimate: false,
      food: "Corn, sweet, yellow, raw",
      leftGrams: 0,
      freshGrams: null,
      verdict: null,
      whyNotDry: null,
    },
  ],
  packages: [
    {
      container: "soft",
      volumeMl: 946.352946,
      lot: "quart, box of March",
      tareGrams: 8.1,
      absorbers: { count: 1, cc: 300 },
    },
    { container: "jar", volumeMl: 473.176473, lot: null, tareGrams: 412, absorbers: null },
  ],
};

const preview: BagsPreview = {
  totalGrams: 220.5,
  bags: [
    { netGrams: 110.25, freshGrams: 1219 },
    { netGrams: 110.25, freshGrams: 1219 },
  ],
  absorber: {
    headspaceMl: 872.9,
    oxygenMl: 182.9,
    neededMl: 219.4,
    absorbers: { count: 1, cc: 300 },
    arithmetic: [
      {
        text: "the food itself: 110.3 g ÷ 1.5 g/mL = 73.5 mL",
        source:
          "density of dry food without its pores, 1.4 to 1.6 g/mL: from memory, no source read",
      },
      {
        text: "air around and in it: 946.4 − 73.5 = 872.9 mL",
        source: "headspace method, as a maker of absorbers describes it",
      },
      {
        text: "oxygen in that air: 872.9 × 20.95 % = 182.9 mL",
        source: "20.95 % by volume in dry air (AIChE CCPS glossary)",
      },
      { text: "with a margin of 20 %: 219.4 mL", source: "margin: our choice" },
      {
        text: "next size: 1 × 300 cc",
        source: "sizes that are commonly sold: common practice, no source",
      },
    ],
  },
  absorberWhyNot: null,
  notDry: [{ tray: 3, name: "3", why: "it is still losing weight" }],
  cautions: [
    "Only truly dry food goes with an absorber: damp low-acid food without oxygen can grow Clostridium botulinum. Guidance asks for about 10 % moisture or less.",
  ],
};

export const emptyStore: StoreOfBags = {
  unpacked: { trays: [], packages: [] },
  preview,
  bags: [],
  lines: [],
  stock: [],
  labels: [],
  lots: [],
};
