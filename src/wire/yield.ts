/** What a batch gave. Masses in grams. */
import Type, { type Static } from "typebox";
import { Id, Name, nullable, Span } from "./words.ts";

export const Yield = Type.Object({
  freshGrams: Type.Number(),
  dryGrams: Type.Number(),
  isEstimate: Type.Boolean({ description: "a portion's share of a tray that was weighed whole" }),
  waterRemovedGrams: Type.Number(),
  waterRemovedLitres: Type.Number(),
  yieldFraction: Type.Number({ description: "dry over fresh" }),
  freshPerDry: Type.Number({ description: "fresh equivalent of a gram of dry food, g" }),
  moistureWetBasis: nullable(Span),
  moistureDryBasis: nullable(Span),
  waterToRehydrateGrams: Type.Number({ description: "for all of it: what it lost" }),
  waterPerDryGram: Type.Number(),
  energyKwh: nullable(Type.Number({ description: "shared by the water that was removed" })),
  cost: nullable(Type.Number()),
  currency: Type.String(),
  costPerKgFresh: nullable(Type.Number()),
  costPerKgDry: nullable(Type.Number()),
});

export const Yields = Type.Object({
  batch: nullable(Yield),
  trays: Type.Array(
    Type.Object({
      tray: Id,
      name: Name,
      food: nullable(Type.String()),
      yield: nullable(Yield),
      portions: Type.Array(
        Type.Object({ place: Id, food: nullable(Type.String()), yield: nullable(Yield) }),
      ),
    }),
  ),
});

export type Yield = Static<typeof Yield>;
export type Yields = Static<typeof Yields>;
