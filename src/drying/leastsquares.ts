/**
 * Bounded nonlinear least squares after Levenberg and Marquardt: damped steps from a QR decomposition, columns
 * scaled by their largest norm so far (Moré 1978), damping led by the gain ratio (Nielsen 1999), and on top the
 * standard errors, the bounds that hold, and why it stopped. A fit that did not arrive says so.
 */
import {
  columnNorm,
  dampedStep,
  dot,
  gaussNewtonStep,
  inverseOfNormal,
  sumOfSquares,
  type Rows,
} from "./steps.ts";

export type Problem = {
  /** Measured less modelled value, each divided by its standard deviation where that is known. */
  readonly residuals: (parameters: readonly number[]) => readonly number[];
  /** Derivatives of the residuals: a row for each, a column for each parameter. Differences when not given. */
  readonly jacobian?: (parameters: readonly number[]) => Rows;
  readonly lower?: readonly number[];
  readonly upper?: readonly number[];
  /** Residuals come divided by known standard deviations, so that errors are not scaled by the scatter. */
  readonly scaled?: boolean;
};

type Bound = "lower" | "upper" | null;

export type Fitted = {
  readonly is: "fitted";
  readonly values: readonly number[];
  /** Zero for a parameter that sits at its bound: the bound holds it. */
  readonly standardErrors: readonly number[];
  readonly covariance: Rows;
  readonly atBound: readonly Bound[];
  readonly residualSumOfSquares: number;
  readonly residualSd: number;
  readonly degreesOfFreedom: number;
  readonly steps: number;
  readonly stoppedBecause: string;
};

export type Fit =
  | Fitted
  | { readonly is: "too-few"; readonly because: string }
  | {
      readonly is: "not-identifiable";
      readonly because: string;
      readonly values: readonly number[];
    }
  | { readonly is: "not-converged"; readonly because: string; readonly values: readonly number[] };

/** Step of Gauss and Newton, relative to the parameters, below which the answer stands to some 9 digits. */
const settledStep = 1e-9;
const mostSteps = 10000;

/**
 * Ways to try one start. A bold first step can leap past the answer on to flat ground, so more damped ones follow;
 * scales that never shrink again keep to safe ground but creep along a bent valley, where present ones do better.
 */
const ways = [
  { damping: 1e-3, memory: 1 },
  { damping: 1e4, memory: 1 },
  { damping: 1e-3, memory: 0 },
] as const;
type Way = (typeof ways)[number];

/** A fit from one start: boldly, and where that does not arrive again with more and more caution. */
export function leastSquares(problem: Problem, start: readonly number[]): Fit {
  let first: Fit | null = null;
  for (const way of ways) {
    const fit = descend(problem, start, way);
    if (fit.is === "fitted" || fit.is === "too-few") return fit;
    first ??= fit;
  }
  return first!;
}

function descend(problem: Problem, start: readonly number[], way: Way): Fit {
  const count = start.length;
  let values = inBounds(problem, start);
  let residuals = problem.residuals(values);
  const degreesOfFreedom = residuals.length - count;
  if (degreesOfFreedom < 0)
    return {
      is: "too-few",
      because: `${residuals.length} values cannot carry ${count} parameters`,
    };
  if (!Number.isFinite(sumOfSquares(residuals)))
    return { is: "not-converged", because: "the start gives no finite residuals", values };

  const largest = Array.from({ length: count }, () => 0);
  let damping: number = way.damping;
  for (let steps = 0; steps < mostSteps; steps++) {
    const jacobian = jacobianOf(problem, values);
    if (jacobian.some((row) => row.some((value) => !Number.isFinite(value))))
      return { is: "not-converged", because: "the model has no finite slope here", values };
    const gradient = values.map((_, j) => dot(jacobian, j, residuals));
    const free = freeParameters(problem, values, gradient);
    for (let j = 0; j < count; j++)
      largest[j] = Math.max(way.memory * largest[j]!, columnNorm(jacobian, j));

    const place: Place = { values, residuals, jacobian, free, steps };
    const undamped = gaussNewtonStep(jacobian, residuals, free, largest);
    if (
      undamped !== null &&
      isSettled(undamped, values, free) &&
      staysInside(problem, values, undamped)
    )
      return report(problem, polished(problem, place, largest));

    const lower = lowerPlace(problem, place, largest, damping);
    if (lower === null) return atStandstill(problem, place, largest);
    ({ values, residuals } = lower);
    damping = Math.max(lower.damping, 1e-18);
  }
  return { is: "not-converged", because: `${mostSteps} steps were not enough`, values };
}

