/**
 * A line form: how one family of scales writes a weight. In: one line or frame as text (latin1). Out: what it
 * says, or null when it is not of this form. A form is data (a pattern with named parts) and a short decoder;
 * what adding one takes stands in DEVELOPERS.md.
 */
import type { Grams } from "../units/quantity.ts";
import type { Checksum } from "./checksum.ts";
import type { Reading, ScaleUnit } from "./reading.ts";

export type BuiltInName =
  | "marked"
  | "prefixed"
  | "flagged"
  | "unit-when-still"
  | "answer"
  | "poll-frame"
  | "status-frame"
  | "status-frame-sum"
  | "xor-frame"
  | "xor-frame-text"
  | "xor-frame-all"
  | "bare"
  | "number-unit"
  | "implied-point"
  | "pounds-ounces"
  | "usb-report";

/** `own:NAME`: a form that a person described in the settings file. */
export type FormName = BuiltInName | `own:${string}`;

/** What a person may have sent to a scale, as if its key were pressed. */
export type ScaleKey = "tare" | "zero" | "unit";

/** What the line itself does not say and a person, the address or the stream as a whole must. */
export type Facts = {
  /** Unit of a form that shows none; a unit in the line always wins. */
  readonly unit: ScaleUnit | null;
  /** Declared step of the display; also settles where the point is when a line leaves it open. */
  readonly division: Grams | null;
  /** What a single comma before exactly three digits means: "1,250" is 1.25 or 1250. */
  readonly comma: "decimal" | "thousands" | null;
};

export const noFacts: Facts = { unit: null, division: null, comma: null };

/** What one line says, before the time of its arrival is put to it. */
export type Said =
  | {
      readonly is: "weight";
      readonly mass: Grams;
      readonly division: Grams;
      readonly unit: ScaleUnit;
      readonly basis: "gross" | "net" | "unknown";
      readonly scaleSaysStill: boolean | null;
    }
  | { readonly is: "over" | "under" }
  | {
      readonly is: "unreadable";
      readonly why: string;
      readonly lacks?: "unit" | "comma" | "point";
    };

/** The named parts of a matched line; a part that the line leaves out is absent. */
export type Parts = Readonly<Partial<Record<string, string>>>;

export type Form = {
  readonly name: FormName;
  /** For a person who chooses between forms. */
  readonly title: string;
  /** A line ends with CR, LF, ETX or EOT; a frame is found by its first byte and its length. */
  readonly cut: "line" | { readonly start: number; readonly length: number };
  readonly pattern: RegExp;
  readonly decode: (parts: Parts, facts: Facts, raw: string) => Said | null;
  /** What must be seen among the lines before the form may be taken, beyond that each line fits. */
  readonly shownBy?: (lines: readonly Parts[]) => boolean;
  /** What to send, in latin1, for the keys that scales of this form can be told to press. */
  readonly keys?: Readonly<Partial<Record<ScaleKey, string>>>;
  /** Never taken without a person's word, and this is the question. */
  readonly confirm?: string;
  /** Of a form that a person described. */
  readonly check?: Checksum;
  /** The parts in their order, for a form that was put together from them: to try it out part by part. */
  readonly steps?: readonly { readonly name: string; readonly source: string }[];
};

export type BuiltIn = Form & { readonly name: BuiltInName };

/** A way to read the stream that a person may choose, with what it makes of a line. */
export type Candidate = {
  readonly form: FormName;
  readonly title: string;
  readonly unit: ScaleUnit | null;
  readonly division: Grams | null;
  readonly raw: string;
  readonly reading: Reading;
};

export type FormChoice = {
  readonly form: FormName;
  readonly unit?: ScaleUnit;
  readonly division?: Grams;
};
