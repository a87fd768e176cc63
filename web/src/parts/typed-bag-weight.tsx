/** For a scale that is not connected: what it shows with a bag on it, typed in. */
import { useSignal } from "@preact/signals";
import type { Bag, BagWeighingKind } from "../../../src/wire/bag.ts";
import { bagService } from "../ask-bags.ts";
import { sayBags } from "../bag-texts.ts";
import { say, speech } from "../page.ts";
import { capital, readTyped } from "../show.ts";
import { Form, useAct } from "./act.tsx";
import { Choice, Field, Fold } from "./field.tsx";

/** The next weighing that a bag waits for; as the service has it. */
export function kindNow(bag: Bag): BagWeighingKind {
  if (bag.state === "sealed") return "shelf";
  if (bag.state === "filled" || bag.state === "opened") return "sealed";
  return bag.tareGrams === null ? "tare" : "filled";
}

type Props = { readonly bags: readonly Bag[]; readonly onKept?: () => void };

export function TypedBagWeight(props: Props) {
  if (props.bags.length === 0) return null;
  return (
    <Fold summary={sayBags().typed.open}>
      <TypedForm {...props} />
    </Fold>
  );
}

function TypedForm({ bags, onKept }: Props) {
  const texts = sayBags().typed;
  const act = useAct();
  const chosen = useSignal<number | null>(null);
  const value = useSignal("");
  const told = useSignal("");
  const bag = bags.find(({ id }) => id === chosen.value) ?? bags[0];
  if (bag === undefined) return null;
  const kind = kindNow(bag);
  const { unit } = speech.value;

  const keep = async (): Promise<void> => {
    const number = readTyped(value.value);
    if (number === null || number <= 0) {
      act.refuse(say().weigh.typed.notANumber, value);
      return;
    }
    // The same sent once more after the service refused it: whoever does so has read why.
    const { refusal } = act;
    const same = `${bag.id} ${number}`;
    const although =
      told.value === same && refusal?.is === "refused" ? { although: refusal.what } : {};
    told.value = same;
    const done = await act.run(() =>
      bagService.weigh(bag.id, { kind, value: number, unit, ...although }),
    );
    if (done === null) return;
    value.value = "";
    act.tell(texts.kept);
    onKept?.();
  };

  return (
    <Form onSend={() => void keep()} act={act} send={texts.keep} look="big">
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
          of={value}
        />
      </div>
    </Form>
  );
}
