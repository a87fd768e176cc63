/** What a label says, in the language of the household that reads it. Names, reasons and lots stay as they were typed. */
import { germanFood } from "../food/german.ts";
import { isolated } from "../units/written.ts";
import type { Bag, LabelLanguage } from "../wire/bag.ts";

export type LabelTexts = {
  readonly practice: string;
  readonly decimalMark: "." | ",";
  /** Foods of the table, one or several, by their names in this language; any other as it was typed. */
  foods(product: string): string;
  /** Whether masses of fresh food stand there in pounds as well. */
  readonly inPounds: boolean;
  batchAndBag(batch: number, bag: string): string;
  from(supplier: string): string;
  prepared(how: readonly string[]): string;
  readonly preparations: Readonly<Record<NonNullable<Bag["prepared"]>, string>>;
  readonly wentInAs: Readonly<Record<NonNullable<Bag["wentIn"]>, string>>;
  dates(days: {
    readonly started: string;
    readonly dried: string | null;
    readonly sealed: string | null;
  }): string;
  net(mass: string | null): string;
  /** Goes on after the net mass. */
  fresh(mass: string): string;
  gross(mass: string | null): string;
  absorbers(count: number, cc: number): string;
  readonly noAbsorber: string;
  water(grams: number): string;
  although(reason: string): string;
  readonly notLegal: string;
  readonly lettersMissing: string;
  /** Null: the bag is not weighed yet. */
  record(head: string | null): string;
  /** A caution as the bag keeps it, in English, or in a person's own words, which stay. */
  caution(text: string): string;
};

const listed = (parts: readonly (string | null)[]): string =>
  parts.filter((part) => part !== null).join(", ");

/** A food alone says by its own letters which way the line runs; of several each stands by itself. */
function eachFood(product: string, called: (food: string) => string): string {
  const foods = product.split(" + ").map(called);
  return foods.length === 1 ? foods.join() : foods.map(isolated).join(" + ");
}

const en: LabelTexts = {
  practice: "PRACTICE: this is not food",
  decimalMark: ".",
  foods: (product) => eachFood(product, (food) => food),
  inPounds: true,
  batchAndBag: (batch, bag) => `Batch ${batch}, bag ${bag}`,
  from: (supplier) => `From: ${isolated(supplier)}`,
  prepared: (how) => `Prepared: ${listed(how)}`,
  preparations: { raw: "raw", blanched: "blanched", cooked: "cooked" },
  wentInAs: { fresh: "went in fresh", frozen: "went in frozen" },
  dates: ({ started, dried, sealed }) =>
    `Freeze-dried: ${listed([
      `started\u00a0${started}`,
      dried === null ? null : `dried\u00a0${dried}`,
      sealed === null ? null : `sealed\u00a0${sealed}`,
    ])}`,
  net: (mass) => `Net dry ${mass ?? "not weighed yet"}`,
  fresh: (mass) => `, from ${mass} fresh`,
  gross: (mass) => `Gross sealed ${mass ?? "not weighed yet"}`,
  absorbers: (count, cc) => `Oxygen absorbers: ${count} × ${cc} cc`,
  noAbsorber: "No oxygen absorber",
  water: (grams) => `To rehydrate: up to ${grams} g (mL) of water`,
  although: (reason) => `Packed before it was proved dry: ${isolated(reason)}`,
  notLegal: "Not a legal food label.",
  lettersMissing: "Letters are missing here: see the bag's page.",
  record: (head) => (head === null ? "No record: not weighed yet." : `Record ${head}`),
  caution: (text) => text,
};

/** The cautions of food/caution.ts, service/redry.ts and bag/thickest.ts. */
const germanCautions: readonly (readonly [RegExp, string])[] = [
  [
    /^Raw stays raw: cook before drying or after rehydrating, and mark it so\. Freeze-drying does not kill microbes\.$/,
    "Roh bleibt roh: vor dem Trocknen oder nach dem Quellen garen und so kennzeichnen. Gefriertrocknen tötet keine Keime.",
  ],
  [
    /^Dairy: freeze-drying does not kill microbes\. What was raw stays raw\.$/,
    "Milch: Gefriertrocknen tötet keine Keime. Was roh war, bleibt roh.",
  ],
  [
    /^(\d+) % fat: it dries slowly, and fat turns rancid in store\.$/,
    "$1 % Fett: trocknet langsam, und Fett wird im Lager ranzig.",
  ],
  [
    /^(\d+) % sugar: it dries slowly, stays sticky and may collapse where it is not frozen hard\.$/,
    "$1 % Zucker: trocknet langsam, bleibt klebrig und kann zusammenfallen, wo es nicht hart gefroren ist.",
  ],
  [
    /^It was dried before and took up moisture: look at it, smell it, and throw it away in doubt\. Drying again does not undo what grew in it\.$/,
    "Es war schon getrocknet und hat Feuchte gezogen: ansehen, riechen, im Zweifel wegwerfen. Neues Trocknen macht nicht ungeschehen, was darin gewachsen ist.",
  ],
  ...["tray (\\d+)", "(.+)"].flatMap((tray): (readonly [RegExp, string])[] =>
    (
      [
        ["cold", "kalt"],
        ["soft", "weich"],
      ] as const
    ).map(([found, german]) => [
      new RegExp(`^Found later on ${tray}: its thickest piece was ${found} inside\\.$`),
      `Später auf ${tray.startsWith("tray") ? "Blech " : ""}$1 gefunden: das dickste Stück war innen ${german}.`,
    ]),
  ),
];

const de: LabelTexts = {
  practice: "ÜBUNG: das ist kein Lebensmittel",
  decimalMark: ",",
  foods: (product) => eachFood(product, germanFood),
  inPounds: false,
  batchAndBag: (batch, bag) => `Charge ${batch}, Beutel ${bag}`,
  from: (supplier) => `Von: ${isolated(supplier)}`,
  prepared: (how) => `Vorbereitung: ${listed(how)}`,
  preparations: { raw: "roh", blanched: "blanchiert", cooked: "gegart" },
  wentInAs: { fresh: "frisch eingelegt", frozen: "gefroren eingelegt" },
  dates: ({ started, dried, sealed }) =>
    `Gefriergetrocknet: ${listed([
      `begonnen\u00a0${started}`,
      dried === null ? null : `trocken\u00a0${dried}`,
      sealed === null ? null : `verschlossen\u00a0${sealed}`,
    ])}`,
  net: (mass) => `Trocken netto ${mass ?? "noch nicht gewogen"}`,
  fresh: (mass) => `, aus ${mass} frisch`,
  gross: (mass) => `Brutto verschlossen ${mass ?? "noch nicht gewogen"}`,
  absorbers: (count, cc) => `Sauerstoffabsorber: ${count} × ${cc} cc`,
  noAbsorber: "Kein Sauerstoffabsorber",
  water: (grams) => `Zum Quellen: bis zu ${grams} g (ml) Wasser`,
  although: (reason) => `Verpackt, bevor es nachweislich trocken war: ${isolated(reason)}`,
  notLegal: "Kein lebensmittelrechtliches Etikett.",
  lettersMissing: "Hier fehlen Buchstaben: siehe die Seite des Beutels.",
  record: (head) =>
    head === null ? "Keine Aufzeichnung: noch nicht gewogen." : `Aufzeichnung ${head}`,
  caution: (text) => {
    const known = germanCautions.find(([said]) => said.test(text));
    return known === undefined ? text : text.replace(...known);
  },
};

export const labelTexts: Readonly<Record<LabelLanguage, LabelTexts>> = { en, de };
