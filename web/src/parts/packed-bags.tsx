/** What was packed of a batch already, with its labels. */
import type { BagLine } from "../../../src/wire/bag.ts";
import { bagService } from "../ask-bags.ts";
import { sayBags } from "../bag-texts.ts";
import { bench, foodCalled, speech } from "../page.ts";
import { writeRoute } from "../route.ts";
import { capital, fromTrays, showMass } from "../show.ts";
import { ActButton } from "./act.tsx";
import { useFetched } from "./fetched.ts";
import { Fold } from "./field.tsx";
import { LabelLinks } from "./label-links.tsx";

type Props = {
  readonly batch: number;
  /** More of it is being planned or packed: what was, with its labels, is none of that. */
  readonly isAside: boolean;
};

export function PackedBags({ batch, isAside }: Props) {
  const open = bench.value?.packing.filter((bag) => bag.batch === batch) ?? [];
  const key = JSON.stringify([batch, open.map(({ id, state }) => [id, state])]);
  const texts = sayBags().pack;
  const { body } = useFetched(key, () => bagService.ofBatch(batch));
  const closed = (body ?? [])
    .filter(({ state }) => state !== "planned" && state !== "filled" && state !== "cancelled")
    .sort((a, b) => a.id - b.id);
  return (
    <>
      {open.length > 0 && <LeftOut bags={body ?? []} />}
      {closed.length > 0 &&
        (isAside ? (
          <Fold summary={`${texts.packedBags}: ${texts.count(closed.length)}`}>
            <Packed closed={closed} isTitled={false} />
          </Fold>
        ) : (
          <section class="packed">
            <h2>{texts.packedBags}</h2>
            <Packed closed={closed} isTitled />
          </section>
        ))}
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

export const sealedOf = (bags: readonly BagLine[]): readonly number[] =>
  bags
    .filter(({ state }) => state === "sealed")
    .map(({ id }) => id)
    .sort((a, b) => a - b);

function Packed({
  closed,
  isTitled,
}: {
  readonly closed: readonly BagLine[];
  readonly isTitled: boolean;
}) {
  return (
    <>
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
      <LabelLinks bags={sealedOf(closed)} isTitled={isTitled} />
    </>
  );
}
