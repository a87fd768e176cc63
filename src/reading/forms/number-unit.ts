import type { BuiltIn } from "../form.ts";
import { isPadded, numberPlace, unitPlace } from "../number.ts";
import { basisOf, weigh } from "../weigh.ts";

/** `250.3 g`: number and unit, perhaps gross or net; nothing about stability. */
export const numberUnit: BuiltIn = {
  name: "number-unit",
  title: "number and unit",
  cut: "line",
  pattern: new RegExp(
    String.raw`^ *(?:(?<mode>GS|NT|G|N)[, ] *)?${numberPlace} *${unitPlace}(?: +(?<after>GS|NT|G|N))? *$`,
  ),
  decode(parts, facts) {
    if (isPadded(parts["number"] ?? "")) return null;
    return weigh(parts, facts, {
      basis: basisOf(parts["mode"] ?? parts["after"]),
      scaleSaysStill: null,
    });
  },
};
