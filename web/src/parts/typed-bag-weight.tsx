/** For a scale that is not connected: what it shows with a bag on it, typed in. */
import { useSignal } from "@preact/signals";
import type { Bag, BagWeighingKind } from "../../../src/wire/bag.ts";
import { bagService } from "../ask-bags.ts";
import { sayBags } from "../bag-texts.ts";
import { announced, say, speech } from "../page.ts";
import { capital, readTyped } from "../show.ts";
import { Refused, useAct } from "./act.tsx";
import { Choice, Field, Fold, Form } from "./field.tsx";

/** The next weighing that a bag waits for; as the service has it. */
export function kindNow(bag: Bag): BagWeighingKind {
  if (bag.state === "sealed") return "shelf";
  if (bag.state === "filled" || bag.state === "opened") return "sealed";
  return bag.tareGrams === null ? "tare" : "filled";
}

export function TypedBagWeight({ bags }: { readonly bags: readonly Bag[] }) {
  if (bags.length === 0) return null;
  return (
    <Fold summary={sayBags().typed.open}>
      <TypedForm bags={bags} />
    </Fold>
  );
}

function TypedForm({ bags }: { readonly bags: readonly Bag[] }) {
  const texts = sayBags().typed;
  const act = useAct();
  const chosen = useSignal<number | null>(null);
  const value = useSignal("");
  const said = useSignal<string | null>(null);
  const bag = bags.find(({ id }) => id === chosen.value) ?? bags[0];
  if (bag === undefined) return null;
  const kind = kindNow(bag);
  const { unit } = speech.value;

  const keep = async (): Promise<void> => {
    const number = readTyped(value.value);
    if (number === null || number <= 0) {
      said.value = say().weigh.typed.notANumber;
      return;
    }
    said.value = null;
    const done = await act.run(() => bagService.weigh(bag.id, { kind, value: number, unit }));
    if (done === null) return;
    value.value = "";
    said.value = texts.kept;
    announced.value = texts.kept;
  };

  return (
    <Form onSend={() => void keep()}>
      <div class="fields">
        {bags.length > 1 && (
          <Choice
            label={texts.bag}
            value={String(bag.id)}
            onValue={(id) => (chosen.value = Number(id))}
            options={bags.map(({ id, code }) => ({ value: String(id), label: code }))}
          />
        )}
        <Field
          label={texts.value(unit)}
          hint={`${capital(sayBags().bag(bag.code))}: ${texts.what[kind]}`}
          kind="number"
          narrow
          value={value.value}
          onValue={(text) => (value.value = text)}
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
