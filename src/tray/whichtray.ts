import type { Grams } from "../units/quantity.ts";
import type { FoodOnTray, WeighingKind } from "./weighing.ts";
export type TrayCandidate = {
  readonly id: number;
  readonly name: string;
  readonly expect: { low: number; high: number };
};
type Ranked = readonly { readonly id: number; readonly probability: number }[];
export function expectGross(a: {
  kind: WeighingKind;
  tare: Grams | null;
  freshNet: Grams | null;
  lastNet: Grams | null;
  food: FoodOnTray | null;
  waterLeftOfOthers: readonly number[];
}) {
  if (a.kind === "tare") return { low: 20, high: 5000 };
  const tare = a.tare ?? 0;
  if (a.kind === "fresh") return { low: tare + 5, high: tare + 10000 };
  return { low: tare + 0.01 * (a.freshNet ?? 0), high: tare + (a.lastNet ?? 0) * 1.02 };
}
export function whichTray({
  gross,
  candidates,
  prompted,
}: {
  gross: Grams;
  u: Grams;
  candidates: readonly TrayCandidate[];
  prompted: number | null;
}):
  | { is: "sure"; id: number; probability: number }
  | { is: "ask"; ranked: Ranked; why: string }
  | { is: "none"; ranked: Ranked; why: string } {
  const fit = candidates.filter((c) => gross >= c.expect.low && gross <= c.expect.high);
  if (fit.some((c) => c.id === prompted)) return { is: "sure", id: prompted!, probability: 0.97 };
  if (fit.length === 1) return { is: "sure", id: fit[0]!.id, probability: 1 };
  const ranked = (fit.length ? fit : candidates).map((c) => ({
    id: c.id,
    probability: 1 / candidates.length,
  }));
  return { is: fit.length ? "ask" : "none", ranked, why: "not sure which tray this is" };
}
