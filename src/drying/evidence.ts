import { combination, pooled, stateLength, type State } from "./gaussian.ts";
import { heldAfter, iceHours, lateSpeed, type Cut } from "./late.ts";
import { logSum } from "./logsum.ts";
import { beliefAfter, negligible, noneYet, raiseNeeds, weighAll, type Course } from "./walk.ts";
import { fineGrid, stepsAround, type Grid, type Manner, type Scatter } from "./ways.ts";

/** A net weighing for the late-drying model; `uGrams` is its standard uncertainty. */
export type LateRow = { readonly hour: number; readonly netGrams: number; readonly uGrams: number };

export type LatePrior = {
  /** Mass at which a working dryer could take no more, and its standard deviation. */
  readonly endGrams: number;
  readonly endSdGrams: number;
  /** Dry mass that bound water is counted against. */
  readonly dryGrams: number;
  /** Net mass before drying, where known. */
  readonly freshGrams: number | null;
};

/** The dryer may have stopped within the `widthHours` around `hour`. */
export type Stop = { readonly hour: number; readonly widthHours: number };

/** One way in which it may have been: the hour of the knee, how it is rounded and the rate constant k in 1/h. */
type Cell = { readonly kneeHour: number; readonly cut: Cut; readonly k: number };

/** A cell under one hypothesis, and the excess water at the last weighing that goes with it, in grams. */
export type Case = {
  /** 0: the dryer works; i: it stopped at the i-th stop. */
  readonly hypothesis: number;
  readonly cell: Cell;
  /** The manner of its cell, as the grid counts them. */
  readonly manner: number;
  /** Share of this case within its hypothesis. */
  readonly share: number;
  readonly excessMean: number;
  readonly excessSd: number;
  /** Mean R in g/h and C in g of the late-drying model. */
  readonly iceRate: number;
  readonly boundGrams: number;
};

export type Evidence = {
  /** By hypothesis: log density of the weighings, prior odds left out. */
  readonly logEvidence: Float64Array;
  /** By hypothesis: probability that the excess is at most the limit. */
  readonly dry: Float64Array;
  /** The cases that carry weight. */
  readonly cases: readonly Case[];
  /** By manner, and within it by hypothesis: log density, and the share of it that is dry. */
  readonly byManner: { readonly log: Float64Array; readonly dry: Float64Array };
  readonly manners: readonly Manner[];
};

/** Rate at which late ice leaves, as a share of the mean rate. */
const lateIceRate = { share: lateSpeed, sd: 0.3 } as const;
/** Without a fresh weighing: ice rate as a share of dry mass per hour. Our choice. */
const blindIceRate = { mean: 0.4, sd: 0.3 } as const;
/** How far the curve may be off, as a share of the water still to go: `late` near the end, and up to `early` more
 * where that water outweighs the dry mass and the shape of the ice's going is not known. Our choice. */
const modelError = { late: 0.12, early: 0.3 } as const;
/** A dryer that has stopped still takes a little: this share of the rate before. Our choice. */
const stoppedRate = { mean: 0.02, sd: 0.03 } as const;

/** Cases so much rarer than the commonest are left out: natural logarithms. */
const rareCase = 4;
/** A stop so far behind the best of all is not walked to its end: natural logarithms, its odds included where they are
 * the last word. */
const farBehind = 12;
/** No tray alone makes a hypothesis less likely than this, in natural logarithms. */
const unthinkable = 40;

/** Some ten thousand numbers a tray: the same memory each time. */
let scratch = { log: new Float64Array(0), dry: new Float64Array(0), counted: new Uint8Array(0) };
function scratchOf(hypotheses: number, cells: number): typeof scratch {
  const length = hypotheses * cells;
  if (scratch.log.length < length || scratch.counted.length < cells)
    scratch = {
      log: new Float64Array(2 * length),
      dry: new Float64Array(2 * length),
      counted: new Uint8Array(2 * cells),
    };
  scratch.counted.fill(notWalked, 0, cells);
  return scratch;
}
/** Whether a cell was walked, and whether anything of it counts. */
const notWalked = 0;
const isCounted = 1;
const isNothing = 2;

