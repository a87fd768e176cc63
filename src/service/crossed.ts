/** Edits that cross: one that was made up before another was kept must not undo it unseen. */
import { isDeepStrictEqual } from "node:util";
import { Fault } from "../faults.ts";
import type { UtcMs } from "../units/quantity.ts";
import { inOneForm } from "../units/written.ts";
import type { ScaleChoice, ScaleChosen } from "../wire/seen.ts";
import type { Bench, ScaleOnBench } from "./bench.ts";
import { nextLoad, scaleOrFault, trayOrFault } from "./loads.ts";

/** Throws edit.crossed, with every part that no longer stands as it was seen. */
export function refuseCrossed(
  what: string,
  seen: Readonly<Record<string, unknown>> | undefined,
  present: Readonly<Record<string, unknown>>,
): void {
  const shown = textsInOneForm(present) as Readonly<Record<string, unknown>>;
  const errors = Object.entries(seen ?? {}).flatMap(([name, was]) =>
    was === undefined || isDeepStrictEqual(textsInOneForm(was), shown[name] ?? null)
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

/** Names that were kept before they were brought into one form are the same as what comes back of them. */
const textsInOneForm = (value: unknown): unknown =>
  JSON.parse(JSON.stringify(value), (_, part: unknown) =>
    typeof part === "string" ? inOneForm(part) : part,
  );

export function choiceOn(bench: Bench, scale: ScaleOnBench, at: UtcMs): ScaleChosen {
  const next = nextLoad(bench, scale, at);
  const chosen = next?.chosen === true ? next : null;
  return {
    tray: chosen?.tray.id ?? null,
    portion: chosen?.portion ?? null,
    bag: scale.bag?.bagId ?? null,
    weight: scale.checking,
  };
}

/** What a person has chosen to come next onto a scale must not be changed by another who did not see it. */
export function refuseChosenMeanwhile(
  bench: Bench,
  scaleId: string,
  seen: ScaleChoice | undefined,
  at: UtcMs,
): void {
  if (seen === undefined) return;
  const now = choiceOn(bench, scaleOrFault(bench, scaleId), at);
  const words = {
    tray: now.tray === null ? "no tray" : trayOrFault(bench, now.tray).tray.name,
    portion: now.portion === null ? "no portion" : `portion ${now.portion}`,
    bag: now.bag === null ? "no bag" : "a bag",
    weight: now.weight === null ? "no check weight" : "a check weight",
  };
  const errors = (["tray", "portion", "bag", "weight"] as const)
    .filter((what) => seen[what] !== undefined && seen[what] !== now[what])
    .map((what) => ({ pointer: `#/${what}`, detail: `${words[what]} stands chosen there now` }));
  if (errors.length > 0)
    throw new Fault("edit.crossed", "somebody else chose what comes onto that scale", { errors });
}
