/** The last two weighings by published criteria of constant weight, each with what it would take to apply it here. */
import type { Curve } from "../../../src/wire/batch.ts";
import { say, speech } from "../page.ts";
import { showDuration, showMass } from "../show.ts";
import { Fold } from "./field.tsx";
import { ServiceText } from "./service-text.tsx";

type Criterion = Curve["criteria"][number];

export function Criteria({ criteria }: { readonly criteria: Curve["criteria"] }) {
  const { criteria: texts } = say().batch;
  if (criteria.length === 0) return null;
  return (
    <Fold summary={texts.title}>
      <p class="quiet">{texts.explain}</p>
      <ul class="facts">
        {criteria.map((criterion) => (
          <li key={criterion.name}>
            <span class="strong">{nameOf(criterion)}</span>: {answerOf(criterion)}
            <br />
            <span class="quiet">
              <ServiceText text={criterion.rule} /> (<ServiceText text={criterion.source} />)
            </span>
          </li>
        ))}
      </ul>
    </Fold>
  );
}

function nameOf({ name }: Criterion): string {
  const names: Readonly<Record<string, string>> = say().batch.criteria.names;
  return names[name] ?? name;
}

/** Two digits, because these are limits and not weighings. */
const massOf = (grams: number): string =>
  showMass(speech.value, grams, 10 ** (Math.floor(Math.log10(grams)) - 1));

function answerOf(criterion: Criterion): string {
  const { criteria: texts } = say().batch;
  const { changeGrams, allowedGrams, waitHours, divisionNeededGrams, massNeededGrams } = criterion;
  if (waitHours !== null) return texts.tooSoon(showDuration(speech.value, waitHours));
  if (divisionNeededGrams !== null)
    return texts.tooCoarse(
      massOf(divisionNeededGrams),
      massNeededGrams === null ? null : massOf(massNeededGrams),
    );
  const change = changeGrams === null || changeGrams === 0 ? "0 g" : massOf(changeGrams);
  const allowed = massOf(allowedGrams ?? 1);
  return criterion.is === "met" ? texts.met(change, allowed) : texts.notMet(change, allowed);
}
