/** From verdict to shelf: bags, their weighings, what the shelf says. Masses in grams, times in ISO 8601. */
import Type, { type Static } from "typebox";
import { ScaleChoice, seenSays } from "./seen.ts";
import { closed, Id, Iso, Name, nullable, Span, UnitWord, VerdictWord, words } from "./words.ts";

const Mass = Type.Number({ minimum: 0.001, maximum: 1_000_000 });
const Reason = Type.String({ minLength: 1, maxLength: 500 });

export const Container = words(
  ["soft", "jar", "can"],
  "a soft bag draws in when its oxygen goes, a jar or a can does not",
);
export const BagWeighingKind = words(
  ["tare", "filled", "sealed", "shelf"],
  "tare: the empty bag; filled: with the food, open; sealed: closed, absorbers in it; shelf: any time after",
);
export const BagState = words(
  [
    "planned",
    "filled",
    "sealed",
    "opened",
    "used",
    "given-away",
    "thrown-away",
    "re-dry",
    "cancelled",
  ],
  "the last five are final",
);
export const Fate = words(
  ["opened", "used", "given-away", "thrown-away", "re-dry", "cancelled"],
  "opened: may be sealed and weighed again, which starts a new baseline; cancelled: planned and never filled",
);
export const ShelfWord = words(
  ["no-gain-seen", "watch", "gaining-moisture", "cannot-tell", "not-checked"],
  "not-checked: not weighed since it was sealed; a statement about weight alone: a weight does not show oxygen",
);
export const Prepared = words(["raw", "blanched", "cooked"]);
export const WentIn = words(["fresh", "frozen"]);

export const Absorbers = Type.Object(
  {
    count: Type.Integer({ minimum: 1, maximum: 100 }),
    cc: Type.Number({
      exclusiveMinimum: 0,
      maximum: 10_000,
      description: "millilitres of oxygen that one can take up",
    }),
  },
  closed,
);

/** A figure with how it was come by: for a person to check. */
export const Arithmetic = Type.Object({
  text: Type.String({ description: "the sum, with its numbers and units" }),
  source: Type.String({ description: "where its constant comes from; says when from memory" }),
});

export const AbsorberNeed = Type.Object({
  headspaceMl: Type.Number({ description: "package volume less the food's solid volume" }),
  oxygenMl: Type.Number(),
  neededMl: Type.Number({ description: "with the margin" }),
  absorbers: Absorbers,
  arithmetic: Type.Array(Arithmetic),
});

export const BagWeighing = Type.Object({
  id: Id,
  bag: Id,
  kind: BagWeighingKind,
  grossGrams: Type.Number(),
  divisionGrams: Type.Number(),
  scale: nullable(Type.String()),
  source: words(["scale", "typed"]),
  at: Iso,
  supersedes: nullable(Id),
  struck: Type.Boolean(),
  reason: nullable(Type.String()),
  current: Type.Boolean({ description: "false once a later row replaced it or it was struck out" }),
});

export const ShelfFinding = Type.Object({
  word: ShelfWord,
  text: Type.String({ description: "the finding in one or two sentences" }),
  reasons: Type.Array(
    Type.Object({
      code: Type.String(),
      text: Type.String(),
      offsetGrams: Type.Optional(
        Type.Number({ description: "other-scale: what is known that it shows more; taken off" }),
      ),
      uGrams: Type.Optional(Type.Number({ description: "standard uncertainty of that offset" })),
    }),
  ),
  baselineGrams: nullable(
    Type.Number({
      description: "confirmed 2 to 7 days after sealing; null: not yet, or not any more",
    }),
  ),
  gainGrams: Type.Number({ description: "since the baseline; before there is one, since sealing" }),
  gainPct: Type.Number({ description: "of the dry mass in the bag" }),
  teaspoons: Type.Number({ description: "the gain as US teaspoons of water" }),
  provableGrams: Type.Number({ description: "the smallest gain that these weighings can prove" }),
  divisionGrams: Type.Number({ description: "of these weighings, the coarser: shown no finer" }),
  buoyancyGrams: Type.Number({
    description: "what the bag may seem to gain because its absorbers draw it in",
  }),
  oxygenGrams: Type.Number({ description: "of a gain, what can be oxygen taken up, not water" }),
  gainPerMonthGrams: nullable(Span),
  monthsLeft: nullable(
    Type.Object({
      limitPct: Type.Number({ description: "moisture, wet basis" }),
      estimate: nullable(Type.Number({ description: "null: no gain that could be carried on" })),
      low: Type.Number({ description: "5 %" }),
      high: nullable(Type.Number({ description: "95 %; null: no end in sight" })),
    }),
  ),
  weighAgain: nullable(
    Type.Object(
      { from: Iso, to: nullable(Iso), why: Type.String() },
      {
        description: "when the program would like to see the bag on the scale",
      },
    ),
  ),
});

