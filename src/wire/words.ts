import Type, { type Static, type TSchema, type TUnsafe } from "typebox";

/** One of a few fixed words: an `enum` in JSON Schema. */
export const words = <const W extends readonly string[]>(
  list: W,
  description?: string,
): TUnsafe<W[number]> =>
  Type.Unsafe<W[number]>({
    type: "string",
    enum: [...list],
    ...(description === undefined ? {} : { description }),
  });

export const nullable = <S extends TSchema>(schema: S) => Type.Union([schema, Type.Null()]);

export const Iso = Type.String({ format: "date-time" });
export const Id = Type.Integer({ minimum: 1 });
export const Name = Type.String({ minLength: 1, maxLength: 80 });
/** Requests refuse what they do not know, so that a misspelt name is not silently ignored. */
export const closed = { additionalProperties: false } as const;

export const Span = Type.Object({
  estimate: Type.Number(),
  low: Type.Number({ description: "5 %" }),
  high: Type.Number({ description: "95 %" }),
});

export const VerdictWord = words(["losing", "stable", "gaining", "stalled", "unsure"]);
export const WeighingKind = words(["tare", "fresh", "dry"]);
export const CoreFinding = words(["dry", "cold", "soft"]);
export const LinkWord = words(["up", "silent", "searching", "denied"]);
export const PanWord = words(["weight", "over", "under", "silent"]);
export const UnitWord = words(["g", "kg", "oz", "lb"]);

/** Stock for labels. */
export const LabelStock = words(
  ["62x29", "4x6", "70x37", "70x37-sheet"],
  "mm, inches, mm: the label's size; the sheet is A4 with 24 of 70 x 37 mm",
);
/** What a label may leave out. Number, product, net and cautions always stand on it. */
export const labelFields = [
  "supplier",
  "prepared",
  "dates",
  "fresh",
  "gross",
  "absorbers",
  "water",
  "code",
] as const;
export const LabelField = words(labelFields);
export const LabelLanguage = words(["en", "de"], "what the label is written in; en");

export type Span = Static<typeof Span>;
export type VerdictWord = Static<typeof VerdictWord>;
export type WeighingKind = Static<typeof WeighingKind>;
export type CoreFinding = Static<typeof CoreFinding>;
export type LinkWord = Static<typeof LinkWord>;
export type PanWord = Static<typeof PanWord>;
export type UnitWord = Static<typeof UnitWord>;
export type LabelField = Static<typeof LabelField>;
export type LabelLanguage = Static<typeof LabelLanguage>;
export type LabelStock = Static<typeof LabelStock>;
