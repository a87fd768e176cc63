import { signal, useSignal } from "@preact/signals";
import type { Batch, Portion, Tray } from "../../../src/wire/batch.ts";
import type { FoodFound, TrayEdit } from "../../../src/wire/requests.ts";
import { fromGrams, toGrams } from "../../../src/units/mass.ts";
import { grams } from "../../../src/units/quantity.ts";
import { service } from "../ask.ts";
import { say, speech } from "../page.ts";
import { isNoThickness, readTyped, trayName } from "../show.ts";
import { ActButton, Form, useAct } from "./act.tsx";
import { Field, Fold } from "./field.tsx";
import { FoodField } from "./food-field.tsx";
import { foodNamed } from "./pour.tsx";

const thicknessOf = ({ thicknessMm }: Pick<Portion, "thicknessMm">): string =>
  String(thicknessMm ?? "");

/** A portion as the service shows it, in the words in which it is asked for. */
const asSaid = ({ food, waterPct, thicknessMm, targetGrams, fromBag }: Portion) => ({
  food,
  waterPct,
  ...(thicknessMm === null ? {} : { thicknessMm }),
  targetGrams,
  bag: fromBag,
});

const portionsOf = ({ portions }: Tray) =>
  portions.length < 2
    ? []
    : portions.map((portion) => ({ portion, typed: signal(thicknessOf(portion)) }));

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
  const { tareGrams, waterPct } = opened.value;
  const tareBefore =
    tareGrams === null ? "" : String(Number(fromGrams(grams(tareGrams), unit).toFixed(4)));
  const waterBefore = String(waterPct ?? "");
  const thicknessBefore = thicknessOf(opened.value);
  const name = useSignal(tray.name);
  const tare = useSignal(tareBefore);
  const food = useSignal(tray.food ?? "");
  const water = useSignal(waterBefore);
  const thickness = useSignal(thicknessBefore);
  const found = useSignal<FoodFound | null>(null);
  const portions = useSignal(portionsOf(tray));

  const keep = async (): Promise<void> => {
    const mass = readTyped(tare.value);
    const share = readTyped(water.value);
    const noFigures = [tare, water].filter(
      ({ value }) => value.trim() !== "" && readTyped(value) === null,
    );
    if (noFigures.length > 0) {
      act.refuse(weigh.typed.notANumber, ...noFigures);
      return;
    }
    const noThicknesses = [thickness, ...portions.value.map(({ typed }) => typed)].filter(
      ({ value }) => isNoThickness(value),
    );
    if (noThicknesses.length > 0) {
      act.refuse(plan.badThickness(trayName(speech.value, tray.name)), ...noThicknesses);
      return;
    }
    const isOwnWater = water.value !== waterBefore && share !== null;
    const before = opened.value;
    const isOther = food.value !== (before.food ?? "");
    const change: TrayEdit = {
      ...(name.value === before.name ? {} : { name: name.value.trim() }),
      ...(tare.value === tareBefore
        ? {}
        : { tareGrams: mass === null ? null : toGrams(mass, unit) }),
      ...(isOther ? { food: found.value?.number ?? food.value } : {}),
      ...(isOwnWater && found.value === null ? { waterPct: share } : {}),
      ...(isOther || thickness.value !== thicknessBefore
        ? { thicknessMm: readTyped(thickness.value) }
        : {}),
      ...(portions.value.every(({ portion, typed }) => thicknessOf(portion) === typed.value)
        ? {}
        : {
            portions: portions.value.map(({ portion, typed }) => ({
              ...asSaid(portion),
              thicknessMm: readTyped(typed.value),
            })),
          }),
    };
    const stood = { ...before, portions: before.portions.map(asSaid) };
    const seen = Object.fromEntries(
      (Object.keys(change) as (keyof typeof stood & keyof TrayEdit)[]).map((part) => [
        part,
        stood[part],
      ]),
    );
    const done = await act.run(() => service.editTray(batch.id, tray.id, { ...change, seen }));
    if (done === null) return;
    opened.value = done.body.trays.find(({ id }) => id === tray.id) ?? before;
    portions.value = portionsOf(opened.value);
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
                onValue={(text) => {
                  food.value = text;
                  // Of the food as it stands, and of no other.
                  if (thickness.value === thicknessBefore || thickness.value === "")
                    thickness.value = text === (opened.value.food ?? "") ? thicknessBefore : "";
                }}
                onFound={(one) => {
                  found.value = one;
                  if (one === null) return;
                  water.value = String(one.waterPct);
                  if (thickness.value === "") thickness.value = thicknessOf(one);
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
          {portions.value.map(({ portion, typed }) => (
            <Field
              key={portion.place}
              label={`${foodNamed(portion.food)}: ${plan.thickness}`}
              kind="number"
              of={typed}
            />
          ))}
        </div>
      </Form>
    </fieldset>
  );
}
