/** The ways in which a tray may dry, with how likely each is before anything was weighed; and the grid over them. */
import { slabRatePerHour } from "./diffusion.ts";
import { heldBehindFront, type Cut } from "./late.ts";
import { logSum } from "./logsum.ts";

/**
 * Late rate constants, 1/h: median and geometric standard deviation. Vapour diffuses through the dried layer at about
 * 1e-9 m²/s, and one figure serves apple, banana and strawberry (Reale, Torrez Irigoyen and Giner 2023, doi
 * 10.7455/ijfs/12.1.2023.a7); that foods differ by 20 % is our choice. Pieces are 7 to 16 mm thick, within two standard
 * deviations: common practice, no source. k goes with the inverse square of the thickness.
 */
const diffusivity = 1e-9;
const halfThickness = { least: 3.5e-3, most: 8e-3 } as const;
/** Standard deviation of ln k between foods of one thickness. */
const betweenFoods = 0.2;
/** Standard deviation of ln k where the half thickness is known to a standard deviation of its logarithm. */
export const rateSdOf = (thicknessSd: number): number => Math.hypot(2 * thicknessSd, betweenFoods);
export const rateConstant = {
  diffusivity,
  median: slabRatePerHour(diffusivity, Math.sqrt(halfThickness.least * halfThickness.most)),
  spread: Math.exp(rateSdOf(Math.log(halfThickness.most / halfThickness.least) / 4)),
} as const;
/** The rate constants reach this many standard deviations to both sides: as far as slices that are said to be thin. */
const kReach = { usual: 3, odd: 2 } as const;
/**
 * Bound water C when the ice is gone, share of dry mass. `front`: the front leaves `bound` behind it, which goes on
 * leaving while the front moves on, so that at the knee only what the last stretch of the front left is still held.
 * `slow`: food through which water creeps all the way, so that much is still there when the fast part is over.
 * Bound water 0.10 to 0.25 g per g and both spreads are our choice.
 */
const bound = { mean: 0.17, spread: 0.7, slow: { mean: 0.4, sd: 0.3, weight: 0.15 } } as const;
/**
 * Cuts, each with how likely it is. The knee goes with the square of the thickness, so its spread is twice that of the
 * thickness: 2.5 % for a machine, careful slices or what was frozen flat, 13 % for a free hand, which may leave a few
 * thick pieces or, as likely, none. Where only bounds are known, all between them is as likely (GUM 4.3.7, from memory).
 * The figures are our choice.
 */
const cuts: readonly (Cut & { readonly weight: number })[] = [
  { spread: 0.05, bounded: false, weight: 0.5 },
  { spread: 0.26, bounded: false, weight: 0.25 },
  { spread: 0.26, bounded: true, weight: 0.25 },
];
/**
 * Hour at which the ice of a tray is gone: median, geometric standard deviation, and what is looked at. Published drying
 * times are 6.8, 8.7 and 12 h (slices of banana, strawberry and apple, Reale and others as above), 14 h (hawthorn, J.
 * Thermal Eng. 9(4) 2023 876) and 60 to 65 h (a thick bed of strawberry, J. Food Eng. 32(2) 1997 133): 14 h in the
 * geometric mean, spread by 2.4.
 */
const knees = { median: 14, spread: 2.4, least: 1, most: 150 } as const;

/**
 * Lots stray further than a table's spread tells, being riper, wetter or of another cut: in one of ten the standard
 * deviations of the end mass and of the logarithm of the rate constant are three times as wide (Tukey's contaminated
 * normal; share and width are our choice). The trade's 102 g from 907 g of strawberries, where the table says 82 g, lies
 * two of its standard deviations off.
 */
export const odd = { share: 0.1, times: 3 } as const;

export type Manner = {
  readonly k: number;
  readonly slow: boolean;
  /** How many times wider than told the end mass and the rate constant are spread. */
  readonly widening: number;
  readonly logWeight: number;
};

/** Knees in steps of a ratio; rate constants and both ways of holding water. Log weights add up over all three. */
export type Scatter = {
  readonly cut: Cut;
  readonly kneeRatio: number;
  /** A dryer that stopped shows less of how it had dried: of so many knees one stands for all. */
  readonly stopsEvery: number;
  /** By step of the knee: its log weight. */
  readonly logWeights: Float64Array;
  readonly manners: readonly Manner[];
  /** By step of the knee: its hour. */
  readonly kneeHours: Float64Array;
  /** By step of the knee, and within it by manner: bound water at the knee, see `boundAtKnee`. */
  readonly boundMean: Float64Array;
  readonly boundSd: Float64Array;
};
export type Grid = readonly Scatter[];

