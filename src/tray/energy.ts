/** What a drying took from the mains, and what that cost. Mean power times hours; both are the person's own figures. */
import type { Hours } from "../units/quantity.ts";

type Energy = { readonly kwh: number; readonly cost: number | null };

/** null: nobody said what the dryer takes. */
export function energyOf(
  dryer: { readonly watts: number | null; readonly pricePerKwh: number | null } | null,
  dryingHours: Hours,
): Energy | null {
  if (dryer === null || dryer.watts === null) return null;
  const kwh = (dryer.watts / 1000) * dryingHours;
  return { kwh, cost: dryer.pricePerKwh === null ? null : kwh * dryer.pricePerKwh };
}
