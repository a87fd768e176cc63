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
  const order = Uint8Array.from(drawn, (_, i) => i);
  const nets = new Float64Array(drawn.length);
  const at = (p: number): number => {
    let seen = 0;
    for (let i = 0; i < nets.length; i++)
      if ((seen += drawn[order[i]!]!.weight) >= p) return nets[i]!;
    return nets.at(-1)!;
  };
  const points = dryingHours.map((hour) => {
    for (let i = 0; i < nets.length; i++)
      insert(nets, order, i, drawn[order[i]!]!.netAt(hour), order[i]!);
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

/** Puts a draw where it belongs among the `sorted` first. */
function insert(
  nets: Float64Array,
  order: Uint8Array,
  sorted: number,
  net: number,
  which: number,
): void {
  let i = sorted;
  for (; i > 0 && nets[i - 1]! > net; i--) {
    nets[i] = nets[i - 1]!;
    order[i] = order[i - 1]!;
  }
  nets[i] = net;
  order[i] = which;
}
