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
 * Hours of ice still to go at `hour`: the mean over pieces whose knees scatter around `kneeHour` as a Gaussian with
 * the standard deviation `kneeSpread`, a share of it.
 */
export function iceHours(hour: number, kneeHour: number, kneeSpread: number): number {
  const sd = kneeSpread * kneeHour;
  const z = (kneeHour - hour) / sd;
  if (z >= reach) return kneeHour - hour;
  if (z <= -reach) return 0;
  return sd * bendAt(z);
}

/** Share of the bound water still held so many hours after the knee; `k` in 1/h. */
export function heldAfter(hoursSinceKnee: number, k: number): number {
  // x^12 by multiplication: this line is the inner loop.
  const x = 1 + k * hoursSinceKnee * perShape;
  const x4 = x * x * x * x;
  return 1 / (x4 * x4 * x4);
}
