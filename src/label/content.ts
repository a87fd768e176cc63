/** What a bag's label says. In: the bag as the page sees it. Out: texts in their order; the drawing decides on sizes. */
import { decimalsOf, poundsAndOunces } from "../units/mass.ts";
import { grams } from "../units/quantity.ts";
import type { Bag, LabelField } from "../wire/bag.ts";

export type LabelContent = {
  /** What the code says to a scanner, and a person reads below it. */
  readonly code: string;
  /** Whether the code is drawn, and not only written. */
  readonly hasCode: boolean;
  readonly title: string;
  /** Marks that nobody may miss. */
  readonly marks: readonly string[];
  readonly lines: readonly string[];
  readonly cautions: readonly string[];
  readonly footer: string;
};

/** Enough of a digest to find the place in the record again by eye: one in 2^48 would fit by chance. */
const headLetters = 12;

/**
 * `dayOf`: the day of a moment as people at the place count days. `fields`: what of the rest a person wants; number,
 * product, net mass and cautions always stand there.
 */
export function labelContent(
  bag: Bag,
  dayOf: (iso: string) => string,
  fields: readonly LabelField[],
  /** The last digest of the record's chain of bag weighings; null: it is not to be printed. */
  head: string | null = null,
): LabelContent {
  const has = (field: LabelField): boolean => fields.includes(field);
  const mass = masses(bag);
  const { absorbers } = bag;
  const dates = [
    `started ${dayOf(bag.batchStartedAt)}`,
    ...(bag.driedAt === null ? [] : [`dried ${dayOf(bag.driedAt)}`]),
    ...(bag.sealedAt === null ? [] : [`sealed ${dayOf(bag.sealedAt)}`]),
  ];
  const prepared = [bag.prepared, bag.wentIn === null ? null : `went in ${bag.wentIn}`].filter(
    (one) => one !== null,
  );
  return {
    code: bag.code,
    hasCode: has("code"),
    title: bag.product,
    marks: bag.practice ? ["PRACTICE: this is not food"] : [],
    lines: [
      `Batch ${bag.batchNumber}, bag ${bag.code}`,
      ...(bag.supplier === null || !has("supplier") ? [] : [`From: ${bag.supplier}`]),
      ...(prepared.length === 0 || !has("prepared") ? [] : [`Prepared: ${prepared.join(", ")}`]),
      ...(has("dates") ? [`Freeze-dried: ${dates.join(", ")}`] : []),
      `Net dry ${bag.netGrams === null ? "not weighed yet" : mass(bag.netGrams)}${has("fresh") ? `, from ${mass(bag.freshGrams)} fresh (${inPounds(bag.freshGrams)})` : ""}`,
      ...(has("gross")
        ? [
            `Gross sealed ${bag.sealedGrossGrams === null ? "not weighed yet" : mass(bag.sealedGrossGrams)}`,
          ]
        : []),
      ...(has("absorbers")
        ? [
            absorbers === null
              ? "No oxygen absorber"
              : `Oxygen absorbers: ${absorbers.count} × ${absorbers.cc} cc`,
          ]
        : []),
      ...(has("water")
        ? [`To rehydrate: up to ${Math.round(bag.waterToAddGrams)} g (mL) of water`]
        : []),
    ],
    cautions: [
      ...bag.cautions,
      ...(bag.although === null ? [] : [`Packed before it was proved dry: ${bag.although}`]),
    ],
    footer: `Not a legal food label.${head === null ? "" : ` Record ${head.slice(0, headLetters)}`}`,
  };
}

/** No finer than the scale that filled the bag. */
function masses(bag: Bag): (value: number) => string {
  const filled = bag.weighings.findLast((row) => row.kind === "filled" && row.current);
  const decimals = filled === undefined ? 1 : Math.min(2, decimalsOf(filled.divisionGrams));
  return (value) => `${value.toFixed(decimals)}\u00a0g`;
}

function inPounds(value: number): string {
  const { pounds, ounces } = poundsAndOunces(grams(value), 1);
  const inOunces = `${ounces.toFixed(1)}\u00a0oz`;
  return pounds === 0 ? inOunces : `${pounds}\u00a0lb ${inOunces}`;
}
