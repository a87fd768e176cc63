import { levenbergMarquardt } from "ml-levenberg-marquardt";
import { afterAll, expect, test } from "vitest";
import { leastSquares, type Fit, type Problem } from "../../src/drying/leastsquares.ts";
import { certifiedSet, digitsAgreeing, models, responseOf, type CertifiedSet } from "./strd.ts";

// NIST/ITL Statistical Reference Datasets, nonlinear regression (US government work). Lanczos1 has a residual sum of
// 1.4e-25, below what doubles carry: two digits of it and of the standard errors is all that can be asked.
const wanted = (name: string) => (name === "Lanczos1" ? [6, 2, 2] : [6, 4, 6]);

const problemOf = (set: CertifiedSet): Problem => ({
  residuals: (parameters) =>
    set.points.map(([y, ...x]) => models[set.name]!(parameters, x) - responseOf(set.name, y!)),
});

const table: string[] = [];
const shown = (digits: number): string => digits.toFixed(1).padStart(5);

/** The general-purpose package at the same start, default options: digits of its parameters, or its complaint. */
function packageDigits(set: CertifiedSet, start: readonly number[]): string {
  const x = set.points.map((_, i) => i);
  const y = set.points.map(([first]) => responseOf(set.name, first!));
  try {
    const { parameterValues } = levenbergMarquardt(
      { x, y },
      (parameters: number[]) => (i: number) =>
        models[set.name]!(parameters, set.points[i]!.slice(1)),
      { initialValues: [...start] },
    );
    return shown(digitsAgreeing(parameterValues, set.values));
  } catch (error) {
    return `threw: ${error instanceof Error ? error.message.slice(0, 30) : "?"}`;
  }
}

function row(set: CertifiedSet, start: number, fit: Fit): void {
  const ours =
    fit.is === "fitted"
      ? `${shown(digitsAgreeing(fit.values, set.values))} ${shown(digitsAgreeing(fit.standardErrors, set.standardErrors))} ${shown(digitsAgreeing([fit.residualSumOfSquares], [set.residualSumOfSquares]))}`
      : fit.is.padEnd(17);
  table.push(
    `${set.name.padEnd(9)} ${start + 1}     ${ours}     ${packageDigits(set, set.starts[start]!)}`,
  );
}

for (const name of Object.keys(models)) {
  const set = certifiedSet(name);
  for (const [i, start] of set.starts.entries())
    test(`${name} from start ${i + 1} agrees with the certified values`, () => {
      const fit = leastSquares(problemOf(set), start);
      row(set, i, fit);
      if (fit.is !== "fitted") return expect(fit.is).toBe("fitted");
      const [values, errors, sum] = wanted(name);
      expect(digitsAgreeing(fit.values, set.values)).toBeGreaterThanOrEqual(values!);
      expect(digitsAgreeing(fit.standardErrors, set.standardErrors)).toBeGreaterThanOrEqual(
        errors!,
      );
      expect(
        digitsAgreeing([fit.residualSumOfSquares], [set.residualSumOfSquares]),
      ).toBeGreaterThanOrEqual(sum!);
    });
}

afterAll(() => {
  console.log(
    [
      "digits that agree with NIST StRD",
      "set    start  value error   rss     package: value",
      ...table,
    ].join("\n"),
  );
});

const line: Problem = {
  residuals: ([slope, rise]) => [1, 2, 3, 4].map((x) => slope! * x + rise! - (2 * x + 1)),
};

test("a straight line through exact points is found from anywhere", () => {
  const fit = leastSquares(line, [-50, 1000]);
  if (fit.is !== "fitted") return expect(fit.is).toBe("fitted");
  expect(fit.values[0]).toBeCloseTo(2, 9);
  expect(fit.values[1]).toBeCloseTo(1, 9);
  expect(fit.atBound).toEqual([null, null]);
});

test("a bound that holds is named, and its parameter carries no error of its own", () => {
  const fit = leastSquares({ ...line, lower: [-9, 1.5], upper: [9, 9] }, [0, 5]);
  if (fit.is !== "fitted") return expect(fit.is).toBe("fitted");
  // With the rise held at 1.5 the best slope is Σx(y − 1.5)/Σx² = 55/30.
  expect(fit.values[0]).toBeCloseTo(55 / 30, 9);
  expect(fit.values[1]).toBe(1.5);
  expect(fit.atBound).toEqual([null, "lower"]);
  expect(fit.standardErrors[1]).toBe(0);
});

test("two parameters that do the same thing are not identifiable", () => {
  const fit = leastSquares(
    { residuals: ([a, b]) => [1, 2, 3].map((x) => (a! + b!) * x - x) },
    [0.1, 0.1],
  );
  expect(fit.is).toBe("not-identifiable");
});

test("more parameters than points are too few points", () => {
  expect(leastSquares({ residuals: ([a, b]) => [a! + b!] }, [1, 1]).is).toBe("too-few");
});

test("a curve without a floor does not pretend to have arrived", () => {
  // The sum of squares falls for ever as a grows.
  const fit = leastSquares({ residuals: ([a]) => [1 / (1 + a! ** 2), 1 / (1 + a! ** 2)] }, [1]);
  expect(fit.is).not.toBe("fitted");
});

test("a start outside the model's domain is refused as not converged", () => {
  expect(leastSquares({ residuals: ([a]) => [Math.log(a!), 0] }, [-1]).is).toBe("not-converged");
});
