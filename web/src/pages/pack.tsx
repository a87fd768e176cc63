/** How much more into this bag? */
import type { Bag } from "../../../src/wire/bag.ts";
import type { Bench, Scale, ScaleTask } from "../../../src/wire/bench.ts";
import { service } from "../ask.ts";
import { choose } from "../choose.ts";
import { bagService } from "../ask-bags.ts";
import { sayBags } from "../bag-texts.ts";
import { announced, bench, say, speech, state } from "../page.ts";
import { ActButton, Refused, useAct } from "../parts/act.tsx";
import { BagAtScale, BagTakenNote } from "../parts/bag-at-scale.tsx";
import { useFetched } from "../parts/fetched.ts";
import { LabelLinks } from "../parts/label-links.tsx";
import { useFromTop } from "../parts/from-top.ts";
import { LiveWeight } from "../parts/live-weight.tsx";
import { PackPlan } from "../parts/pack-plan.tsx";
import { PackedBags, sealedOf } from "../parts/packed-bags.tsx";
import { PracticeHand } from "../parts/practice-hand.tsx";
import { TypedBagWeight } from "../parts/typed-bag-weight.tsx";
import { VerdictMark } from "../parts/verdict-mark.tsx";
import { writeRoute } from "../route.ts";
import { batchName, capital, showDate, showMass } from "../show.ts";
import { scaleToShow, taskOf } from "../state.ts";
import "../bags.css";

export function PackPage({ batch }: { readonly batch: number | null }) {
  const known = bench.value;
  if (known === null) return <LiveWeight scale={null} />;
  const packing = known.packing.filter((bag) => batch === null || bag.batch === batch);
  if (packing.length > 0) return <Packing known={known} packing={packing} />;
  if (batch === null) return <WhichBatch />;
  return <PackBatch key={batch} id={batch} />;
}

/** Batches that were weighed dry, the open ones first: an ended one may still lie there unpacked. */
function WhichBatch() {
  const texts = sayBags().pack;
  const batches = bench.value?.batches ?? [];
  const open = batches.map(({ id }) => id);
  const words = batches.map(({ id, verdict }) => `${id} ${verdict}`);
  const { body, why } = useFetched(`all ${words.join()}`, () => service.batches("all"));
  const dried = body
    ?.filter((batch) => batch.netGrams !== null && batch.verdict !== null)
    .sort((a, b) => Number(open.includes(b.id)) - Number(open.includes(a.id)) || b.id - a.id);
  return (
    <>
      <h1>{texts.which}</h1>
      <Refused why={why} />
      {dried?.length === 0 && <p class="advice">{texts.nothing}</p>}
      <ul class="ledger">
        {dried?.map((batch) => (
          <li key={batch.id}>
            <a href={writeRoute({ page: "pack", batch: batch.id })}>
              <span class="strong">{batchName(speech.value, batch)}</span>
              <span class="quiet">
                {say().batch.number(batch.number)}, {showDate(speech.value, batch.startedAt)}
              </span>
              <span class="ledger-verdict">
                {batch.verdict !== null && <VerdictMark verdict={batch.verdict} />}
                {batch.verdict === null ? say().batch.noVerdict : say().batch.words[batch.verdict]}
              </span>
              <span>{batch.netGrams !== null && showMass(speech.value, batch.netGrams, null)}</span>
            </a>
          </li>
        ))}
      </ul>
      <PracticeHand />
    </>
  );
}

