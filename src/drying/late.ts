/**
 * The physics of late drying, as far as a few weighings can carry it. Net mass at drying hour t:
 *
 *   m(t) = A + R·φ(t) + C·ψ(t)
 *
 * A  g    mass at which a working dryer can take no more
 * R  g/h  rate at which ice still leaves; φ(t) are the hours until the ice of the tray is gone (the knee)
 * C  g    bound water when the ice is gone; ψ(t) is the share of it still held
 *
 * Ice leaves at a nearly constant rate because the drying front sets it, bound water leaves in proportion to
 * what is left (Liapis and Bruttini, "Freeze drying", Handbook of Industrial Drying, from memory). Pieces
 * differ, so the knee is rounded, and the bound water follows a mixture of exponentials: rates spread by a
 * gamma distribution give (1 + kτ/a)^−a, slower at the end than any single exponential.
 * A, R and C enter linearly, so for every knee, its rounding and k their posterior is a Gaussian in closed form;
 * these are summed over a fixed grid. Nothing is drawn at random: the same weighings give the same answer.
 */
import { bendAt, reach } from "./normaltable.ts";

/** Shape of the gamma distribution of rate constants: k of the pieces scatters by 1/√a = 29 %. Our choice. */
const rateShape = 12;
const perShape = 1 / rateShape;

/**
 * How the hours at which the ice of the pieces is gone scatter around the knee: `spread` is their standard deviation, a
 * share of the knee. They lie evenly between two bounds, as pieces do of which none is thicker than a blade was set to
 * or a hand let pass; else as a Gaussian, with a few far behind.
 */
export type Cut = { readonly spread: number; readonly bounded: boolean };

/** Hours of ice still to go at `hour`: the mean over the pieces, whose ice is gone around `kneeHour`. */
export function iceHours(hour: number, kneeHour: number, { spread, bounded }: Cut): number {
  const sd = spread * kneeHour;
  const toKnee = kneeHour - hour;
  const end = bounded ? Math.sqrt(3) * sd : reach * sd;
  if (toKnee >= end) return toKnee;
  if (toKnee <= -end) return 0;
  return bounded ? (toKnee + end) ** 2 / (4 * end) : sd * bendAt(toKnee / sd);
}

/** Share of the bound water still held so many hours after the knee; `k` in 1/h. */
export function heldAfter(hoursSinceKnee: number, k: number): number {
  // x^12 by multiplication: this line is the inner loop.
  const x = 1 + k * hoursSinceKnee * perShape;
  const x4 = x * x * x * x;
  return 1 / (x4 * x4 * x4);
}

/**
 * Resistance of the whole dried layer against that at the start, in terms of which the front moves: the dried share x
 * after a share u of its time is x + βx²/2 = u·(1 + β/2), β in a range of 0.5 to 4. Our choice, from its lower end.
 */
const resistance = 1;
/** Speed of the front after a share of its time, against its mean. */
const frontSpeed = (timeShare: number): number =>
  (1 + resistance / 2) / Math.sqrt(1 + 2 * resistance * (1 + resistance / 2) * timeShare);
/** Late ice leaves slower than on average, the dried layer being in its way. */
export const lateSpeed = frontSpeed(1);

const parts = 16;
/**
 * Share of what the front left behind it that is still held when it arrives, after `lifetimes` of the bound water:
 * ∫ v(u)·e^(−lifetimes·(1 − u)) du over the front's time u, v being its speed. Summed over equal parts of e^(…).
 */
export function heldBehindFront(lifetimes: number): number {
  const gone = -Math.expm1(-lifetimes);
  let speed = 0;
  for (let i = 0; i < parts; i++)
    speed += frontSpeed(1 + Math.log1p((-gone * (i + 0.5)) / parts) / lifetimes);
  return (gone / lifetimes) * (speed / parts);
}
