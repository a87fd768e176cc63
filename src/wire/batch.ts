/** A batch as the page and other programs see it. Masses in grams, times in ISO 8601, durations in hours. */
import Type, { type Static } from "typebox";
import {
  CoreFinding,
  Id,
  Iso,
  Name,
  nullable,
  Span,
  VerdictWord,
  WeighingKind,
  words,
} from "./words.ts";

/** What the judgment says, to be worded in any language; `text`: the same in English. */
const said = {
  sentence: Type.String({ description: "which sentence, in whatever language" }),
  figures: Type.Record(Type.String(), Type.Union([Type.Number(), Type.String()]), {
    description: "what is put into it; the ends of the names tell the units: Grams, Hours, Share",
  }),
  text: Type.String(),
};

const notWeighedYet = "null: nothing was weighed since drying began";

export const TrayVerdict = Type.Object({
  tray: Name,
  verdict: VerdictWord,
  confidence: Type.Number(),
  p_dry: Type.Number(),
  reasons: Type.Array(Type.Object({ code: Type.String(), ...said })),
  remaining_g: nullable(Span),
  more_hours: nullable(Span),
  next_weighing_hours: nullable(Type.Number()),
  provable_g: nullable(Type.Number()),
  contradiction: nullable(
    Type.Object({
      code: Type.String(),
      ...said,
      weighing: nullable(Id),
      otherTray: nullable(Type.String()),
      foodTaken: Type.Boolean({
        description: "whether that food was taken off before that weighing would explain it",
      }),
      meant: nullable(
        Type.Object(
          { netGrams: Type.Number(), grossGrams: Type.Number() },
          { description: "what the weighing probably was, where its figure alone was wrong" },
        ),
      ),
    }),
  ),
  fit: nullable(
    Type.Object({
      model: Type.String(),
      parameters: Type.Record(Type.String(), Type.Number()),
      standard_errors: Type.Record(Type.String(), Type.Number()),
    }),
  ),
  expected_dry_g: nullable(Span),
});

export const Weighing = Type.Object({
  id: Id,
  batch: Id,
  tray: Id,
  kind: WeighingKind,
  portion: nullable(
    Type.Integer({
      description: "fresh: poured last; dry: alone on its tray; null: the whole tray",
    }),
  ),
  grossGrams: Type.Number(),
  netGrams: nullable(Type.Number()),
  divisionGrams: Type.Number(),
  dryingHours: nullable(Type.Number()),
  minutesOut: nullable(Type.Number()),
  scale: nullable(Type.String()),
  source: words(["scale", "typed"]),
  zeroSeen: Type.Boolean(),
  at: Iso,
  clockDoubt: nullable(
    words(
      ["time-of-day", "hours-missing"],
      "time-of-day: the computer's clock and the program's were apart; hours-missing: the computer was off for an unknown time",
    ),
  ),
  supersedes: nullable(Id),
  struck: Type.Boolean(),
  foodTaken: Type.Boolean({
    description: "food was taken off the tray since it was weighed before",
  }),
  reason: nullable(Type.String()),
  current: Type.Boolean({ description: "false once a later row replaced it or it was struck out" }),
});

export const Portion = Type.Object({
  place: Id,
  food: nullable(Type.String()),
  foodSource: nullable(Type.String()),
  waterPct: nullable(Type.Number()),
  cautions: Type.Array(Type.String()),
  thicknessMm: nullable(Type.Number({ description: "of the pieces, where a person stated it" })),
  targetGrams: nullable(Type.Number()),
  fromBag: nullable(Id),
  freshGrams: nullable(Type.Number()),
  dryGrams: nullable(Type.Number()),
  dryIsEstimate: Type.Boolean({
    description: "the tray was weighed whole: its loss is shared by the portions' expected water",
  }),
});

export const Tray = Type.Object({
  id: Id,
  name: Name,
  tareGrams: nullable(Type.Number()),
  food: nullable(Type.String()),
  foodSource: nullable(Type.String()),
  waterPct: nullable(Type.Number()),
  cautions: Type.Array(Type.String()),
  thicknessMm: nullable(Type.Number({ description: "of the pieces, where a person stated it" })),
  portions: Type.Array(Portion, { description: "none: one food, as much as comes" }),
  freshGrams: nullable(Type.Number()),
  netGrams: nullable(Type.Number()),
  waterRemovedGrams: nullable(Type.Number()),
  yieldFraction: nullable(Type.Number({ description: "net mass now over net mass fresh" })),
  moistureWetBasis: nullable(Span),
  moistureDryBasis: nullable(Span),
  verdict: Type.Union([TrayVerdict, Type.Null()], { description: notWeighedYet }),
  coreCheck: nullable(Type.Object({ finding: CoreFinding, at: Iso, dryingHours: Type.Number() })),
  weighings: Type.Array(Weighing, { description: "those that count, oldest first" }),
});

export const ClockMoment = Type.Object({
  id: Id,
  is: words(["in", "out"]),
  at: Iso,
  trays: nullable(Type.Array(Id, { description: "null: all of the batch" })),
  implied: Type.Boolean({ description: "noticed by a weighing, not said by a person" }),
  supersedes: nullable(Id),
  struck: Type.Boolean(),
  reason: nullable(Type.String()),
  current: Type.Boolean(),
});

