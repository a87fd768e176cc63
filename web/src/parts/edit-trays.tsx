import { useSignal } from "@preact/signals";
import type { Batch, Tray } from "../../../src/wire/batch.ts";
import type { FoodFound, TrayEdit } from "../../../src/wire/requests.ts";
import { fromGrams, toGrams } from "../../../src/units/mass.ts";
import { grams } from "../../../src/units/quantity.ts";
import { service } from "../ask.ts";
import { say, speech } from "../page.ts";
import { isNoThickness, readTyped, trayName } from "../show.ts";
import { ActButton, Form, useAct } from "./act.tsx";
import { Field, Fold } from "./field.tsx";
import { FoodField } from "./food-field.tsx";

export function EditTrays({ batch }: { readonly batch: Batch }) {
  const texts = say().batch.editTrays;
  return (
    <Fold summary={texts.open}>
      {batch.trays.map((tray) => (
        <TrayForm key={tray.id} batch={batch} tray={tray} />
      ))}
      <ActButton asking={() => service.addTray(batch.id, { name: String(batch.trays.length + 1) })}>
        {texts.add}
      </ActButton>
    </Fold>
  );
}

function TrayForm({ batch, tray }: { readonly batch: Batch; readonly tray: Tray }) {
  const texts = say().batch.editTrays;
  const { plan, weigh } = say();
  const { unit } = speech.value;
  const act = useAct();
  // As it stood when the form was opened: what others change meanwhile is not undone by what nobody touched here.
  const opened = useSignal(tray);
  const { tareGrams, waterPct, thicknessMm } = opened.value;
  const tareBefore =
    tareGrams === null ? "" : String(Number(fromGrams(grams(tareGrams), unit).toFixed(4)));
  const waterBefore = waterPct === null ? "" : String(waterPct);
  const thicknessBefore = thicknessMm === null ? "" : String(thicknessMm);
  const name = useSignal(tray.name);
  const tare = useSignal(tareBefore);
  const food = useSignal(tray.food ?? "");
  const water = useSignal(waterBefore);
  const thickness = useSignal(thicknessBefore);
  const found = useSignal<FoodFound | null>(null);

  const keep = async (): Promise<void> => {
    const mass = tare.value.trim() === "" ? null : readTyped(tare.value);
    const share = water.value.trim() === "" ? null : readTyped(water.value);
    const isTareBad = mass === null && tare.value.trim() !== "";
    const isWaterBad = share === null && water.value.trim() !== "";
    if (isTareBad || isWaterBad) {
      act.refuse(weigh.typed.notANumber, isTareBad ? tare : water);
      return;
    }
    if (isNoThickness(thickness.value)) {
      act.refuse(plan.badThickness(trayName(speech.value, tray.name)), thickness);
      return;
    }
    const isOwnWater = water.value !== waterBefore && share !== null;
    const before = opened.value;
    const change: TrayEdit = {
      ...(name.value === before.name ? {} : { name: name.value.trim() }),
      ...(tare.value === tareBefore
        ? {}
        : { tareGrams: mass === null ? null : toGrams(mass, unit) }),
      ...(food.value === (before.food ?? "") ? {} : { food: found.value?.number ?? food.value }),
      ...(isOwnWater && found.value === null ? { waterPct: share } : {}),
      ...(thickness.value === thicknessBefore ? {} : { thicknessMm: readTyped(thickness.value) }),
    };
    const seen = {
      ...(change.name === undefined ? {} : { name: before.name }),
      ...(change.tareGrams === undefined ? {} : { tareGrams: before.tareGrams }),
      ...(change.food === undefined ? {} : { food: before.food }),
      ...(change.waterPct === undefined ? {} : { waterPct: before.waterPct }),
      ...(change.thicknessMm === undefined ? {} : { thicknessMm: before.thicknessMm }),
    };
    const done = await act.run(() => service.editTray(batch.id, tray.id, { ...change, seen }));
    if (done === null) return;
    opened.value = done.body.trays.find(({ id }) => id === tray.id) ?? before;
    act.tell(texts.kept);
  };

  return (
    <fieldset data-editing>
      <legend class="unseen">{trayName(speech.value, tray.name)}</legend>
      <Form onSend={() => void keep()} act={act} send={texts.keep}>
        <div class="fields">
          <Field label={texts.name} narrow of={name} />
          <Field label={texts.tare(unit)} kind="number" narrow hint={plan.tareHint} of={tare} />
          {tray.portions.length < 2 && (
            <>
              <FoodField
                value={food.value}
                onValue={(text) => (food.value = text)}
                onFound={(one) => {
                  found.value = one;
                  if (one !== null) water.value = String(one.waterPct);
                }}
              />
              <Field
                label={plan.water}
                hint={plan.waterHint}
                kind="number"
                narrow
                value={water.value}
                onValue={(text) => {
                  water.value = text;
                  found.value = null;
                }}
              />
              <Field label={plan.thickness} kind="number" narrow of={thickness} />
            </>
          )}
        </div>
      </Form>
    </fieldset>
  );
}
