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

/** Log likelihood of each rate constant: a dryer that works, a usual lot. */
type Profile = { readonly lnK: readonly number[]; readonly log: readonly number[] };
/** For the usual way of holding water and for food through which it creeps: which of them is a property of the food. */
type Profiles = { readonly usual: Profile; readonly slow: Profile };

function profilesOf({ byManner, manners, logEvidence }: Evidence): Profiles {
  const hypotheses = logEvidence.length;
  const log = manners.map(({ logWeight }, m) => byManner.log[m * hypotheses]! - logWeight);
  const inLot = manners.flatMap(({ widening }, m) => (widening === 1 ? [m] : []));
  const top = Math.max(...inLot.map((m) => log[m]!));
  const profile = (slow: boolean): Profile => {
    const those = inLot.filter((m) => manners[m]!.slow === slow);
    return {
      lnK: those.map((m) => Math.log(manners[m]!.k)),
      log: those.map((m) => (top === -Infinity ? 0 : Math.max(log[m]! - top, -farthest))),
    };
  };
  return { usual: profile(false), slow: profile(true) };
}

/** Log likelihood of `lnK` for one tray, seen from another of the same food. */
function seenFrom({ lnK: lnKs, log }: Profile, lnK: number): number {
  const near = lnKs.map((other) => -0.5 * ((other - lnK) / betweenTrays) ** 2);
  return logSum(near.map((one, i) => one + log[i]!)) - logSum(near);
}

/**
 * Each tray's evidence with the rate constants and the way of holding water made likelier that the other trays of its
 * food show. `evidences`: with what is told of each tray itself; `weighed`: without, for what is told of one is no
 * witness for another. `alike[i]` lists those others of tray i; all of them together count as `weight[i]` times their
 * number, having the errors of one model in common.
 */
export function withSharedRates(
  evidences: readonly Evidence[],
  weighed: readonly Evidence[],
  alike: readonly (readonly number[])[],
  weight: readonly number[],
): readonly Evidence[] {
  const profiles = weighed.map(profilesOf);
  return evidences.map((evidence, i) => {
    const others = alike[i]!;
    if (others.length === 0) return evidence;
    const logWeight = Float64Array.from(evidence.manners, ({ k, slow }) =>
      others.reduce((sum, j) => {
        const { usual, slow: creeping } = profiles[j]!;
        return sum + weight[i]! * seenFrom(slow ? creeping : usual, Math.log(k));
      }, 0),
    );
    return withManners(evidence, logWeight);
  });
}
