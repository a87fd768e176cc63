import { leastSquares, leastSquaresFrom, type Fit, type Fitted } from "./leastsquares.ts";
import { normalQuantile } from "./normal.ts";
import { newtonRatio, pageRatioAt } from "./thinlayer.ts";

export type CurvePoint = {
  readonly hour: number;
  readonly netGrams: number;
  readonly uGrams: number;
};

/**
 * Newton's curve with a free end, m(t) = end + fall·e^(−t/τ), unweighted: what exact figures allow without any prior
 * knowledge. A straight line and a level have no end to find and are not identifiable. No verdict rests on it: three to
 * eight weighings carry no free end. It is the closed form by which the fit is checked.
 * Values: end in g, fall in g, τ in h.
 */
export function fitFreely(points: readonly CurvePoint[]): Fit {
  if (points.length < 4)
    return {
      is: "too-few",
      because: `${points.length} points for three parameters leave nothing to check them by`,
    };
  const masses = points.map(({ netGrams }) => netGrams);
  const [most, least] = [Math.max(...masses), Math.min(...masses)];
  const span = points.at(-1)!.hour - points[0]!.hour;
  if (most - least <= 1e-9 * Math.abs(most))
    return { is: "not-identifiable", because: "the weight does not change", values: [least] };
  const lower = [0, 0, span / 1e3];
  const upper = [most, 100 * most, 20 * span];
  const starts = [0.1, 0.3, 1].map((share) => [0.9 * least, most - 0.9 * least, share * span]);
  const fit = leastSquaresFrom(
    {
      residuals: ([end, fall, tau]) =>
        points.map(({ hour, netGrams }) => netGrams - (end! + fall! * newtonRatio(hour, tau!))),
      lower,
      upper,
    },
    starts,
  );
  if (fit.is !== "fitted") return fit;
  const held = fit.atBound.findIndex((bound) => bound !== null);
  if (held >= 0)
    return {
      is: "not-identifiable",
      because: `${["the end mass", "the fall", "the time constant"][held]} ran against its bound: the points do not bend enough`,
      values: fit.values,
    };
  return fit;
}

type CurvePrior = {
  readonly freshGrams: number;
  readonly endGrams: number;
  readonly endSdGrams: number;
};

/** Exponent n of Page for freeze-drying, between the straight line of a free front and the exponential. Our choice. */
const exponent = { mean: 1.2, sd: 0.25, least: 0.6, most: 2.2 } as const;
/** τ between 1 and 100 h. */
const tauRange = { least: 1, most: 100 } as const;
/** No thin-layer curve follows freeze-drying better than this share of the water loaded, in mid-run. In simulation an
 * interval without it covered the truth in 0 to 14 of 100 cases, with it in 94 to 98. */
const midRunError = 0.03;

/** Page's curve from the loaded mass to an end under a prior. Values: end in g, ln τ (h), n. */
export type PageFit = {
  readonly fit: Fitted;
  readonly netAt: (hour: number) => number;
  /** Curves that the weighings leave possible, with their weights, none of them 0. */
  readonly drawn: readonly {
    readonly netAt: (hour: number) => number;
    readonly weight: number;
  }[];
};

type PageAnswer = { readonly is: "fitted"; readonly page: PageFit } | Exclude<Fit, Fitted>;

/**
 * Fits Page's curve under priors on its end and its exponent; the loaded mass is known. `points` are the weighings
 * since drying began, in order; fewer than two carry no curve. A level is not identifiable.
 */
