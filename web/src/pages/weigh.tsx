/** What is on the scale, what is it for, was it taken? */
import { computed, type ReadonlySignal } from "@preact/signals";
import { useMemo } from "preact/hooks";
import type { BagTask } from "../../../src/wire/bag.ts";
import type { Batch, Tray } from "../../../src/wire/batch.ts";
import type { Bench, Scale, ScaleTask } from "../../../src/wire/bench.ts";
import { choose } from "../choose.ts";
import { bench, dryerCalled, localNow, say, speech, state, trayNamed } from "../page.ts";
import { AfterDrying, ClockAct, clockSentence, isDried } from "../parts/clock-act.tsx";
import { ActButton } from "../parts/act.tsx";
import { FirstPath } from "../parts/first-path.tsx";
import { LiveWeight } from "../parts/live-weight.tsx";
import { foodNamed, PourAtScale } from "../parts/pour.tsx";
import { PracticeHand, PracticeNext } from "../parts/practice-hand.tsx";
import { LoadQuestion } from "../parts/question.tsx";
import { LinkTrouble, NoScale, WhichForm } from "../parts/scale-trouble.tsx";
import { TakenNote } from "../parts/taken.tsx";
import { AskedOfGaps, whatFollows } from "../parts/verdict-block.tsx";
import { VerdictMark } from "../parts/verdict-mark.tsx";
import { TypedWeight } from "../parts/typed-weight.tsx";
import { NextWeighing } from "../parts/next-weighing.tsx";
import { isPoured } from "../pour.ts";
import { writeRoute } from "../route.ts";
import { capital, showMass, trayName } from "../show.ts";
import { lookAt, scaleToShow, taskOf, type Look } from "../state.ts";

/** The kind of look alone, so that the page around the live weight is not drawn at every reading. */
const kindOfLook = (scale: string | null): ReadonlySignal<Look["is"]> =>
  computed(() => lookAt(state.value, scale, localNow.value).is);

const shownScale = (asked: string | null): ReadonlySignal<string | null> =>
  computed(() => scaleToShow(state.value, asked));

export function WeighPage({ scale: asked }: { readonly scale: string | null }) {
  const id = useMemo(() => shownScale(asked), [asked]).value;
  const look = useMemo(() => kindOfLook(id), [id]).value;
  const known = bench.value;
  if (known === null) return <LiveWeight scale={null} />;
  const scale = known.scales.find((one) => one.id === id);
  const task = taskOf(known, id);
  const isFirst = known.batches.length === 0 && look !== "which-form";
  return (
    <>
      {known.scales.length > 1 && <Scales scales={known.scales} shown={id} />}
      {isFirst && <FirstPath scale={scale ?? null} />}
      {scale === undefined ? (
        !isFirst && <NoScale />
      ) : look === "which-form" ? (
        <WhichForm scale={scale} />
      ) : (
        <AtScale known={known} scale={scale} task={task} look={look} />
      )}
      <AskedOfGaps batches={known.batches} />
      {look !== "which-form" && (
        <Acts known={known} task={task} divisionGrams={scale?.divisionGrams ?? null} />
      )}
      {scale !== undefined && <Trays known={known} scale={scale} task={task} />}
      <PracticeHand />
      <TypedWeight batches={known.batches} />
    </>
  );
}

function Scales(props: { readonly scales: readonly Scale[]; readonly shown: string | null }) {
  return (
    <nav class="scales" aria-label={say().look.scale}>
      {props.scales.map((scale, at) => (
        <a
          key={scale.id}
          href={writeRoute({ page: "weigh", scale: scale.id })}
          aria-current={scale.id === props.shown ? "true" : undefined}
        >
          {say().look.scaleName(at + 1, scale.uri)}
        </a>
      ))}
    </nav>
  );
}

type AtScaleProps = {
  readonly known: Bench;
  readonly scale: Scale;
  readonly task: ScaleTask | null;
  readonly look: Look["is"];
};

