/** A tray of the tests of the whole. The masses are invented; the program does not know the curve. */
export type Load = {
  readonly name: string;
  readonly tare: number;
  readonly fresh: number;
  readonly waterPct: number;
};

/** First-order drying towards the dry matter and 2 % of it in water. */
export function trueNet({ fresh, waterPct }: Load, dryingHours: number): number {
  const end = fresh * (1 - waterPct / 100) * 1.02;
  return end + (fresh - end) * Math.exp(-0.3 * dryingHours);
}
