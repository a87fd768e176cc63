/** Set up: dryers and what they hold, own foods and recipes, check weights. */
import { useSignal, type Signal } from "@preact/signals";
import type { CheckWeight, Dryer, Kitchen, OwnFood } from "../../../src/wire/kitchen.ts";
import { fromGrams, toGrams, type MassUnit } from "../../../src/units/mass.ts";
import { grams } from "../../../src/units/quantity.ts";
import type { Answer } from "../ask.ts";
import { choose } from "../choose.ts";
import { kitchenService } from "../ask-kitchen.ts";
import { sayKitchen } from "../kitchen-texts.ts";
import { bench, dryerCalled, go, nowMs, say, speech } from "../page.ts";
import {
  listOf,
  readTyped,
  scaleName,
  showMass,
  showNumber,
  showPercent,
  showTime,
} from "../show.ts";
import { ActButton, Form, Refused, useAct } from "./act.tsx";
import { useFetched } from "./fetched.ts";
import { Choice, Field, Fold, type Held } from "./field.tsx";
import { FoodField } from "./food-field.tsx";
import { TwoScales } from "./two-scales.tsx";

/** One answer of the service is the whole kitchen anew. */
export function KitchenSetUp() {
  const changed = useSignal<Kitchen | null>(null);
  const { body, why } = useFetched("kitchen", () => kitchenService.kitchen());
  const kitchen = changed.value ?? body;
  if (why !== null) return <Refused why={why} />;
  if (kitchen === null) return null;
  return (
    <>
      <Dryers kitchen={kitchen} changed={changed} />
      <OwnFoods kitchen={kitchen} changed={changed} />
      <CheckWeights kitchen={kitchen} changed={changed} />
      <TwoScales />
    </>
  );
}

type Props = { readonly kitchen: Kitchen; readonly changed: Signal<Kitchen | null> };

/** Runs an act that answers with the kitchen, and shows what it says. */
function useKitchenAct(changed: Signal<Kitchen | null>) {
  const act = useAct();
  const keep = async (asking: () => Promise<Answer<Kitchen>>): Promise<boolean> => {
    const done = await act.run(asking);
    if (done !== null) changed.value = done.body;
    return done !== null;
  };
  return { ...act, keep };
}

/** Those that were set, and those that a batch is in. */
function Dryers({ kitchen, changed }: Props) {
  const texts = sayKitchen().dryers;
  const inUse = (bench.value?.batches ?? []).map(({ dryer }) => dryer);
  const names = [...new Set([...kitchen.dryers.map(({ name }) => name), ...inUse])];
  return (
    <section>
      <h2>{texts.title}</h2>
      <p class="quiet">{texts.explain}</p>
      {names.length === 0 && <p>{texts.none}</p>}
      {names.map((name) => (
        <Fold key={name} summary={dryerCalled(name)}>
          <DryerForm
            name={name}
            dryer={kitchen.dryers.find((one) => one.name === name) ?? null}
            changed={changed}
          />
        </Fold>
      ))}
    </section>
  );
}

type DryerProps = Pick<Props, "changed"> & { readonly name: string; readonly dryer: Dryer | null };

const typed = (value: number | null | undefined): string =>
  value === null || value === undefined ? "" : String(Number(value.toFixed(4)));

/** undefined: not a number above 0. */
function numberIn(text: string): number | null | undefined {
  if (text.trim() === "") return null;
  const value = readTyped(text);
  return value === null || value <= 0 ? undefined : value;
}

const isNoNumber = ({ value }: Held): boolean => numberIn(value) === undefined;

/** In whole milligrams, as it is kept and shown again. */
const asKept = (mass: number | null, unit: MassUnit): number | null =>
  mass === null ? null : Math.round(1000 * toGrams(mass, unit)) / 1000;

