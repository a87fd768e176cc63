/**
 * A weighing that shows no loss, on a scale that would have shown one, never makes a tray less dry than it was believed
 * to be without it. The curve would have it otherwise: whoever expects a little loss and sees none thinks of a dryer
 * that stopped. That surprise is no larger than the curve is exact, which it is not to a hundredth of the dry mass; and
 * what was once proved stays proved until the mass falls or rises.
 */
import { drynessOf, type Dryness } from "./dryness.ts";
import { inOrder, loadOf, type Load } from "./load.ts";
import { lastPair, provableOf } from "./pair.ts";
import { mostCertain, type GramConstants } from "./rules.ts";

/** Below this probability of dryness nothing was proved before. */
const leastProved = 0.5;

/** `all`: the trays of a batch as they are believed with every weighing. */
export function neverLowered(
  all: readonly Dryness[],
  limit: number,
  inGrams: GramConstants,
): readonly Dryness[] {
  return all.map((dryness, i) => {
    let { load, pDry } = dryness;
    const loads = all.map((one) => one.load);
    while (pDry >= leastProved && pDry < mostCertain && isLevel(load, limit)) {
      const earlier = withoutNewest(load, inGrams);
      if (earlier === null) break;
      load = earlier;
      const before = drynessOf(loads.with(i, load), limit, { detailed: false })[i]!;
      pDry = Math.max(pDry, before.pDry);
    }
    return pDry === dryness.pDry ? dryness : raisedTo(dryness, pDry);
  });
}

/** The newest weighing shows neither loss nor gain, and a loss of the limit would have been seen. */
function isLevel(load: Load, limit: number): boolean {
  const pair = lastPair(load);
  const provable = provableOf(load);
  return (
    pair !== null && provable <= limit * load.end.dryGrams && Math.abs(pair.lossGrams) <= provable
  );
}

/** Null where fewer than two weighings would be left to judge. */
function withoutNewest({ log, rows }: Load, inGrams: GramConstants): Load | null {
  if (rows.length < 3) return null;
  return loadOf({ ...log, weighings: inOrder(log.weighings).slice(0, -1) }, inGrams);
}

function raisedTo(dryness: Dryness, pDry: number): Dryness {
  const wet = (1 - pDry) / (1 - dryness.pDry);
  return {
    ...dryness,
    pDry,
    pWetWorking: wet * dryness.pWetWorking,
    pWetStopped: wet * dryness.pWetStopped,
  };
}
