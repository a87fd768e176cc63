/** Loading a tray: what is to go in figures to be read across the room, and a bar that turns at the target. */
import { computed, type ReadonlySignal } from "@preact/signals";
import { useMemo } from "preact/hooks";
import type { Pour } from "../../../src/wire/bench.ts";
import { service } from "../ask.ts";
import { foodCalled, localNow, say, speech, state, trayNamed } from "../page.ts";
import { pouringOf, type Pouring } from "../pour.ts";
import { showMass } from "../show.ts";
import { lookAt, type Look } from "../state.ts";
import { ActButton } from "./act.tsx";
import { ToGo } from "./figures.tsx";
import { LiveWeight } from "./live-weight.tsx";

const lookOf = (scale: string): ReadonlySignal<Look> =>
  computed(() => lookAt(state.value, scale, localNow.value));

type Props = { readonly scale: string; readonly pour: Pour };

export function PourAtScale({ scale, pour }: Props) {
  const look = useMemo(() => lookOf(scale), [scale]).value;
  if (!("divisionGrams" in look) || look.is === "below") return <LiveWeight scale={scale} />;
  const { divisionGrams } = look;
  const pouring = pouringOf(pour, look.grams, divisionGrams);
  const isOn = pouring.is !== "off" || pour.isOn;
  return (
    <>
      <Todo pour={pour} pouring={pouring} isOn={isOn} />
      {isOn ? (
        <ToPour pour={pour} pouring={pouring} divisionGrams={divisionGrams} />
      ) : (
        <LiveWeight scale={scale} />
      )}
      {look.is === "settled" && <ByHand scale={scale} pour={pour} pouring={pouring} />}
    </>
  );
}

export const foodNamed = (food: string | null): string =>
  food === null ? say().weigh.pour.someFood : foodCalled(food);

function Todo({
  pour,
  pouring,
  isOn,
}: {
  readonly pour: Pour;
  readonly pouring: Pouring;
  readonly isOn: boolean;
}) {
  const texts = say().weigh.pour;
  const name = trayNamed(pour.batch, pour.name);
  const food = foodNamed(pour.food);
  const words = {
    off: texts.pour(food, name),
    short: texts.pour(food, name),
    open: texts.pour(food, name),
    enough: texts.rest,
    over: texts.takeOff,
  };
  return (
    <div class="todo">
      <h1>{isOn ? words[pouring.is] : texts.putBack(name)}</h1>
      {pour.portions > 1 && pour.portion !== null && (
        <p class="quiet">
          {texts.which(pour.portion, pour.portions)} {isOn && texts.leave}
        </p>
      )}
    </div>
  );
}

type ToPourProps = {
  readonly pour: Pour;
  readonly pouring: Pouring;
  readonly divisionGrams: number;
};

function ToPour({ pour, pouring, divisionGrams }: ToPourProps) {
  const texts = say().weigh.pour;
  const { targetGrams } = pour;
  const toleranceGrams = pour.toleranceGrams ?? 0;
  const mass = (grams: number): string => showMass(speech.value, grams, divisionGrams);
  return (
    <ToGo
      {...pouring}
      divisionGrams={divisionGrams}
      goal={targetGrams === null ? null : { targetGrams, toleranceGrams }}
      word={texts.words[pouring.is]}
      barLabel={texts.bar}
      line={
        targetGrams === null
          ? foodNamed(pour.food)
          : texts.of(mass(pouring.netGrams), mass(targetGrams), mass(toleranceGrams))
      }
    />
  );
}

/** What is at rest and was not taken by itself; and the scale's tare key, where the readings do not tell of it. */
function ByHand({ scale, pour, pouring }: Props & { readonly pouring: Pouring }) {
  const texts = say().weigh.pour;
  const { load, hiddenGrams, tray, portion } = pour;
  const mass = showMass(speech.value, hiddenGrams, null);
  const mayBeTared = hiddenGrams === 0 && load !== null && pour.isOn;
  return (
    <div class="answers">
      {load !== null && pouring.netGrams > 0 && (
        <ActButton
          look="big"
          asking={() =>
            service.answerLoad(scale, {
              load,
              tray,
              kind: "fresh",
              ...(portion === null ? {} : { portion }),
            })
          }
        >
          {texts.asItIs}
        </ActButton>
      )}
      {mayBeTared && (
        <ActButton asking={() => service.sayTared(scale, { pressed: true })}>
          {texts.tared}
        </ActButton>
      )}
      {hiddenGrams !== 0 && (
        <div>
          <p class="quiet">{texts.hides(mass)}</p>
          <ActButton asking={() => service.sayTared(scale, { pressed: false })}>
            {texts.notTared}
          </ActButton>
        </div>
      )}
    </div>
  );
}
