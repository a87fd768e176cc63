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
 * A, R and C enter linearly, so for every knee and k their posterior is a Gaussian in closed form; knee and
 * k are summed over a fixed grid. Nothing is drawn at random: the same weighings give the same answer.
 */
import { normalBelow } from "./normal.ts";

/** The ice of the pieces is gone at different hours: standard deviation as a share of the knee. Our choice. */
const kneeSpread = 0.12;
/** Shape of the gamma distribution of rate constants: k of the pieces scatters by 1/√a = 29 %. Our choice. */
const rateShape = 12;

/** Hours of ice still to go at `hour`: the mean over pieces whose knees scatter around `kneeHour` as a Gaussian. */
export function iceHours(hour: number, kneeHour: number): number {
  const sd = kneeSpread * kneeHour;
  const z = (kneeHour - hour) / sd;
  if (z > 8) return kneeHour - hour;
  if (z < -8) return 0;
  return sd * (Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI) + z * normalBelow(z));
}

/** Share of the bound water still held so many hours after the knee; `k` in 1/h. */
export function heldAfter(hoursSinceKnee: number, k: number): number {
  // x^12 by multiplication: this line is the inner loop.
  const x = 1 + (k * hoursSinceKnee) / rateShape;
  const x4 = x * x * x * x;
  return 1 / (x4 * x4 * x4);
}

/** Share of the bound water still held at `hour`. */
export const boundShare = (hour: number, kneeHour: number, k: number): number =>
  heldAfter(hour - kneeHour + iceHours(hour, kneeHour), k);