function DryerForm({ name, dryer, changed }: DryerProps) {
  const texts = sayKitchen().dryers;
  const { unit } = speech.value;
  const act = useKitchenAct(changed);
  const inUnit = (mass: number | null | undefined): string =>
    mass === null || mass === undefined ? "" : typed(fromGrams(grams(mass), unit));
  const holds = useSignal(inUnit(dryer?.mostWaterGrams));
  const tray = useSignal(inUnit(dryer?.mostTrayGrams));
  const watts = useSignal(typed(dryer?.watts));
  const price = useSignal(typed(dryer?.pricePerKwh));
  const currency = useSignal(dryer?.currency ?? "");
  const opened = useSignal(dryer);
  const keep = async (): Promise<void> => {
    const [most, onTray, power, cost] = [holds, tray, watts, price].map(({ value }) =>
      numberIn(value),
    );
    const isTold =
      most !== undefined && onTray !== undefined && power !== undefined && cost !== undefined;
    if (!isTold) {
      act.refuse(texts.badNumber, ...[holds, tray, watts, price].filter(isNoNumber));
      return;
    }
    const set = {
      name,
      mostWaterGrams: asKept(most, unit),
      mostTrayGrams: asKept(onTray, unit),
      watts: power,
      pricePerKwh: cost,
      currency: currency.value.trim(),
    };
    const seen = {
      mostWaterGrams: opened.value?.mostWaterGrams ?? null,
      mostTrayGrams: opened.value?.mostTrayGrams ?? null,
      watts: opened.value?.watts ?? null,
      pricePerKwh: opened.value?.pricePerKwh ?? null,
    };
    const isKept = await act.keep(() => kitchenService.setDryer({ ...set, seen }));
    if (!isKept) return;
    opened.value = set;
    act.tell(texts.kept);
  };
  return (
    <Form onSend={() => void keep()} act={act} send={texts.keep}>
      <div class="fields">
        <Field label={texts.holds(unit)} hint={texts.holdsHint} kind="number" of={holds} />
        <Field label={texts.tray(unit)} kind="number" of={tray} />
        <Field label={texts.watts} hint={texts.wattsHint} kind="number" of={watts} />
        <Field label={texts.price} kind="number" narrow of={price} />
        <Field label={texts.currency} narrow of={currency} />
      </div>
    </Form>
  );
}

function OwnFoods({ kitchen, changed }: Props) {
  const texts = sayKitchen().foods;
  const offered = kitchen.foods.filter(({ retired }) => !retired);
  return (
    <section>
      <h2>{texts.title}</h2>
      <p class="quiet">{texts.explain}</p>
      {offered.length === 0 && <p>{texts.none}</p>}
      <ul class="log">
        {offered.map((food) => (
          <Food key={food.id} food={food} changed={changed} />
        ))}
      </ul>
      <Fold summary={texts.add}>
        <FoodForm changed={changed} />
      </Fold>
      <Fold summary={texts.addRecipe}>
        <RecipeForm changed={changed} />
      </Fold>
    </section>
  );
}

function Food({ food, changed }: Pick<Props, "changed"> & { readonly food: OwnFood }) {
  const texts = sayKitchen().foods;
  const percent = (pct: number): string => showPercent(speech.value, pct / 100, 1);
  const { recipe } = food;
  const retire = { name: food.name, waterPct: food.waterPct, recipe, retired: true };
  return (
    <li>
      <span class="log-line">
        {texts.line(food.name, percent(food.waterPct), percent(food.solidsPct))}
      </span>
      <span class="quiet">{recipe === null ? texts.own : texts.recipe}</span>
      {food.own !== null && (
        <span class="quiet">{texts.measured(percent(food.own.waterPct), food.own.batches)}</span>
      )}
      <ActButton
        label={texts.retireWhich(food.name)}
        asking={() => kitchenService.editFood(food.id, retire)}
        after={(kitchen) => (changed.value = kitchen)}
      >
        {texts.retire}
      </ActButton>
    </li>
  );
}

function FoodForm({ changed }: Pick<Props, "changed">) {
  const texts = sayKitchen().foods;
  const act = useKitchenAct(changed);
  const name = useSignal("");
  const water = useSignal("");
  const keep = async (): Promise<void> => {
    const share = readTyped(water.value);
    if (name.value.trim() === "") act.refuse(texts.needsName, name);
    else if (share === null || share <= 0 || share >= 100) act.refuse(texts.needsWater, water);
    else {
      const food = { name: name.value.trim(), waterPct: share };
      if (await act.keep(() => kitchenService.addFood(food))) act.tell(texts.kept(food.name));
    }
  };
  return (
    <Form onSend={() => void keep()} act={act} send={texts.keep}>
      <div class="fields">
        <Field label={texts.name} of={name} />
        <Field label={texts.water} hint={texts.waterHint} kind="number" narrow of={water} />
      </div>
    </Form>
  );
}

type Part = { readonly key: number; readonly food: string; readonly mass: string };

