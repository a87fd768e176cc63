import type { BuiltIn } from "../form.ts";
import { numberPlace } from "../number.ts";
import { basisOf, unreadable, weigh } from "../weigh.ts";

/**
 * LF, status, range, mode, motion, one reserved, ten for the number, three for the unit, CR: the open frame of
 * association protocol SCP-0499. It begins with LF and ends with CR; its blanks are data.
 */
export const pollFrame: BuiltIn = {
  name: "poll-frame",
  title: "fixed places: status, range, mode, motion, number, unit",
  cut: "line",
  // Commands of the same protocol.
  keys: { tare: "\nT\r", zero: "\nZ\r" },
  pattern: new RegExp(
    String.raw`^(?<status>[ ZOUEIT])(?<range>[ \d])(?<mode>[GNTgnt])(?<motion>[ M])[ -~](?=[ -~]{10}[A-Za-z ]{3}$) *(?:${numberPlace})? *(?<unit>[A-Za-z]{1,3})? *$`,
  ),
  decode(parts, facts) {
    if (parts["status"] === "O") return { is: "over" };
    if (parts["status"] === "U") return { is: "under" };
    if (parts["status"] === "E" || parts["status"] === "I") {
      return unreadable("the scale reports an error of its zero");
    }
    if (/[Tgnt]/.test(parts["mode"] ?? "")) return unreadable("a tare value, not a load");
    return weigh(parts, facts, {
      basis: basisOf(parts["mode"]),
      scaleSaysStill: parts["motion"] === " ",
    });
  },
};