/** `stops` in the order of their hours, with the log odds of each against a dryer that works. */
type Question = {
  readonly stops: readonly Stop[];
  readonly logOdds: readonly number[];
  /** As a share of the dry mass. */
  readonly limit: number;
  readonly grid?: Grid;
  /** Whether no other tray has a say in what the dryer did: an unlikely stop is then not looked at closely. */
  readonly alone?: boolean;
  /** Whether the cases are asked for, or only how likely and how dry each hypothesis is. */
  readonly detailed?: boolean;
};

/**
 * What the weighings of one stretch say, for a dryer that works and for each stop. `rows` in the order of
 * drying hours, at least one. Cases come only where they are asked for.
 */
export function weighEvidence(
  rows: readonly LateRow[],
  prior: LatePrior,
  { stops, logOdds, limit, grid = fineGrid, alone = false, detailed = false }: Question,
): Evidence {
  const measured = measuredFrom(rows, prior, stops);
  const course = emptyCourse(measured);
  const hypotheses = stops.length + 1;
  const { manners } = grid[0]!;
  const scatters = grid.map((scatter) => ({
    ...scatter,
    ...stepsAround(rows.at(-1)!.hour, scatter.kneeRatio),
  }));
  const knees = scatters.reduce((sum, { first, last }) => sum + last - first + 1, 0);
  const cells = knees * manners.length;
  const limitPerGram = limit * (prior.dryGrams / prior.endGrams);
  const start = new Float64Array(stateLength);
  const { log, dry, counted } = scratchOf(hypotheses, cells);
  const far = Float64Array.from([0, ...logOdds], (odds) => farBehind + (alone ? odds : 0));
  const best = noneYet(rows.length, far);
  // Filled anew for each cell rather than made anew: there are thousands.
  // Not 0, which the engine would take for the sign of whole numbers to come.
  const way = { k: NaN, logPrior: NaN, logStops: NaN, limitPerGram };
  const answers = { log, dry, offset: 0 };
  /** Every so many knees, and of each every so many manners; none twice. */
  const sweep = (everyKnee: number, everyManner: number): void => {
    let cell = 0;
    for (const scatter of scatters)
      for (let step = scatter.first; step <= scatter.last; step++, cell += manners.length) {
        if ((step - scatter.first) % everyKnee !== 0) continue;
        const rate = turnTo(course, measured, prior, scatter, step);
        raiseNeeds(course, best);
        way.logStops = step % scatter.stopsEvery === 0 ? Math.log(scatter.stopsEvery) : -Infinity;
        for (let j = 0; j < manners.length; j += everyManner) {
          if (counted[cell + j] !== notWalked) continue;
          startFor(start, way, prior, rate, scatter, step, j);
          answers.offset = (cell + j) * hypotheses;
          counted[cell + j] = weighAll(course, start, way, answers, best) ? isCounted : isNothing;
        }
      }
  };
  // A few first: what is far behind the best of them need not be walked to its end.
  sweep(5, 3);
  sweep(1, 1);
  const sums = sumsOf({ log, dry, counted, hypotheses, cells, manners: manners.length }, best.top);
  const likeliest = sums.log.reduce((most, one) => Math.max(most, one), -Infinity);
  const answer = {
    logEvidence: sums.log.map((one) => Math.max(one, likeliest - unthinkable)),
    dry: sums.dry,
    byManner: sums.byManner,
    manners,
  };
  if (!detailed) return { ...answer, cases: [] };

  const walked = { course, measured, prior, scatters, log, counted };
  return { ...answer, cases: casesOf(walked, { logOdds, top: best.top, logSums: sums.log }) };
}

/** What is there once every cell was walked: the cells lie side by side by scatter, knee, manner and hypothesis. */
type Walked = {
  readonly course: Course;
  readonly measured: Measured;
  readonly prior: LatePrior;
  readonly scatters: readonly (Scatter & { readonly first: number; readonly last: number })[];
  readonly log: Float64Array;
  readonly counted: Uint8Array;
};

/**
 * Few cells carry weight: only for those is the rest worked out. `top` and `logSums`: by hypothesis, the highest log
 * density of a cell, and the log of the sum of all.
 */
