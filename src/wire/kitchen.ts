/** Dryers, own foods and check weights, as they are shown and asked for. */
import Type, { type Static } from "typebox";
import { ScaleChoice, seenSays } from "./seen.ts";
import { closed, Id, Iso, Name, nullable, words } from "./words.ts";

const Mass = Type.Number({ minimum: 0.001, maximum: 1_000_000 });

export const Dryer = Type.Object({
  name: Name,
  mostWaterGrams: nullable(Type.Number({ description: "what it may take up in one batch" })),
  mostTrayGrams: nullable(Type.Number({ description: "fresh food that one tray may carry" })),
  watts: nullable(Type.Number({ description: "mean power over a batch" })),
  pricePerKwh: nullable(Type.Number()),
  currency: Type.String(),
});
export const DryerSet = Type.Object(
  {
    name: Name,
    mostWaterGrams: Type.Optional(nullable(Mass)),
    mostTrayGrams: Type.Optional(nullable(Mass)),
    watts: Type.Optional(nullable(Type.Number({ exclusiveMinimum: 0, maximum: 100_000 }))),
    pricePerKwh: Type.Optional(nullable(Type.Number({ minimum: 0, maximum: 1000 }))),
    currency: Type.Optional(Type.String({ maxLength: 8 })),
    seen: Type.Optional(
      Type.Partial(Type.Omit(Dryer, ["name"]), { ...closed, description: seenSays }),
    ),
  },
  closed,
);

const Recipe = Type.Object(
  {
    ingredients: Type.Array(
      Type.Object({ food: Type.String({ minLength: 1, maxLength: 200 }), grams: Mass }, closed),
      { minItems: 1, maxItems: 60 },
    ),
    cookedGrams: Type.Optional(
      nullable(
        Type.Number({
          exclusiveMinimum: 0,
          maximum: 1_000_000,
          description: "the finished dish; without it nothing was lost or taken up",
        }),
      ),
    ),
  },
  closed,
);
export const OwnFood = Type.Object({
  id: Id,
  name: Name,
  waterPct: Type.Number(),
  waterSdPct: Type.Number(),
  solidsPct: Type.Number(),
  cautions: Type.Array(Type.String()),
  recipe: nullable(Recipe),
  retired: Type.Boolean(),
  own: nullable(
    Type.Object({
      batches: Type.Integer(),
      waterPct: Type.Number({ description: "with what your own batches found" }),
      waterSdPct: Type.Number(),
    }),
  ),
});
/** Water, or the recipe that it follows from. */
export const OwnFoodSet = Type.Object(
  {
    name: Name,
    waterPct: Type.Optional(Type.Number({ exclusiveMinimum: 0, exclusiveMaximum: 100 })),
    waterSdPct: Type.Optional(Type.Number({ minimum: 0, maximum: 50 })),
    recipe: Type.Optional(nullable(Recipe)),
    retired: Type.Optional(Type.Boolean()),
    seen: Type.Optional(
      Type.Partial(Type.Pick(OwnFood, ["name", "waterPct", "waterSdPct", "recipe", "retired"]), {
        ...closed,
        description: seenSays,
      }),
    ),
  },
  closed,
);
export const DishPreview = Type.Object({
  waterPct: Type.Number(),
  waterSdPct: Type.Number(),
  solidsGrams: Type.Number(),
  massGrams: Type.Number(),
  cautions: Type.Array(Type.String()),
  unknown: Type.Array(Type.String(), {
    description: "ingredients of which nothing is known: each counts as any food at all",
  }),
});
export const DishAsked = Recipe;

