/** Set up: how much more one scale shows than another, found by one load on both. */
import { useSignal } from "@preact/signals";
import type { Kitchen, ScaleOffset } from "../../../src/wire/kitchen.ts";
import { kitchenService } from "../ask-kitchen.ts";
import { sayKitchen } from "../kitchen-texts.ts";
import { bench, nowMs, speech } from "../page.ts";
import { scaleName, showMass, showTime } from "../show.ts";
import { ActButton } from "./act.tsx";
import { useFetched } from "./fetched.ts";
import { Fold } from "./field.tsx";

const named = (id: string): string => scaleName(speech.value, id);
const mass = (grams: number): string => showMass(speech.value, grams, 0.01);

export function TwoScales() {
  const texts = sayKitchen().two;
  const changed = useSignal<Kitchen | null>(null);
  const comparing = bench.value?.comparing ?? null;
  // A comparison that has ended may have given a new offset.
  const key = `two ${comparing === null}`;
  const { body } = useFetched(key, async () => {
    const answer = await kitchenService.kitchen();
    changed.value = null;
    return answer;
  });
  const kitchen = changed.value ?? body;
  const ids = (bench.value?.scales ?? []).map(({ id }) => id);
  const pairs = ids.flatMap((one, at) => ids.slice(at + 1).map((other) => [one, other] as const));
  if (kitchen === null || (pairs.length === 0 && kitchen.offsets.length === 0)) return null;
  return (
    <section>
      <h2>{texts.title}</h2>
      <p class="quiet">{texts.explain}</p>
      <ul class="log">
        {kitchen.offsets.map((one) => (
          <li key={one.from + one.to}>
            <Offset one={one} />
          </li>
        ))}
      </ul>
      {comparing === null ? (
        pairs.map(([one, other]) => (
          <ActButton
            key={one + other}
            look="big"
            asking={() => kitchenService.compare(one, { with: other })}
          >
            {texts.compare(named(one), named(other))}
          </ActButton>
        ))
      ) : (
        <div class="advice">
          <p role="status">
            {comparing.first === null
              ? texts.putFirst(named(comparing.one), named(comparing.other))
              : texts.putSecond(
                  named(comparing.first.scale),
                  mass(comparing.first.grams),
                  named(comparing.first.scale === comparing.one ? comparing.other : comparing.one),
                )}
            {comparing.why !== null && ` ${texts.why[comparing.why]}`}
          </p>
          <ActButton asking={() => kitchenService.compare(comparing.one, { with: null })}>
            {texts.stop}
          </ActButton>
        </div>
      )}
      {kitchen.comparisons.length > 0 && (
        <Fold summary={texts.history}>
          <ul class="log">
            {kitchen.comparisons.map((one) => {
              const at = showTime(speech.value, one.at, nowMs.value);
              return (
                <li key={one.id}>
                  <span class="log-line">
                    {texts.line(
                      at,
                      named(one.one),
                      mass(one.oneGrams),
                      named(one.other),
                      mass(one.otherGrams),
                    )}
                  </span>
                  <ActButton
                    label={texts.takeBackWhich(at)}
                    asking={() => kitchenService.takeBackComparison(one.id)}
                    after={(kept) => (changed.value = kept)}
                  >
                    {texts.takeBack}
                  </ActButton>
                </li>
              );
            })}
          </ul>
        </Fold>
      )}
    </section>
  );
}

function Offset({ one }: { readonly one: ScaleOffset }) {
  const texts = sayKitchen().two;
  const { offsetGrams, spreadGrams } = one;
  const [more, less] =
    offsetGrams < 0 ? [named(one.to), named(one.from)] : [named(one.from), named(one.to)];
  return (
    <>
      <span class="strong">
        {texts.offset(more, mass(Math.abs(offsetGrams)), less, mass(one.atGrams), mass(one.uGrams))}
      </span>{" "}
      <span class="quiet">
        {texts.from(one.count, showTime(speech.value, one.lastAt, nowMs.value))}
        {spreadGrams !== null && ` ${texts.spread(mass(spreadGrams))}`}
      </span>
    </>
  );
}
