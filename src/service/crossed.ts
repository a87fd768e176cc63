/** Edits that cross: one that was made up before another was kept must not undo it unseen. */
import { Fault } from "../faults.ts";

type Part = string | number | boolean | null | undefined;

/** Throws edit.crossed, with every part that no longer stands as it was seen. */
export function refuseCrossed(
  what: string,
  seen: Readonly<Record<string, Part>> | undefined,
  present: Readonly<Record<string, unknown>>,
): void {
  const errors = Object.entries(seen ?? {}).flatMap(([name, was]) =>
    was === undefined || was === present[name]
      ? []
      : [
          {
            pointer: `#/${name}`,
            detail: `${name} is ${JSON.stringify(present[name])} now and was ${JSON.stringify(was)}`,
          },
        ],
  );
  if (errors.length > 0)
    throw new Fault("edit.crossed", `${what} was changed by somebody else meanwhile`, { errors });
}
