/**
 * A scale that does not exist: a scripted load becomes timed lines of a form, the same ones for the same seed.
 * A load that is placed rings like a damped spring; noise and drift are added before rounding to the step.
 */
import type { BuiltInName } from "../../src/reading/form.ts";

type Action = {
  readonly atMs: number;
  /** What lies on the pan from then on. */
  readonly grams: number;
  /** Slow change after that, as of a load that dries or a pan that creeps. */
  readonly driftGramsPerS?: number;
};

export type Script = {
  readonly form: BuiltInName;
  readonly unit: "g" | "kg" | "oz" | "lb";
  /** Step of the display, in its unit. */
  readonly step: number;
  readonly noiseGrams: number;
  readonly everyMs: number;
  readonly forMs: number;
  readonly seed: number;
  readonly actions: readonly Action[];
};

export type TimedLine = {
  readonly atMs: number;
  readonly line: string;
  readonly grams: number;
  readonly still: boolean;
};

export const gramsPer = { g: 1, kg: 1000, oz: 28.349523125, lb: 453.59237 } as const;
const ringHz = 3;
const ringDecayMs = 250;
const ringShare = 0.3;

export function play(script: Script): readonly TimedLine[] {
  const chance = seeded(script.seed);
  const lines: TimedLine[] = [];
  let shownBefore = Number.NaN;
  for (let atMs = 0; atMs < script.forMs; atMs += script.everyMs) {
    const load = loadAt(script.actions, atMs) + script.noiseGrams * bell(chance);
    const counts = Math.round(load / gramsPer[script.unit] / script.step);
    const shown = counts * script.step;
    const still = Math.abs(shown - shownBefore) <= script.step * 1.01;
    shownBefore = shown;
    const grams = shown * gramsPer[script.unit];
    lines.push({ atMs, line: lineOf(script, shown, still), grams, still });
  }
  return lines;
}

function loadAt(actions: readonly Action[], atMs: number): number {
  let load = 0;
  for (const { grams, driftGramsPerS = 0, atMs: from } of actions) {
    if (from > atMs) break;
    const since = atMs - from;
    const ring =
      ringShare * Math.exp(-since / ringDecayMs) * Math.cos((2 * Math.PI * ringHz * since) / 1000);
    load = grams + (grams - load) * ring + (driftGramsPerS * since) / 1000;
  }
  return load;
}

export function lineOf(
  { form, unit, step, net = false }: Pick<Script, "form" | "unit" | "step"> & { net?: boolean },
  shown: number,
  still: boolean,
): string {
  const decimals = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
  const digits = Math.abs(shown).toFixed(decimals);
  const minus = shown < 0 && Number(digits) !== 0;
  const sign = minus ? "-" : "+";
  switch (form) {
    case "marked":
      return `${still ? "ST" : "US"},${net ? "NT" : "GS"},${sign}${digits.padStart(9)} ${unit}\r\n`;
    case "flagged":
      return `${sign}${digits.padStart(8)} ${unit.padEnd(3)} ${still ? "S" : " "}\r\n`;
    case "number-unit":
      return `${((minus ? "-" : "") + digits).padStart(9)} ${unit}\r\n`;
    case "bare":
      return `${((minus ? "-" : "") + digits).padStart(9)}\r\n`;
    case "answer":
      return `S ${still ? "S" : "D"} ${((minus ? "-" : "") + digits).padStart(10)} ${unit}\r\n`;
    case "poll-frame":
      return `\n 1G${still ? " " : "M"} ${((minus ? "-" : "") + digits).padStart(10)}${unit.padEnd(3)}\r`;
    case "pounds-ounces": {
      const pounds = Math.floor(Math.abs(shown) / 16);
      return `${minus ? "-" : ""}${pounds} lb ${(Math.abs(shown) - 16 * pounds).toFixed(decimals)} oz\r\n`;
    }
    case "implied-point":
      return `${sign}${digits.replace(".", "").padStart(6, "0")}\r\n`;
    case "usb-report": {
      const counts = Math.round(Math.abs(shown) * 10 ** decimals);
      const status = minus ? 5 : still ? 4 : 3;
      const code = { g: 2, kg: 3, oz: 11, lb: 12 }[unit];
      const bytes = [3, status, code, -decimals & 0xff, counts & 0xff, counts >> 8];
      return `usb ${Buffer.from(bytes).toString("hex")}\n`;
    }
    case "prefixed":
      return `wg${minus ? "-" : ""}${digits.padStart(9, "0")}${unit}\r\n`;
    case "unit-when-still":
      return `${((minus ? "-" : "") + digits).padStart(9)} ${still ? unit : ""}\r\n`;
    case "status-frame":
      return statusFrame(unit, step, decimals, shown, still);
    case "status-frame-sum":
      return summed(statusFrame(unit, step, decimals, shown, still));
    case "xor-frame-text":
      return xorFrame(
        2,
        `${still ? "S" : "U"}${minus ? "-" : " "}${digits.padStart(6)}${unit.padStart(2)}`,
      );
    case "xor-frame":
      return xorFrame(
        1,
        `${still ? "S" : "U"}${minus ? "-" : " "}${digits.padStart(6)}${unit.padStart(2)}`,
      );
    case "xor-frame-all":
      return xorFrame(
        0,
        `${still ? "S" : "U"}${minus ? "-" : " "}${digits.padStart(6)}${unit.padStart(2)}`,
      );
  }
}