function AtScale({ known, scale, task, look }: AtScaleProps) {
  const division = scale.divisionGrams;
  const question = task?.question ?? null;
  const mayBeWrong = !scale.zeroSeen && look !== "trouble" && look !== "page-lost";
  const pour = task?.pour ?? null;
  const isPouring = question === null && isPoured(pour) && look !== "page-lost";
  if (task !== null && task.check.waitsFor !== null)
    return <ForCheck scale={scale} name={task.check.waitsFor.name} />;
  if (task !== null && task.bag !== null) return <ForBag scale={scale} on={task.bag} />;
  return (
    <>
      {isPouring ? (
        <PourAtScale scale={scale.id} pour={pour} />
      ) : (
        <>
          <WhatToDo known={known} task={task} look={look} />
          <LiveWeight scale={scale.id} />
        </>
      )}
      <PracticeNext next={task?.next ?? null} isLoaded={look === "settled" || look === "moving"} />
      {look === "trouble" && <LinkTrouble scale={scale} />}
      {mayBeWrong && question === null && <p class="advice">{say().look.zeroUnseen}</p>}
      {question !== null && (
        <LoadQuestion scale={scale.id} question={question} divisionGrams={division} />
      )}
      {task !== null && <OfCheck task={task} divisionGrams={division} />}
    </>
  );
}

/** The next load is a check weight: nothing else is taken until it was, or until a person says otherwise. */
function ForCheck({ scale, name }: { readonly scale: Scale; readonly name: string }) {
  const texts = say().weigh.check;
  return (
    <>
      <h1 class="todo">{texts.put(name)}</h1>
      <LiveWeight scale={scale.id} />
      <div class="answers">
        <ActButton look="big" asking={() => choose(scale.id, "check", { weight: null })}>
          {texts.stop}
        </ActButton>
      </div>
    </>
  );
}

/** Whether the scale may be trusted, as its last check says; on every weighing until it is put right. */
function OfCheck({
  task,
  divisionGrams,
}: {
  readonly task: ScaleTask;
  readonly divisionGrams: number | null;
}) {
  const texts = say().weigh.check;
  const { last, isDue } = task.check;
  const isBad = last !== null && !last.good;
  if (!isDue) return null;
  const off = last === null ? "" : showMass(speech.value, last.offGrams, divisionGrams);
  return (
    <div class="advice" role={isBad ? "alert" : undefined}>
      <p class={isBad ? "strong" : undefined}>{isBad ? texts.bad(off) : texts.due}</p>
      <p>
        <a class="button" href={writeRoute({ page: "setup" })}>
          {texts.toChecks}
        </a>
      </p>
    </div>
  );
}

/** A bag was chosen on this scale: until that is changed, no load is taken for a tray. */
function ForBag({ scale, on }: { readonly scale: Scale; readonly on: BagTask }) {
  const texts = say().bags;
  return (
    <>
      <h1 class="todo">{texts.scaleForBag(on.code)}</h1>
      <LiveWeight scale={scale.id} />
      <div class="answers">
        <a
          class="button big"
          href={writeRoute(
            on.kind === "shelf" ? { page: "shelf", bag: on.bag } : { page: "pack", batch: null },
          )}
        >
          {texts.toBag}
        </a>
        <ActButton look="big" asking={() => choose(scale.id, "bag", { bag: null })}>
          {texts.forTrays}
        </ActButton>
      </div>
    </>
  );
}

/** One sentence in the imperative, or how things stand when nobody has to do anything. */
function WhatToDo({ known, task, look }: Omit<AtScaleProps, "scale">) {
  const { weigh } = say();
  const batch = batchAtHand(known, task);
  const next = task?.next ?? null;
  const isAsked = (task?.question ?? null) !== null;
  const isTaken = (task?.taken ?? null) !== null && !isAsked && look === "settled";
  // The question itself is what to do.
  if (isAsked) return null;
  if (isTaken)
    return (
      <h1 class="todo">
        {next === null
          ? weigh.lift
          : next.tray === task?.taken?.tray
            ? weigh.put[next.kind](trayNamed(next.batch, next.name))
            : weigh.liftThen(trayNamed(next.batch, next.name))}
      </h1>
    );
  if (next !== null && look === "moving")
    return <h1 class="todo">{weigh.comeToRest(capital(trayNamed(next.batch, next.name)))}</h1>;
  if (next !== null && next.kind === "dry" && next.portion !== null)
    return (
      <h1 class="todo">
        {weigh.pour.alone(portionFood(known, next), trayNamed(next.batch, next.name))}
      </h1>
    );
  if (next !== null)
    return <h1 class="todo">{weigh.put[next.kind](trayNamed(next.batch, next.name))}</h1>;
  // The way to a first batch stands above.
  if (batch === null) return null;
  return (
    <div class="todo">
      <h1>{batch.clock.state === "out" ? weigh.roundDone : clockSentence(batch)}</h1>
      {batch.clock.state === "out" && <Outcome batch={batch} />}
      <NextWeighing batch={batch} />
    </div>
  );
}

