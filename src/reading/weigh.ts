/** From the named parts of a line to what it says. Shared by all forms that show a number and perhaps a unit. */
import { gramsPer, toGrams, type MassUnit } from "../units/mass.ts";
import { grams, type Grams } from "../units/quantity.ts";
import type { Facts, Parts, Said } from "./form.ts";
import { readNumber, type CommaMeaning } from "./number.ts";
import type { ScaleUnit } from "./reading.ts";

/**
 * Exact spellings only. A lone "G" may be gross, "t" tare or tonne, "ct" carats, "ozt" troy ounces: none of them
 * is taken for a gram or an ounce.
 */
const spellings: ReadonlyMap<string, MassUnit> = new Map([
  ["g", "g"],
  ["kg", "kg"],
  ["Kg", "kg"],
  ["KG", "kg"],
  ["oz", "oz"],
  ["OZ", "oz"],
  ["lb", "lb"],
  ["LB", "lb"],
  ["lbs", "lb"],
  ["LBS", "lb"],
]);

export const unitOf = (text: string): MassUnit | null => spellings.get(text.trim()) ?? null;

/** Eights and no point, as a display shows at the start; common practice, no source. */
const allSegments = /^ *8{5,} *$/;

/** Beside the number: what the form says about it. */
type About = {
  readonly basis: "gross" | "net" | "unknown";
  readonly scaleSaysStill: boolean | null;
};

const silentAbout: About = { basis: "unknown", scaleSaysStill: null };

export function weigh(parts: Parts, facts: Facts, about: About = silentAbout): Said | null {
  if (parts["over"] !== undefined) return { is: "over" };
  if (parts["error"] !== undefined) return unreadable("the scale shows an error");
  if (allSegments.test(parts["number"] ?? "")) {
    return unreadable("every segment is lit: a test of the display, not a weight");
  }
  const unit = parts["unit"] ? unitOf(parts["unit"]) : massUnit(facts.unit);
  if (parts["unit"] && unit === null) {
    return unreadable(`"${parts["unit"].trim()}" is not a unit of g, kg, oz or lb`);
  }
  const number = readNumber((parts["number"] ?? "").trim(), commaOf(facts, unit));
  if (number === null) return null;
  if (unit === null) return { ...unreadable("the line shows no unit"), lacks: "unit" };
  if (number.is === "open-comma") {
    return { ...unreadable("the comma may be a decimal comma or part thousands"), lacks: "comma" };
  }
  const shown = toGrams(10 ** -number.decimals, unit);
  return weight(toGrams(number.value, unit), shown, unit, facts, about);
}

/** A declared step never makes the display finer than the decimals it shows. */
export function weight(
  mass: Grams,
  shown: Grams,
  unit: ScaleUnit,
  facts: Facts,
  about: About = silentAbout,
): Said {
  const division = grams(Math.max(shown, facts.division ?? 0));
  return { is: "weight", mass, division, unit, ...about };
}

export const unreadable = (why: string): Said & { readonly is: "unreadable" } => ({
  is: "unreadable",
  why,
});

export const massUnit = (unit: ScaleUnit | null): MassUnit | null =>
  unit === "lb:oz" ? null : unit;

/** A display with a step below one unit shows decimals, so its comma is a decimal comma. */
function commaOf(facts: Facts, unit: MassUnit | null): CommaMeaning {
  if (facts.comma !== null) return facts.comma;
  if (facts.division === null || unit === null) return null;
  return facts.division < gramsPer[unit] ? "decimal" : "thousands";
}

export const basisOf = (mode: string | undefined): "gross" | "net" | "unknown" => {
  if (mode === "GS" || mode === "G") return "gross";
  if (mode === "NT" || mode === "N") return "net";
  return "unknown";
};
