import type { BuiltIn } from "../form.ts";
import { weigh } from "../weigh.ts";

/** `wn000125.4kg`: small letters fused with a zero-padded number. The "w" says nothing about stability. */
export const prefixed: BuiltIn = {
  name: "prefixed",
  title: "wg or wn, zero-padded number, unit",
  cut: "line",
  pattern: /^w(?<mode>[gn])(?<number>[+-]?\d+(?:\.\d+)?)(?<unit>kg|g|lb|oz) *$/,
  decode: (parts, facts) =>
    weigh(parts, facts, {
      basis: parts["mode"] === "n" ? "net" : "gross",
      scaleSaysStill: null,
    }),
};
