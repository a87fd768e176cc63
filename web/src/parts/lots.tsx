/** Which lot of packaging gains more often than others, with what so few bags can prove. */
import { useSignal } from "@preact/signals";
import type { LotLine } from "../../../src/wire/bag.ts";
import { bagService } from "../ask-bags.ts";
import { sayBags } from "../bag-texts.ts";
import { say, speech } from "../page.ts";
import { showNumber, showPercent } from "../show.ts";
import { Refused } from "./act.tsx";
import { useFetched } from "./fetched.ts";
import { Fold } from "./field.tsx";

export function Lots({ change }: { readonly change: string }) {
  const isOpen = useSignal(false);
  return (
    <Fold summary={sayBags().shelf.lots.open} onToggle={(open) => (isOpen.value = open)}>
      {isOpen.value && <LotList change={change} />}
    </Fold>
  );
}

function LotList({ change }: { readonly change: string }) {
  const texts = sayBags().shelf.lots;
  const { body, why } = useFetched(change, () => bagService.lots());
  return (
    <>
      <Refused why={why} />
      {body?.length === 0 && <p>{texts.none}</p>}
      <ul class="lots">
        {body?.map((lot) => (
          <li key={`${lot.container} ${lot.volumeMl} ${lot.lot ?? ""}`}>
            <p class="strong">{nameOf(lot)}</p>
            <p>
              {standing(lot)} {lot.isWorse && <span class="due-now">{texts.worse}</span>}
            </p>
          </li>
        ))}
      </ul>
      <p class="quiet">{texts.why}</p>
    </>
  );
}

const nameOf = (lot: LotLine): string =>
  [
    sayBags().containers[lot.container],
    sayBags().millilitres(showNumber(speech.value, lot.volumeMl, 0)),
    lot.lot ?? sayBags().shelf.lots.noName,
  ].join(", ");

function standing({ bags, told, gaining, share }: LotLine): string {
  const texts = sayBags().shelf.lots;
  if (share === null) return texts.untold(bags);
  const percent = (value: number): string => showPercent(speech.value, value);
  return texts.line(gaining, told, say().range(percent(share.low), percent(share.high)));
}
