import { gramsPer, ouncesPerPound, toGrams } from "../../units/mass.ts";
import { grams } from "../../units/quantity.ts";
import type { BuiltIn } from "../form.ts";
import { unreadable, weight } from "../weigh.ts";

/** `2 lb  3.5 oz` or `2:3.5`: whole pounds and ounces. The sign is that of both. */
export const poundsOunces: BuiltIn = {
  name: "pounds-ounces",
  title: "pounds and ounces",
  cut: "line",
  pattern:
    /^ *(?<sign>[+-]?) *(?<pounds>\d{1,4})(?: *(?:lbs?|LBS?) *(?=[\d.]+ *(?:oz|OZ))|:) *(?<ounces>\d{1,2}(?:\.(?<fraction>\d{1,3}))?)(?: *(?:oz|OZ))? *$/,
  decode(parts, facts) {
    const ounces = Number(parts["ounces"]);
    if (ounces >= ouncesPerPound) return unreadable(`${ounces} oz are more than a pound`);
    const total = Number(parts["pounds"]) * ouncesPerPound + ounces;
    const negative = parts["sign"] === "-" && total !== 0;
    const step = 10 ** -(parts["fraction"]?.length ?? 0);
    return weight(
      toGrams(negative ? -total : total, "oz"),
      grams(step * gramsPer.oz),
      "lb:oz",
      facts,
    );
  },
};
