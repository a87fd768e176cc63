/** What a person is asked when the lines leave a fact open, with what each answer would make of a line. */
import { gramsPer } from "../units/mass.ts";
import { grams, type Grams } from "../units/quantity.ts";
import type { Candidate, Facts, Form, Said } from "./form.ts";
import { said, toReading, type Piece } from "./piece.ts";
import type { ScaleUnit } from "./reading.ts";
import type { Account, Recognition } from "./recognise.ts";
import { massUnit, unitOf } from "./weigh.ts";

type Question = Extract<Recognition, { is: "ask" }>;
type Answer = { readonly unit?: ScaleUnit | null; readonly division?: Grams };

/** The question that keeps this form from being taken, if there is one. */
export function questionFor(
  { form, pieces }: Account,
  facts: Facts,
  { confirmed }: { readonly confirmed: boolean },
): Question | null {
  const lacking = (lack: "unit" | "comma" | "point"): Piece | undefined =>
    pieces.findLast(({ what }) => what?.is === "unreadable" && what.lacks === lack)?.piece;
  const shown = unitShown(pieces);
  const ask = (question: string, piece: Piece, answers: readonly Answer[]): Question => ({
    is: "ask",
    question,
    candidates: answers.map((answer) => candidate(form, facts, piece, answer)),
  });

  const unitless = lacking("unit");
  if (unitless && form.confirm === undefined) {
    return ask(
      "The scale sends no unit. Which unit does its display show?",
      unitless,
      (["g", "kg", "oz", "lb"] as const).map((unit) => ({ unit })),
    );
  }
  const commaed = lacking("comma");
  if (commaed) {
    return ask(
      `Does the comma in "${commaed.raw.trim()}" mark decimals or thousands?`,
      commaed,
      [0.001, 1].map((step) => ({ division: stepIn(unitIn(commaed.raw, facts), step) })),
    );
  }
  const pointless = lacking("point");
  if (pointless) {
    return ask(
      `Where is the decimal point in "${pointless.raw.trim()}"? Compare with the display.`,
      pointless,
      [1, 0.1, 0.01, 0.001].map((step) => ({
        division: stepIn(unitIn(pointless.raw, facts), step),
      })),
    );
  }
  if (form.confirm === undefined || (confirmed && !unitless)) return null;
  return ask(form.confirm, example(pieces), [{ unit: shown ?? facts.unit }]);
}

/** Several forms explain all lines, but not with the same masses. */
export const whichOf = (accounts: readonly Account[], facts: Facts): Question => ({
  is: "ask",
  question: "The lines can be read in more than one way. Which agrees with the display?",
  candidates: accounts.flatMap((account) => {
    const inner = questionFor(account, facts, { confirmed: true });
    return inner?.candidates ?? [candidate(account.form, facts, example(account.pieces), {})];
  }),
});

function candidate(form: Form, facts: Facts, piece: Piece, answer: Answer): Candidate {
  const unit = answer.unit ?? facts.unit;
  const division = answer.division ?? facts.division;
  const what = said(form, { ...facts, unit, division }, piece.raw);
  return {
    form: form.name,
    title: form.title,
    unit,
    division,
    raw: piece.raw,
    reading: toReading(piece, what),
  };
}

/** The heaviest weight says most when it is compared with the display. */
function example(pieces: Account["pieces"]): Piece {
  const size = (what: Said | null): number => (what?.is === "weight" ? Math.abs(what.mass) : -1);
  const [heaviest] = pieces.toSorted((a, b) => size(b.what) - size(a.what));
  if (!heaviest) throw new RangeError("a form without a line cannot be asked about");
  return heaviest.piece;
}

const unitShown = (pieces: Account["pieces"]): ScaleUnit | null =>
  pieces.map(({ what }) => (what?.is === "weight" ? what.unit : null)).find((u) => u !== null) ??
  null;

/** A line that lacks its point or the meaning of its comma does show its unit, or the unit is declared. */
const unitIn = (raw: string, facts: Facts): ScaleUnit =>
  unitOf(/[A-Za-z]+ *$/.exec(raw)?.[0] ?? "") ?? massUnit(facts.unit) ?? "g";

const stepIn = (unit: ScaleUnit, step: number): Grams =>
  grams(step * gramsPer[massUnit(unit) ?? "oz"]);
