import { decimalsOf, gramsPer, toGrams } from "../../units/mass.ts";
import type { BuiltIn } from "../form.ts";
import { unitPlace } from "../number.ts";
import { massUnit, unitOf, unreadable, weight } from "../weigh.ts";

/** `+001234`: digits padded with zeros, the point left out. 1234, 123.4 or 12.34: the step must be declared. */
export const impliedPoint: BuiltIn = {
  name: "implied-point",
  title: "zero-padded digits without a point",
  cut: "line",
  pattern: new RegExp(String.raw`^ *(?<sign>[+-]?) *(?<digits>\d{4,8}) *${unitPlace}? *$`),
  shownBy: (lines) =>
    lines.some((parts) => parts["digits"]?.startsWith("0") === true) &&
    new Set(lines.map((parts) => parts["digits"]?.length)).size === 1,
  decode(parts, facts) {
    const unit = parts["unit"] ? unitOf(parts["unit"]) : massUnit(facts.unit);
    if (parts["unit"] && unit === null) {
      return unreadable(`"${parts["unit"]}" is not a unit of g, kg, oz or lb`);
    }
    if (unit === null) return { ...unreadable("the line shows no unit"), lacks: "unit" };
    if (facts.division === null) {
      return { ...unreadable("the line leaves the decimal point out"), lacks: "point" };
    }
    const place = 10 ** -decimalsOf(facts.division / gramsPer[unit]);
    const value = Number(parts["digits"]) * place;
    const negative = parts["sign"] === "-" && value !== 0;
    return weight(toGrams(negative ? -value : value, unit), toGrams(place, unit), unit, facts);
  },
};