function RecipeForm({ changed }: Pick<Props, "changed">) {
  const texts = sayKitchen().foods;
  const { unit } = speech.value;
  const act = useKitchenAct(changed);
  const name = useSignal("");
  const parts = useSignal<readonly Part[]>([
    { key: 1, food: "", mass: "" },
    { key: 2, food: "", mass: "" },
  ]);
  const cooked = useSignal("");
  const change = (key: number, part: Partial<Part>): void => {
    parts.value = parts.peek().map((one) => (one.key === key ? { ...one, ...part } : one));
  };

  const read = () => {
    const filled = parts.value.filter(({ food, mass }) => food.trim() !== "" || mass.trim() !== "");
    const ingredients = filled.map(({ food, mass }) => ({
      food: food.trim(),
      grams: toGrams(readTyped(mass) ?? 0, unit),
    }));
    const bad = ingredients.some((one) => one.food === "" || one.grams <= 0);
    const finished = numberIn(cooked.value);
    if (ingredients.length === 0 || bad || finished === undefined) return null;
    return { ingredients, cookedGrams: finished === null ? null : toGrams(finished, unit) };
  };
  const reckon = async (): Promise<void> => {
    const recipe = read();
    if (recipe === null) {
      act.refuse(texts.needsMass, ...[cooked].filter(isNoNumber));
      return;
    }
    const done = await act.run(() => kitchenService.dish(recipe));
    if (done === null) return;
    const { waterPct, waterSdPct, solidsGrams, unknown } = done.body;
    const would = texts.would(
      showPercent(speech.value, waterPct / 100, 1),
      `${showNumber(speech.value, waterSdPct, 1)} %`,
      showMass(speech.value, solidsGrams, null),
    );
    const without = unknown.length === 0 ? "" : ` ${texts.unknown(listOf(speech.value, unknown))}`;
    act.tell(would + without);
  };
  const keep = async (): Promise<void> => {
    const recipe = read();
    const called = name.value.trim();
    if (called === "") act.refuse(texts.needsName, name);
    else if (recipe === null) act.refuse(texts.needsMass, ...[cooked].filter(isNoNumber));
    else if (await act.keep(() => kitchenService.addFood({ name: called, recipe })))
      act.tell(texts.kept(called));
  };
  return (
    <Form
      onSend={() => void keep()}
      act={act}
      send={texts.keep}
      beside={
        <button type="button" onClick={() => void reckon()}>
          {texts.reckon}
        </button>
      }
    >
      <div class="fields">
        <Field label={texts.name} of={name} />
      </div>
      <fieldset>
        <legend>{texts.ingredients}</legend>
        {parts.value.map((part) => (
          <div key={part.key} class="fields">
            <FoodField
              value={part.food}
              onValue={(text) => change(part.key, { food: text })}
              onFound={() => undefined}
              label={say().batch.portions.food}
            />
            <Field
              label={texts.mass(unit)}
              kind="number"
              narrow
              value={part.mass}
              onValue={(text) => change(part.key, { mass: text })}
            />
          </div>
        ))}
        <button
          type="button"
          onClick={() => {
            const key = Math.max(...parts.peek().map((one) => one.key)) + 1;
            parts.value = [...parts.peek(), { key, food: "", mass: "" }];
          }}
        >
          {texts.another}
        </button>
      </fieldset>
      <div class="fields">
        <Field label={texts.cooked(unit)} hint={texts.cookedHint} kind="number" of={cooked} />
      </div>
    </Form>
  );
}

function CheckWeights({ kitchen, changed }: Props) {
  const texts = sayKitchen().checks;
  const inUse = kitchen.checkWeights.filter(({ retired }) => !retired);
  const mass = (value: number, division: number | null): string =>
    showMass(speech.value, value, division);
  return (
    <section>
      <h2>{texts.title}</h2>
      <p class="quiet">{texts.explain}</p>
      {inUse.length === 0 && <p>{texts.none}</p>}
      <ul class="log">
        {inUse.map((weight) => (
          <Weight key={weight.id} weight={weight} changed={changed} />
        ))}
      </ul>
      {kitchen.placements.map((one) => (
        <p key={one.scale + one.divisionGrams} class="quiet">
          {texts.placement(
            scaleName(speech.value, one.scale),
            mass(one.uGrams, one.divisionGrams / 10),
            one.repeats,
          )}
        </p>
      ))}
      <Fold summary={texts.keep}>
        <WeightForm changed={changed} />
      </Fold>
      {kitchen.checks.length > 0 && (
        <Fold summary={texts.history}>
          <ul class="log">
            {kitchen.checks.map((one) => (
              <li key={one.id}>
                <span class="log-line">
                  {texts.done(
                    showTime(speech.value, one.at, nowMs.value),
                    mass(one.shownGrams, one.divisionGrams),
                    mass(one.nominalGrams, one.divisionGrams),
                    mass(one.offGrams, one.divisionGrams),
                  )}
                </span>
                <span class={one.good ? "quiet" : "strong"}>
                  {one.good ? texts.good : texts.bad2}
                </span>
              </li>
            ))}
          </ul>
        </Fold>
      )}
    </section>
  );
}

