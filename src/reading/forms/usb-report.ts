/**
 * `usb 030402ffd204`: one data report of a USB scale, byte by byte in hex, as `port/hid.ts` writes it down.
 * Report number, status, unit, power of ten (signed), weight (two bytes, the lower first). Status, units and
 * order: USB-IF, HID Point of Sale Usage Tables 1.02, page 0x8D, as two independent public programs have
 * them; the tables themselves were not read. The weight has no sign: status 5, under zero, makes it negative.
 */
import { gramsPer, toGrams, type MassUnit } from "../../units/mass.ts";
import { grams } from "../../units/quantity.ts";
import type { BuiltIn } from "../form.ts";
import { unreadable, weight } from "../weigh.ts";

const units: ReadonlyMap<number, MassUnit> = new Map([
  [2, "g"],
  [3, "kg"],
  [11, "oz"],
  [12, "lb"],
]);
/** A kitchen scale's step lies between these powers of ten of its unit. */
const finest = -6;
const coarsest = 2;
const underZero = 5;

const troubles: ReadonlyMap<number, string> = new Map([
  [1, "the scale reports a fault"],
  [7, "the scale asks to be calibrated"],
  [8, "the scale asks to be set to zero"],
]);

export const usbReport: BuiltIn = {
  name: "usb-report",
  title: "USB scale report",
  cut: "line",
  // Control report of the same usage page: bit 1 zeroes the scale. Its number is the descriptor's choice.
  keys: { zero: "\x02\x02" },
  pattern:
    /^usb 03(?<status>0[1-8])(?<unit>0[1-9a-c])(?<power>[0-9a-f]{2})(?<low>[0-9a-f]{2})(?<high>[0-9a-f]{2})$/,
  decode(parts, facts) {
    const byte = (name: string): number => Number.parseInt(parts[name] ?? "", 16);
    const status = byte("status");
    if (status === 6) return { is: "over" };
    const trouble = troubles.get(status);
    if (trouble !== undefined) return unreadable(trouble);
    const unit = units.get(byte("unit"));
    if (unit === undefined) return unreadable("the report's unit is none of g, kg, oz or lb");
    const power = (byte("power") << 24) >> 24;
    if (power < finest || power > coarsest) return unreadable(`a step of 10^${power} ${unit}`);
    const counts = byte("low") + 256 * byte("high");
    const size = power < 0 ? counts / 10 ** -power : counts * 10 ** power;
    const value = status === underZero && size !== 0 ? -size : size;
    return weight(toGrams(value, unit), grams(10 ** power * gramsPer[unit]), unit, facts, {
      basis: "unknown",
      scaleSaysStill: status === underZero ? null : status !== 3,
    });
  },
};