function casesOf(
  { course, measured, prior, scatters, log, counted }: Walked,
  {
    logOdds,
    top,
    logSums,
  }: {
    readonly logOdds: readonly number[];
    readonly top: Float64Array;
    readonly logSums: Float64Array;
  },
): readonly Case[] {
  const hypotheses = top.length;
  const oddsOf = (h: number): number => (h === 0 ? 0 : logOdds[h - 1]!);
  const commonest = top.reduce((most, one, h) => Math.max(most, one + oddsOf(h)), -Infinity);
  // The likeliest case of each hypothesis stays: other trays may make much of it.
  const least = top.map((one, h) =>
    one === -Infinity ? Infinity : Math.min(one, commonest - rareCase - oddsOf(h)),
  );
  const cases: Case[] = [];
  const start = new Float64Array(stateLength);
  const way = { k: NaN, logPrior: NaN };
  let cell = 0;
  for (const scatter of scatters)
    for (let step = scatter.first; step <= scatter.last; step++) {
      const { cut, manners } = scatter;
      const kneeHour = scatter.kneeHours[step]!;
      let rate: Rate | null = null;
      for (let j = 0; j < manners.length; j++) {
        const at = cell++;
        if (counted[at] !== isCounted) continue;
        const shape: Cell = { kneeHour, cut, k: manners[j]!.k };
        for (let h = 0; h < hypotheses; h++) {
          const here = log[at * hypotheses + h]!;
          if (here < least[h]!) continue;
          rate ??= turnTo(course, measured, prior, scatter, step);
          startFor(start, way, prior, rate, scatter, step, j);
          const belief = beliefAfter(course, start, shape.k, h);
          const { ice, held } = leftAt(course, h, shape.k);
          const excess = combination(belief, 0, ice, held);
          cases.push({
            hypothesis: h,
            manner: j,
            cell: shape,
            share: Math.exp(here - logSums[h]!),
            excessMean: excess.mean,
            excessSd: Math.sqrt(excess.variance),
            iceRate: belief[1]!,
            boundGrams: belief[2]!,
          });
        }
      }
    }
  return cases;
}

/**
 * By hypothesis, over all cells: log of the summed density and the share of the sum that is dry; and both for each
 * manner. `top` are the highest densities. The manners of a knee lie side by side.
 */
function sumsOf(
  {
    log: logs,
    dry,
    counted,
    hypotheses,
    cells,
    manners,
  }: {
    readonly log: Float64Array;
    readonly dry: Float64Array;
    readonly counted: Uint8Array;
    readonly hypotheses: number;
    readonly cells: number;
    readonly manners: number;
  },
  top: Float64Array,
): Pick<Evidence, "byManner"> & { readonly log: Float64Array; readonly dry: Float64Array } {
  const sum = new Float64Array(manners * hypotheses);
  const sumDry = new Float64Array(manners * hypotheses);
  for (let cell = 0; cell < cells; cell++) {
    if (counted[cell] !== isCounted) continue;
    let i = cell * hypotheses;
    let into = (cell % manners) * hypotheses;
    for (let h = 0; h < hypotheses; h++, i++, into++) {
      const below = logs[i]! - top[h]!;
      if (!(below > -negligible)) continue;
      const weight = Math.exp(below);
      sum[into]! += weight;
      sumDry[into]! += weight * dry[i]!;
    }
  }
  const byManner = {
    log: sum.map((one, at) => (one > 0 ? top[at % hypotheses]! + Math.log(one) : -Infinity)),
    dry: sumDry.map((one, at) => (sum[at]! > 0 ? one / sum[at]! : 0)),
  };
  const { logEvidence, dry: dryShare } = overManners(byManner, hypotheses);
  return { log: logEvidence, dry: dryShare, byManner };
}

/** The manners together. */
function overManners(
  { log, dry }: Evidence["byManner"],
  hypotheses: number,
): Pick<Evidence, "logEvidence" | "dry"> {
  const manners = log.length / hypotheses;
  const logEvidence = new Float64Array(hypotheses);
  const dryShare = new Float64Array(hypotheses);
  const logs = new Float64Array(manners);
  for (let h = 0; h < hypotheses; h++) {
    for (let m = 0; m < manners; m++) logs[m] = log[m * hypotheses + h]!;
    const total = logSum(logs);
    logEvidence[h] = total;
    if (total === -Infinity) continue;
    for (let m = 0; m < manners; m++)
      dryShare[h]! += Math.exp(logs[m]! - total) * dry[m * hypotheses + h]!;
  }
  return { logEvidence, dry: dryShare };
}

