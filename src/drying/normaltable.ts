/** The normal distribution from a table: asked for some ten thousand times a tray. */
import { normalBelow } from "./normal.ts";

export const reach = 8;
const steps = 800;
const step = (2 * reach) / steps;
const zAt = (i: number): number => i * step - reach;

const below = Float64Array.from({ length: steps + 1 }, (_, i) => normalBelow(zAt(i)));
/** z·Φ(z) + φ(z), whose slope is Φ(z). */
const bend = Float64Array.from({ length: steps + 1 }, (_, i) => {
  const z = zAt(i);
  return Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI) + z * below[i]!;
});

/** Φ(z) to 2e-5: a straight line between two points of the table. */
export function roughlyBelow(z: number): number {
  if (z <= -reach) return 0;
  if (z >= reach) return 1;
  const at = (z + reach) / step;
  const i = Math.floor(at);
  return below[i]! + (at - i) * (below[i + 1]! - below[i]!);
}

/** z·Φ(z) + φ(z) for |z| < 8, to 1e-9: Hermite's cubic between two points of the table. */
export function bendAt(z: number): number {
  const at = (z + reach) / step;
  const i = Math.min(Math.floor(at), steps - 1);
  const t = at - i;
  const s = 1 - t;
  return (
    s * s * (1 + 2 * t) * bend[i]! +
    t * t * (3 - 2 * t) * bend[i + 1]! +
    step * t * s * (s * below[i]! - t * below[i + 1]!)
  );
}
