import type { BuiltIn } from "../form.ts";
import { numberPlace, unitPlace } from "../number.ts";
import { basisOf, unreadable, weigh } from "../weigh.ts";

/** `ST,GS,+    123.4 g`: stability mark, mode, signed number, unit. */
export const marked: BuiltIn = {
  name: "marked",
  title: "stability mark (ST, US), mode, number, unit",
  cut: "line",
  // From memory: no published text at hand.
  keys: { tare: "T\r\n", zero: "Z\r\n", unit: "U\r\n" },
  pattern: new RegExp(
    String.raw`^(?:(?<mark>ST|US|QT)[,; ]? *(?:(?<mode>GS|NT|TR|G|N)[,; ]? *)?${numberPlace} *${unitPlace}? *|(?<beyond>OL|UL)(?<rest>[,; ][ -~]*)?)$`,
  ),
  decode(parts, facts) {
    if (parts["beyond"]) return { is: isUnder(parts["beyond"], parts["rest"]) ? "under" : "over" };
    if (parts["mark"] === "QT") return unreadable("a count of pieces, not a weight");
    if (parts["mode"] === "TR") return unreadable("a tare value, not a load");
    return weigh(parts, facts, {
      basis: basisOf(parts["mode"]),
      scaleSaysStill: parts["mark"] === "ST",
    });
  },
};

/** Some scales mark both ends with OL and tell them apart by the sign of the number that follows. */
const isUnder = (mark: string, rest: string | undefined): boolean =>
  mark === "UL" || /^[,; ](?:GS,|NT,)? *- *\d/.test(rest ?? "");
