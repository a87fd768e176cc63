import { readFileSync } from "node:fs";
import { join } from "node:path";

const folder = join(import.meta.dirname, "../../fixtures/published/strd");

/** A data set of the NIST StRD collection for nonlinear regression, as published. */
export type CertifiedSet = {
  readonly name: string;
  readonly starts: readonly [readonly number[], readonly number[]];
  readonly values: readonly number[];
  readonly standardErrors: readonly number[];
  readonly residualSumOfSquares: number;
  /** Response first, then the predictors. */
  readonly points: readonly (readonly number[])[];
};

export function certifiedSet(name: string): CertifiedSet {
  const text = readFileSync(join(folder, `${name}.dat`), "latin1");
  const parameters = [...text.matchAll(/^\s*b\d+\s*=\s+(\S+)\s+(\S+)\s+(\S+)\s+(\S+)\s*$/gm)].map(
    (match) => match.slice(1).map(Number),
  );
  const column = (i: number): number[] => parameters.map((row) => row[i]!);
  const data = text.slice(text.lastIndexOf("Data:")).split("\n").slice(1);
  return {
    name,
    starts: [column(0), column(1)],
    values: column(2),
    standardErrors: column(3),
    residualSumOfSquares: Number(/Residual Sum of Squares:\s+(\S+)/.exec(text)![1]),
    points: data
      .filter((line) => line.trim() !== "")
      .map((line) => line.trim().split(/\s+/).map(Number)),
  };
}

type Model = (b: readonly number[], x: readonly number[]) => number;

const { exp, cos, sin, atan, PI } = Math;
const b = (values: readonly number[], i: number): number => values[i - 1]!;

/** Models as the data files state them; `Nelson` is fitted to the logarithm of its response. */
export const models: Readonly<Record<string, Model>> = {
  Bennett5: (p, [x]) => b(p, 1) * (b(p, 2) + x!) ** (-1 / b(p, 3)),
  BoxBOD: (p, [x]) => b(p, 1) * (1 - exp(-b(p, 2) * x!)),
  Chwirut1: (p, [x]) => exp(-b(p, 1) * x!) / (b(p, 2) + b(p, 3) * x!),
  Chwirut2: (p, [x]) => exp(-b(p, 1) * x!) / (b(p, 2) + b(p, 3) * x!),
  DanWood: (p, [x]) => b(p, 1) * x! ** b(p, 2),
  ENSO: (p, [x]) =>
    b(p, 1) +
    b(p, 2) * cos((2 * PI * x!) / 12) +
    b(p, 3) * sin((2 * PI * x!) / 12) +
    b(p, 5) * cos((2 * PI * x!) / b(p, 4)) +
    b(p, 6) * sin((2 * PI * x!) / b(p, 4)) +
    b(p, 8) * cos((2 * PI * x!) / b(p, 7)) +
    b(p, 9) * sin((2 * PI * x!) / b(p, 7)),
  Eckerle4: (p, [x]) => (b(p, 1) / b(p, 2)) * exp(-0.5 * ((x! - b(p, 3)) / b(p, 2)) ** 2),
  Gauss1: twoPeaks,
  Gauss2: twoPeaks,
  Gauss3: twoPeaks,
  Hahn1: cubicOverCubic,
  Kirby2: (p, [x]) =>
    (b(p, 1) + b(p, 2) * x! + b(p, 3) * x! ** 2) / (1 + b(p, 4) * x! + b(p, 5) * x! ** 2),
  Lanczos1: threeExponentials,
  Lanczos2: threeExponentials,
  Lanczos3: threeExponentials,
  MGH09: (p, [x]) => (b(p, 1) * (x! ** 2 + x! * b(p, 2))) / (x! ** 2 + x! * b(p, 3) + b(p, 4)),
  MGH10: (p, [x]) => b(p, 1) * exp(b(p, 2) / (x! + b(p, 3))),
  MGH17: (p, [x]) => b(p, 1) + b(p, 2) * exp(-x! * b(p, 4)) + b(p, 3) * exp(-x! * b(p, 5)),
  Misra1a: (p, [x]) => b(p, 1) * (1 - exp(-b(p, 2) * x!)),
  Misra1b: (p, [x]) => b(p, 1) * (1 - (1 + (b(p, 2) * x!) / 2) ** -2),
  Misra1c: (p, [x]) => b(p, 1) * (1 - (1 + 2 * b(p, 2) * x!) ** -0.5),
  Misra1d: (p, [x]) => (b(p, 1) * b(p, 2) * x!) / (1 + b(p, 2) * x!),
  Nelson: (p, [x1, x2]) => b(p, 1) - b(p, 2) * x1! * exp(-b(p, 3) * x2!),
  Rat42: (p, [x]) => b(p, 1) / (1 + exp(b(p, 2) - b(p, 3) * x!)),
  Rat43: (p, [x]) => b(p, 1) / (1 + exp(b(p, 2) - b(p, 3) * x!)) ** (1 / b(p, 4)),
  Roszman1: (p, [x]) => b(p, 1) - b(p, 2) * x! - atan(b(p, 3) / (x! - b(p, 4))) / PI,
  Thurber: cubicOverCubic,
};

function twoPeaks(p: readonly number[], [x]: readonly number[]): number {
  const peak = (height: number, at: number, width: number): number =>
    height * exp(-((x! - at) ** 2) / width ** 2);
  return (
    b(p, 1) * exp(-b(p, 2) * x!) + peak(b(p, 3), b(p, 4), b(p, 5)) + peak(b(p, 6), b(p, 7), b(p, 8))
  );
}

function cubicOverCubic(p: readonly number[], [x]: readonly number[]): number {
  return (
    (b(p, 1) + b(p, 2) * x! + b(p, 3) * x! ** 2 + b(p, 4) * x! ** 3) /
    (1 + b(p, 5) * x! + b(p, 6) * x! ** 2 + b(p, 7) * x! ** 3)
  );
}

function threeExponentials(p: readonly number[], [x]: readonly number[]): number {
  return b(p, 1) * exp(-b(p, 2) * x!) + b(p, 3) * exp(-b(p, 4) * x!) + b(p, 5) * exp(-b(p, 6) * x!);
}

export const responseOf = (name: string, y: number): number =>
  name === "Nelson" ? Math.log(y) : y;

/** Digits that agree: −log₁₀ of the relative error, at most 11, the digits that are certified. */
export function digitsAgreeing(computed: readonly number[], certified: readonly number[]): number {
  return Math.min(
    11,
    ...certified.map((truth, i) => {
      const error = Math.abs(computed[i]! - truth) / Math.abs(truth);
      return Number.isFinite(error) ? Math.max(0, -Math.log10(error)) : 0;
    }),
  );
}
