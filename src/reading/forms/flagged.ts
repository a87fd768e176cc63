import type { BuiltIn } from "../form.ts";
import { isPadded, numberPlace, unitPlace } from "../number.ts";
import { basisOf, weigh } from "../weigh.ts";

/**
 * `+  98.50 g   S`: number, unit, and a trailing S while still. A line without it says "moving" only once one
 * with it was seen: scales that never mark anything write the same line.
 */
export const flagged: BuiltIn = {
  name: "flagged",
  title: "number, unit, trailing S while still",
  cut: "line",
  pattern: new RegExp(
    String.raw`^ *(?:(?<mode>GS|NT|G|N)[, ] *)?${numberPlace} *${unitPlace}(?: +(?<flag>S))? *$`,
  ),
  shownBy: (lines) => lines.some((parts) => parts["flag"] !== undefined),
  decode(parts, facts) {
    if (isPadded(parts["number"] ?? "")) return null;
    return weigh(parts, facts, {
      basis: basisOf(parts["mode"]),
      scaleSaysStill: parts["flag"] !== undefined,
    });
  },
};