/**
 * The same weighings with other odds of the manners: `logWeight` is added to the log density of each. Told one after
 * the other, odds add up.
 */
export function withManners(evidence: Evidence, logWeight: Float64Array): Evidence {
  const hypotheses = evidence.logEvidence.length;
  const { dry: dryByManner } = evidence.byManner;
  const log = evidence.byManner.log.map((one, at) => one + logWeight[Math.floor(at / hypotheses)]!);
  const byManner = { log, dry: dryByManner };
  const { logEvidence, dry } = overManners(byManner, hypotheses);
  const before = overManners(evidence.byManner, hypotheses).logEvidence;
  const cases = evidence.cases.map((one) => ({
    ...one,
    share:
      one.share *
      Math.exp(logWeight[one.manner]! + before[one.hypothesis]! - logEvidence[one.hypothesis]!),
  }));
  return { ...evidence, logEvidence, dry, byManner, cases };
}

/** Hours of ice and share of bound water still held: where the dryer stopped, else at the last weighing. */
function leftAt(course: Course, hypothesis: number, k: number): { ice: number; held: number } {
  const stop = hypothesis - 1;
  const isStopped = stop >= 0 && course.stopRow[stop]! < course.rows;
  return isStopped
    ? { ice: course.stopIce[stop]!, held: heldAfter(course.stopSince[stop]!, k) }
    : { ice: course.ice[course.rows - 1]!, held: heldAfter(course.since[course.rows - 1]!, k) };
}

/** What does not depend on the way of drying. */
type Measured = Omit<Course, "ice" | "since" | "stopIce" | "stopSince"> & {
  readonly hours: Float64Array;
  readonly stopHours: Float64Array;
  /** Water that has left so far. */
  readonly leftGrams: number;
};

function measuredFrom(
  rows: readonly LateRow[],
  prior: LatePrior,
  stops: readonly Stop[],
): Measured {
  const lightest = Math.min(...rows.map((row) => row.netGrams));
  const values = rows.map(({ hour, netGrams, uGrams }) => {
    const toGo = netGrams - lightest;
    const share = modelError.late + (modelError.early * toGo) / (toGo + prior.dryGrams);
    return { hour, y: netGrams, variance: uGrams ** 2 + (share * toGo) ** 2 };
  });
  const rests = values.map((from, i) => {
    const earlier =
      values[i - 1] ?? (prior.freshGrams === null ? from : { hour: 0, y: prior.freshGrams });
    const rate = Math.max(earlier.y - from.y, 0) / Math.max(from.hour - earlier.hour, 0.1);
    return pooled(values, i, { mean: stoppedRate.mean * rate, sd: stoppedRate.sd * rate });
  });
  const restVariance = Float64Array.from(rests, ({ variance }) => variance);
  const restLog = Float64Array.from(rests, ({ logRest }) => logRest);
  const mostWorking = new Float64Array(rows.length);
  const mostStopped = new Float64Array(rows.length);
  for (let i = rows.length - 1; i >= 0; i--) {
    const here = mostDensity(values[i]!.variance);
    mostWorking[i] = here + (mostWorking[i + 1] ?? 0);
    mostStopped[i] = restLog[i]! + mostDensity(restVariance[i]!);
  }
  return {
    rows: rows.length,
    hours: Float64Array.from(values, ({ hour }) => hour),
    mass: Float64Array.from(values, ({ y }) => y),
    variance: Float64Array.from(values, ({ variance }) => variance),
    stops: stops.length,
    stopHours: Float64Array.from(stops, ({ hour }) => hour),
    stopRow: Int32Array.from(stops, (stop) => {
      const row = values.findIndex(({ hour }) => hour > stop.hour);
      return row < 0 ? rows.length : row;
    }),
    restMass: Float64Array.from(rests, ({ y }) => y),
    restVariance,
    restLog,
    mostStopped,
    mostWorking,
    leftGrams: prior.freshGrams === null ? 0 : Math.max(prior.freshGrams - lightest, 0),
  };
}

const lnTwoPi = Math.log(2 * Math.PI);
/** Log density of a Gaussian at its top. */
const mostDensity = (variance: number): number => -0.5 * (lnTwoPi + Math.log(variance));

