/** Food that was dried before and took up moisture: a portion that is tied to the bag which it was taken from. */
import { bagCode, type Bag } from "../bag/bag.ts";
import { netOf, recheckOf, stateOf } from "../bag/state.ts";
import { moistureIn } from "../bag/thickest.ts";
import { Fault } from "../faults.ts";
import type { Portion } from "../tray/portion.ts";
import type { ScaleComparison } from "../tray/offset.ts";
import { z95 } from "../units/normal.ts";
import { fraction, type Fraction, type UtcMs } from "../units/quantity.ts";
import { setFate } from "./bags.ts";
import type { Bench, Change } from "./bench.ts";

/** Wet basis, where nothing was known of a bag when it was packed. Our choice, wide. */
const anyDried = { water: 0.06, waterSd: 0.04 };
/** A gain of moisture is spread unevenly, and the scale saw only the bag. Our choice. */
const leastSd = 0.01;
export const caution =
  "It was dried before and took up moisture: look at it, smell it, and throw it away in doubt. Drying again does not undo what grew in it.";

export type FromBag = Pick<Portion, "foodName" | "food" | "cautions" | "fromBag">;

/** In this form alone it is known in other languages (food/german.ts). */
export const redriedName = (product: string, bag: string): string =>
  `${product} (bag ${bag}, dried before)`;

/** What a bag's food is to the judgment: what it held when it was packed, and what it gained since. */
export function fromBag(
  bag: Bag,
  limit: Fraction,
  now: UtcMs,
  comparisons: readonly ScaleComparison[],
): FromBag {
  const packed = moistureIn(bag);
  const held = packed?.estimate ?? anyDried.water;
  const sd = packed === null ? anyDried.waterSd : (packed.high - packed.low) / (2 * z95);
  const net = netOf(bag) ?? bag.target;
  const gain = Math.max(0, recheckOf(bag, limit, now, comparisons)?.gain ?? 0);
  const water = (held * net + gain) / (net + gain);
  const code = bagCode(bag);
  const foodName = redriedName(bag.product, code);
  return {
    foodName,
    food: {
      name: foodName,
      water: fraction(Math.min(0.95, Math.max(0.001, water))),
      waterSd: fraction(Math.max(leastSd, sd)),
      source: `what bag ${code} held when it was packed, and its gain since`,
    },
    cautions: [...new Set([...bag.cautions, caution])],
    fromBag: bag.id,
  };
}

/** Throws bag.wrong-state where a bag's food cannot go onto a tray, or did so already. */
export function refuseForTray(bag: Bag, isOnTray: boolean): void {
  const state = stateOf(bag);
  const may = ["filled", "sealed", "opened", "re-dry"].includes(state);
  if (!may || isOnTray)
    throw new Fault(
      "bag.wrong-state",
      isOnTray
        ? `the food of bag ${bagCode(bag)} is on a tray already`
        : `bag ${bagCode(bag)} is ${state}: its food cannot be dried again`,
    );
}

/** Bags whose food goes onto trays leave the store, and say where it went. */
export function redried(
  bench: Bench,
  portions: readonly { readonly tray: string; readonly bagId: number }[],
  batchNumber: number,
  at: UtcMs,
): readonly Change[] {
  const inStore = portions.filter(({ bagId }) => bench.bags.some(({ id }) => id === bagId));
  const open = inStore.filter(({ bagId }) =>
    bench.bags.some((bag) => bag.id === bagId && stateOf(bag) !== "re-dry"),
  );
  return open.flatMap(({ tray, bagId }, index) => {
    const note = `onto tray ${tray} of batch ${batchNumber}`;
    const numbered = { ...bench, next: { ...bench.next, bagFate: bench.next.bagFate + index } };
    return setFate(numbered, bagId, "re-dry", note, at);
  });
}