function PackBatch({ id }: { readonly id: number }) {
  useFromTop(`plan ${id}`);
  const changes = bench.value?.batches.find((one) => one.id === id);
  const key = JSON.stringify([id, changes?.verdict, changes?.trays.map((tray) => tray.netGrams)]);
  const batch = useFetched(key, () => service.batch(id));
  const unpacked = useFetched(key, () => bagService.unpacked(id));
  const hasLeft = unpacked.body?.trays.some(({ leftGrams }) => (leftGrams ?? 0) > 0) ?? false;
  const isPacked = unpacked.body?.trays.some(({ leftGrams }) => leftGrams === 0) ?? false;
  return (
    <>
      {batch.body !== null && <h1>{sayBags().pack.of(batchName(speech.value, batch.body))}</h1>}
      {batch.body !== null && <LastSealed id={id} hasLeft={hasLeft} />}
      <Refused why={batch.why ?? unpacked.why} />
      {unpacked.body !== null && hasLeft && <PackPlan batch={id} unpacked={unpacked.body} />}
      {unpacked.body !== null && !hasLeft && (
        <p class="advice">{isPacked ? sayBags().pack.allPacked : sayBags().pack.nothing}</p>
      )}
      <PackedBags key={String(hasLeft)} batch={id} isAside={hasLeft} />
      <PracticeHand />
    </>
  );
}

/** The last bag of a plan can be taken back like any other; its labels come before what is planned next. */
function LastSealed({ id, hasLeft }: { readonly id: number; readonly hasLeft: boolean }) {
  const task = bench.value?.tasks.find(({ bagTaken }) => bagTaken?.kind === "sealed");
  const taken = task?.bagTaken ?? null;
  const { body } = useFetched(`${id} ${taken?.weighing}`, () => bagService.ofBatch(id));
  const plan = body?.find((bag) => bag.id === taken?.bag)?.plan;
  const scale = bench.value?.scales.find((one) => one.id === task?.scale);
  if (body === null || taken === null || plan === undefined) return null;
  const bags = sealedOf(body.filter((bag) => bag.plan === plan));
  return (
    <>
      <BagTakenNote taken={taken} divisionGrams={scale?.divisionGrams ?? null} />
      {hasLeft && (
        <section>
          <h2>{sayBags().labels.title(bags.length)}</h2>
          <LabelLinks bags={bags} isTitled={false} />
        </section>
      )}
    </>
  );
}

function Packing({ known, packing }: { readonly known: Bench; readonly packing: readonly Bag[] }) {
  useFromTop("at the scale");
  const gained = packing.find((bag) => bag.gainSinceVerdict?.isAnswered === false);
  const scale = scaleFor(known);
  const task = scale === null ? null : taskOf(known, scale.id);
  const division = scale?.divisionGrams ?? null;
  const taken = task?.bagTaken ?? null;
  return (
    <>
      {gained !== undefined ? (
        <GainQuestion bag={gained} packing={packing} />
      ) : (
        <AtScale packing={packing} scale={scale} task={task} />
      )}
      {taken !== null && taken.kind !== "shelf" && (
        <BagTakenNote taken={taken} divisionGrams={division} />
      )}
      <PracticeHand />
      <BagList packing={packing} scale={scale} at={task?.bag?.bag ?? null} />
      <Although packing={packing} />
      {[...new Set(packing.map(({ batch }) => batch))].map((batch) => (
        <PackedBags key={batch} batch={batch} isAside />
      ))}
      <TypedBagWeight bags={packing} />
    </>
  );
}

/** The scale that a bag was chosen on, else the one that the live weight would be shown of. */
function scaleFor(known: Bench): Scale | null {
  const withBag = known.tasks.find(({ bag }) => bag !== null && bag.kind !== "shelf")?.scale;
  const id = withBag ?? scaleToShow(state.peek(), null);
  return known.scales.find((scale) => scale.id === id) ?? null;
}

type AtScaleProps = {
  readonly packing: readonly Bag[];
  readonly scale: Scale | null;
  readonly task: ScaleTask | null;
};