export const Bag = Type.Object({
  id: Id,
  code: Type.String({
    description: "what the label says: 12-3 is bag 3 of batch 12",
  }),
  batch: Id,
  batchNumber: Id,
  plan: Id,
  practice: Type.Boolean(),
  state: BagState,
  product: Type.String(),
  supplier: nullable(Type.String()),
  prepared: nullable(Prepared),
  wentIn: nullable(WentIn),
  batchStartedAt: Iso,
  driedAt: nullable(Iso),
  plannedAt: Iso,
  sealedAt: nullable(Iso),
  trays: Type.Array(
    Type.Object({
      tray: Id,
      name: Name,
      portion: nullable(Type.Integer({ description: "which of its foods; null: all of it" })),
      grams: Type.Number({ description: "of this tray's dry mass, in this bag's target" }),
      verdict: nullable(VerdictWord),
      coreDry: Type.Boolean({
        description: "broken and found dry since it was last weighed, and not cold or soft later",
      }),
      coreWet: nullable(
        Type.Object(
          { finding: words(["cold", "soft"]), at: Iso },
          { description: "its thickest piece, after this bag was planned" },
        ),
      ),
    }),
  ),
  although: nullable(
    Type.String({ description: "why it is packed although not every tray was stable and checked" }),
  ),
  container: Container,
  volumeMl: Type.Number(),
  lot: nullable(Type.String({ description: "of packaging" })),
  absorbers: nullable(Absorbers),
  tareGrams: nullable(Type.Number({ description: "the empty bag" })),
  targetGrams: Type.Number({
    description: "the remainder of the plan is spread over what is not filled",
  }),
  toleranceGrams: Type.Number(),
  netGrams: nullable(Type.Number({ description: "dry food in the bag" })),
  freshGrams: Type.Number({ description: "fresh equivalent of the food in it" }),
  waterToAddGrams: Type.Number({ description: "to restore the water it had when fresh" }),
  sealedGrossGrams: nullable(Type.Number()),
  moistureWetBasis: nullable(Span),
  cautions: Type.Array(Type.String()),
  gainSinceVerdict: nullable(
    Type.Object({
      grams: Type.Number(),
      provableGrams: Type.Number(),
      text: Type.String({
        description: "to be said before sealing, with drying again as a choice",
      }),
      isAnswered: Type.Boolean({ description: "a person said to seal them all the same" }),
    }),
  ),
  gainsAccepted: Type.Array(
    Type.Object(
      { grams: Type.Number(), provableGrams: Type.Number(), at: Iso },
      { description: "moisture taken up on the bench, with which a person had it sealed" },
    ),
  ),
  shelf: nullable(ShelfFinding),
  weighings: Type.Array(BagWeighing, { description: "every row, oldest first" }),
  redriedIn: Type.Optional(
    nullable(
      Type.Object(
        { batch: Id, batchNumber: Id, tray: Name },
        { description: "where its food was dried again" },
      ),
    ),
  ),
  fates: Type.Array(
    Type.Object(
      {
        id: Id,
        fate: Fate,
        at: Iso,
        note: nullable(Type.String()),
        takesBack: nullable(
          Type.Integer({
            description: "the row of this list that no longer counts; then this is no fate",
          }),
        ),
      },
      { description: "oldest first" },
    ),
  ),
});

/** What a label says, for a print page. */
export const LabelText = Type.Object({
  bag: Id,
  code: Type.String({ description: "the bag's number" }),
  title: Type.String(),
  marks: Type.Array(Type.String(), { description: "that nobody may miss" }),
  lines: Type.Array(Type.String()),
  cautions: Type.Array(Type.String()),
  footer: Type.String(),
});

/** A bag as a line of a list. */
export const BagLine = Type.Object({
  id: Id,
  code: Type.String(),
  batch: Id,
  batchNumber: Id,
  plan: Id,
  practice: Type.Boolean(),
  product: Type.String(),
  trays: Type.Array(Name, { description: "that its food lay on" }),
  state: BagState,
  netGrams: nullable(Type.Number()),
  freshGrams: Type.Number(),
  sealedAt: nullable(Iso),
  weighedAt: Type.Union([Iso, Type.Null()], {
    description: "last on the shelf since it was sealed",
  }),
  finding: nullable(ShelfWord),
  gainGrams: nullable(Type.Number()),
  gainPct: nullable(Type.Number()),
  divisionGrams: nullable(Type.Number({ description: "of the weighings that the gain is from" })),
  weighAgain: Type.Boolean({ description: "the time for a weighing that is asked for has come" }),
  weighFrom: nullable(
    Type.String({
      format: "date-time",
      description: "of a weighing that is asked for and whose time is still to come",
    }),
  ),
});

