/** A bag on a scale: what to do with it now, how much is missing, what was taken, and the way back. */
import { computed, type ReadonlySignal } from "@preact/signals";
import { useMemo } from "preact/hooks";
import type { Bag, BagTaken, BagTask } from "../../../src/wire/bag.ts";
import type { Scale, ScaleTask } from "../../../src/wire/bench.ts";
import { bagService } from "../ask-bags.ts";
import { sayBags } from "../bag-texts.ts";
import { fillOf, type Fill } from "../pack.ts";
import { announced, foodCalled, localNow, say, shownOf, speech, state } from "../page.ts";
import { fromTrays, showMass } from "../show.ts";
import { lookAt, type Look } from "../state.ts";
import { ActButton } from "./act.tsx";
import { LiveWeight } from "./live-weight.tsx";
import { LinkTrouble, WhichForm } from "./scale-trouble.tsx";
import { ServiceText } from "./service-text.tsx";
import { ToGo } from "./figures.tsx";
import { WithCode } from "./with-code.tsx";

const lookOf = (scale: string): ReadonlySignal<Look> =>
  computed(() => lookAt(state.value, scale, localNow.value));

type AsFilling = BagTask & {
  readonly targetGrams: number;
  readonly toleranceGrams: number;
  readonly tareGrams: number;
};
const isFilling = (task: BagTask): task is AsFilling =>
  task.kind === "filled" &&
  task.targetGrams !== null &&
  task.toleranceGrams !== null &&
  task.tareGrams !== null;

type Filling = { readonly task: AsFilling; readonly fill: Fill; readonly divisionGrams: number };

/** While food is poured, the page reckons itself what is to go: at every reading, as the live weight is shown. */
function fillingAt(task: BagTask, look: Look): Filling | null {
  if (!isFilling(task) || task.needsLift || !("divisionGrams" in look) || look.is === "below")
    return null;
  const fill = fillOf({ grossGrams: look.grams, ...task });
  // The empty pan misses the empty bag as well: nothing is being poured yet.
  if (look.is === "empty") return null;
  return { task, fill, divisionGrams: look.divisionGrams };
}

type Props = {
  readonly scale: Scale;
  readonly task: ScaleTask & { readonly bag: BagTask };
  readonly bag: Bag | null;
};

export function BagAtScale({ scale, task, bag }: Props) {
  const look = useMemo(() => lookOf(scale.id), [scale.id]).value;
  const on = task.bag;
  const filling = fillingAt(on, look);
  const isFirstToSeal = on.kind === "sealed" && task.bagTaken?.kind === "filled";
  if (look.is === "which-form") return <WhichForm scale={scale} />;
  return (
    <>
      <div class="todo">
        <h1>
          <WithCode text={todo(on, look, filling, isFirstToSeal)} code={on.code} />
        </h1>
        <p class="quiet">{steps(on, bag)}</p>
      </div>
      {filling === null ? <LiveWeight scale={scale.id} /> : <IntoBag {...filling} />}
      {look.is === "trouble" && <LinkTrouble scale={scale} />}
      <NotTaken
        scale={scale}
        on={on}
        isSettled={look.is === "settled"}
        isTold={filling === null || filling.fill.is === "enough"}
      />
    </>
  );
}

function IntoBag({ task, fill, divisionGrams }: Filling) {
  const texts = sayBags().pack.at;
  const mass = (grams: number): string => showMass(speech.value, grams, divisionGrams);
  return (
    <ToGo
      {...fill}
      divisionGrams={divisionGrams}
      goal={task}
      word={{ short: texts.toGo, enough: texts.enough, over: texts.over }[fill.is]}
      barLabel={texts.bar}
      line={texts.inIt(mass(Math.max(0, fill.netGrams)), mass(task.targetGrams))}
    />
  );
}

function todo(on: BagTask, look: Look, filling: Filling | null, isFirstToSeal: boolean): string {
  const texts = sayBags().pack.at;
  if (on.needsLift && look.is !== "empty")
    return isFirstToSeal ? texts.liftThenSeal : texts.lift(on.code);
  if (filling !== null)
    return {
      short: texts.pour(on.code),
      enough: texts.rest(on.code),
      over: texts.tooMuch(on.code),
    }[filling.fill.is];
  switch (on.kind) {
    case "tare":
      return texts.tare(on.code);
    case "filled":
      return texts.putToFill(on.code);
    case "sealed":
      return texts.seal(on.code);
    case "shelf":
      return sayBags().shelf.put(on.code);
  }
}

function steps(on: BagTask, bag: Bag | null): string {
  const texts = sayBags();
  const food = foodCalled(on.product);
  if (bag === null || on.kind === "shelf") return food;
  // Where its food comes from is kept as it is told here; and a weight cannot tell bags apart that weigh alike.
  if (on.kind !== "sealed") {
    const trays = [...new Set(bag.trays.map(({ name }) => name))];
    return `${fromTrays(speech.value, food, trays)}. ${texts.pack.at.markIt(on.code)}`;
  }
  if (bag.absorbers === null) return texts.pack.at.noAbsorberSteps;
  return texts.pack.at.sealSteps(texts.absorbers(bag.absorbers.count, String(bag.absorbers.cc)));
}

/** A load that rests and was not taken by itself: why, and the person's word that it is right. */
function NotTaken({
  scale,
  on,
  isSettled,
  isTold,
}: {
  readonly scale: Scale;
  readonly on: BagTask;
  readonly isSettled: boolean;
  readonly isTold: boolean;
}) {
  if (on.why === null || on.needsLift || !isSettled) return null;
  return (
    <section class="not-taken">
      {/* While something is to go, the figure above says the same. */}
      {isTold && (
        <p class="advice">
          <ServiceText text={on.why} />
        </p>
      )}
      <ActButton
        look="big"
        asking={() =>
          bagService.weigh(on.bag, { kind: on.kind, scale: scale.id, although: on.why ?? "" })
        }
      >
        {sayBags().pack.at.asItIs}
      </ActButton>
    </section>
  );
}

/** Stands until the next load is taken; so long it can be taken back with one touch. */
export function BagTakenNote({
  taken,
  divisionGrams,
}: {
  readonly taken: BagTaken;
  readonly divisionGrams: number | null;
}) {
  const { weigh } = say();
  const mass = showMass(speech.value, shownOf(taken), divisionGrams);
  return (
    <section class="taken">
      <div>
        <h2>
          <WithCode text={say().bags.taken[taken.kind](taken.code, mass)} code={taken.code} />
        </h2>
        <p class="quiet">{foodCalled(taken.product)}</p>
      </div>
      <ActButton
        look="big"
        asking={() =>
          bagService.editWeighing(taken.bag, taken.weighing, {
            struck: true,
            reason: weigh.undoReason,
          })
        }
        after={() => {
          announced.value = weigh.undone;
        }}
      >
        {weigh.undo}
      </ActButton>
    </section>
  );
}
