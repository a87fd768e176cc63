/** What is worth saying of a load before it goes into the dryer. */
import type { LoadLook } from "../../../src/wire/kitchen.ts";
import type { NewBatch } from "../../../src/wire/requests.ts";
import { kitchenService } from "../ask-kitchen.ts";
import { sayKitchen } from "../kitchen-texts.ts";
import { dryerCalled, foodCalled, speech } from "../page.ts";
import { capital, listOf, showRoughMass, trayName } from "../show.ts";
import { useFetched } from "./fetched.ts";
import { ServiceText } from "./service-text.tsx";

/** Asked anew with every change of the plan; `plan` null: it cannot be read yet. */
export function PlanLook({ plan }: { readonly plan: NewBatch | null }) {
  const key = plan === null || plan.dryer === "" ? null : JSON.stringify(plan);
  const { body } = useFetched(key, () => kitchenService.look(plan ?? { dryer: "", trays: [] }));
  return body === null || plan === null ? null : <Look look={body} dryer={plan.dryer} />;
}

function Look({ look, dryer }: { readonly look: LoadLook; readonly dryer: string }) {
  const texts = sayKitchen().look;
  const mass = (grams: number | null): string => showRoughMass(speech.value, grams ?? 0);
  const hasMass = look.waterGrams > 0;
  if (!hasMass && look.warnings.length === 0 && look.cautions.length === 0) return null;
  return (
    <section class="cautions" aria-live="polite">
      <h2>{texts.title}</h2>
      {hasMass && <p>{(look.whole ? texts.water : texts.waterSoFar)(mass(look.waterGrams))}</p>}
      <ul>
        {look.warnings.map((one) => (
          <li key={one.code} class="strong">
            {texts.warnings[one.code]({
              water: mass(one.waterGrams),
              most: mass(one.mostGrams),
              dryer: dryerCalled(dryer),
              trays: listOf(
                speech.value,
                one.trays.map((tray) => trayName(speech.value, tray)),
              ),
              slow: listOf(speech.value, one.slow.map(foodCalled)),
              quick: listOf(speech.value, one.quick.map(foodCalled)),
            })}
          </li>
        ))}
        {look.cautions.map(({ tray, text }) => (
          <li key={`${tray} ${text}`}>
            {capital(trayName(speech.value, tray))}: <ServiceText text={text} />
          </li>
        ))}
      </ul>
    </section>
  );
}
