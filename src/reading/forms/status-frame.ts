/**
 * STX, three status bytes, six digits of weight, six of tare, CR, with or without a checksum byte. The point,
 * the unit and the step are bits of the status bytes and may change from frame to frame. The meaning of the
 * bits is from memory, no published text at hand: a person must confirm it with a known load.
 */
import { gramsPer, toGrams, type MassUnit } from "../../units/mass.ts";
import { grams } from "../../units/quantity.ts";
import { isRight } from "../checksum.ts";
import type { Facts, BuiltIn, Parts, Said } from "../form.ts";
import { weight } from "../weigh.ts";

const body = String.raw`\x02(?<a>[ -?])(?<b>[ -\x7f])(?<c>[ -\x7f])(?<weight> *\d+)(?<tare>[ \d]{6})\r`;
const places = String.raw`(?=[^]{4}[ \d]{6}[ \d]{6}\r)`;
const confirm = "Does the weight agree with a load that you know?";

export const statusFrame: BuiltIn = {
  name: "status-frame",
  title: "STX, status bytes, weight and tare digits",
  cut: { start: 0x02, length: 17 },
  pattern: new RegExp(`^${places}${body}$`),
  confirm,
  decode,
};

const check = { kind: "sum", from: 0, at: 17 } as const;

export const statusFrameSum: BuiltIn = {
  name: "status-frame-sum",
  title: "STX, status bytes, weight and tare digits, checksum",
  cut: { start: 0x02, length: 18 },
  pattern: new RegExp(`^${places}${body}[\x00-\x7f]$`),
  confirm,
  decode: (parts, facts, raw) => (isRight(raw, check) ? decode(parts, facts) : null),
};

function decode(parts: Parts, facts: Facts): Said | null {
  const a = (parts["a"] ?? "").charCodeAt(0);
  const b = (parts["b"] ?? "").charCodeAt(0);
  const unit = unitFrom(b, (parts["c"] ?? "").charCodeAt(0));
  const increment = [0, 1, 2, 5][(a >> 3) & 3] ?? 0;
  if (increment === 0) return null;
  if (b & 4) return { is: b & 2 ? "under" : "over" };
  if (unit === null) {
    return { is: "unreadable", why: "the status bytes name a unit other than g, kg, oz or lb" };
  }
  const place = 10 ** (2 - (a & 7));
  const value = Number(parts["weight"]) * place;
  const negative = (b & 2) !== 0 && value !== 0;
  return weight(
    toGrams(negative ? -value : value, unit),
    grams(increment * place * gramsPer[unit]),
    unit,
    facts,
    { basis: b & 1 ? "net" : "gross", scaleSaysStill: (b & 8) === 0 },
  );
}

function unitFrom(b: number, c: number): MassUnit | null {
  const expanded = c & 7;
  if (expanded === 0) return b & 16 ? "kg" : "lb";
  if (expanded === 1) return "g";
  return expanded === 3 ? "oz" : null;
}
