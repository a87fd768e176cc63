/** What a bag's label says. In: the bag as the page sees it. Out: texts in their order; the drawing decides on sizes. */
import { decimalsOf, poundsAndOunces } from "../units/mass.ts";
import { grams } from "../units/quantity.ts";
import type { Bag, LabelField, LabelLanguage } from "../wire/bag.ts";
import { scanOf } from "./scan.ts";
import { labelTexts, type LabelTexts } from "./texts.ts";

export type LabelContent = {
  /** The bag's number, for a person to read. */
  readonly code: string;
  /** What the drawn code says to a scanner; null: it is not drawn. */
  readonly scanned: string | null;
  readonly title: string;
  /** Marks that nobody may miss. */
  readonly marks: readonly string[];
  readonly lines: readonly string[];
  readonly cautions: readonly string[];
  readonly footer: string;
  /** Said where a print has no form for some letters of what was typed. */
  readonly lettersMissing: string;
};

export type LabelWords = {
  /** What of the rest a person wants; number, product, net mass and cautions always stand there. */
  readonly fields: readonly LabelField[];
  readonly language: LabelLanguage;
  /** The day of a moment as people at the place count days. */
  readonly dayOf: (iso: string) => string;
  /** The lasting name under which the page is opened; null: there is none. */
  readonly origin: string | null;
  /** The last digest of the record's chain of bag weighings; null: it is not to be printed. */
  readonly head: string | null;
};

/** Enough of a digest to find the place in the record again by eye: one in 2^48 would fit by chance. */
const headLetters = 12;

export function labelContent(
  bag: Bag,
  { fields, language, dayOf, origin, head }: LabelWords,
): LabelContent {
  const has = (field: LabelField): boolean => fields.includes(field);
  const say = labelTexts[language];
  const mass = masses(bag, say);
  const massOrNull = (value: number | null): string | null => (value === null ? null : mass(value));
  const dayOrNull = (iso: string | null): string | null => (iso === null ? null : dayOf(iso));
  const { absorbers } = bag;
  const prepared = [
    ...(bag.prepared === null ? [] : [say.preparations[bag.prepared]]),
    ...(bag.wentIn === null ? [] : [say.wentInAs[bag.wentIn]]),
  ];
  const dates = {
    started: dayOf(bag.batchStartedAt),
    dried: dayOrNull(bag.driedAt),
    sealed: dayOrNull(bag.sealedAt),
  };
  const pounds = say.inPounds ? ` (${inPounds(bag.freshGrams)})` : "";
  const fresh = has("fresh") ? `${say.fresh(mass(bag.freshGrams))}${pounds}` : "";
  return {
    code: bag.code,
    scanned: has("code") ? scanOf(bag.code, origin) : null,
    title: say.foods(bag.product),
    marks: bag.practice ? [say.practice] : [],
    lines: [
      say.batchAndBag(bag.batchNumber, bag.code),
      ...(bag.supplier === null || !has("supplier") ? [] : [say.from(bag.supplier)]),
      ...(prepared.length === 0 || !has("prepared") ? [] : [say.prepared(prepared)]),
      ...(has("dates") ? [say.dates(dates)] : []),
      `${say.net(massOrNull(bag.netGrams))}${fresh}`,
      ...(has("gross") ? [say.gross(massOrNull(bag.sealedGrossGrams))] : []),
      ...(has("absorbers")
        ? [absorbers === null ? say.noAbsorber : say.absorbers(absorbers.count, absorbers.cc)]
        : []),
      ...(has("water") ? [say.water(Math.round(bag.waterToAddGrams))] : []),
    ],
    cautions: [
      ...bag.cautions.map((caution) => say.caution(caution)),
      ...(bag.although === null ? [] : [say.although(bag.although)]),
    ],
    lettersMissing: say.lettersMissing,
    footer: [say.notLegal, ...(head === null ? [] : [say.record(placeIn(head, bag))])].join(" "),
  };
}

/** The record's place, as much of it as is printed; null: nothing in the record stands behind what the label says. */
const placeIn = (head: string, { netGrams }: Bag): string | null =>
  netGrams === null ? null : head.slice(0, headLetters);

/** No finer than the scale that filled the bag. */
function masses(bag: Bag, { decimalMark }: LabelTexts): (value: number) => string {
  const filled = bag.weighings.findLast((row) => row.kind === "filled" && row.current);
  const decimals = filled === undefined ? 1 : Math.min(2, decimalsOf(filled.divisionGrams));
  return (value) => `${value.toFixed(decimals).replace(".", decimalMark)}\u00a0g`;
}

function inPounds(value: number): string {
  const { pounds, ounces } = poundsAndOunces(grams(value), 1);
  const inOunces = `${ounces.toFixed(1)}\u00a0oz`;
  return pounds === 0 ? inOunces : `${pounds}\u00a0lb ${inOunces}`;
}
