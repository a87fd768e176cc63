/** For a scale that is not connected: its display typed in. */
import { useSignal } from "@preact/signals";
import type { Batch } from "../../../src/wire/batch.ts";
import type { TypedWeighing } from "../../../src/wire/requests.ts";
import type { UnitWord, WeighingKind } from "../../../src/wire/words.ts";
import { toGrams } from "../../../src/units/mass.ts";
import { service } from "../ask.ts";
import { announced, say, speech } from "../page.ts";
import { fromLocalField, readTyped, showMass, trayName } from "../show.ts";
import { Refused, useAct } from "./act.tsx";
import { Choice, Field, Fold, Form } from "./field.tsx";

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
  const said = useSignal<string | null>(null);
  const picked = trays.find(({ tray }) => String(tray.id) === chosen.value) ?? first;
  if (picked === undefined) return null;
  const usual: WeighingKind = picked.batch.clock.state === "waiting" ? "fresh" : "dry";

  const keep = async (): Promise<void> => {
    const number = readTyped(value.value);
    const step = division.value.trim() === "" ? null : readTyped(division.value);
    if (number === null || number <= 0 || (step === null && division.value.trim() !== "")) {
      said.value = texts.notANumber;
      return;
    }
    const when = at.value === "" ? null : fromLocalField(at.value);
    const asked: TypedWeighing = {
      tray: picked.tray.id,
      kind: kind.value ?? usual,
      value: number,
      unit: unit.value,
      ...(step === null ? {} : { divisionGrams: toGrams(step, unit.value) }),
      ...(when === null ? {} : { at: when }),
    };
    said.value = null;
    const done = await act.run(() => service.typeWeighing(asked));
    if (done === null) return;
    value.value = "";
    const mass = showMass(speech.value, toGrams(number, unit.value), asked.divisionGrams ?? null);
    said.value = texts.kept(trayName(speech.value, picked.tray.name), mass);
    announced.value = said.value;
  };

  return (
    <Form onSend={() => void keep()}>
      <div class="fields">
        <Choice
          label={texts.tray}
          value={String(picked.tray.id)}
          onValue={(id) => (chosen.value = id)}
          options={trays.map(({ batch, tray }) => ({
            value: String(tray.id),
            label: batches.length > 1 ? `${tray.name} (${batch.dryer})` : tray.name,
          }))}
        />
        <Choice
          label={texts.kind}
          value={kind.value ?? usual}
          onValue={(word) => (kind.value = kinds.find((one) => one === word) ?? null)}
          options={kinds.map((one) => ({ value: one, label: weigh.kinds[one] }))}
        />
        <Field
          label={texts.value}
          kind="number"
          narrow
          value={value.value}
          onValue={(text) => (value.value = text)}
        />
        <Choice
          label={texts.unit}
          value={unit.value}
          onValue={(word) => (unit.value = units.find((one) => one === word) ?? "g")}
          options={units.map((one) => ({ value: one, label: look.units[one] }))}
        />
        <Field
          label={texts.division}
          kind="number"
          narrow
          hint={texts.divisionHint}
          value={division.value}
          onValue={(text) => (division.value = text)}
        />
        <Field
          label={texts.at}
          kind="when"
          narrow
          hint={texts.atHint}
          value={at.value}
          onValue={(text) => (at.value = text)}
        />
      </div>
      <button type="submit" class="big" aria-disabled={act.busy}>
        {texts.keep}
      </button>
      {said.value !== null && <p role="status">{said.value}</p>}
      <Refused why={act.refusal} />
    </Form>
  );
}