export const WeightClassWord = words(
  ["F1", "F2", "M1", "M2", "M3", "F"],
  "F1 to M3: OIML R 111-1; F: NIST Handbook 105-1. F, and F1 and F2 above 200 g, are from memory",
);
export const CheckWeight = Type.Object({
  id: Id,
  name: Name,
  nominalGrams: Type.Number(),
  weightClass: nullable(WeightClassWord),
  errorGrams: Type.Number({ description: "what the weight itself may be off" }),
  isErrorFromMemory: Type.Boolean({
    description: "the tolerance of its class was not verified against the published table",
  }),
  everyDays: Type.Number(),
  retired: Type.Boolean(),
});
export const CheckWeightSet = Type.Object(
  {
    name: Name,
    nominalGrams: Mass,
    weightClass: Type.Optional(nullable(WeightClassWord)),
    errorGrams: Type.Optional(
      nullable(
        Type.Number({
          minimum: 0,
          maximum: 1000,
          description: "of its certificate; without class",
        }),
      ),
    ),
    everyDays: Type.Number({ exclusiveMinimum: 0, maximum: 3660 }),
    retired: Type.Optional(Type.Boolean()),
    seen: Type.Optional(
      Type.Partial(Type.Omit(CheckWeight, ["id"]), { ...closed, description: seenSays }),
    ),
  },
  closed,
);
export const ScaleCheck = Type.Object({
  id: Id,
  weight: Id,
  scale: Type.String(),
  nominalGrams: Type.Number(),
  shownGrams: Type.Number(),
  offGrams: Type.Number(),
  divisionGrams: Type.Number(),
  toleranceGrams: Type.Number(),
  good: Type.Boolean(),
  at: Iso,
});
export const CheckChoice = Type.Object(
  { weight: nullable(Id), seen: Type.Optional(ScaleChoice) },
  closed,
);

export const ScaleComparison = Type.Object({
  id: Id,
  one: Type.String(),
  other: Type.String(),
  oneGrams: Type.Number(),
  otherGrams: Type.Number(),
  at: Iso,
});
export const ScaleOffset = Type.Object({
  from: Type.String(),
  to: Type.String(),
  offsetGrams: Type.Number({ description: "what `from` shows more than `to`, at `atGrams`" }),
  uGrams: Type.Number({ description: "its standard uncertainty" }),
  atGrams: Type.Number({ description: "mean of the loads that were put on both" }),
  count: Type.Integer(),
  spreadGrams: nullable(
    Type.Number({ description: "standard deviation of the offsets found; null: of one" }),
  ),
  lastAt: Iso,
});
export const ScalePlacement = Type.Object({
  scale: Type.String(),
  divisionGrams: Type.Number(),
  uGrams: Type.Number({
    description: "standard uncertainty of putting a load on once, the display's rounding apart",
  }),
  repeats: Type.Integer({ description: "times that the same load was put on again" }),
});
export const CompareChoice = Type.Object(
  { with: nullable(Type.String({ minLength: 1, maxLength: 100 })) },
  closed,
);

export const Kitchen = Type.Object({
  dryers: Type.Array(Dryer),
  foods: Type.Array(OwnFood),
  checkWeights: Type.Array(CheckWeight),
  checks: Type.Array(ScaleCheck, { description: "newest first, the last hundred" }),
  placements: Type.Array(ScalePlacement, {
    description: "of every scale on which the same load was put again within minutes",
  }),
  offsets: Type.Array(ScaleOffset, { description: "of every two scales that were compared" }),
  comparisons: Type.Array(ScaleComparison, {
    description: "those that count, newest first, the last hundred",
  }),
});

export const LoadWarning = Type.Object({
  code: words(["dryer-full", "tray-full", "dry-unlike"]),
  text: Type.String({ description: "in English" }),
  waterGrams: nullable(Type.Number()),
  mostGrams: nullable(Type.Number()),
  trays: Type.Array(Name),
  slow: Type.Array(Type.String()),
  quick: Type.Array(Type.String()),
});
export const LoadLook = Type.Object({
  waterGrams: Type.Number({ description: "expected, of what has a mass" }),
  whole: Type.Boolean({ description: "every food has a mass" }),
  warnings: Type.Array(LoadWarning),
  cautions: Type.Array(Type.Object({ tray: Name, text: Type.String() })),
});

export type Dryer = Static<typeof Dryer>;
export type DryerSet = Static<typeof DryerSet>;
export type OwnFood = Static<typeof OwnFood>;
export type OwnFoodSet = Static<typeof OwnFoodSet>;
export type DishAsked = Static<typeof DishAsked>;
export type DishPreview = Static<typeof DishPreview>;
export type CheckWeight = Static<typeof CheckWeight>;
export type CheckWeightSet = Static<typeof CheckWeightSet>;
export type ScaleCheck = Static<typeof ScaleCheck>;
export type CheckChoice = Static<typeof CheckChoice>;
export type ScaleComparison = Static<typeof ScaleComparison>;
export type ScaleOffset = Static<typeof ScaleOffset>;
export type CompareChoice = Static<typeof CompareChoice>;
export type Kitchen = Static<typeof Kitchen>;
export type LoadWarning = Static<typeof LoadWarning>;
export type LoadLook = Static<typeof LoadLook>;
