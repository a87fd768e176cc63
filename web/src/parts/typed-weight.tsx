/** For a scale that is not connected: its display typed in. */
import { useSignal } from "@preact/signals";
import type { Batch } from "../../../src/wire/batch.ts";
import type { TypedWeighing } from "../../../src/wire/requests.ts";
import type { UnitWord, WeighingKind } from "../../../src/wire/words.ts";
import { toGrams } from "../../../src/units/mass.ts";
import { service } from "../ask.ts";
import { dryerCalled, nowMs, say, speech } from "../page.ts";
import { fromLocalField, readTyped, showMass, trayName } from "../show.ts";
import { Form, useAct } from "./act.tsx";
import { Choice, Field, Fold } from "./field.tsx";

const kinds: readonly WeighingKind[] = ["tare", "fresh", "dry"];
const units: readonly UnitWord[] = ["g", "kg", "oz", "lb"];

export function TypedWeight({ batches }: { readonly batches: readonly Batch[] }) {
  const texts = say().weigh.typed;
  if (batches.every((batch) => batch.trays.length === 0)) return null;
  return (
    <Fold summary={texts.open}>
      <TypedForm batches={batches} />
    </Fold>
  );
}

function TypedForm({ batches }: { readonly batches: readonly Batch[] }) {
  const { weigh, look } = say();
  const texts = weigh.typed;
  const act = useAct();
  const trays = batches.flatMap((batch) => batch.trays.map((tray) => ({ batch, tray })));
  const waiting = batches.flatMap((batch) => batch.round.waiting)[0];
  const first = trays.find(({ tray }) => tray.id === waiting) ?? trays[0];
  const chosen = useSignal<string | null>(null);
  const kind = useSignal<WeighingKind | null>(null);
  const value = useSignal("");
  const unit = useSignal<UnitWord>(speech.value.unit);
  const division = useSignal("");
  const at = useSignal("");
  const picked = trays.find(({ tray }) => String(tray.id) === chosen.value) ?? first;
  if (picked === undefined) return null;
  // Also a tray that joins a batch which is drying already is weighed fresh first.
  const isToLoad = picked.tray.freshGrams === null || picked.batch.clock.state === "waiting";
  const usual: WeighingKind = isToLoad ? "fresh" : "dry";

  const keep = async (): Promise<void> => {
    const number = readTyped(value.value);
    const step = division.value.trim() === "" ? null : readTyped(division.value);
    const isBad = number === null || number <= 0;
    if (isBad || (step === null && division.value.trim() !== "")) {
      act.refuse(texts.notANumber, isBad ? value : division);
      return;
    }
    const when = at.value === "" ? null : fromLocalField(at.value, nowMs.peek());
    const asked: TypedWeighing = {
      tray: picked.tray.id,
      kind: kind.value ?? usual,
      value: number,
      unit: unit.value,
      ...(step === null ? {} : { divisionGrams: toGrams(step, unit.value) }),
      ...(when === null ? {} : { at: when }),
    };
    const done = await act.run(() => service.typeWeighing(asked));
    if (done === null) return;
    value.value = "";
    kind.value = null;
    const mass = showMass(speech.value, toGrams(number, unit.value), asked.divisionGrams ?? null);
    act.tell(texts.kept(trayName(speech.value, picked.tray.name), mass));
  };

  return (
    <Form onSend={() => void keep()} act={act} send={texts.keep} look="big">
      <div class="fields">
        <Choice
          label={texts.tray}
          value={String(picked.tray.id)}
          onValue={(id) => (chosen.value = id)}
          options={trays.map(({ batch, tray }) => ({
            value: String(tray.id),
            label:
              batches.length > 1 ? say().ofDryer(tray.name, dryerCalled(batch.dryer)) : tray.name,
          }))}
        />
        <Choice
          label={texts.kind}
          value={kind.value ?? usual}
          onValue={(word) => (kind.value = word)}
          options={kinds.map((one) => ({ value: one, label: weigh.kinds[one] }))}
        />
        <Field label={texts.value} kind="number" narrow of={value} />
        <Choice
          label={texts.unit}
          of={unit}
          options={units.map((one) => ({ value: one, label: look.units[one] }))}
        />
        <Field
          label={texts.division}
          kind="number"
          narrow
          hint={texts.divisionHint}
          of={division}
        />
        <Field label={texts.at} kind="when" narrow hint={texts.atHint} of={at} />
      </div>
    </Form>
  );
}