export const StockLine = Type.Object({
  product: Type.String(),
  bags: Type.Array(BagLine, { description: "sealed or opened ones, oldest first" }),
  netGrams: Type.Number(),
  freshGrams: Type.Number(),
  oldestAt: Iso,
});

/** Bags of one kind, size and lot of packaging. */
export const LotLine = Type.Object({
  container: Container,
  volumeMl: Type.Number(),
  lot: nullable(Type.String()),
  bags: Type.Integer(),
  told: Type.Integer({ description: "of which a weighing on the shelf could tell" }),
  gaining: Type.Integer(),
  share: nullable(
    Type.Object(
      { estimate: Type.Number(), low: Type.Number(), high: Type.Number() },
      { description: "that gains: exact interval of Clopper and Pearson, 95 %" },
    ),
  ),
  isWorse: Type.Boolean({ description: "its interval lies above that of all other lots together" }),
});

/** At a scale where a bag was chosen: what its next load is taken for. */
export const BagTask = Type.Object({
  bag: Id,
  code: Type.String(),
  product: Type.String(),
  kind: BagWeighingKind,
  tareGrams: nullable(Type.Number()),
  targetGrams: nullable(Type.Number({ description: "net; only while filling" })),
  toleranceGrams: nullable(Type.Number()),
  toGoGrams: nullable(Type.Number({ description: "negative: too much; null without a weight" })),
  needsLift: Type.Boolean({ description: "what lies on the scale comes off first" }),
  why: nullable(Type.String({ description: "why the load on the scale was not taken by itself" })),
});

export const BagTaken = Type.Object({
  weighing: Id,
  bag: Id,
  code: Type.String(),
  product: Type.String(),
  kind: BagWeighingKind,
  grossGrams: Type.Number(),
  netGrams: nullable(Type.Number()),
  at: Iso,
  finding: nullable(ShelfFinding),
});

export const NewBags = Type.Object(
  {
    trays: Type.Array(
      Type.Object(
        {
          tray: Id,
          portion: Type.Optional(
            nullable(
              Type.Integer({
                minimum: 1,
                description: "which of a tray's foods; without it they are mixed",
              }),
            ),
          ),
          grams: Type.Optional(nullable(Mass)),
        },
        closed,
      ),
      {
        minItems: 1,
        maxItems: 60,
        description: "grams: a part of the tray's dry mass; without it all that is not yet in bags",
      },
    ),
    divide: Type.Union(
      [
        Type.Object({ count: Type.Integer({ minimum: 1, maximum: 200 }) }, closed),
        Type.Object({ freshGrams: Mass }, closed),
      ],
      { description: "into so many bags, or into bags of about this fresh equivalent" },
    ),
    product: Type.Optional(nullable(Type.String({ minLength: 1, maxLength: 200 }))),
    supplier: Type.Optional(nullable(Type.String({ maxLength: 120 }))),
    prepared: Type.Optional(nullable(Prepared)),
    wentIn: Type.Optional(nullable(WentIn)),
    container: Container,
    volumeMl: Type.Number({ exclusiveMinimum: 0, maximum: 100_000 }),
    lot: Type.Optional(
      nullable(Type.String({ minLength: 1, maxLength: 80, description: "lot of packaging" })),
    ),
    tareGrams: Type.Optional(nullable(Mass)),
    absorbers: Type.Optional(nullable(Absorbers)),
    divisionGrams: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 1000 })),
    although: Type.Optional(nullable(Reason)),
  },
  closed,
);

export const BagsPreview = Type.Object({
  totalGrams: Type.Number(),
  bags: Type.Array(Type.Object({ netGrams: Type.Number(), freshGrams: Type.Number() })),
  absorber: nullable(AbsorberNeed),
  absorberWhyNot: nullable(Type.String({ description: "why no size could be worked out" })),
  notDry: Type.Array(Type.Object({ tray: Id, name: Name, why: Type.String() }), {
    description: "trays that may only be packed with a reason (`although`)",
  }),
  cautions: Type.Array(Type.String()),
});

