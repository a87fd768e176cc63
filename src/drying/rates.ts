/** What the trays of one food tell of each other: they were cut by one hand, so they dry alike. */
import { withManners, type Evidence } from "./evidence.ts";
import { logSum } from "./logsum.ts";

/**
 * Standard deviation of ln k between trays of one food and batch: mean thicknesses that differ by 15 %, of which k takes
 * the square. Our choice.
 */
const betweenTrays = 0.3;
/** Nothing that one tray shows makes a rate less likely than this to another, in natural logarithms. */
const farthest = 12;

/** Log likelihood of each rate constant: a dryer that works, the usual way of holding water, a usual lot. */
type Profile = { readonly lnK: readonly number[]; readonly log: readonly number[] };

function profileOf({ byManner, manners, logEvidence }: Evidence): Profile {
  const hypotheses = logEvidence.length;
  const usual = manners.flatMap(({ k, slow, widening, logWeight }, m) =>
    slow || widening !== 1
      ? []
      : [{ lnK: Math.log(k), log: byManner.log[m * hypotheses]! - logWeight }],
  );
  const top = Math.max(...usual.map(({ log }) => log));
  return {
    lnK: usual.map(({ lnK }) => lnK),
    log: usual.map(({ log }) => (top === -Infinity ? 0 : Math.max(log - top, -farthest))),
  };
}

/** Log likelihood of `lnK` for one tray, seen from another of the same food. */
function seenFrom({ lnK: lnKs, log }: Profile, lnK: number): number {
  const near = lnKs.map((other) => -0.5 * ((other - lnK) / betweenTrays) ** 2);
  return logSum(near.map((one, i) => one + log[i]!)) - logSum(near);
}

/**
 * Each tray's evidence with the rate constants made likelier that the other trays of its food show. `alike[i]` lists
 * those others of tray i; all of them together count as `weight[i]` times their number, having the errors of one model
 * in common.
 */
export function withSharedRates(
  evidences: readonly Evidence[],
  alike: readonly (readonly number[])[],
  weight: readonly number[],
): readonly Evidence[] {
  const profiles = evidences.map(profileOf);
  return evidences.map((evidence, i) => {
    const others = alike[i]!;
    if (others.length === 0) return evidence;
    const logWeight = Float64Array.from(evidence.manners, ({ k }) =>
      others.reduce((sum, j) => sum + weight[i]! * seenFrom(profiles[j]!, Math.log(k)), 0),
    );
    return withManners(evidence, logWeight);
  });
}