/** Where a step with as little damping as will do lowers the sum of squares; null: none does. */
function lowerPlace(
  problem: Problem,
  { values, residuals, jacobian, free }: Place,
  scale: readonly number[],
  firstDamping: number,
): (Pick<Place, "values" | "residuals"> & { readonly damping: number }) | null {
  const sum = sumOfSquares(residuals);
  let damping = firstDamping;
  for (let growth = 2; damping <= 1e18; growth *= 2) {
    const step = dampedStep(jacobian, residuals, free, scale, damping);
    const trial = inBounds(
      problem,
      values.map((value, j) => value + step[j]!),
    );
    const trialResiduals = problem.residuals(trial);
    const trialSum = sumOfSquares(trialResiduals);
    const gain = (sum - trialSum) / promisedGain(jacobian, residuals, values, trial);
    if (Number.isFinite(trialSum) && trialSum < sum && gain > 0) {
      const relaxed = damping * Math.max(1 / 3, 1 - (2 * gain - 1) ** 3);
      return { values: trial, residuals: trialResiduals, damping: relaxed };
    }
    damping = Math.max(damping, 1e-16) * growth;
  }
  return null;
}

/** The best of several starts; when none arrives, what the first one had to say. */
export function leastSquaresFrom(problem: Problem, starts: Rows): Fit {
  const fits = starts.map((start) => leastSquares(problem, start));
  const fitted = fits.filter((fit) => fit.is === "fitted");
  const [first] = fits;
  if (first === undefined) return { is: "too-few", because: "no start was given" };
  return fitted.reduce<Fit>(
    (best, fit) =>
      best.is !== "fitted" || fit.residualSumOfSquares < best.residualSumOfSquares ? fit : best,
    first,
  );
}

type Place = {
  readonly values: readonly number[];
  readonly residuals: readonly number[];
  readonly jacobian: Rows;
  readonly free: readonly number[];
  readonly steps: number;
};

/** Undamped steps for as long as each is shorter than the one before: the last digits, where sums are level. */
function polished(problem: Problem, place: Place, scale: readonly number[]): Place {
  let best = place;
  let step = gaussNewtonStep(place.jacobian, place.residuals, place.free, scale);
  for (let i = 0; i < 8 && step !== null; i++) {
    const values = inBounds(
      problem,
      best.values.map((value, j) => value + step![j]!),
    );
    const residuals = problem.residuals(values);
    const jacobian = jacobianOf(problem, values);
    const next = gaussNewtonStep(jacobian, residuals, best.free, scale);
    const level = sumOfSquares(residuals) <= (1 + 1e-9) * sumOfSquares(best.residuals);
    if (next === null || !level || scaledLength(next, scale) >= scaledLength(step, scale)) break;
    best = { ...best, values, residuals, jacobian };
    step = next;
  }
  return best;
}

const scaledLength = (step: readonly number[], scale: readonly number[]): number =>
  Math.hypot(...step.map((value, j) => value * scale[j]!));

/** No smaller sum of squares can be found. That is the answer only where what is left to go drowns in the errors. */
function atStandstill(problem: Problem, place: Place, scale: readonly number[]): Fit {
  const close = polished(problem, place, scale);
  const left = gaussNewtonStep(close.jacobian, close.residuals, close.free, scale);
  if (left === null)
    return {
      is: "not-identifiable",
      because: "some parameters do not change the curve",
      values: place.values,
    };
  const fit = report(problem, close);
  if (fit.is !== "fitted") return fit;
  const far = close.free.some((j) => Math.abs(left[j]!) > 1e-6 * fit.standardErrors[j]!);
  if (far)
    return {
      is: "not-converged",
      because: "no step lowers the sum of squares",
      values: place.values,
    };
  return {
    ...fit,
    stoppedBecause: "no step lowers the sum of squares, and what is left drowns in the errors",
  };
}

