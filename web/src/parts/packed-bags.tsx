/** What was packed of a batch already, with its labels. */
import type { BagLine } from "../../../src/wire/bag.ts";
import { bagService } from "../ask-bags.ts";
import { sayBags } from "../bag-texts.ts";
import { bench, foodCalled, speech } from "../page.ts";
import { writeRoute } from "../route.ts";
import { capital, fromTrays, showMass } from "../show.ts";
import { ActButton } from "./act.tsx";
import { useFetched } from "./fetched.ts";
import { LabelLinks } from "./label-links.tsx";

export function PackedBags({ batch }: { readonly batch: number }) {
  const open = bench.value?.packing.filter((bag) => bag.batch === batch) ?? [];
  const key = JSON.stringify([batch, open.map(({ id, state }) => [id, state])]);
  const { body } = useFetched(key, () => bagService.ofBatch(batch));
  const closed = (body ?? [])
    .filter(({ state }) => state !== "planned" && state !== "filled" && state !== "cancelled")
    .sort((a, b) => a.id - b.id);
  return (
    <>
      {open.length > 0 && <LeftOut bags={body ?? []} />}
      {closed.length > 0 && <Packed closed={closed} />}
    </>
  );
}

/** While its batch is packed, a bag that was left out can be packed after all. */
function LeftOut({ bags }: { readonly bags: readonly BagLine[] }) {
  return (
    <>
      {bags
        .filter(({ state }) => state === "cancelled")
        .map((bag) => (
          <ActButton key={bag.id} asking={() => bagService.takeFateBack(bag)}>
            {sayBags().pack.packAfterAll(bag.code)}
          </ActButton>
        ))}
    </>
  );
}

function Packed({ closed }: { readonly closed: readonly BagLine[] }) {
  return (
    <section class="packed">
      <h2>{sayBags().pack.packedBags}</h2>
      <ul class="bag-lines">
        {closed.map((bag) => (
          <li key={bag.id}>
            <a href={writeRoute({ page: "shelf", bag: bag.id })}>
              <span class="strong">{capital(sayBags().bag(bag.code))}</span>
              <span>{fromTrays(speech.value, foodCalled(bag.product), bag.trays)}</span>
              <span class="figure">
                {bag.netGrams !== null && showMass(speech.value, bag.netGrams, 0.1)}
              </span>
              <span class="quiet">{sayBags().states[bag.state]}</span>
            </a>
          </li>
        ))}
      </ul>
      <LabelLinks bags={closed.filter(({ state }) => state === "sealed").map(({ id }) => id)} />
    </section>
  );
}