/** What a scale of this form sends when more lies on it than it can weigh; null: its form has no way to say so. */
export function overLineOf(form: BuiltInName): string | null {
  switch (form) {
    case "marked":
      return "OL,GS,--------\r\n";
    case "flagged":
      return "  -------- g   \r\n";
    case "number-unit":
      return "   ------ g\r\n";
    case "bare":
      return "   ------\r\n";
    case "answer":
      return "S +\r\n";
    case "poll-frame":
      return "\nO1G         0.0g  \r";
    case "usb-report":
      return "usb 030602ff0000\n";
    case "status-frame":
      return statusFrame("g", 0.1, 1, 0, true, true);
    case "status-frame-sum":
      return summed(statusFrame("g", 0.1, 1, 0, true, true));
    case "xor-frame-text":
      return xorFrame(2, "SF   0.0 g");
    case "xor-frame":
      return xorFrame(1, "SF   0.0 g");
    case "xor-frame-all":
      return xorFrame(0, "SF   0.0 g");
    case "unit-when-still":
      return "   ------ g\r\n";
    case "prefixed":
    case "implied-point":
    case "pounds-ounces":
      return null;
  }
}

function statusFrame(
  unit: Script["unit"],
  step: number,
  decimals: number,
  shown: number,
  still: boolean,
  over = false,
): string {
  const counts = Math.round(Math.abs(shown) * 10 ** decimals);
  const increment = [1, 2, 5].indexOf(Math.round(step * 10 ** decimals)) + 1;
  const a = 0x20 | (2 + decimals) | (increment << 3);
  const b =
    0x20 |
    (shown < 0 && counts > 0 ? 2 : 0) |
    (over ? 4 : 0) |
    (still ? 0 : 8) |
    (unit === "kg" ? 16 : 0);
  const c = 0x20 | { g: 1, kg: 0, oz: 3, lb: 0 }[unit];
  const digits = String(counts).padStart(6, "0");
  return `\x02${String.fromCharCode(a, b, c)}${digits}000000\r`;
}

function summed(frame: string): string {
  const sum = Array.from(frame).reduce((total, letter) => total + letter.charCodeAt(0), 0);
  return frame + String.fromCharCode(-sum & 0x7f);
}

function xorFrame(from: number, text: string): string {
  const before = `\x01\x02${text}`;
  let check = 0;
  for (let at = from; at < before.length; at++) check ^= before.charCodeAt(at);
  return `${before}${String.fromCharCode(check)}\x03\x04`;
}

/** Numbers from 0 to 1, the same ones for the same seed: Marsaglia's xorshift of 32 bits. */
export function seeded(seed: number): () => number {
  let state = seed | 0 || 1;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}

/** A standard normal value, by Box and Muller. */
const bell = (chance: () => number): number =>
  Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
