import type { BuiltIn } from "../form.ts";
import { isPadded, numberPlace } from "../number.ts";
import { weigh } from "../weigh.ts";

/** `  250.3`: a number and nothing else. The unit must be declared. */
export const bare: BuiltIn = {
  name: "bare",
  title: "a number alone",
  cut: "line",
  pattern: new RegExp(String.raw`^ *${numberPlace} *$`),
  decode: (parts, facts) => (isPadded(parts["number"] ?? "") ? null : weigh(parts, facts)),
};
