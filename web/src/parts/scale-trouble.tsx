/** What keeps a scale from being read, and what a person can do about it. */
import { useSignal } from "@preact/signals";
import type { Scale, ScaleForm } from "../../../src/wire/bench.ts";
import type { UnitWord } from "../../../src/wire/words.ts";
import { service } from "../ask.ts";
import { say } from "../page.ts";
import { writeRoute } from "../route.ts";
import { Refused, useAct } from "./act.tsx";
import { lazily } from "./lazily.tsx";
import { ServiceText } from "./service-text.tsx";

export const AskingScale = lazily(() =>
  import("./asking-scale.tsx").then((part) => part.AskingScale),
);

export function LinkTrouble({ scale }: { readonly scale: Scale }) {
  const { look } = say();
  return (
    <div class="advice">
      {scale.why !== null && (
        <p>
          <ServiceText text={scale.why} />
        </p>
      )}
      <p>{scale.fix === null ? look.fixes[scale.link] : <ServiceText text={scale.fix} />}</p>
      {scale.offersAsking === true && <AskingScale scale={scale} />}
      <p>
        <a class="button" href={writeRoute({ page: "setup" })}>
          {look.chooseScale}
        </a>
      </p>
    </div>
  );
}

export function NoScale() {
  const { look } = say();
  return (
    <div class="advice">
      <h1>{look.noScale}</h1>
      <p>{look.noScaleFix}</p>
      <div class="at-hand">
        <a class="button main" href={writeRoute({ page: "setup" })}>
          {look.chooseScale}
        </a>
      </div>
    </div>
  );
}

const units: readonly UnitWord[] = ["g", "kg", "oz", "lb"];

/** What a person is asked: whether the one reading is right, which unit the figures are in, or which form it is. */
function whatIsOpen(candidates: readonly ScaleForm[]): "right" | "unit" | "form" {
  if (candidates.length === 1) return "right";
  const forms = new Set(candidates.map(({ form }) => form));
  const units = new Set(candidates.map(({ unit }) => unit));
  return forms.size === 1 && units.size === candidates.length ? "unit" : "form";
}

/** The scale's lines can be read in more ways than one; only a person who sees its display knows which. */
export function WhichForm({ scale }: { readonly scale: Scale }) {
  const { look } = say();
  const unitless = useSignal<ScaleForm | null>(null);
  const act = useAct();
  const choose = ({ form, divisionGrams }: ScaleForm, unit: string | null): void => {
    void act.run(() => service.chooseForm(scale.id, { form, unit, divisionGrams }));
  };
  if (unitless.value !== null) {
    const candidate = unitless.value;
    return (
      <section class="ask" data-question>
        <h1>{look.formAsked.unit.question}</h1>
        <div class="answers">
          {units.map((unit) => (
            <button key={unit} type="button" class="big" onClick={() => choose(candidate, unit)}>
              {say().look.units[unit]}
            </button>
          ))}
        </div>
        <Refused why={act.refusal} />
      </section>
    );
  }
  const asked = look.formAsked[whatIsOpen(scale.candidates)];
  return (
    <section class="ask" data-question>
      <h1>{asked.question}</h1>
      <p class="quiet">{asked.why}</p>
      <div class="answers">
        {scale.candidates.map((candidate) => (
          <button
            key={`${candidate.form} ${candidate.unit ?? ""} ${candidate.divisionGrams ?? ""}`}
            type="button"
            class="big form-choice"
            onClick={() => {
              if (candidate.unit === null) unitless.value = candidate;
              else choose(candidate, candidate.unit);
            }}
          >
            <span class="reads">{candidate.reads}</span>
            <span class="quiet code">{look.formExample(candidate.example)}</span>
          </button>
        ))}
      </div>
      <Refused why={act.refusal} />
    </section>
  );
}