export function fitPage(points: readonly CurvePoint[], prior: CurvePrior): PageAnswer {
  if (points.length < 2)
    return {
      is: "too-few",
      because: `${points.length} weighings since drying began carry no curve`,
    };
  const last = points.at(-1)!;
  const water = prior.freshGrams - prior.endGrams;
  if (water <= 0 || prior.freshGrams - last.netGrams < 0.05 * water)
    return { is: "not-identifiable", because: "hardly any of the water has left", values: [] };
  const weighed = points.map(({ hour, netGrams, uGrams }) => {
    const toGo = Math.max(netGrams - Math.min(last.netGrams, prior.endGrams), 0) / water;
    return {
      lnHour: Math.log(hour),
      netGrams,
      sd: Math.hypot(uGrams, midRunError * water * Math.sqrt(Math.min(toGo, 1))),
    };
  });
  const netFor = ([end, lnTau, n]: readonly number[], lnHour: number): number =>
    end! + (prior.freshGrams - end!) * pageRatioAt(lnHour, lnTau!, n!);
  const residuals = (parameters: readonly number[]): readonly number[] => [
    ...weighed.map(({ lnHour, netGrams, sd }) => (netGrams - netFor(parameters, lnHour)) / sd),
    (parameters[0]! - prior.endGrams) / prior.endSdGrams,
    (parameters[2]! - exponent.mean) / exponent.sd,
  ];
  const lower = [0, Math.log(tauRange.least), exponent.least];
  const upper = [last.netGrams + 2 * last.uGrams, Math.log(tauRange.most), exponent.most];
  const startEnd = Math.min(prior.endGrams, 0.98 * upper[0]!);
  const gone = (prior.freshGrams - last.netGrams) / (prior.freshGrams - startEnd);
  const tau =
    last.hour / Math.max(-Math.log(Math.max(1 - gone, 1e-3)), 0.05) ** (1 / exponent.mean);
  const jacobian = ([end, lnTau, n]: readonly number[]): readonly (readonly number[])[] => [
    ...weighed.map(({ lnHour, sd }) => {
      const x = Math.exp(n! * (lnHour - lnTau!));
      const ratio = Math.exp(-x);
      const slope = ((prior.freshGrams - end!) * ratio * x) / sd;
      return [(ratio - 1) / sd, -slope * n!, slope * (lnHour - lnTau!)];
    }),
    [1 / prior.endSdGrams, 0, 0],
    [0, 0, 1 / exponent.sd],
  ];
  const lnTau = Math.log(Math.min(Math.max(tau, tauRange.least), tauRange.most));
  const fit = leastSquares({ residuals, jacobian, lower, upper, scaled: true }, [
    startEnd,
    lnTau,
    exponent.mean,
  ]);
  if (fit.is !== "fitted") return fit;
  const netAt = (hour: number): number => netFor(fit.values, Math.log(hour));
  const drawn = drawAround(fit, residuals, lower, upper).map(({ parameters, weight }) => ({
    netAt: (hour: number) => netFor(parameters, Math.log(hour)),
    weight,
  }));
  return { is: "fitted", page: { fit, netAt, drawn } };
}

const draws = 64;
/** Wider than the Gaussian at the top, so that no likely corner is missed. */
const widening = 1.4;

/**
 * Importance sampling in place of a linearised interval: points of a low-discrepancy sequence, shaped by the
 * covariance at the best fit and weighed by how likely they truly are. The same weighings always give the same draws.
 */
function drawAround(
  { values, covariance }: Fitted,
  residuals: (parameters: readonly number[]) => readonly number[],
  lower: readonly number[],
  upper: readonly number[],
): readonly { readonly parameters: readonly number[]; readonly weight: number }[] {
  const root = choleskyOf(covariance);
  const sumAt = (parameters: readonly number[]): number =>
    residuals(parameters).reduce((sum, value) => sum + value * value, 0);
  const least = sumAt(values);
  const all = Array.from({ length: draws }, (_, i) => {
    const z = standardNormals[i]!;
    const parameters = values.map(
      (value, row) =>
        value + widening * root[row]!.reduce((sum, entry, column) => sum + entry * z[column]!, 0),
    );
    const inside = parameters.every((value, j) => value >= lower[j]! && value <= upper[j]!);
    const proposal = -0.5 * z.reduce((sum, one) => sum + one * one, 0);
    const weight = inside ? Math.exp(-0.5 * (sumAt(parameters) - least) - proposal) : 0;
    return { parameters, weight };
  });
  const total = all.reduce((sum, { weight }) => sum + weight, 0);
  if (total === 0) return [{ parameters: values, weight: 1 }];
  return all.flatMap(({ parameters, weight }) =>
    weight > 0 ? [{ parameters, weight: weight / total }] : [],
  );
}

/** Halton's sequence in three dimensions, made normal. */
const standardNormals: readonly (readonly number[])[] = Array.from({ length: draws }, (_, i) =>
  [2, 3, 5].map((base) => normalQuantile(radicalInverse(i + 1, base))),
);

function radicalInverse(index: number, base: number): number {
  let value = 0;
  let share = 1 / base;
  for (let rest = index; rest > 0; rest = Math.floor(rest / base)) {
    value += (rest % base) * share;
    share /= base;
  }
  return value;
}

/** Lower root of a covariance; a direction without variance, held by its bound, stays zero. */
function choleskyOf(matrix: readonly (readonly number[])[]): readonly (readonly number[])[] {
  const root = matrix.map((row) => row.map(() => 0));
  for (let i = 0; i < matrix.length; i++)
    for (let j = 0; j <= i; j++) {
      let rest = matrix[i]![j]!;
      for (let k = 0; k < j; k++) rest -= root[i]![k]! * root[j]![k]!;
      root[i]![j] =
        i === j ? Math.sqrt(Math.max(rest, 0)) : root[j]![j]! > 0 ? rest / root[j]![j]! : 0;
    }
  return root;
}
