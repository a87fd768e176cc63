/** What was said of the trays of a batch, to be put right: names, empty masses, and what lies on each. */
import { signal, useSignal } from "@preact/signals";
import type { Batch, Portion, Tray } from "../../../src/wire/batch.ts";
import type { FoodFound, NewPortion, TrayEdit } from "../../../src/wire/requests.ts";
import { fromGrams, toGrams } from "../../../src/units/mass.ts";
import { grams } from "../../../src/units/quantity.ts";
import { service } from "../ask.ts";
import { say, speech } from "../page.ts";
import { isNoThickness, readTyped, trayName } from "../show.ts";
import { ActButton, Form, useAct } from "./act.tsx";
import { Field } from "./field.tsx";
import { FoodField } from "./food-field.tsx";
import { foodNamed } from "./pour.tsx";

/** A food as it stands: of a tray with one food, or one of several portions. */
type Stood = Pick<Portion, "food" | "waterPct" | "thicknessMm">;

const thicknessOf = ({ thicknessMm }: Pick<Stood, "thicknessMm">): string =>
  String(thicknessMm ?? "");
const waterOf = ({ waterPct }: Stood): string => String(waterPct ?? "");

/** A portion as the service shows it, in the words in which it is asked for. */
const asSaid = ({ food, waterPct, thicknessMm, targetGrams, fromBag }: Portion) => ({
  food,
  waterPct,
  ...(thicknessMm === null ? {} : { thicknessMm }),
  targetGrams,
  bag: fromBag,
});

/** A food as it stood when the form was opened, and what stands in its fields now. */
const typedOf = (stood: Stood) => ({
  stood,
  food: signal(stood.food ?? ""),
  water: signal(waterOf(stood)),
  thickness: signal(thicknessOf(stood)),
  found: signal<FoodFound | null>(null),
});
type Typed = ReturnType<typeof typedOf>;

const foodsOf = (tray: Tray): Typed[] =>
  (tray.portions.length < 2 ? [tray] : tray.portions).map(typedOf);

/** What was changed of a food. Of another one, thickness and water are asked for anew. */
function changeOf({ stood, food, water, thickness, found }: Typed) {
  const share = readTyped(water.value);
  const isOther = food.value !== (stood.food ?? "");
  const isOwnWater = water.value !== waterOf(stood) && share !== null && found.value === null;
  return {
    ...(isOther ? { food: found.value?.number ?? food.value } : {}),
    ...(isOwnWater ? { waterPct: share } : {}),
    ...(isOther || thickness.value !== thicknessOf(stood)
      ? { thicknessMm: readTyped(thickness.value) }
      : {}),
  };
}

const isChanged = (typed: Typed): boolean => Object.keys(changeOf(typed)).length > 0;

/** The water of another food is that of the food, unless it was typed. */
function portionOf(portion: Portion, typed: Typed | undefined): NewPortion {
  const { waterPct, ...said } = asSaid(portion);
  const change = typed === undefined ? {} : changeOf(typed);
  return { ...said, ...("food" in change ? {} : { waterPct }), ...change };
}

export function EditTrays({ batch }: { readonly batch: Batch }) {
  const texts = say().batch.editTrays;
  return (
    <>
      {batch.trays.map((tray) => (
        <TrayForm key={tray.id} batch={batch} tray={tray} />
      ))}
      <ActButton asking={() => service.addTray(batch.id, { name: String(batch.trays.length + 1) })}>
        {texts.add}
      </ActButton>
    </>
  );
}

function TrayForm({ batch, tray }: { readonly batch: Batch; readonly tray: Tray }) {
  const texts = say().batch.editTrays;
  const { plan, weigh } = say();
  const { unit } = speech.value;
  const act = useAct();
  // As it stood when the form was opened: what others change meanwhile is not undone by what nobody touched here.
  const opened = useSignal(tray);
  const { tareGrams } = opened.value;
  const tareBefore =
    tareGrams === null ? "" : String(Number(fromGrams(grams(tareGrams), unit).toFixed(4)));
  const name = useSignal(tray.name);
  const tare = useSignal(tareBefore);
  const foods = useSignal(foodsOf(tray));

  const keep = async (): Promise<void> => {
    const mass = readTyped(tare.value);
    const noFigures = [tare, ...foods.value.map(({ water }) => water)].filter(
      ({ value }) => value.trim() !== "" && readTyped(value) === null,
    );
    if (noFigures.length > 0) {
      act.refuse(weigh.typed.notANumber, ...noFigures);
      return;
    }
    const noThicknesses = foods.value
      .map(({ thickness }) => thickness)
      .filter(({ value }) => isNoThickness(value));
    if (noThicknesses.length > 0) {
      act.refuse(plan.badThickness(trayName(speech.value, tray.name)), ...noThicknesses);
      return;
    }
    const before = opened.value;
    const [only, second] = foods.value;
    const change: TrayEdit = {
      ...(name.value === before.name ? {} : { name: name.value.trim() }),
      ...(tare.value === tareBefore
        ? {}
        : { tareGrams: mass === null ? null : toGrams(mass, unit) }),
      ...(only === undefined || second !== undefined ? {} : changeOf(only)),
      ...(second !== undefined && foods.value.some(isChanged)
        ? { portions: before.portions.map((one, index) => portionOf(one, foods.value[index])) }
        : {}),
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
    foods.value = foodsOf(opened.value);
    act.tell(texts.kept);
  };

  return (
    <fieldset data-editing>
      <legend class="unseen">{trayName(speech.value, tray.name)}</legend>
      <Form onSend={() => void keep()} act={act} send={texts.keep}>
        <div class="fields">
          <Field label={texts.name} narrow of={name} />
          <Field label={texts.tare(unit)} kind="number" narrow hint={plan.tareHint} of={tare} />
          {opened.value.portions.length < 2 &&
            foods.value.map((typed, index) => <FoodOn key={index} typed={typed} />)}
        </div>
        {opened.value.portions.length > 1 &&
          foods.value.map((typed, index) => (
            <fieldset key={index} class="fields plan-food">
              <legend class="unseen">{foodNamed(typed.stood.food)}</legend>
              <FoodOn
                typed={typed}
                isOfBag={typeof opened.value.portions[index]?.fromBag === "number"}
              />
            </fieldset>
          ))}
      </Form>
    </fieldset>
  );
}

/** Food of a bag stays what it was when it was dried first. */
function FoodOn({ typed, isOfBag = false }: { readonly typed: Typed; readonly isOfBag?: boolean }) {
  const { plan } = say();
  const { stood, food, water, thickness, found } = typed;
  return (
    <>
      {isOfBag ? (
        <p class="field">{foodNamed(stood.food)}</p>
      ) : (
        <>
          <FoodField
            label={plan.food}
            value={food.value}
            onValue={(text) => {
              food.value = text;
              // Of the food as it stands, and of no other.
              if (thickness.value === thicknessOf(stood) || thickness.value === "")
                thickness.value = text === (stood.food ?? "") ? thicknessOf(stood) : "";
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
        </>
      )}
      <Field label={plan.thickness} kind="number" narrow of={thickness} />
    </>
  );
}
