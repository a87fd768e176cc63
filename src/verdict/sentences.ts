/**
 * What the judgment says, each reason as a sentence into which its figures are put. A figure's name tells its unit;
 * whoever shows it puts it in ready to be read, so that a page says the same in its reader's language and units.
 */
import { inHours, inMass, inShare } from "./phrase.ts";

type FigureName =
  | "lossGrams"
  | "apartHours"
  | "explainedGrams"
  | "atHours"
  | "highShare"
  | "netGrams"
  | "mostGrams"
  | "leastGrams"
  | "lowGrams"
  | "highGrams"
  | "hourlyShare"
  | "nextHours"
  | "limitGrams"
  | "limitShare"
  | "otherGrams"
  | "beforeGrams"
  | "afterGrams"
  | "beforeHours"
  | "clockHours"
  | "fitsGrams"
  | "writtenUnit"
  | "meantUnit"
  | "finding"
  | "otherTray"
  | "offsetGrams"
  | "uGrams"
  | "otherScale";

/** Masses in grams, durations in hours, shares of the dry mass from 0 to 1, names as they are. */
export type Figures = Readonly<Partial<Record<FigureName, number | string>>>;
/** The figures that a sentence needs, ready to be read. */
export type Shown = Readonly<Record<FigureName, string>>;

/** Figures by what their names say they are, each shown by the reader's own ways. */
export function shownBy(
  figures: Figures,
  show: {
    readonly mass: (grams: number) => string;
    readonly duration: (hours: number) => string;
    readonly share: (share: number) => string;
    readonly name: (name: string, value: string) => string;
  },
): Shown {
  const shown = (name: string, value: number | string): string => {
    if (typeof value === "string") return show.name(name, value);
    if (name.endsWith("Grams")) return show.mass(value);
    return name.endsWith("Hours") ? show.duration(value) : show.share(value);
  };
  return Object.fromEntries(
    Object.entries(figures).map(([name, value]) => [name, shown(name, value)]),
  ) as Shown;
}

const dryerCheck = "check vacuum, heat and ice";

