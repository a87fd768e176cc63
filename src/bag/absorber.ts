/**
 * Which oxygen absorber a package needs. In: its volume in millilitres and the food in grams. Out: millilitres of
 * oxygen, a size that is sold, and the sum for a person to check.
 *
 * Headspace = package volume − volume of the contents; oxygen = its share of air × headspace; and a margin for what
 * comes through the wall (the method of a maker of sachets, as its note on headspace describes it).
 */
import type { Grams } from "../units/quantity.ts";
import type { Absorbers } from "./bag.ts";

/** Oxygen in dry air, by volume: 20.95 %. Source: AIChE CCPS glossary; other tables have 20.946. */
const oxygenShare = 0.2095;
/** Density of dry food without its pores, g/mL: 1.4 to 1.6 for sugar, protein and starch. From memory, no source read. */
const solidDensity = 1.5;
/** Our choice. */
const absorberMargin = 1.2;
/** Millilitres of oxygen, in the sizes that are commonly sold: common practice, no source. */
const absorberSizes = [20, 50, 100, 200, 300, 500, 1000, 2000, 3000] as const;

export type AbsorberNeed = {
  readonly headspaceMl: number;
  readonly oxygenMl: number;
  readonly neededMl: number;
  readonly absorbers: Absorbers;
  readonly arithmetic: readonly { readonly text: string; readonly source: string }[];
};

/** Millilitres that the food itself takes up: its bulk is mostly pores, and they hold air. */
const solidMl = (dry: Grams): number => dry / solidDensity;

/** Millilitres of oxygen in a package of air with dry food in it; 0 when the food fills it. */
export const oxygenIn = (volumeMl: number, dry: Grams): number =>
  Math.max(0, volumeMl - solidMl(dry)) * oxygenShare;

/** null: so much food cannot be in a package of this volume. */
export function absorberFor(volumeMl: number, dry: Grams): AbsorberNeed | null {
  const headspaceMl = volumeMl - solidMl(dry);
  if (!(headspaceMl > 0)) return null;
  const oxygenMl = headspaceMl * oxygenShare;
  const neededMl = oxygenMl * absorberMargin;
  const absorbers = smallestThatDo(neededMl);
  const one = (value: number): string => value.toFixed(1);
  return {
    headspaceMl,
    oxygenMl,
    neededMl,
    absorbers,
    arithmetic: [
      {
        text: `the food itself: ${one(dry)} g ÷ ${solidDensity} g/mL = ${one(solidMl(dry))} mL`,
        source:
          "density of dry food without its pores, 1.4 to 1.6 g/mL: from memory, no source read",
      },
      {
        text: `air around and in it: ${one(volumeMl)} − ${one(solidMl(dry))} = ${one(headspaceMl)} mL`,
        source: "headspace method, as a maker of absorbers describes it",
      },
      {
        text: `oxygen in that air: ${one(headspaceMl)} × 20.95 % = ${one(oxygenMl)} mL`,
        source: "20.95 % by volume in dry air (AIChE CCPS glossary)",
      },
      {
        text: `with a margin of ${Math.round((absorberMargin - 1) * 100)} %: ${one(neededMl)} mL`,
        source: "margin: our choice",
      },
      {
        text: `next size: ${absorbers.count} × ${absorbers.cc} cc`,
        source: "sizes that are commonly sold: common practice, no source",
      },
    ],
  };
}

function smallestThatDo(neededMl: number): Absorbers {
  const one = absorberSizes.find((cc) => cc >= neededMl);
  if (one !== undefined) return { count: 1, cc: one };
  const largest = absorberSizes[absorberSizes.length - 1] ?? 0;
  return { count: Math.ceil(neededMl / largest), cc: largest };
}

/** To be said wherever oxygen is taken away. Utah State University Extension's storage guidance, as others reproduce it. */
export const dampCaution =
  "Only truly dry food goes with an absorber: damp low-acid food without oxygen can grow Clostridium botulinum. Guidance asks for about 10 % moisture or less.";