function AtScale({ packing, scale, task }: AtScaleProps) {
  const texts = sayBags().pack;
  if (scale === null) return <h1>{texts.title}</h1>;
  const on = task?.bag ?? null;
  if (task === null || on === null || on.kind === "shelf") {
    const [first] = packing;
    if (first === undefined) return null;
    return (
      <>
        <h1>{texts.title}</h1>
        <LiveWeight scale={scale.id} />
        <div class="at-hand">
          <ActButton look="main" asking={() => choose(scale.id, "bag", { bag: first.id })}>
            {texts.at.choose(first.code)}
          </ActButton>
        </div>
      </>
    );
  }
  const bag = packing.find(({ id }) => id === on.bag) ?? null;
  return <BagAtScale scale={scale} task={{ ...task, bag: on }} bag={bag} />;
}

/** Before the first bag is sealed: what the food took up on the bench, and drying again as a choice. */
function GainQuestion({ bag, packing }: { readonly bag: Bag; readonly packing: readonly Bag[] }) {
  const texts = sayBags().pack.gain;
  const act = useAct();
  const gain = bag.gainSinceVerdict;
  if (gain === null) return null;
  const division = bag.weighings.at(-1)?.divisionGrams ?? null;
  const mass = (value: number): string => showMass(speech.value, value, division);
  const redry = async (): Promise<void> => {
    for (const { id, plan } of packing) {
      if (plan !== bag.plan) continue;
      const done = await act.run(() => bagService.setFate(id, { fate: "re-dry" }));
      if (done === null) return;
    }
    announced.value = texts.redryDone;
  };
  return (
    <section class="ask" data-question aria-labelledby="gain-title">
      <h1 id="gain-title">{texts.title(mass(gain.grams))}</h1>
      <p>{texts.why(mass(gain.provableGrams))}</p>
      <div class="answers">
        <button type="button" class="big" onClick={() => void redry()}>
          {texts.redry}
        </button>
        <button
          type="button"
          class="big"
          onClick={() => void act.run(() => bagService.acceptGain(bag.id))}
        >
          {texts.seal}
        </button>
      </div>
      <Refused why={act.refusal} />
    </section>
  );
}

function BagList({
  packing,
  scale,
  at,
}: {
  readonly packing: readonly Bag[];
  readonly scale: Scale | null;
  readonly at: number | null;
}) {
  const texts = sayBags().pack;
  const planned = packing.find(({ id, state: now }) => id === at && now === "planned");
  return (
    <section class="round">
      <h2>{texts.bags}</h2>
      {scale !== null && packing.length > 1 && <p class="quiet">{texts.chooseBag}</p>}
      <div class="answers">
        {packing.map((bag) => {
          const label = (
            <span class={bag.id === at ? "chip next" : "chip"}>
              <span>{capital(sayBags().bag(bag.code))}</span>
              <span class="quiet">{standing(bag)}</span>
            </span>
          );
          return scale === null ? (
            <p key={bag.id}>{label}</p>
          ) : (
            <ActButton
              key={bag.id}
              look="big"
              asking={() => choose(scale.id, "bag", { bag: bag.id })}
            >
              {label}
            </ActButton>
          );
        })}
      </div>
      {planned !== undefined && (
        <ActButton asking={() => bagService.setFate(planned.id, { fate: "cancelled" })}>
          {texts.leaveOut(planned.code)}
        </ActButton>
      )}
    </section>
  );
}

function standing(bag: Bag): string {
  const division = bag.weighings.at(-1)?.divisionGrams ?? null;
  const mass = (value: number): string => showMass(speech.value, value, division ?? 0.1);
  if (bag.netGrams === null) return sayBags().pack.toFill(mass(bag.targetGrams));
  return `${mass(bag.netGrams)}, ${sayBags().states[bag.state]}`;
}

function Although({ packing }: { readonly packing: readonly Bag[] }) {
  const reasons = [...new Set(packing.flatMap(({ although }) => although ?? []))];
  return (
    <>
      {reasons.map((reason) => (
        <p key={reason} class="caution">
          {sayBags().pack.because(reason)}
        </p>
      ))}
    </>
  );
}
