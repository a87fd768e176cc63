/** What became of a bag: asked about once more, and taken back with a touch. */
import { useSignal } from "@preact/signals";
import type { Bag, Fate } from "../../../src/wire/bag.ts";
import { bagService } from "../ask-bags.ts";
import { sayBags } from "../bag-texts.ts";
import { announced } from "../page.ts";
import { Refused, useAct } from "./act.tsx";

const whileThere: readonly Fate[] = ["opened", "used", "given-away", "thrown-away", "re-dry"];

export function Fates({ bag, onChanged }: { readonly bag: Bag; readonly onChanged: () => void }) {
  const texts = sayBags();
  const asked = useSignal<Fate | null>(null);
  const act = useAct();
  if (bag.state !== "sealed" && bag.state !== "opened")
    return <TakeBack bag={bag} onChanged={onChanged} />;
  const fates = whileThere.filter((fate) => fate !== "opened" || bag.state === "sealed");
  const fate = asked.value;
  const set = async (chosen: Fate): Promise<void> => {
    const done = await act.run(() => bagService.setFate(bag.id, { fate: chosen }));
    if (done === null) return;
    asked.value = null;
    announced.value = texts.shelf.fateDone(bag.code, texts.states[chosen]);
    onChanged();
  };
  if (fate !== null)
    return (
      <section class="ask" data-question aria-labelledby="fate-title">
        <h2 id="fate-title">{texts.shelf.fateAsk(bag.code, texts.states[fate])}</h2>
        <p>{texts.shelf.fateMeans[fate]}</p>
        <div class="answers">
          <button type="button" class="big" onClick={() => void set(fate)}>
            {texts.fates[fate]}
          </button>
          <button type="button" class="big" onClick={() => (asked.value = null)}>
            {texts.shelf.no}
          </button>
        </div>
        <Refused why={act.refusal} />
      </section>
    );
  return (
    <section class="fates">
      <h2>{texts.shelf.fates}</h2>
      <div class="answers">
        {fates.map((one) => (
          <button key={one} type="button" class="big" onClick={() => (asked.value = one)}>
            {texts.fates[one]}
          </button>
        ))}
      </div>
      {bag.state === "opened" && <TakeBack bag={bag} onChanged={onChanged} />}
    </section>
  );
}

/** Not where its food lies on a tray of another batch already. */
function TakeBack({ bag, onChanged }: { readonly bag: Bag; readonly onChanged: () => void }) {
  const texts = sayBags();
  const act = useAct();
  const isFate = whileThere.some((one) => one === bag.state);
  if (!isFate || (bag.redriedIn ?? null) !== null) return null;
  const takeBack = async (): Promise<void> => {
    const done = await act.run(() => bagService.takeFateBack(bag));
    if (done === null) return;
    announced.value = texts.shelf.takenBack(bag.code, texts.states[done.body.state]);
    onChanged();
  };
  return (
    <div class="take-back">
      <button type="button" onClick={() => void takeBack()}>
        {texts.shelf.takeBack(texts.states[bag.state])}
      </button>
      <Refused why={act.refusal} />
    </div>
  );
}