export const Interruption = Type.Object({
  id: Id,
  from: Iso,
  to: nullable(Iso),
  reason: Type.String(),
});

export const Gap = Type.Object({
  id: Id,
  batch: Id,
  from: Iso,
  to: Iso,
  dryerRan: nullable(Type.Boolean({ description: "null: not answered, and no proof of dryness" })),
});

export const Batch = Type.Object({
  id: Id,
  number: Id,
  name: Type.String(),
  dryer: Name,
  startedAt: Iso,
  endedAt: nullable(Iso),
  practice: Type.Boolean(),
  phase: words(["loading", "drying", "ended"]),
  clock: Type.Object({
    state: words(["waiting", "in", "out"]),
    since: nullable(Iso),
    dryingHours: Type.Number(),
    minutesOut: nullable(Type.Number()),
    running: Type.Boolean({ description: "false while an interruption is open" }),
  }),
  round: Type.Object({
    number: Type.Integer({ description: "rounds of weighing begun; 0 before the first" }),
    weighed: Type.Array(Id),
    waiting: Type.Array(Id),
  }),
  verdict: Type.Union([VerdictWord, Type.Null()], { description: notWeighedYet }),
  moreHours: nullable(Span),
  behind: Type.Array(Id),
  nextWeighing: nullable(
    Type.Object({ dryingHours: Type.Number(), at: nullable(Iso), due: Type.Boolean() }),
  ),
  coresToCheck: Type.Array(Id, {
    description:
      "trays whose thickest piece is to be broken: stable ones, and those that only a broken piece can settle",
  }),
  provableBefore: nullable(
    Type.Object({
      divisionGrams: Type.Number(),
      longestHours: Type.Number({ description: "drying between two weighings, tray by tray" }),
      togetherHours: Type.Number({ description: "the same with all trays weighed as one load" }),
      divisionNeededGrams: Type.Number({ description: "what would do for the lightest tray" }),
      worthPlanningHours: Type.Number({ description: "longer intervals are not worth planning" }),
    }),
    // Said before the first weighing after drying only; then the judgment says it of what was weighed.
  ),
  trays: Type.Array(Tray),
  moments: Type.Array(ClockMoment),
  interruptions: Type.Array(Interruption),
  gaps: Type.Array(Gap),
});

export const BatchSummary = Type.Object({
  id: Id,
  number: Id,
  name: Type.String(),
  dryer: Name,
  startedAt: Iso,
  endedAt: nullable(Iso),
  practice: Type.Boolean(),
  verdict: nullable(VerdictWord),
  foods: Type.Array(Type.String()),
  trays: Type.Integer(),
  freshGrams: nullable(Type.Number()),
  netGrams: nullable(Type.Number()),
});

export const Curve = Type.Object({
  tray: Id,
  name: Name,
  fit: nullable(
    Type.Object({
      dryingHours: Type.Array(Type.Number()),
      netGrams: Type.Array(Type.Number()),
      lowGrams: Type.Array(Type.Number()),
      highGrams: Type.Array(Type.Number()),
    }),
  ),
  points: Type.Array(
    Type.Object({
      weighing: Id,
      dryingHours: Type.Number(),
      netGrams: Type.Number(),
      uncertaintyGrams: Type.Number({ description: "standard uncertainty" }),
      stretch: Type.Integer(),
    }),
  ),
  expectedDryGrams: nullable(Span),
  criteria: Type.Array(
    Type.Object({
      name: Type.String(),
      rule: Type.String({ description: "as the standard says it" }),
      source: Type.String(),
      is: words(["met", "not-met", "too-soon", "too-coarse"]),
      changeGrams: nullable(Type.Number()),
      allowedGrams: nullable(Type.Number()),
      waitHours: nullable(Type.Number({ description: "drying still to give before it applies" })),
      divisionNeededGrams: nullable(Type.Number({ description: "what would do on this load" })),
      massNeededGrams: nullable(Type.Number({ description: "what would do on this scale" })),
    }),
    { description: "the last two weighings by published criteria of constant weight" },
  ),
});

export const History = Type.Object({
  weighings: Type.Array(Weighing),
  moments: Type.Array(ClockMoment),
  interruptions: Type.Array(Interruption),
  gaps: Type.Array(Gap),
  verdicts: Type.Array(
    Type.Object({
      at: Iso,
      round: Type.Integer(),
      tray: nullable(Id),
      verdict: VerdictWord,
      judgmentVersion: Type.Integer(),
      text: Type.String(),
      reasons: Type.Array(Type.Object(said), {
        description: "none where it was kept before reasons had figures: then there is the text",
      }),
    }),
  ),
  coreChecks: Type.Array(Type.Object({ tray: Id, finding: CoreFinding, at: Iso })),
  inDoubt: Type.Array(Id, {
    description: "weighings on a scale that a check weight found out of tolerance",
  }),
});

export type TrayVerdict = Static<typeof TrayVerdict>;
export type Weighing = Static<typeof Weighing>;
export type Portion = Static<typeof Portion>;
export type Tray = Static<typeof Tray>;
export type ClockMoment = Static<typeof ClockMoment>;
export type Interruption = Static<typeof Interruption>;
export type Gap = Static<typeof Gap>;
export type Batch = Static<typeof Batch>;
export type BatchSummary = Static<typeof BatchSummary>;
export type Curve = Static<typeof Curve>;
export type History = Static<typeof History>;