function Weight({ weight, changed }: Pick<Props, "changed"> & { readonly weight: CheckWeight }) {
  const texts = sayKitchen().checks;
  const scale = bench.value?.scales[0] ?? null;
  const { name, nominalGrams, weightClass, errorGrams, everyDays } = weight;
  const retire = { name, nominalGrams, weightClass, errorGrams, everyDays, retired: true };
  return (
    <li>
      <span class="log-line">
        {texts.line(
          weight.name,
          showMass(speech.value, weight.nominalGrams, 0.1),
          showMass(speech.value, weight.errorGrams, 0.001),
          showNumber(speech.value, weight.everyDays, 0),
        )}
      </span>
      {weight.isErrorFromMemory && <span class="caution">{texts.fromMemory}</span>}
      {scale !== null && (
        <ActButton
          label={texts.checkWith(weight.name)}
          asking={() => choose(scale.id, "check", { weight: weight.id })}
          after={() => go({ page: "weigh", scale: scale.id })}
        >
          {texts.check}
        </ActButton>
      )}
      <ActButton
        label={texts.retireWhich(weight.name)}
        asking={() => kitchenService.editWeight(weight.id, retire)}
        after={(kitchen) => (changed.value = kitchen)}
      >
        {texts.retire}
      </ActButton>
    </li>
  );
}

type ClassWord = NonNullable<CheckWeight["weightClass"]>;
const standardOf: Readonly<Record<ClassWord, string>> = {
  F1: "OIML R 111",
  F2: "OIML R 111",
  M1: "OIML R 111",
  M2: "OIML R 111",
  M3: "OIML R 111",
  F: "NIST HB 105-1",
};
const classes: readonly (ClassWord | "")[] = ["M1", "M2", "M3", "F1", "F2", "F", ""];

/** Some of whose tolerances were written down from memory. */
const memoryClasses: readonly (ClassWord | "")[] = ["F1", "F2", "F"];

function WeightForm({ changed }: Pick<Props, "changed">) {
  const texts = sayKitchen().checks;
  const act = useKitchenAct(changed);
  const name = useSignal("");
  const nominal = useSignal("");
  const weightClass = useSignal<ClassWord | "">("M1");
  const error = useSignal("");
  const every = useSignal("30");
  const keep = async (): Promise<void> => {
    const [mass, days, tolerance] = [nominal, every, error].map(({ value }) => numberIn(value));
    if (typeof mass !== "number" || typeof days !== "number" || tolerance === undefined) {
      act.refuse(texts.bad, ...[nominal, error, every].filter(isNoNumber));
      return;
    }
    const weight = {
      name: name.value.trim() === "" ? showMass(speech.value, mass, null) : name.value.trim(),
      nominalGrams: mass,
      weightClass: weightClass.value === "" ? null : weightClass.value,
      errorGrams: weightClass.value === "" ? tolerance : null,
      everyDays: days,
    };
    if (await act.keep(() => kitchenService.addWeight(weight))) act.tell(texts.kept);
  };
  return (
    <Form onSend={() => void keep()} act={act} send={texts.keep}>
      <div class="fields">
        <Field label={texts.name} hint={texts.nameHint} of={name} />
        <Field label={texts.nominal} kind="number" narrow of={nominal} />
        <Choice
          label={texts.weightClass}
          of={weightClass}
          options={classes.map((value) => ({
            value,
            label: value === "" ? texts.noClass : `${value} (${standardOf[value]})`,
          }))}
        />
        {memoryClasses.includes(weightClass.value) && (
          <p class="caution">
            {weightClass.value === "F" ? texts.fromMemory : texts.fromMemoryAbove}
          </p>
        )}
        {weightClass.value === "" && <Field label={texts.error} kind="number" narrow of={error} />}
        <Field label={texts.every} kind="number" narrow of={every} />
      </div>
    </Form>
  );
}