const ratePoints = (
  count: number,
  reach: number,
  widening: number,
): readonly { readonly k: number; readonly log: number }[] =>
  Array.from({ length: count }, (_, i) => {
    const z = -reach + (2 * reach * i) / (count - 1);
    return { k: rateConstant.median * rateConstant.spread ** (widening * z), log: -0.5 * z * z };
  });

function weighted(slow: boolean, isOdd: boolean, count: number): readonly Manner[] {
  const widening = isOdd ? odd.times : 1;
  const points = ratePoints(count, isOdd ? kReach.odd : kReach.usual, widening);
  const total = logSum(points.map(({ log }) => log));
  const share =
    Math.log(slow ? bound.slow.weight : 1 - bound.slow.weight) +
    Math.log(isOdd ? odd.share : 1 - odd.share);
  return points.map(({ k, log }) => ({ k, slow, widening, logWeight: log - total + share }));
}

/** Points of the rate constant: for the usual way, where water creeps, and where the lot is odd. */
type Points = {
  readonly front: number;
  readonly slow: number;
  readonly odd: number;
  readonly oddSlow: number;
};

/** The sharper the knee, the finer its steps: half its spread, within `steps`; as logarithms, `stopped` for a dryer that
 * stopped. */
function gridOf(steps: { least: number; most: number; stopped: number }, points: Points): Grid {
  const manners = [
    ...weighted(false, false, points.front),
    ...weighted(true, false, points.slow),
    ...weighted(false, true, points.odd),
    ...weighted(true, true, points.oddSlow),
  ];
  return cuts.map((cut) => {
    const kneeRatio = 1 + Math.min(Math.max(0.5 * cut.spread, steps.least), steps.most);
    const stopsEvery = Math.max(1, Math.round(steps.stopped / Math.log(kneeRatio)));
    const last = Math.ceil(Math.log(knees.most) / Math.log(kneeRatio));
    const kneeHours = Float64Array.from({ length: last + 1 }, (_, step) => kneeRatio ** step);
    const logKnees = kneeHours.map(
      (hour) => -0.5 * (Math.log(hour / knees.median) / Math.log(knees.spread)) ** 2,
    );
    const logAll = logSum(logKnees);
    const held = [...kneeHours].flatMap((hour) => manners.map((one) => boundAtKnee(one, hour)));
    return {
      cut,
      kneeRatio,
      stopsEvery,
      logWeights: logKnees.map((one) => one - logAll + Math.log(cut.weight)),
      manners,
      kneeHours,
      boundMean: Float64Array.from(held, ({ mean }) => mean),
      boundSd: Float64Array.from(held, ({ sd }) => sd),
    };
  });
}

export const fineGrid = gridOf(
  { least: 0.06, most: 0.12, stopped: 0.12 },
  { front: 8, slow: 6, odd: 5, oddSlow: 4 },
);
/** For questions asked many times over; its probabilities differ from the fine ones by a point or two. */
export const roughGrid = gridOf(
  { least: 0.14, most: 0.2, stopped: 0.28 },
  { front: 5, slow: 3, odd: 3, oddSlow: 3 },
);

/** First and last step of the knee that weighings up to an hour may bear on. The grid is absolute, so that one more
 * weighing leaves the cells where they were. */
export function stepsAround(
  lastHour: number,
  ratio: number,
): { readonly first: number; readonly last: number } {
  const step = (hour: number): number => Math.log(hour) / Math.log(ratio);
  return {
    first: Math.floor(step(Math.max(knees.least, lastHour * 0.12))),
    last: Math.ceil(step(Math.min(knees.most, lastHour * 2.2 + 6))),
  };
}

/** Share of the dry mass that is bound water at the knee. */
function boundAtKnee(
  { k, slow }: Manner,
  kneeHour: number,
): { readonly mean: number; readonly sd: number } {
  if (slow) return bound.slow;
  const mean = bound.mean * heldBehindFront(k * kneeHour);
  return { mean, sd: bound.spread * mean };
}