export const Unpacked = Type.Object({
  trays: Type.Array(
    Type.Object({
      tray: Id,
      name: Name,
      portion: nullable(
        Type.Integer({ description: "which of its foods, where it has several; else null" }),
      ),
      food: nullable(Type.String()),
      isEstimate: Type.Boolean({
        description: "what is left is shared out, because the food was not weighed by itself",
      }),
      leftGrams: nullable(
        Type.Number({
          description:
            "dry food that is not in bags yet; null: not weighed before and after drying",
        }),
      ),
      freshGrams: nullable(Type.Number({ description: "what that was before drying" })),
      verdict: nullable(VerdictWord),
      whyNotDry: nullable(Type.String({ description: "packed only with a reason" })),
    }),
  ),
  packages: Type.Array(
    Type.Object({
      container: Container,
      volumeMl: Type.Number(),
      lot: nullable(Type.String()),
      tareGrams: nullable(Type.Number()),
      absorbers: nullable(Absorbers),
    }),
    { description: "as they were used before, newest first, each once" },
  ),
});

const SealedAlthough = Type.String({
  minLength: 1,
  maxLength: 2000,
  description:
    "why it is sealed although a piece of its tray was found cold or soft since, which stays with the weighing; or kept although it was refused as weighing.impossible",
});
export const BagWeighed = Type.Union([
  Type.Object(
    {
      kind: BagWeighingKind,
      scale: Type.String({ minLength: 1, maxLength: 200 }),
      although: Type.Optional(SealedAlthough),
    },
    { ...closed, description: "take the load that lies at rest on this scale" },
  ),
  Type.Object(
    {
      kind: BagWeighingKind,
      value: Mass,
      unit: Type.Optional(UnitWord),
      divisionGrams: Type.Optional(Type.Number({ exclusiveMinimum: 0, maximum: 1000 })),
      at: Type.Optional(Iso),
      although: Type.Optional(SealedAlthough),
    },
    { ...closed, description: "read from a scale by eye" },
  ),
]);
export const BagWeighingEdit = Type.Object(
  {
    grossGrams: Type.Optional(Mass),
    struck: Type.Optional(Type.Boolean()),
    reason: Reason,
  },
  closed,
);
export const FateSet = Type.Object(
  { fate: Fate, note: Type.Optional(nullable(Type.String({ maxLength: 500 }))) },
  closed,
);
export const FateTakenBack = Type.Object(
  {
    note: Type.Optional(nullable(Type.String({ maxLength: 500 }))),
    seen: Type.Optional(
      Type.Object(
        {
          state: Type.Optional(BagState),
          last: Type.Optional(
            Type.Integer({ minimum: 1, description: "the last row of the bag's `fates`" }),
          ),
        },
        { ...closed, description: seenSays },
      ),
    ),
  },
  closed,
);
export const BagChoice = Type.Object(
  {
    bag: nullable(Type.Union([Id, Type.String({ minLength: 1, maxLength: 200 })])),
    kind: Type.Optional(BagWeighingKind),
    seen: Type.Optional(ScaleChoice),
  },
  {
    ...closed,
    description:
      "a bag's id, or what a scanner read from its label; null: the scale is for trays again",
  },
);

export type Container = Static<typeof Container>;
export type BagWeighingKind = Static<typeof BagWeighingKind>;
export type BagState = Static<typeof BagState>;
export type Fate = Static<typeof Fate>;
export type ShelfWord = Static<typeof ShelfWord>;
export type LabelText = Static<typeof LabelText>;
export type { LabelField, LabelLanguage, LabelStock } from "./words.ts";
export type Prepared = Static<typeof Prepared>;
export type WentIn = Static<typeof WentIn>;
export type Absorbers = Static<typeof Absorbers>;
export type Arithmetic = Static<typeof Arithmetic>;
export type AbsorberNeed = Static<typeof AbsorberNeed>;
export type BagWeighing = Static<typeof BagWeighing>;
export type ShelfFinding = Static<typeof ShelfFinding>;
export type Bag = Static<typeof Bag>;
export type BagLine = Static<typeof BagLine>;
export type StockLine = Static<typeof StockLine>;
export type LotLine = Static<typeof LotLine>;
export type BagTask = Static<typeof BagTask>;
export type BagTaken = Static<typeof BagTaken>;
export type NewBags = Static<typeof NewBags>;
export type BagsPreview = Static<typeof BagsPreview>;
export type Unpacked = Static<typeof Unpacked>;
export type BagWeighed = Static<typeof BagWeighed>;
export type BagWeighingEdit = Static<typeof BagWeighingEdit>;
export type FateTakenBack = Static<typeof FateTakenBack>;
export type FateSet = Static<typeof FateSet>;
export type BagChoice = Static<typeof BagChoice>;
