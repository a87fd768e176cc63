import { fitPage, type PageFit } from "../drying/fitcurve.ts";
import type { Load } from "./load.ts";
import type { CurveShape, FitReport } from "./verdict.ts";

/** Points of the curve as shown. */
const shownPoints = 24;
/** The curve goes on beyond the last weighing by this share of the hours so far. */
const ahead = 0.5;

/** The curve for the eye, and what was fitted; both null where the weighings carry none. It decides nothing. */
export function curveOf({ rows, freshGrams, end }: Load): {
  readonly fit: FitReport | null;
  readonly curve: CurveShape | null;
} {
  if (freshGrams === null) return { fit: null, curve: null };
  const answer = fitPage(rows, { freshGrams, endGrams: end.endGrams, endSdGrams: end.endSdGrams });
  if (answer.is !== "fitted") return { fit: null, curve: null };
  const [endGrams, lnTau, n] = answer.page.fit.values;
  const [endError, lnTauError, nError] = answer.page.fit.standardErrors;
  const tau = Math.exp(lnTau!);
  return {
    fit: {
      model: "page",
      parameters: { end_g: endGrams!, tau_h: tau, n: n! },
      standardErrors: { end_g: endError!, tau_h: tau * lnTauError!, n: nError! },
    },
    curve: shapeOf(answer.page, rows.at(-1)!.hour),
  };
}

function shapeOf({ netAt, drawn }: PageFit, lastHour: number): CurveShape {
  const until = lastHour * (1 + ahead);
  const dryingHours = Array.from(
    { length: shownPoints },
    (_, i) => (until * i) / (shownPoints - 1),
  );
  // From one hour to the next the draws hardly change places, so each sorting begins with the last one's order.
  const order = drawn.map((one) => ({ ...one, net: 0 }));
  const at = (p: number): number => {
    let seen = 0;
    for (const { net, weight } of order) if ((seen += weight) >= p) return net;
    return order.at(-1)!.net;
  };
  const points = dryingHours.map((hour) => {
    for (const one of order) one.net = one.netAt(hour);
    order.sort((a, b) => a.net - b.net);
    const middle = netAt(hour);
    return { middle, low: Math.min(at(0.05), middle), high: Math.max(at(0.95), middle) };
  });
  return {
    dryingHours,
    netGrams: points.map(({ middle }) => middle),
    lowGrams: points.map(({ low }) => low),
    highGrams: points.map(({ high }) => high),
  };
}
