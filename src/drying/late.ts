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

/** Rounding of the knee as a share of its hour, from pieces of different thickness. Our choice. */
const kneeSpread = 0.08;
/** Shape of the gamma distribution of rate constants: k of the pieces scatters by 1/√a = 29 %. Our choice. */
const rateShape = 12;

const softplus = (x: number): number =>
  x > 30 ? x : x < -30 ? 0 : Math.log1p(Math.exp(-Math.abs(x))) + Math.max(x, 0);

/** Hours of ice still to go at `hour`, the tray's mean knee being at `kneeHour`. */
export function iceHours(hour: number, kneeHour: number): number {
  const width = kneeSpread * kneeHour;
  return width * softplus((kneeHour - hour) / width);
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
