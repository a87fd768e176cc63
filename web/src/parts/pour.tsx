/** Loading a tray: what is to go in figures to be read across the room, and a bar that turns at the target. */
import { computed, type ReadonlySignal } from "@preact/signals";
import type { CSSProperties } from "preact";
import { useMemo } from "preact/hooks";
import type { Pour } from "../../../src/wire/bench.ts";
import { service } from "../ask.ts";
import { foodCalled, localNow, say, speech, state, trayNamed } from "../page.ts";
import { pouringOf, type Pouring } from "../pour.ts";
import { massParts, showMass, widthInEms } from "../show.ts";
import { lookAt, type Look } from "../state.ts";
import { ActButton } from "./act.tsx";
import { LiveWeight } from "./live-weight.tsx";

const lookOf = (scale: string): ReadonlySignal<Look> =>
  computed(() => lookAt(state.value, scale, localNow.value));

/** The figure's unit beside it, as for the live weight. */
const unitScale = 0.3;
const leastEms = 3.9;
/** The bar goes on beyond the target by this share, so that too much can be seen. */
const barEnd = 1.2;

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
  const { is, netGrams, toGoGrams } = pouring;
  const shown = Math.abs(toGoGrams ?? netGrams);
  const parts = massParts(speech.value, shown, divisionGrams, true);
  const ems = Math.max(leastEms, widthInEms(parts, unitScale));
  const mass = (grams: number): string => showMass(speech.value, grams, divisionGrams);
  const word = texts.words[is];
  return (
    <div class={`weight pour pour-${is}`} style={{ "--ems": String(ems) } as CSSProperties}>
      {is === "enough" ? (
        <p class="figures pour-done">{word}</p>
      ) : (
        <p class="figures">
          {parts.map((part) => (
            <span key={part.unit} class="mass-part">
              <span class="digits">{part.figure}</span>
              <span class="unit">{part.unit}</span>
            </span>
          ))}
        </p>
      )}
      {pour.targetGrams !== null && (
        <PourBar
          label={texts.bar}
          netGrams={netGrams}
          targetGrams={pour.targetGrams}
          toleranceGrams={pour.toleranceGrams ?? 0}
          said={`${mass(shown)} ${word}`}
        />
      )}
      <p class="pour-word">
        {is !== "enough" && <strong>{word}</strong>}
        <span>
          {pour.targetGrams === null
            ? foodNamed(pour.food)
            : texts.of(mass(netGrams), mass(pour.targetGrams), mass(pour.toleranceGrams ?? 0))}
        </span>
      </p>
    </div>
  );
}

type BarProps = {
  readonly netGrams: number;
  readonly targetGrams: number;
  readonly toleranceGrams: number;
  readonly said: string;
  readonly label: string;
};

/** Hatched while it fills, full ink at the target, broken beyond it: told apart without any colour. */
export function PourBar({ netGrams, targetGrams, toleranceGrams, said, label }: BarProps) {
  const share = (grams: number): string =>
    `${(Math.min(1, Math.max(0, grams / (targetGrams * barEnd))) * 100).toFixed(2)}%`;
  return (
    <div
      class="pour-bar"
      role="progressbar"
      aria-label={label}
      aria-valuemin={0}
      aria-valuemax={Number(targetGrams.toFixed(3))}
      aria-valuenow={Number(Math.min(targetGrams, Math.max(0, netGrams)).toFixed(3))}
      aria-valuetext={said}
      style={
        {
          "--filled": share(netGrams),
          "--from": share(targetGrams - toleranceGrams),
          "--to": share(targetGrams + toleranceGrams),
        } as CSSProperties
      }
    >
      <span class="pour-fill" />
      <span class="pour-aim" />
    </div>
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
