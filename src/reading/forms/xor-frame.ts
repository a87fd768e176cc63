/**
 * SOH, STX, status, sign, six for the number, two for the unit, check byte, ETX, EOT. Makers begin the
 * exclusive-or at different bytes: one form for each, and only the one on which all frames agree is taken.
 */
import { isRight } from "../checksum.ts";
import type { BuiltIn, BuiltInName } from "../form.ts";
import { weigh } from "../weigh.ts";

const pattern = new RegExp(
  String.raw`^\x01\x02(?<status>[ -~])(?<sign>[ +\-F])(?=[ \d.]{6}[A-Za-z ]{2}[^]\x03\x04$)(?<number> *[\d.]+)(?<unit>[A-Za-z ]{2})[^]\x03\x04$`,
);

const xorFrom = (name: BuiltInName, from: number, title: string): BuiltIn => ({
  name,
  title,
  cut: { start: 0x01, length: 15 },
  pattern,
  decode(parts, facts, raw) {
    if (!isRight(raw, { kind: "xor", from, at: 12 })) return null;
    if (parts["sign"] === "F") return { is: "over" };
    const number = (parts["sign"] === "-" ? "-" : "") + (parts["number"] ?? "").trim();
    return weigh({ number, unit: (parts["unit"] ?? "").trim() }, facts, {
      basis: "unknown",
      scaleSaysStill: stillFrom(parts["status"]),
    });
  },
});

/** From memory: S still, U moving. Another letter says nothing. */
function stillFrom(status: string | undefined): boolean | null {
  if (status === "S") return true;
  return status === "U" ? false : null;
}

export const xorFrames: readonly BuiltIn[] = [
  xorFrom("xor-frame-text", 2, "SOH, STX, status, number, unit, check byte over the text"),
  xorFrom("xor-frame", 1, "SOH, STX, status, number, unit, check byte from STX on"),
  xorFrom("xor-frame-all", 0, "SOH, STX, status, number, unit, check byte over all before it"),
];