const emptyCourse = (measured: Measured): Course => ({
  ...measured,
  ice: new Float64Array(measured.rows),
  since: new Float64Array(measured.rows),
  stopIce: new Float64Array(measured.stops),
  stopSince: new Float64Array(measured.stops),
});

/** What a knee says of the ice: its rate in g/h, and the hours at that rate that the fresh mass would be. */
type Rate = {
  readonly mean: number;
  readonly variance: number;
  readonly freshHours: number;
  /** Of the fresh mass on that line; infinite where it says nothing. */
  readonly freshVariance: number;
};

/** Puts the weighings and stops on the axis of this knee. */
function turnTo(
  course: Course,
  measured: Measured,
  prior: LatePrior,
  { kneeHours, cut }: Scatter,
  step: number,
): Rate {
  const kneeHour = kneeHours[step]!;
  for (let i = 0; i < measured.rows; i++) {
    const hour = measured.hours[i]!;
    const ice = iceHours(hour, kneeHour, cut);
    course.ice[i] = ice;
    course.since[i] = hour - kneeHour + ice;
  }
  for (let i = 0; i < measured.stops; i++) {
    const hour = measured.stopHours[i]!;
    const ice = iceHours(hour, kneeHour, cut);
    course.stopIce[i] = ice;
    course.stopSince[i] = hour - kneeHour + ice;
  }
  const { mean, sd } = iceRatePrior(prior, measured.leftGrams, kneeHour);
  const saysNothing = prior.freshGrams === null || measured.leftGrams === 0;
  return {
    mean,
    variance: sd ** 2,
    freshHours: kneeHour / lateIceRate.share,
    freshVariance: saysNothing ? Infinity : (lateIceRate.sd * measured.leftGrams) ** 2,
  };
}

/**
 * Fills in what is believed of (A, R, C) before the weighings, and the way of drying. Independent beliefs of the three
 * are conditioned on the fresh mass as by `observe`, written out.
 */
function startFor(
  start: State,
  way: { k: number; logPrior: number },
  prior: LatePrior,
  { mean, variance, freshHours: r, freshVariance }: Rate,
  { logWeights, manners, boundMean, boundSd }: Scatter,
  step: number,
  manner: number,
): void {
  const { k, widening, logWeight: logManner } = manners[manner]!;
  way.k = k;
  way.logPrior = logWeights[step]! + logManner;
  const at = step * manners.length + manner;
  const boundGrams = boundMean[at]! * prior.dryGrams;
  const aa = (widening * prior.endSdGrams) ** 2;
  const cc = (boundSd[at]! * prior.dryGrams) ** 2;
  if (freshVariance === Infinity) {
    start.fill(0);
    start[0] = prior.endGrams;
    start[1] = mean;
    start[2] = boundGrams;
    start[3] = aa;
    start[6] = variance;
    start[8] = cc;
    return;
  }
  const gR = r * variance;
  const total = aa + r * gR + cc + freshVariance;
  const surprise = prior.freshGrams! - (prior.endGrams + r * mean + boundGrams);
  const inverse = 1 / total;
  const share = surprise * inverse;
  start[0] = prior.endGrams + aa * share;
  start[1] = mean + gR * share;
  start[2] = boundGrams + cc * share;
  start[3] = aa - aa * aa * inverse;
  start[4] = -aa * gR * inverse;
  start[5] = -aa * cc * inverse;
  start[6] = variance - gR * gR * inverse;
  start[7] = -gR * cc * inverse;
  start[8] = cc - cc * cc * inverse;
  way.logPrior -= 0.5 * (lnTwoPi + Math.log(total) + surprise * share);
}

function iceRatePrior(
  prior: LatePrior,
  leftGrams: number,
  kneeHour: number,
): { mean: number; sd: number } {
  if (prior.freshGrams === null)
    return { mean: blindIceRate.mean * prior.dryGrams, sd: blindIceRate.sd * prior.dryGrams };
  // The fresh weighing says the rest; here only the order of magnitude.
  const meanRate = Math.max(leftGrams, 0.05 * prior.dryGrams) / kneeHour;
  return { mean: lateIceRate.share * meanRate, sd: meanRate };
}
