import type { BuiltIn } from "../form.ts";
import { numberPlace, unitPlace } from "../number.ts";
import { unreadable, weigh } from "../weigh.ts";

/** `S S     12.34 g`: the answer to a request; S still, D moving, + over, - under, I not now. */
export const answer: BuiltIn = {
  name: "answer",
  title: "answer on request: S, status letter, number, unit",
  cut: "line",
  // From memory: no published text at hand.
  keys: { tare: "T\r\n", zero: "Z\r\n" },
  pattern: new RegExp(
    String.raw`^S +(?:(?<status>[SD]) +${numberPlace} *${unitPlace}?|(?<beyond>[+-])|(?<busy>I)) *$`,
  ),
  decode(parts, facts) {
    if (parts["beyond"]) return { is: parts["beyond"] === "+" ? "over" : "under" };
    if (parts["busy"]) return unreadable("the scale cannot answer just now");
    return weigh(parts, facts, { basis: "unknown", scaleSaysStill: parts["status"] === "S" });
  },
};
