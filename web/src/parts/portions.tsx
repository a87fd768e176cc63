/** The foods of one tray: what each weighed fresh, and what is left of it, as far as that is known. */
import type { Batch, Portion, Tray } from "../../../src/wire/batch.ts";
import { choose } from "../choose.ts";
import { bench, go, say, speech } from "../page.ts";
import { showMass } from "../show.ts";
import { ActButton } from "./act.tsx";
import { foodNamed } from "./pour.tsx";
import { Wide } from "./wide.tsx";

type Alone = {
  readonly scale: string;
  readonly tray: number;
  readonly portion: number;
  readonly food: string | null;
};

export function WeighAlone({ scale, tray, portion, food }: Alone) {
  const texts = say().batch.portions;
  return (
    <ActButton
      label={texts.alone(foodNamed(food))}
      asking={() => choose(scale, "task", { tray, kind: "dry", portion })}
      after={() => go({ page: "weigh", scale })}
    >
      {texts.aloneShort}
    </ActButton>
  );
}

type Props = { readonly batch: Batch; readonly tray: Tray };

export function Portions({ batch, tray }: Props) {
  const texts = say().batch.portions;
  const division = tray.weighings.at(-1)?.divisionGrams ?? null;
  const mass = (grams: number | null): string =>
    grams === null ? say().none : showMass(speech.value, grams, division);
  const dry = (one: Portion): string =>
    one.dryIsEstimate ? texts.about(mass(one.dryGrams)) : mass(one.dryGrams);
  const isDried = tray.weighings.some(({ kind }) => kind === "dry");
  const scale = bench.value?.scales[0] ?? null;
  const mayWeigh = isDried && scale !== null && batch.phase !== "ended";
  return (
    <section>
      <h3>{texts.title}</h3>
      <Wide label={texts.title}>
        <table class="words">
          <thead>
            <tr>
              <th scope="col">{texts.food}</th>
              <th scope="col">{texts.fresh}</th>
              <th scope="col">{texts.dry}</th>
              {mayWeigh && <td />}
            </tr>
          </thead>
          <tbody>
            {tray.portions.map((one) => (
              <tr key={one.place}>
                <th scope="row">{foodNamed(one.food)}</th>
                <td>{mass(one.freshGrams)}</td>
                <td>{dry(one)}</td>
                {mayWeigh && (
                  <td>
                    <WeighAlone
                      scale={scale.id}
                      tray={tray.id}
                      portion={one.place}
                      food={one.food}
                    />
                  </td>
                )}
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      {tray.portions.some(({ dryIsEstimate }) => dryIsEstimate) && (
        <p class="quiet">{texts.estimate}</p>
      )}
    </section>
  );
}
