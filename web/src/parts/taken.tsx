import type { Taken } from "../../../src/wire/bench.ts";
import { service } from "../ask.ts";
import { foodCalled, announced, say, speech, trayNamed } from "../page.ts";
import { showMass } from "../show.ts";
import { ActButton } from "./act.tsx";

/** Stands until the next load settles; so long it can be taken back with one touch. */
export function TakenNote({
  taken,
  divisionGrams,
}: {
  readonly taken: Taken;
  readonly divisionGrams: number | null;
}) {
  const { weigh } = say();
  const name = trayNamed(taken.batch, taken.name);
  const gross = showMass(speech.value, taken.grossGrams, divisionGrams);
  // What it was taken for stands in the line that is shown at every size.
  const isEmpty = taken.kind === "tare";
  const net =
    taken.netGrams === null
      ? weigh.kinds[taken.kind]
      : taken.food === null
        ? weigh.takenNet(showMass(speech.value, taken.netGrams, divisionGrams))
        : weigh.takenFood(
            showMass(speech.value, taken.netGrams, divisionGrams),
            foodCalled(taken.food),
          );
  return (
    <section class="taken">
      <div>
        <h2>{weigh[isEmpty ? "takenEmpty" : "taken"](name, gross)}</h2>
        {!isEmpty && <p class="quiet">{net}</p>}
      </div>
      <ActButton
        asking={() =>
          service.editWeighing(taken.weighing, { struck: true, reason: weigh.undoReason })
        }
        after={() => {
          announced.value = weigh.undone;
        }}
      >
        {weigh.undo}
      </ActButton>
    </section>
  );
}
