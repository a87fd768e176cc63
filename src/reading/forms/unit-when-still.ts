import type { BuiltIn } from "../form.ts";
import { isPadded, numberPlace, unitPlace } from "../number.ts";
import { weigh } from "../weigh.ts";

/** `  98.53` moving, `  98.50 g` still: the unit is blanked while the load moves. Looks like a
 * broken line, so one alone shows nothing. */
export const unitWhenStill: BuiltIn = {
  name: "unit-when-still",
  title: "number; the unit only while still",
  cut: "line",
  pattern: new RegExp(String.raw`^ *${numberPlace} *${unitPlace}? *$`),
  shownBy: (lines) =>
    lines.some((parts) => parts["unit"] !== undefined) &&
    lines.filter((parts) => parts["number"] !== undefined && parts["unit"] === undefined).length >
      1,
  confirm: "Does the display blank its unit while the load moves?",
  decode(parts, facts) {
    if (isPadded(parts["number"] ?? "")) return null;
    return weigh(parts, facts, {
      basis: "unknown",
      scaleSaysStill: parts["unit"] !== undefined,
    });
  },
};