function report(problem: Problem, { values, residuals, jacobian, free, steps }: Place): Fit {
  const degreesOfFreedom = residuals.length - free.length;
  const residualSumOfSquares = sumOfSquares(residuals);
  const variance =
    problem.scaled === true
      ? 1
      : degreesOfFreedom > 0
        ? residualSumOfSquares / degreesOfFreedom
        : 0;
  const inverse = free.length === 0 ? [] : inverseOfNormal(jacobian, free);
  if (inverse === null)
    return { is: "not-identifiable", because: "some parameters do not change the curve", values };
  const covariance = values.map((_, i) =>
    values.map((__, j) => {
      const row = free.indexOf(i);
      const column = free.indexOf(j);
      return row < 0 || column < 0 ? 0 : inverse[row]![column]! * variance;
    }),
  );
  const standardErrors = covariance.map((row, j) => Math.sqrt(row[j]!));
  const loose = standardErrors.findIndex(
    (error, j) => error > 1e6 * Math.abs(values[j]!) && values[j] !== 0,
  );
  if (loose >= 0)
    return {
      is: "not-identifiable",
      because: `the standard error of parameter ${loose + 1} is over a million times its value`,
      values,
    };
  return {
    is: "fitted",
    values,
    standardErrors,
    covariance,
    atBound: values.map((value, j) => boundOf(problem, value, j, free)),
    residualSumOfSquares,
    residualSd: degreesOfFreedom > 0 ? Math.sqrt(residualSumOfSquares / degreesOfFreedom) : 0,
    degreesOfFreedom,
    steps,
    stoppedBecause: `the next step would change no parameter by more than ${settledStep} of itself`,
  };
}

const boundOf = (problem: Problem, value: number, j: number, free: readonly number[]): Bound =>
  free.includes(j) ? null : value === problem.lower?.[j] ? "lower" : "upper";

const inBounds = ({ lower, upper }: Problem, values: readonly number[]): readonly number[] =>
  values.map((value, j) =>
    Math.min(Math.max(value, lower?.[j] ?? -Infinity), upper?.[j] ?? Infinity),
  );

/** Those not pressed against a bound by the way downhill. */
function freeParameters(
  { lower, upper }: Problem,
  values: readonly number[],
  gradient: readonly number[],
): readonly number[] {
  return values.flatMap((value, j) => {
    const pressedDown = value === lower?.[j] && gradient[j]! > 0;
    const pressedUp = value === upper?.[j] && gradient[j]! < 0;
    return pressedDown || pressedUp ? [] : [j];
  });
}

const staysInside = (
  problem: Problem,
  values: readonly number[],
  step: readonly number[],
): boolean =>
  inBounds(
    problem,
    values.map((value, j) => value + step[j]!),
  ).every(
    (value, j) => Math.abs(value - values[j]! - step[j]!) <= settledStep * Math.abs(values[j]!),
  );

const isSettled = (
  step: readonly number[],
  values: readonly number[],
  free: readonly number[],
): boolean => free.every((j) => Math.abs(step[j]!) <= settledStep * Math.abs(values[j]!));

/** How much the linear model promises the sum of squares to fall on the way from `values` to `trial`. */
function promisedGain(
  jacobian: Rows,
  residuals: readonly number[],
  values: readonly number[],
  trial: readonly number[],
): number {
  let promised = 0;
  for (const [i, row] of jacobian.entries()) {
    const change = row.reduce((total, slope, j) => total + slope * (trial[j]! - values[j]!), 0);
    promised -= change * (2 * residuals[i]! + change);
  }
  return promised;
}

/** Five-point differences: with this step about 12 digits (Abramowitz and Stegun 25.3.6, from memory). */
function jacobianOf(problem: Problem, values: readonly number[]): Rows {
  if (problem.jacobian !== undefined) return problem.jacobian(values);
  const columns = values.map((value, j) => {
    const step = 6e-4 * Math.max(Math.abs(value), 1e-8);
    const at = (times: number): readonly number[] =>
      problem.residuals(values.map((other, i) => (i === j ? other + times * step : other)));
    const [far, near, nearBack, farBack] = [at(2), at(1), at(-1), at(-2)];
    return near!.map(
      (_, i) => (8 * (near![i]! - nearBack![i]!) - (far![i]! - farBack![i]!)) / (12 * step),
    );
  });
  return columns[0]?.map((_, i) => columns.map((column) => column[i]!)) ?? [];
}
