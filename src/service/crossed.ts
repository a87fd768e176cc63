/** Edits that cross: one that was made up before another was kept must not undo it unseen. */
import { isDeepStrictEqual } from "node:util";
import { Fault } from "../faults.ts";
import type { ScaleChoice } from "../wire/seen.ts";
import type { Bench } from "./bench.ts";
import { scaleOrFault, trayOrFault } from "./loads.ts";

/** Throws edit.crossed, with every part that no longer stands as it was seen. */
export function refuseCrossed(
  what: string,
  seen: Readonly<Record<string, unknown>> | undefined,
  present: Readonly<Record<string, unknown>>,
): void {
  const shown = JSON.parse(JSON.stringify(present)) as Readonly<Record<string, unknown>>;
  const errors = Object.entries(seen ?? {}).flatMap(([name, was]) =>
    was === undefined || isDeepStrictEqual(was, shown[name] ?? null)
      ? []
      : [
          {
            pointer: `#/${name}`,
            detail: `${name} is ${JSON.stringify(shown[name] ?? null)} now and was ${JSON.stringify(was)}`,
          },
        ],
  );
  if (errors.length > 0)
    throw new Fault("edit.crossed", `${what} was changed by somebody else meanwhile`, { errors });
}

/** What a person has chosen to come next onto a scale must not be changed by another who did not see it. */
export function refuseChosenMeanwhile(
  bench: Bench,
  scaleId: string,
  seen: ScaleChoice | undefined,
): void {
  if (seen === undefined) return;
  const { chosen, bag, checking } = scaleOrFault(bench, scaleId);
  const now: Required<ScaleChoice> = {
    tray: chosen?.trayId ?? null,
    bag: bag?.bagId ?? null,
    weight: checking,
  };
  const named = chosen === null ? "no tray" : trayOrFault(bench, chosen.trayId).tray.name;
  const words = { tray: named, bag: bag === null ? "no bag" : "a bag", weight: "a check weight" };
  const errors = (["tray", "bag", "weight"] as const)
    .filter((what) => seen[what] !== undefined && seen[what] !== now[what])
    .map((what) => ({ pointer: `#/${what}`, detail: `${words[what]} stands chosen there now` }));
  if (errors.length > 0)
    throw new Fault("edit.crossed", "somebody else chose what comes onto that scale", { errors });
}
