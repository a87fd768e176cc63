/** One line or frame as it came (latin1, without its terminator) and the moment of its arrival. */
import type { MonoMs, UtcMs } from "../units/quantity.ts";
import type { Facts, Form, Parts, Said } from "./form.ts";
import type { Reading } from "./reading.ts";

export type Piece = {
  readonly raw: string;
  readonly atMonoMs: MonoMs;
  readonly atUtcMs: UtcMs;
};

/** Pads around a line that say nothing: NUL, and the SOH or STX with which some scales begin a line. */
const pads = new RegExp(String.raw`^[\x00-\x02\r]+|[\x00\r]+$`, "g");

export function partsOf(form: Form, raw: string): Parts | null {
  const text = form.cut === "line" && mayBePadded(raw) ? raw.replaceAll(pads, "") : raw;
  return form.pattern.exec(text)?.groups ?? null;
}

/** A pad is a control character at either end; hardly any line has one. */
const mayBePadded = (raw: string): boolean =>
  raw.charCodeAt(0) < 0x20 || raw.charCodeAt(raw.length - 1) < 0x20;

export function said(form: Form, facts: Facts, raw: string): Said | null {
  const parts = partsOf(form, raw);
  return parts === null ? null : form.decode(parts, facts, raw);
}

export function toReading(piece: Piece, what: Said | null): Reading {
  const seen = { raw: piece.raw, atMonoMs: piece.atMonoMs, atUtcMs: piece.atUtcMs };
  if (what === null) {
    return { ...seen, is: "unreadable", why: "the line is not of the form that the scale sends" };
  }
  if (what.is === "unreadable") return { ...seen, is: "unreadable", why: what.why };
  if (what.is !== "weight") return { ...seen, is: what.is };
  // Named one by one: two spreads in one literal made an object of the slow kind, which doubled the time of a line.
  return {
    is: "weight",
    raw: piece.raw,
    atMonoMs: piece.atMonoMs,
    atUtcMs: piece.atUtcMs,
    mass: what.mass,
    division: what.division,
    unit: what.unit,
    basis: what.basis,
    scaleSaysStill: what.scaleSaysStill,
  };
}

/** Seven data bits and a parity bit read as eight data bits: the text is in the lower seven. */
export function withoutEighthBit(raw: string): string {
  let text = "";
  for (let at = 0; at < raw.length; at++) text += String.fromCharCode(raw.charCodeAt(at) & 0x7f);
  return text;
}

export const latin1 = (bytes: Uint8Array): string => {
  let text = "";
  for (let at = 0; at < bytes.length; at += 8192) {
    text += String.fromCharCode(...bytes.subarray(at, at + 8192));
  }
  return text;
};
