/** What goes on which tray? */
import { signal, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { MassUnit } from "../../../src/units/mass.ts";
import type { Batch } from "../../../src/wire/batch.ts";
import { service } from "../ask.ts";
import { bagService } from "../ask-bags.ts";
import { choose } from "../choose.ts";
import { sayKitchen } from "../kitchen-texts.ts";
import {
  copyOf,
  emptyDraft,
  holds,
  readDraft,
  withBag,
  withFood,
  withFoodAdded,
  withoutFood,
  withoutTray,
  withTray,
  withTrayAdded,
  type Draft,
  type Flaw,
  type FoodDraft,
  type TrayDraft,
} from "../draft.ts";
import { begun, bench, dryerCalled, foodCalled, go, say, speech } from "../page.ts";
import { Form, useAct } from "../parts/act.tsx";
import { useFetched } from "../parts/fetched.ts";
import { Field } from "../parts/field.tsx";
import { FoodField } from "../parts/food-field.tsx";
import { PlanLook } from "../parts/load-look.tsx";
import { trayName } from "../show.ts";

/** Outlives the page: a load on the scale may take a person to Weigh in the middle of planning. */
const draft = signal<Draft | null>(null);
begun.push(() => draft.peek() !== null);

export function PlanPage() {
  const { plan } = say();
  const ofBatch = sayKitchen().plan;
  const act = useAct();
  const flaw = useSignal<Flaw | null>(null);
  const batches = useFetched("all", () => service.batches("all")).body;
  const newest = [...(batches ?? [])].sort((a, b) => b.number - a.number)[0];
  useEffect(() => {
    const known = draft.peek() ?? emptyDraft("");
    // One who has but one dryer need not name it.
    const dryer = batches === null ? "" : (newest?.dryer ?? say().plan.dryer);
    draft.value = known.dryer === "" ? { ...known, dryer } : known;
  }, [batches]);
  const toDry = useFetched("", bagService.toDry).body;
  const now = draft.value;
  if (now === null) return null;
  const { unit } = speech.value;

  const start = async (): Promise<void> => {
    const read = readDraft(now, unit);
    flaw.value = read.is === "flawed" ? read.flaw : null;
    if (read.is === "flawed") {
      act.refuse(flawWords(read.flaw));
      return;
    }
    const done = await act.run(() => service.startBatch(read.batch));
    if (done === null) return;
    draft.value = null;
    await askForFirst(done.body);
    go({ page: "weigh", scale: null });
  };

  const copy = async (id: number): Promise<void> => {
    const done = await act.run(() => service.batch(id));
    if (done !== null) draft.value = copyOf(done.body, now, unit);
  };

  return (
    <Form
      onSend={() => void start()}
      act={act}
      foot={
        <button type="submit" class="main" aria-disabled={act.busy}>
          {plan.start}
        </button>
      }
    >
      <h1>{plan.title}</h1>
      <div class="fields">
        <Field
          label={plan.dryer}
          hint={ofBatch.dryerHint}
          isFlawed={flaw.value?.is === "no-dryer"}
          value={dryerCalled(now.dryer)}
          onValue={(dryer) => (draft.value = { ...now, dryer })}
        />
        <Field
          label={ofBatch.name}
          hint={ofBatch.mayStayEmpty}
          value={now.name}
          onValue={(name) => (draft.value = { ...now, name })}
        />
        <Field
          label={ofBatch.number}
          hint={ofBatch.numberHint(bench.value?.nextBatchNumber ?? 1)}
          kind="number"
          narrow
          isFlawed={flaw.value?.is === "bad-number"}
          value={now.number}
          onValue={(number) => (draft.value = { ...now, number })}
        />
      </div>
      <h2>{ofBatch.trays}</h2>
      {newest !== undefined && (
        <button type="button" onClick={() => void copy(newest.id)}>
          {ofBatch.copy}
        </button>
      )}
      {toDry
        ?.filter(({ code }) => !holds(now, code))
        .map(({ code, product }) => (
          <button key={code} type="button" onClick={() => (draft.value = withBag(now, code))}>
            {ofBatch.dryAgain(code, foodCalled(product))}
          </button>
        ))}
      <ul class="plan-trays">
        {now.trays.map((tray) => (
          <PlanTray key={tray.key} tray={tray} flaw={flawOf(flaw.value, tray)} />
        ))}
      </ul>
      <button type="button" onClick={() => (draft.value = withTrayAdded(now))}>
        {plan.add}
      </button>
      <PlanLook plan={planNow(now, unit)} />
      <p class="quiet">{ofBatch.startHint}</p>
    </Form>
  );
}

/** What can be read so far; null while something typed is no number. */
function planNow(now: Draft, unit: MassUnit) {
  const read = readDraft(now, unit);
  return read.is === "whole" ? read.batch : null;
}

/** Where another batch waits for the scale too, the one just planned is what the person is about to weigh. */
async function askForFirst(batch: Batch): Promise<void> {
  const known = bench.peek();
  const scale = known?.scales[0];
  const first = batch.trays[0];
  const hasOthers = known?.batches.some((one) => one.id !== batch.id) ?? false;
  if (scale === undefined || first === undefined || !hasOthers) return;
  await choose(scale.id, "task", { tray: first.id });
}

function flawWords(flaw: Flaw): string {
  const { plan } = say();
  const ofBatch = sayKitchen().plan;
  switch (flaw.is) {
    case "no-dryer":
      return ofBatch.noDryer;
    case "no-trays":
      return ofBatch.noTrays;
    case "bad-number":
      return ofBatch.badNumber;
    case "same-name":
      return ofBatch.sameName(flaw.name);
    case "bad-tare":
      return ofBatch.badTare(trayName(speech.value, flaw.name));
    case "bad-target":
      return ofBatch.badTarget(trayName(speech.value, flaw.name));
    case "bad-water":
      return ofBatch.badWater(trayName(speech.value, flaw.name));
    case "bad-thickness":
      return plan.badThickness(trayName(speech.value, flaw.name));
  }
}

/** What is wrong with this tray. */
const flawOf = (flaw: Flaw | null, tray: TrayDraft): Flaw["is"] | null =>
  flaw !== null && "name" in flaw && flaw.name === tray.name ? flaw.is : null;

type PlanTrayProps = { readonly tray: TrayDraft; readonly flaw: Flaw["is"] | null };

function PlanTray({ tray, flaw }: PlanTrayProps) {
  const { plan } = say();
  const ofBatch = sayKitchen().plan;
  const { unit } = speech.value;
  const set = (changed: TrayDraft): void => {
    const now = draft.peek();
    if (now !== null) draft.value = withTray(now, tray.key, changed);
  };
  const name = trayName(speech.value, tray.name);
  return (
    <li>
      <fieldset>
        <legend class="unseen">{name}</legend>
        <div class="fields">
          <Field
            label={plan.trayName}
            narrow
            isFlawed={flaw === "same-name"}
            value={tray.name}
            onValue={(text) => set({ ...tray, name: text })}
          />
          <Field
            label={plan.tare(unit)}
            kind="number"
            narrow
            hint={plan.tareHint}
            isFlawed={flaw === "bad-tare"}
            value={tray.tare}
            onValue={(text) => set({ ...tray, tare: text })}
          />
          <button
            type="button"
            class="plain remove"
            aria-label={plan.remove(name)}
            onClick={() => {
              const now = draft.peek();
              if (now !== null) draft.value = withoutTray(now, tray.key);
            }}
          >
            {ofBatch.removeShort}
          </button>
        </div>
        {tray.foods.map((food, index) => (
          <PlanFood
            key={food.key}
            tray={tray}
            food={food}
            place={index + 1}
            flaw={flaw}
            onTray={set}
          />
        ))}
        <button type="button" onClick={() => set(withFoodAdded(tray))}>
          {ofBatch.anotherFood}
        </button>
      </fieldset>
    </li>
  );
}

type PlanFoodProps = PlanTrayProps & {
  readonly food: FoodDraft;
  readonly place: number;
  readonly onTray: (tray: TrayDraft) => void;
};

/** The tray is read when something is changed, for two fields of one food may be changed at once. */
function PlanFood({ tray, flaw, food, place, onTray }: PlanFoodProps) {
  const { plan } = say();
  const ofBatch = sayKitchen().plan;
  const { unit } = speech.value;
  const change = (part: Partial<FoodDraft>): void => {
    const now = draft.peek()?.trays.find(({ key }) => key === tray.key) ?? tray;
    onTray(withFood(now, food.key, part));
  };
  const isOnly = tray.foods.length === 1;
  return (
    <div class="fields plan-food">
      <FoodField
        value={food.food}
        onValue={(text) => change({ food: text })}
        onFound={(found) =>
          change(
            found === null
              ? { foodNumber: null }
              : {
                  foodNumber: found.number,
                  water: String(found.waterPct),
                  isOwnWater: false,
                  ...(food.thickness.trim() === "" && found.thicknessMm !== null
                    ? { thickness: String(found.thicknessMm) }
                    : {}),
                },
          )
        }
      />
      <Field
        label={plan.water}
        hint={plan.waterHint}
        kind="number"
        narrow
        isFlawed={flaw === "bad-water"}
        value={food.water}
        onValue={(text) => change({ water: text, isOwnWater: text.trim() !== "" })}
      />
      <Field
        label={plan.thickness}
        kind="number"
        narrow
        isFlawed={flaw === "bad-thickness"}
        value={food.thickness}
        onValue={(text) => change({ thickness: text })}
      />
      <Field
        label={plan.target(unit)}
        hint={isOnly ? ofBatch.mayStayEmpty : ofBatch.targetHintPart}
        kind="number"
        narrow
        isFlawed={flaw === "bad-target"}
        value={food.target}
        onValue={(text) => change({ target: text })}
      />
      {!isOnly && (
        <button
          type="button"
          class="plain remove"
          aria-label={ofBatch.removeFood(place, trayName(speech.value, tray.name))}
          onClick={() => onTray(withoutFood(tray, food.key))}
        >
          {ofBatch.removeShort}
        </button>
      )}
    </div>
  );
}