const english = {
  rose: (f: Shown) =>
    `gained ${f.lossGrams} in ${f.apartHours}; the scale alone explains ${f.explainedGrams}`,
  "soft-core": (f: Shown) =>
    `the thickest piece was ${f.finding} inside at ${f.atHours} of drying: dry on and break another`,
  steady: (f: Shown) =>
    `no loss above ${f.mostGrams} in ${f.apartHours}; at most ${f.highShare} of the dry mass left to lose (95 %)`,
  together: (f: Shown) =>
    `all trays weighed as one load have at most ${f.limitShare} of the dry mass left to lose, though this scale is too coarse to show it for one tray`,
  "only-core": () =>
    "the dry mass of this food is too little known to show a dryer that stopped: only the piece found dry speaks against it",
  "no-core": () =>
    "the dry mass of this food is too little known to show a dryer that stopped: break the thickest piece of the tray",
  "no-food": () =>
    "the dry mass of this food is too little known to show a dryer that stopped; its water content, or the thickest piece broken, would settle it",
  heavy: (f: Shown) =>
    `weight stands still at ${f.netGrams}, yet dry this food weighs at most ${f.mostGrams}: ${dryerCheck}, and the tare`,
  "likely-heavy": () =>
    `weight stands still, but heavier than this food is likely to be when dry: ${dryerCheck}`,
  "heavy-for-lot": (f: Shown) =>
    `weight stands still at ${f.netGrams}, yet dry as the other trays of this food it weighs at most ${f.mostGrams}: break the thickest piece of the tray`,
  "broke-off": (f: Shown) =>
    `the loss broke off to ${f.lossGrams} in ${f.apartHours} without the slow end that drying has: ${dryerCheck}`,
  "likely-broke-off": () =>
    `the loss broke off sooner than drying mostly ends: ${dryerCheck}, or break the thickest piece`,
  "water-left": (f: Shown) => `${f.lowGrams} to ${f.highGrams} of water left to lose`,
  losing: (f: Shown) =>
    `lost ${f.lossGrams} in ${f.apartHours}, ${f.hourlyShare} of the dry mass an hour; ${f.lowGrams} to ${f.highGrams} of water left to lose`,
  "not-weighed": (f: Shown) =>
    `not weighed since drying began; weigh first after ${f.nextHours} of drying`,
  "one-weighing": (f: Shown) =>
    `one weighing proves nothing; weigh again after ${f.nextHours} more of drying`,
  "too-coarse": (f: Shown) =>
    `losses under ${f.leastGrams} do not show on this scale, and ${f.limitGrams} matter here; a finer scale or ${f.nextHours} more of drying would settle it`,
  open: (f: Shown) =>
    `the last weighings leave it open; weigh again after ${f.nextHours} more of drying`,
  "no-food-left": (f: Shown) =>
    `${f.netGrams} of food: the tray weighs no more than its tare. Check the tare and the tray`,
  "fresh-conflict": (f: Shown) =>
    `the fresh mass is ${f.netGrams} in one place and ${f.otherGrams} in another`,
  "hours-order": (f: Shown) =>
    `${f.apartHours} of drying between two weighings that lie ${f.clockHours} apart on the clock`,
  "weighed-twice": (f: Shown) =>
    `weighed twice at ${f.atHours}: ${f.beforeGrams} and ${f.netGrams}`,
  "shows-other": (f: Shown) =>
    `shows ${f.netGrams} at ${f.atHours}, the mass of ${f.otherTray}, which was weighed twice`,
  swapped: (f: Shown) =>
    `${f.netGrams} at ${f.atHours} does not follow from the weighings before, but ${f.otherGrams} of ${f.otherTray} does, and the other way round`,
  "unit-mixed": (f: Shown) =>
    `${f.netGrams} fits the other weighings only as ${f.fitsGrams}: ${f.meantUnit} written down as ${f.writtenUnit}`,
  "unit-mixed-fresh": (f: Shown) =>
    `the fresh mass of ${f.netGrams} fits the other weighings only as ${f.fitsGrams}: ${f.meantUnit} written down as ${f.writtenUnit}`,
  "tare-left": (f: Shown) =>
    `${f.netGrams} fits the other weighings as ${f.fitsGrams}: the tare was not taken off`,
  "tare-twice": (f: Shown) =>
    `${f.netGrams} fits the other weighings as ${f.fitsGrams}: the tare was taken off twice`,
  "rose-too-far": (f: Shown) =>
    `rose from ${f.beforeGrams} to ${f.netGrams}, more than food takes up from air: another tare or another tray`,
  "fell-and-came-back": (f: Shown) =>
    `fell to ${f.netGrams} and came back to ${f.afterGrams}: another tare or another tray`,
  "food-removed": (f: Shown) =>
    `lost ${f.lossGrams} in ${f.apartHours} after only ${f.beforeGrams} in the ${f.beforeHours} before: was food taken off?`,
  "lighter-than-possible": (f: Shown) =>
    `${f.netGrams} is lighter than this food can be when dry, at least ${f.leastGrams}: another tray or tare, food lost, or another food`,
  "other-scale": (f: Shown) =>
    `weighed on two scales: ${f.offsetGrams} ± ${f.uGrams} taken off what ${f.otherScale} showed`,
  "other-scale-unknown": (f: Shown) =>
    `weighed on two scales whose offset is unknown: ± ${f.uGrams} allowed for ${f.otherScale}; put one load on both to find it`,
} satisfies Record<string, (figures: Shown) => string>;
export type Sentence = keyof typeof english;
type Sentences = Readonly<Record<Sentence, (figures: Shown) => string>>;

/** English; the other languages have the same sentences. */
export const sentences: Sentences = english;

export const isSentence = (name: string): name is Sentence => Object.hasOwn(sentences, name);

/** A sentence with its figures, and in English as the terminal and the record have it. */
export type Said = {
  readonly sentence: Sentence;
  readonly figures: Figures;
  readonly text: string;
};

export const said = (sentence: Sentence, figures: Figures): Said => ({
  sentence,
  figures,
  text: sentences[sentence](
    shownBy(figures, {
      mass: inMass,
      duration: inHours,
      share: inShare,
      name: (name, value) => (name === "otherTray" ? `tray ${value}` : value),
    }),
  ),
});