function portionFood(known: Bench, next: NonNullable<ScaleTask["next"]>): string {
  const tray = known.batches.flatMap(({ trays }) => trays).find(({ id }) => id === next.tray);
  return foodNamed(tray?.portions.find(({ place }) => place === next.portion)?.food ?? null);
}

/** What the round just weighed has shown. */
function Outcome({ batch }: { readonly batch: Batch }) {
  const texts = say().batch;
  if (batch.verdict === null) return null;
  const follows = whatFollows(batch);
  return (
    <p class="outcome">
      <a href={writeRoute({ page: "batch", batch: batch.id, tray: null })}>
        <VerdictMark verdict={batch.verdict} />
        {texts.words[batch.verdict]}
      </a>
      <span>{follows === "" ? texts.meanings[batch.verdict] : follows}</span>
    </p>
  );
}

/** The batch that the scale serves: the one it waits for, the one it last took, else the only one. */
function batchAtHand(known: Bench, task: ScaleTask | null): Batch | null {
  const id = task?.next?.batch ?? task?.taken?.batch;
  return known.batches.find((batch) => batch.id === id) ?? known.batches[0] ?? null;
}

type ActsProps = Pick<AtScaleProps, "known" | "task"> & { readonly divisionGrams: number | null };

/** What was just taken and what the batch at hand waits for, which stay in sight together; then the other batches. */
function Acts({ known, task, divisionGrams }: ActsProps) {
  const batch = batchAtHand(known, task);
  const isForTrays = task !== null && task.bag === null && task.check.waitsFor === null;
  const taken = isForTrays ? task.taken : null;
  if (batch === null && taken === null) return null;
  const others = known.batches.filter((one) => one !== batch);
  const isAside = batch !== null && isDried(batch);
  const clock = batch !== null && (
    <ClockAct batch={batch} named={others.length > 0} isAside={isAside} />
  );
  return (
    <div class="acts">
      <div class="at-hand">
        {taken !== null && <TakenNote taken={taken} divisionGrams={divisionGrams} />}
        {batch !== null && (task?.next ?? null) === null && <AfterDrying batch={batch} />}
        {!isAside && clock}
      </div>
      {isAside && clock}
      {others.map((one) => (
        <ClockAct key={one.id} batch={one} named isAside />
      ))}
    </div>
  );
}

type TraysProps = Omit<AtScaleProps, "look">;

/** The trays that are on the bench: which are done, which comes next; touching one makes it the next. */
function Trays(props: TraysProps) {
  const onBench = props.known.batches.filter((batch) => batch.clock.state !== "in");
  const count = onBench.reduce((sum, batch) => sum + batch.trays.length, 0);
  if (count < 2) return null;
  const atHand = batchAtHand(props.known, props.task);
  return (
    <>
      {onBench
        .sort((a, b) => Number(b === atHand) - Number(a === atHand))
        .map((batch) => (
          <TraysOf key={batch.id} batch={batch} {...props} />
        ))}
    </>
  );
}

function TraysOf({ batch, known, scale, task }: TraysProps & { readonly batch: Batch }) {
  const { weigh } = say();
  return (
    <section class="round">
      <h2>
        {known.batches.length > 1
          ? say().ofDryer(weigh.trays, dryerCalled(batch.dryer))
          : weigh.trays}
      </h2>
      <p class="quiet">{weigh.chooseTray}</p>
      <div class="answers">
        {batch.trays.map((tray) => {
          const isNext = task?.next?.tray === tray.id;
          return (
            <ActButton
              key={tray.id}
              look="big"
              asking={() => choose(scale.id, "task", { tray: tray.id })}
            >
              <span class={isNext ? "chip next" : "chip"}>
                <span>{capital(trayName(speech.value, tray.name))}</span>
                <span class="quiet">{standing(batch, tray, isNext)}</span>
              </span>
            </ActButton>
          );
        })}
      </div>
    </section>
  );
}

function standing(batch: Batch, tray: Tray, isNext: boolean): string {
  const { weigh } = say();
  if (isNext) return weigh.next;
  const last = tray.weighings.at(-1);
  const isDone =
    batch.clock.state === "waiting"
      ? tray.freshGrams !== null
      : batch.round.weighed.includes(tray.id);
  if (!isDone || last === undefined) return weigh.waiting;
  return weigh.done(showMass(speech.value, last.grossGrams, last.divisionGrams));
}
