/** What was found of the thickest pieces of a bag's trays after it was planned. */
import { trayCalled } from "../tray/called.ts";
import type { CoreFinding } from "../tray/weighing.ts";
import type { Bag, BagPart, LaterCore, Moisture } from "./bag.ts";

type Wet = LaterCore & { readonly finding: Exclude<CoreFinding, "dry"> };

/**
 * The last time that a piece of a part's tray was cold or soft inside; null: none was. What is in the bag lay beside it,
 * and a tray that was dried on since and found dry says nothing of the bag: whoever filled it later plans it anew.
 */
export const foundWet = (bag: Bag, { trayId }: BagPart): Wet | null =>
  bag.coresSince
    .filter((one): one is Wet => one.finding !== "dry")
    .findLast((one) => one.trayId === trayId) ?? null;

/** To be said wherever the bag is shown, one for each such tray. */
export function wetCautions(bag: Bag): readonly string[] {
  const said = bag.parts.flatMap((part) => {
    const check = foundWet(bag, part);
    return check === null
      ? []
      : [
          `Found later on ${trayCalled(part.name)}: its thickest piece was ${check.finding} inside.`,
        ];
  });
  return [...new Set(said)];
}

/** What the food held when it was packed; null where nothing is known of it, or what was believed turned out wrong. */
export const moistureIn = (bag: Bag): Moisture | null =>
  bag.parts.some((part) => foundWet(bag, part) !== null) ? null : bag.moisture;
